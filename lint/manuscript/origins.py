"""Where the characters of a document stand in it: in a paragraph, on a page, or in the source of a web page.

Each origin belongs to one stretch of text and can be sent from one process to another as a short list.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, ClassVar, cast

from ..text import Origin

Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class InParagraph:
    """Characters ``start`` and on of a run of a word-processor file.

    ``part`` is the packed file's part, ``paragraph`` counts all paragraphs of the part from 0, ``run`` the runs of the
    paragraph; it is -1 for the number of a list, which stands in no run. ``place`` says where, for a person.
    """

    kind: ClassVar[str] = "paragraph"
    part: str
    paragraph: int
    run: int
    start: int
    place: str

    @property
    def where(self) -> str:
        return self.place

    def facts(self, start: int, end: int) -> dict[str, object]:
        first = self.start + start
        return {
            "part": self.part,
            "paragraph": self.paragraph + 1,
            "run": self.run + 1 if self.run >= 0 else None,
            "characters": [first, self.start + end] if self.run >= 0 else None,
        }


@dataclass(frozen=True, slots=True)
class OnPage:
    """Characters side by side on a page of a PDF.

    ``edges`` are their left edges along the line, and the last one's right edge; ``low`` and ``high`` are the line's
    bottom and top. They are measured on the page as it is turned for reading, ``turn`` degrees clockwise.
    """

    kind: ClassVar[str] = "page"
    page: int
    turn: int
    low: float
    high: float
    edges: tuple[float, ...]

    @property
    def where(self) -> str:
        return f"page {self.page + 1}"

    def box(self, start: int, end: int) -> Box:
        """Left, bottom, right and top of some of the characters in the page's own space, in points."""
        left, right = self.edges[start], self.edges[end]
        x0, y0 = unturned(min(left, right), self.low, self.turn)
        x1, y1 = unturned(max(left, right), self.high, self.turn)
        return min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)

    def facts(self, start: int, end: int) -> dict[str, object]:
        return {"page": self.page + 1, "box": [round(n, 1) for n in self.box(start, end)]}


@dataclass(frozen=True, slots=True)
class InSource:
    """Characters of a web page, which stand at ``offset`` and on in its source. An entity is one character there too:
    ``width`` is how many characters of the source each takes."""

    kind: ClassVar[str] = "source"
    offset: int
    width: int
    line: int

    @property
    def where(self) -> str:
        return f"line {self.line} of the source"

    def facts(self, start: int, end: int) -> dict[str, object]:
        return {"line": self.line, "characters": [self.offset + start * self.width, self.offset + end * self.width]}


def turned(x: float, y: float, turn: int) -> tuple[float, float]:
    """A point of a page's own space as it lies when the page is turned clockwise by 0, 90, 180 or 270 degrees."""
    return {0: (x, y), 90: (y, -x), 180: (-x, -y), 270: (-y, x)}[turn]


def unturned(u: float, v: float, turn: int) -> tuple[float, float]:
    return turned(u, v, (360 - turn) % 360)


_KINDS = {kind.kind: kind for kind in (InParagraph, OnPage, InSource)}


def to_list(origin: Origin) -> list[Any]:
    """An origin as JSON can hold it."""
    assert isinstance(origin, InParagraph | OnPage | InSource)
    return [origin.kind, *(getattr(origin, name) for name in type(origin).__slots__)]


def from_list(fields: Sequence[Any]) -> Origin:
    """The origin that ``to_list`` gave."""
    values: list[Any] = [tuple(cast("list[float]", value)) if isinstance(value, list) else value for value in fields[1:]]
    return _KINDS[fields[0]](*values)
