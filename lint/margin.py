"""The editor's margin of one manuscript: what was let stand, and what is known and not printed."""

from __future__ import annotations

from dataclasses import dataclass

from .stet import Stet
from .unprinted import Unprinted


@dataclass(frozen=True, slots=True)
class Margin:
    """What the side file beside a manuscript holds."""

    stets: tuple[Stet, ...] = ()
    unprinted: Unprinted = Unprinted()  # noqa: RUF009 - immutable
