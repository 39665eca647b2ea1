"""The structure of a manuscript as data: sections, row labels, loose sentences and key entries, all with spans.

``sections.py`` finds them; what a row says is the grammar's business.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from ..text import Span


class SectionKind(StrEnum):
    """What a section is for; only pieces hold rows."""

    TITLE = "title"
    MATERIALS = "materials"
    GAUGE = "gauge"
    SIZES = "sizes"
    ABBREVIATIONS = "abbreviations"
    SPECIAL = "special stitches"
    NOTES = "notes"
    PIECE = "piece"
    FINISHING = "finishing"
    OTHER = "other"


@dataclass(frozen=True, slots=True)
class Label:
    """A row or round label. ``numbers`` are the rows it stands for, () where it has none ("Next row").

    ``span`` covers the label and its decorations; ``word`` is ``Row``, ``Rnd`` or ``R`` (undecided), ``side`` a mark
    in the label. ``by_size`` holds one range per size where the label differs by size.
    """

    span: Span
    word: str
    numbers: tuple[int, ...]
    name: str = ""
    side: str | None = None
    by_size: tuple[tuple[int, ...], ...] = ()
    stated_rows: int | None = None
    sizes: tuple[str, ...] = ()
    remark: str = ""
    open_ended: bool = False
    rows: tuple[int, ...] = ()  # of "Next 4 rows": how many it stands for, one number or one a size


@dataclass(frozen=True, slots=True)
class Statement:
    """One labelled row, or one loose sentence between rows (``label`` is None). ``body`` is what it says."""

    label: Label | None
    body: Span

    @property
    def span(self) -> Span:
        return self.label.span.to(self.body) if self.label else self.body


@dataclass(frozen=True, slots=True)
class Section:
    """A stretch of the manuscript under one heading; ``body`` leaves the heading out."""

    kind: SectionKind
    name: str
    heading: Span
    body: Span
    statements: tuple[Statement, ...] = ()
    make: int | None = None

    @property
    def span(self) -> Span:
        return self.heading.to(self.body)


@dataclass(frozen=True, slots=True)
class KeyEntry:
    """One line of an abbreviation key, or a definition: the words defined and what they mean."""

    words: tuple[str, ...]
    meaning: str
    span: Span
    words_span: Span
    special: bool = False


@dataclass(frozen=True)
class Layout:
    """The manuscript's structure. ``folded`` is the reading copy: as long as the source, look-alikes made plain."""

    folded: str
    sections: tuple[Section, ...]
    key: tuple[KeyEntry, ...] = ()
    blanked: tuple[Span, ...] = ()

    def of(self, kind: SectionKind) -> tuple[Section, ...]:
        """The sections of one kind, in order."""
        return tuple(s for s in self.sections if s.kind is kind)
