"""What a rule is: one value in one file, found by looking, with its documentation as fields.

A rule reads a ``Subject`` and yields findings. It never raises on purpose; when it does, ``proof``
turns that into one finding and the other rules go on.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from .fabric.work import Work
from .finding import Finding, Severity
from .text import Text
from .unprinted import Unprinted

if TYPE_CHECKING:
    from .pattern.pattern import Pattern
    from .style import Setting, Style
    from .syntax.layout import Layout


@dataclass(frozen=True)
class Subject:
    """Everything known about one manuscript when the rules run."""

    text: Text
    layout: Layout
    pattern: Pattern
    work: Work
    style: Style
    unprinted: Unprinted = Unprinted()  # noqa: RUF009 - immutable


@dataclass(frozen=True)
class Rule:
    """One check. The prose fields are its page in ``tenterhook explain`` and its first tests.

    ``looks_like`` is a small manuscript the rule speaks up on; ``better`` is one it is quiet on. ``settings`` are what a
    house may set for it; their names are keys of ``tenterhook.toml``.
    """

    name: str
    severity: Severity
    title: str
    why: str
    looks_like: str
    better: str
    let_stand: str
    check: Callable[[Subject], Iterable[Finding]]
    source: str = ""
    settings: tuple[Setting, ...] = ()

    @property
    def family(self) -> str:
        """The folder the rule lives in: counts, repeats, sides …; for a module in no folder, its own name."""
        return self.check.__module__.split(".")[-2:][0]
