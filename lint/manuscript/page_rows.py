"""The characters of a page → rows of segments: what stands on one line, parted where the space between is wide."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from statistics import median_high
from typing import NamedTuple

from .assembly import Piece
from .blocks import raised_digits
from .origins import OnPage

WIDE = 0.8
"""The space, in ems, from which two words of a line may belong to two columns."""

_SAME_LINE = 0.12  # ems by which the baselines of one line differ at most
_RAISED_AT_MOST = 0.7  # ems by which a raised or lowered character stands off its line
_SMALLER = 0.87  # the size of raised characters, in sizes of the others, at most
_TOUCHING = 0.35  # ems between a raised character and its neighbour, at most
_SPACE, _SPACE_IN_SPACED = 0.17, 0.3  # ems taken for a space in a text without spaces of its own, and in one with


class Glyph(NamedTuple):
    """One character where it is printed, in points, on the page as it is turned for reading."""

    char: str
    left: float
    right: float
    low: float
    high: float
    base: float
    size: float
    bold: bool


class Set(NamedTuple):
    """A character as set on a line: how it stands to the baseline, and whether a space comes before it."""

    glyph: Glyph
    shift: int  # 1 raised, -1 lowered, 0 on the line
    spaced: bool


@dataclass(frozen=True)
class Segment:
    """Words of a line with no wide space between them."""

    page: int
    turn: int
    sets: tuple[Set, ...]

    @cached_property
    def left(self) -> float:
        return self.sets[0].glyph.left

    @cached_property
    def base(self) -> float:
        return median_high([s.glyph.base for s in self.sets])

    @cached_property
    def right(self) -> float:
        return max(s.glyph.right for s in self.sets)

    @cached_property
    def size(self) -> float:
        return median_high([s.glyph.size for s in self.sets])

    @cached_property
    def bold(self) -> bool:
        return all(s.glyph.bold for s in self.sets)

    @cached_property
    def chars(self) -> str:
        return "".join(f" {s.glyph.char}" if s.spaced and n else s.glyph.char for n, s in enumerate(self.sets))

    def first_word(self) -> float:
        """The width of the first word, in points."""
        end = next((n for n, s in enumerate(self.sets) if s.spaced and n), len(self.sets))
        return self.sets[end - 1].glyph.right - self.left

    def pieces(self) -> list[Piece]:
        """The characters, each with its place on the page; what is raised or lowered in pieces of its own."""
        low = min(s.glyph.low for s in self.sets)
        high = max(s.glyph.high for s in self.sets)
        out: list[tuple[Piece, bool]] = []
        start = 0
        for at in range(1, len(self.sets) + 1):
            if at == len(self.sets) or self.sets[at].shift != self.sets[start].shift:
                out.append((self._piece(start, at, low, high), self.sets[start].shift > 0))
                start = at
        return list(raised_digits(out))

    def _piece(self, start: int, end: int, low: float, high: float) -> Piece:
        chars: list[str] = []
        edges: list[float] = []
        for at in range(start, end):
            glyph, _, spaced = self.sets[at]
            if spaced and at:
                chars.append(" ")
                edges.append(round(min(self.sets[at - 1].glyph.right, glyph.left), 1))
            chars.append(glyph.char)
            edges.append(round(glyph.left, 1))
        edges.append(round(self.sets[end - 1].glyph.right, 1))
        return Piece("".join(chars), OnPage(self.page, self.turn, round(low, 1), round(high, 1), tuple(edges)))


@dataclass(frozen=True)
class Row:
    """What stands on one line of a page, left to right."""

    base: float
    segments: tuple[Segment, ...]

    @property
    def left(self) -> float:
        return self.segments[0].left

    @property
    def right(self) -> float:
        return max(segment.right for segment in self.segments)

    @cached_property
    def size(self) -> float:
        """The size of most of its letters; a list's mark may be larger."""
        return median_high([s.glyph.size for segment in self.segments for s in segment.sets])

    @property
    def bold(self) -> bool:
        return all(segment.bold for segment in self.segments)

    @cached_property
    def chars(self) -> str:
        return "\t".join(segment.chars for segment in self.segments)

    def part(self, left: float, right: float) -> Row | None:
        """The segments that begin within a strip of the page."""
        kept = tuple(segment for segment in self.segments if left <= segment.left < right)
        return Row(self.base, kept) if kept else None


def rows(glyphs: Sequence[Glyph], page: int, turn: int) -> list[Row]:
    """The rows of a page from top to bottom."""
    lines = _with_raised(_lines(glyphs))
    spaces = sum(glyph.char == " " for glyph in glyphs)
    threshold = _SPACE_IN_SPACED if spaces * 20 > len(glyphs) else _SPACE
    return [Row(base, _segments(line, threshold, page, turn)) for base, line in lines if any(g.char.strip() for g, _ in line)]


def _lines(glyphs: Iterable[Glyph]) -> list[tuple[float, list[tuple[Glyph, int]]]]:
    """Characters by their baselines, from top to bottom."""
    out: list[tuple[float, list[tuple[Glyph, int]]]] = []
    for glyph in sorted(glyphs, key=lambda g: (-g.base, g.left)):
        if out and out[-1][0] - glyph.base <= max(0.5, _SAME_LINE * glyph.size):
            out[-1][1].append((glyph, 0))
        else:
            out.append((glyph.base, [(glyph, 0)]))
    return out


def _with_raised(lines: list[tuple[float, list[tuple[Glyph, int]]]]) -> list[tuple[float, list[tuple[Glyph, int]]]]:
    """The lines, with raised and lowered small characters on the lines they belong to: “2nd”, “1½”, marks of notes."""
    sizes = [_size(line) for _, line in lines]
    for _ in range(2):  # the second half of a fraction touches the first, which has to be in place
        for at, (base, line) in enumerate(lines):
            for other in (at - 1, at + 1, at - 2, at + 2):
                if not (0 <= other < len(lines) and line and lines[other][1] and sizes[at] <= _SMALLER * sizes[other]):
                    continue
                rise = base - lines[other][0]
                if abs(rise) <= _RAISED_AT_MOST * sizes[other]:
                    _move(line, lines[other][1], 1 if rise > 0 else -1, sizes[other])
    return [(base, line) for base, line in lines if line]


def _size(line: Iterable[tuple[Glyph, int]]) -> float:
    return max(glyph.size for glyph, _ in line)


def _move(small: list[tuple[Glyph, int]], line: list[tuple[Glyph, int]], shift: int, size: float) -> None:
    """What of the small characters fits into the line, between its characters and touching one, goes there."""
    taken = sorted((g.left, g.right) for g, _ in line if g.char.strip())
    runs: list[list[tuple[Glyph, int]]] = []
    for each in sorted(small, key=lambda pair: pair[0].left):
        if runs and each[0].left - runs[-1][-1][0].right <= _TOUCHING * size:
            runs[-1].append(each)
        else:
            runs.append([each])
    for run in runs:
        left, right = run[0][0].left, max(g.right for g, _ in run)
        apart = _TOUCHING * size
        overlaps = any(a < right - 0.1 * size and b > left + 0.1 * size for a, b in taken)
        touches = any(abs(left - b) <= apart or abs(a - right) <= apart for a, b in taken)
        if touches and not overlaps:
            line.extend((glyph, shift) for glyph, _ in run)
            for each in run:
                small.remove(each)


def _segments(line: list[tuple[Glyph, int]], threshold: float, page: int, turn: int) -> tuple[Segment, ...]:
    out: list[list[Set]] = []
    size = _size(line)
    spaced = False
    for glyph, shift in sorted(line, key=lambda pair: pair[0].left):
        if not glyph.char.strip():
            spaced = True
            continue
        before = out[-1][-1].glyph if out else None
        if before and glyph.char == before.char and glyph.left - before.left < 0.35 * (before.right - before.left):
            continue  # printed twice to look bold
        gap = glyph.left - before.right if before else 0.0
        if before is None or gap > WIDE * size:
            out.append([Set(glyph, shift, False)])
        else:
            out[-1].append(Set(glyph, shift, spaced or gap > threshold * size))
        spaced = False
    return tuple(Segment(page, turn, tuple(_unspread(sets))) for sets in out)


def _unspread(sets: list[Set]) -> list[Set]:
    """A word whose letters are set apart, as in some headings, is still a word."""
    gaps = sorted(b.glyph.left - a.glyph.right for a, b in pairwise(sets))
    if len(gaps) < 3 or not all(s.spaced for s in sets[1:]):
        return sets
    usual = gaps[len(gaps) // 2]
    return [s if not n else s._replace(spaced=s.glyph.left - sets[n - 1].glyph.right > 1.7 * usual) for n, s in enumerate(sets)]
