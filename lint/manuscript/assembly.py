"""Putting a manuscript's text together from the pieces of a document, each character with where it came from."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from typing import Any

from ..confined import Refused
from ..text import Gap, Origin, Span, Stretch, Text
from .origins import from_list, to_list

MAX_CHARACTERS = 8_000_000
"""The longest text taken from a document, in code points."""


@dataclass(frozen=True, slots=True)
class Piece:
    """Some characters and where they stand in the document; put in by the reader where ``origin`` is None."""

    chars: str
    origin: Origin | None = None


@dataclass
class Assembly:
    """Text in the making. ``remarks`` say what a person should know of how the document was read."""

    remarks: list[str] = field(default_factory=list[str])
    _chars: list[str] = field(default_factory=list[str])
    _stretches: list[Stretch] = field(default_factory=list[Stretch])
    _gaps: list[Gap] = field(default_factory=list[Gap])
    _length: int = 0
    _last: str = "\n\n"

    def add(self, piece: Piece) -> None:
        if not piece.chars:
            return
        start, self._length = self._length, self._length + len(piece.chars)
        if self._length > MAX_CHARACTERS:
            raise Refused(f"this file holds more than the {MAX_CHARACTERS:,} characters that are read; is it a manuscript?")
        self._chars.append(piece.chars)
        self._last = (self._last + piece.chars)[-2:]
        if piece.origin is not None:
            self._stretches.append(Stretch(Span(start, self._length), piece.origin))

    def line(self, pieces: Iterable[Piece], *, joined: bool = False) -> None:
        """Pieces on a line of their own, or going on in the line before."""
        if not joined:
            self.end_line()
        for piece in pieces:
            self.add(piece)

    def end_line(self) -> None:
        if not self._last.endswith("\n"):
            self.add(Piece("\n"))

    def blank(self) -> None:
        """One empty line, never two and none at the top."""
        self.end_line()
        if self._last != "\n\n":
            self.add(Piece("\n"))

    def gap(self, message: str) -> None:
        """Something of the document is not read here."""
        self._gaps.append(Gap(self._length, message))

    def remark(self, words: str) -> None:
        if words not in self.remarks:
            self.remarks.append(words)

    def packed(self, blank: str = "this document holds no text; pictures of pages are not read") -> tuple[dict[str, Any], bytes]:
        """The text as JSON can hold it, as a task of a child gives it. Raises Refused, with ``blank``, where there is none."""
        if not any(chars.strip() for chars in self._chars):
            raise Refused(blank)
        return {
            "source": "".join(self._chars),
            "origins": [[s.span.start, s.span.end, *to_list(s.origin)] for s in self._stretches],
            "gaps": [[gap.offset, gap.message] for gap in self._gaps],
            "remark": "; ".join(self.remarks),
        }, b""


def unpacked(packed: dict[str, Any]) -> tuple[Text, str]:
    """The text and the remark that ``packed`` gave."""
    stretches = tuple(Stretch(Span(start, end), from_list(origin)) for start, end, *origin in packed["origins"])
    gaps = tuple(Gap(*gap) for gap in packed["gaps"])
    return Text(packed["source"], "", stretches, gaps), packed["remark"]


def trimmed(pieces: Iterable[Piece]) -> list[Piece]:
    """The pieces without the white space around them all."""
    kept = [piece for piece in pieces if piece.chars]
    while kept and not kept[0].chars.strip():
        del kept[0]
    while kept and not kept[-1].chars.strip():
        del kept[-1]
    if kept:
        kept[-1] = replace(kept[-1], chars=kept[-1].chars.rstrip())
    return kept


def words_of(pieces: Iterable[Piece]) -> str:
    return "".join(piece.chars for piece in pieces)
