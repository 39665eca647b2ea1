"""What a manuscript says, resolved: terms, sizes, definitions and notes, and every piece's rows in working order."""

from __future__ import annotations

from dataclasses import dataclass

from ..text import Span


@dataclass(frozen=True, slots=True)
class Note:
    """Something the manuscript says for all rows. ``used`` is False where the fabric did not take it into account."""

    span: Span
    kind: str
    used: bool = True


@dataclass(frozen=True)
class Pattern:
    """A manuscript's pattern. ``terms`` is "US", "UK" or None, ``terms_because`` the evidence in words."""

    terms: str | None
    terms_because: str
    terms_declared: Span | None
    sizes: tuple[str, ...]
    notes: tuple[Note, ...] = ()
