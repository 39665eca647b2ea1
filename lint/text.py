"""Text and spans: the only place, besides the server's edge, where offsets become lines and columns.

Offsets count code points and spans are half-open. A line ends at LF, CR or CRLF and at nothing else: a form feed, a
vertical tab or U+2028 inside a manuscript is an ordinary character, because the editors on the other side of the
protocol see it so.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Protocol

from . import regex

_LINE_END = regex.compile(r"\r\n|\r|\n")


@dataclass(frozen=True, slots=True, order=True)
class Span:
    """Code points ``start`` (included) to ``end`` (not included) of a text."""

    start: int
    end: int

    def __post_init__(self) -> None:
        if not 0 <= self.start <= self.end:
            raise ValueError(f"a span runs forward from 0: {self.start}..{self.end}")

    def __len__(self) -> int:
        return self.end - self.start

    def __contains__(self, offset: int) -> bool:
        return self.start <= offset < self.end

    def touches(self, other: Span) -> bool:
        """Whether the two share a code point, or one is empty and lies in or at the edge of the other."""
        if self.start == self.end or other.start == other.end:
            return self.start <= other.end and other.start <= self.end
        return self.start < other.end and other.start < self.end

    def to(self, other: Span) -> Span:
        """The span from the start of this one to the end of the other."""
        return Span(min(self.start, other.start), max(self.end, other.end))


@dataclass(frozen=True, slots=True, order=True)
class Place:
    """A line and a column, both counted from 1; columns in code points."""

    line: int
    column: int


class Origin(Protocol):
    """Where in a document some of a text's characters stand. Each kind of document has its own; see ``manuscript``."""

    @property
    def where(self) -> str:
        """For a person: “page 2”, “paragraph 14”."""
        ...

    def facts(self, start: int, end: int) -> dict[str, object]:
        """For a program, about the characters from ``start`` to ``end`` of this origin's own."""
        ...


@dataclass(frozen=True, slots=True)
class Stretch:
    """Characters that stand next to each other in the document too, and where they stand there."""

    span: Span
    origin: Origin


@dataclass(frozen=True, slots=True)
class Gap:
    """Something of the document that is not in the text, such as a page that is a picture; it would stand at ``offset``."""

    offset: int
    message: str


@dataclass(frozen=True)
class Text:
    """A manuscript's characters, with the line starts worked out once.

    Where a document is more than its characters, ``origins`` says in order where they stand in it. Characters that were
    put in to part paragraphs or cells stand nowhere, and those of a text file where they stand in the text.
    """

    source: str
    name: str = ""
    origins: tuple[Stretch, ...] = ()
    gaps: tuple[Gap, ...] = ()

    @cached_property
    def _origin_starts(self) -> tuple[int, ...]:
        return tuple(stretch.span.start for stretch in self.origins)

    def origins_of(self, span: Span) -> list[Stretch]:
        """The stretches a span has characters of; where it has none, the one before it or else the first there is."""
        first = max(0, bisect_right(self._origin_starts, span.start) - 1)
        found: list[Stretch] = []
        for stretch in self.origins[first:]:
            if stretch.span.start >= span.end:
                break
            if span.start < stretch.span.end:
                found.append(stretch)
        return found or list(self.origins[first : first + 1])

    def where(self, offset: int) -> str:
        """Where an offset stands, for a person: “line 12”, or in a document “page 2” or “paragraph 14”."""
        if self.origins:
            return self.origins_of(Span(offset, offset + 1))[0].origin.where
        return f"line {self.line_number(offset)}"

    @cached_property
    def line_starts(self) -> tuple[int, ...]:
        return (0, *(m.end() for m in _LINE_END.finditer(self.source)))

    def __getitem__(self, span: Span) -> str:
        return self.source[span.start : span.end]

    def __len__(self) -> int:
        return len(self.source)

    @property
    def whole(self) -> Span:
        return Span(0, len(self.source))

    def place(self, offset: int) -> Place:
        """Line and column of an offset; offsets past the end stand at the end."""
        offset = max(0, min(offset, len(self.source)))
        line = self.line_number(offset)
        return Place(line, offset - self.line_starts[line - 1] + 1)

    def offset(self, place: Place) -> int:
        """The offset of a line and column, both held inside the text."""
        line = max(1, min(place.line, len(self.line_starts)))
        start, end = self.line_starts[line - 1], self.line_span(line).end
        return max(start, min(start + place.column - 1, end))

    def line_number(self, offset: int) -> int:
        return bisect_right(self.line_starts, max(0, min(offset, len(self.source))))

    def line_span(self, line: int) -> Span:
        """The characters of a line counted from 1, without its line end."""
        start = self.line_starts[line - 1]
        end = self.line_starts[line] if line < len(self.line_starts) else len(self.source)
        while end > start and self.source[end - 1] in "\r\n":
            end -= 1
        return Span(start, end)

    def lines(self) -> Iterator[Span]:
        for line in range(1, len(self.line_starts) + 1):
            yield self.line_span(line)
