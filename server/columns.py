"""Columns in the units a client counts in: the server's one edge between offsets and protocol positions.

Inside, offsets count code points. A client counts UTF-8 bytes, UTF-16 code units or code points, as agreed when the
session opens.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

from lsprotocol import types as t
from pygls.workspace import PositionCodec, ServerTextPosition

from ..lint.text import Place, Span, Text

Encoding = t.PositionEncodingKind | str | None


def _bytes(characters: str) -> int:
    return len(characters.encode("utf-8", "surrogatepass"))


def _halves(characters: str) -> int:
    return len(characters.encode("utf-16-le", "surrogatepass")) // 2


def units_of(encoding: Encoding) -> Callable[[str], int]:
    """What counts the units of some characters; UTF-16, the protocol's default, where the encoding is unknown."""
    counters: dict[str, Callable[[str], int]] = {"utf-8": _bytes, "utf-16": _halves, "utf-32": len}
    name = encoding.value if isinstance(encoding, t.PositionEncodingKind) else encoding
    return counters.get(name or "utf-16", _halves)


def code_points(line: str, units: int, count: Callable[[str], int]) -> int:
    """How many whole characters of ``line`` lie within ``units``; never more than the line has."""
    if line.isascii() or count is len:
        return min(max(units, 0), len(line))
    used = 0
    for index, character in enumerate(line):
        used += count(character)
        if used > units:
            return index
    return len(line)


@dataclass(frozen=True)
class Page:
    """A text as one client sees it: offsets to its positions and back, always held inside the text."""

    text: Text
    encoding: Encoding

    @cached_property
    def count(self) -> Callable[[str], int]:
        """Counts the client's units of some characters."""
        return units_of(self.encoding)

    def position(self, offset: int) -> t.Position:
        offset = max(0, min(offset, len(self.text)))
        line = self.text.line_number(offset) - 1
        before = self.text.source[self.text.line_starts[line] : offset]
        return t.Position(line, len(before) if before.isascii() else self.count(before))

    def range(self, span: Span) -> t.Range:
        return t.Range(self.position(span.start), self.position(span.end))

    def offset(self, position: t.Position) -> int:
        """The offset of a client's position: past a line's end is before its line end, past the last line the end."""
        if position.line >= len(self.text.line_starts):
            return len(self.text)
        line = self.text.line_span(position.line + 1)
        column = code_points(self.text[line], position.character, self.count)
        return self.text.offset(Place(position.line + 1, column + 1))

    def span(self, range_: t.Range) -> Span:
        """The span of a client's range; one that runs backward is taken as empty at its start."""
        start = self.offset(range_.start)
        return Span(start, max(start, self.offset(range_.end)))


class Columns(PositionCodec):
    """The library's own conversions, held to the same rules as ``Page``."""

    def position_from_client_units(self, lines: Sequence[str], position: t.Position) -> ServerTextPosition:
        if position.line >= len(lines):
            if lines and position.line == len(lines) and not lines[-1].endswith(("\n", "\r")):
                return ServerTextPosition(len(lines) - 1, len(lines[-1]))
            return ServerTextPosition(len(lines), 0)
        line = lines[position.line].rstrip("\r\n")
        return ServerTextPosition(position.line, code_points(line, position.character, units_of(self.encoding)))
