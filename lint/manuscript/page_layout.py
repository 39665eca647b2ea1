"""The rows of a page → the order in which they are read: running heads apart, columns one after the other, tables by rows.

Columns are found by what they are: a strip without a word in it, down which lines begin at the same place again and
again. Where the lines on both sides keep to the same heights and one side is short, it is a table, or a list whose marks
stand out; otherwise it is text in columns.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import median

from .. import regex
from .page_rows import Glyph, Row, Segment

_GUTTER = 0.5  # ems without a word between two columns, at least
_SAME_EDGE = 2.0  # points by which lines of one column begin apart, at most
_SHORT = 15  # characters of what labels a row or counts its stitches, usually
_APART = 1.7  # line heights from which something stands apart from the lines before it
_LEVEL = 0.8  # the share of lines on one side of a table that have a neighbour on the other
_AWAY = 2.4  # sizes of the letters by which a running head stands off the text
_MARGIN = 0.09  # the share of a page's height in which running heads stand

_ROW_LABEL = regex.compile(r"\s*(?:rows?|rnds?|rounds?|r)\.?\s*\d|\s*\d+(?:st|nd|rd|th)\s+r", regex.IGNORECASE)
_PAGE_NUMBER = regex.compile(r"[-–—·•|\s]*(?:page|p\.?)?\s*(\d{1,4})(?:\s*(?:of|/)\s*\d{1,4})?[-–—·•|\s]*", regex.IGNORECASE)


@dataclass(frozen=True)
class Page:
    """A page as it is turned for reading. ``sideways`` has the characters that lie level when it is turned otherwise;
    ``missing`` says what of it cannot be read."""

    number: int
    turn: int
    glyphs: list[Glyph]
    sideways: dict[int, list[Glyph]]
    missing: tuple[str, ...] = ()
    right: float = 0.0
    bottom: float = 0.0
    top: float = 0.0


@dataclass(frozen=True)
class Flow:
    """Lines of one column. ``limit`` is where the next column begins, if there is one."""

    rows: list[Row]
    limit: float | None = None

    @property
    def left(self) -> float:
        return min(row.left for row in self.rows)


@dataclass(frozen=True)
class Grid:
    """A table: rows of cells, each the segments that stand in it, line by line."""

    bands: list[list[list[Segment]]]


Zone = Flow | Grid


@dataclass(frozen=True)
class _Gutter:
    """Where a second column begins, and the rows (``first`` included, ``last`` not) in which there are two."""

    at: float
    first: int
    last: int
    level: bool


def parts(page: Page, found: Sequence[Row]) -> list[Zone]:
    """The parts of a page in the order in which they are read. A line by itself in a margin is no part of its columns."""
    first, last = 0, len(found)
    if last > 2 and _in_margin(page, found[0]) and _is_away(found[0], found[1]):
        first = 1
    if last > first + 2 and _in_margin(page, found[-1]) and _is_away(found[-1], found[-2]):
        last -= 1
    return [*zones(found[:first]), *zones(found[first:last]), *zones(found[last:])]


def zones(page: Sequence[Row], limit: float | None = None) -> list[Zone]:
    """The parts of a page in the order in which they are read."""
    if not page:
        return []
    gutter = _gutter(page)
    if gutter is None:
        return [Flow(list(page), limit)]
    middle = page[gutter.first : gutter.last]
    inside: list[Zone] = (
        [_grid(middle, gutter.at)]
        if gutter.level
        else [*zones(_strip(middle, -1e6, gutter.at), gutter.at), *zones(_strip(middle, gutter.at, 1e6), limit)]
    )
    return [*zones(page[: gutter.first], limit), *inside, *zones(page[gutter.last :], limit)]


def _strip(page: Sequence[Row], left: float, right: float) -> list[Row]:
    edge = _SAME_EDGE
    return [part for row in page if (part := row.part(left - edge, right - edge)) is not None]


def _gutter(page: Sequence[Row]) -> _Gutter | None:
    """The beginning of the column that most lines keep to, or None where there is one column."""
    margin = min(row.left for row in page)
    lefts = sorted(s.left for row in page for s in row.segments if s.left > margin + 1.5 * s.size)
    best: tuple[int, _Gutter] | None = None
    start = 0
    for at in range(1, len(lefts) + 1):
        if at < len(lefts) and lefts[at] - lefts[start] <= _SAME_EDGE:
            continue
        if at - start >= 2:
            for score, gutter in _stretches(page, lefts[start]):
                if best is None or score > best[0]:
                    best = score, gutter
        start = at
    return best[1] if best else None


def _stretches(page: Sequence[Row], x: float) -> Iterator[tuple[int, _Gutter]]:
    """Where down the page two columns stand side by side with the second beginning at ``x``, and how many lines do."""
    start: int | None = None
    for at in range(len(page) + 1):
        if at < len(page) and not _crosses(page[at], x):
            start = at if start is None else start
            continue
        if start is not None:
            found = _side_by_side(page, x, start, at)
            if found:
                yield found
        start = None


def _crosses(row: Row, x: float) -> bool:
    return any(s.left < x - _SAME_EDGE and s.right > x - _GUTTER * s.size for s in row.segments)


def _side_by_side(page: Sequence[Row], x: float, start: int, end: int) -> tuple[int, _Gutter] | None:
    left = [at for at in range(start, end) if page[at].left < x - _SAME_EDGE]
    right = [at for at in range(start, end) if page[at].segments[-1].left >= x - _SAME_EDGE]
    if not left or not right:
        return None
    first, last = max(left[0], right[0]), min(left[-1], right[-1])
    left_in, right_in = ([at for at in side if first <= at <= last] for side in (left, right))
    begins = [next(s.left for s in page[at].segments if s.left >= x - _SAME_EDGE) for at in right_in]
    at_edge = sum(abs(begin - x) <= _SAME_EDGE for begin in begins)
    if len(left_in) < 2 or at_edge < 2 or at_edge * 2 < len(right_in):
        return None
    both = set(left_in) & set(right_in)
    level = bool(both) and len(both) >= _LEVEL * min(len(left_in), len(right_in))
    short = min(_length(page, left_in, -1e6, x), _length(page, right_in, x, 1e6)) <= _SHORT
    if not (level and short) and min(len(left_in), len(right_in)) < 3:
        return None
    first = min(first, right[0])
    return len(left_in) + len(right_in), _Gutter(x, first, _last(page, left, last, end), level and short)


def _length(page: Sequence[Row], at: Sequence[int], left: float, right: float) -> float:
    """The usual number of characters on one side of a gutter."""
    parts = (page[n].part(left - _SAME_EDGE, right - _SAME_EDGE) for n in at)
    return median(len(part.chars) for part in parts if part)


def _last(page: Sequence[Row], left: Sequence[int], last: int, end: int) -> int:
    """Where two columns end. The first may be longer than the second, but what stands apart below it is no part of it."""
    if end == len(page):
        return end
    heights = [page[a].base - page[b].base for a, b in pairwise(left) if b == a + 1]
    usual = median(heights) if heights else 1.25 * page[last].size
    at = last + 1
    while at < end and page[at - 1].base - page[at].base <= _APART * usual:
        at += 1
    return at


def _grid(page: Sequence[Row], x: float) -> Grid:
    """A table: its columns, and its rows by where the cells of the column that labels them begin."""
    edges = [-1e6, *sorted({x, *_more_edges(page, -1e6, x), *_more_edges(page, x, 1e6)}), 1e6]
    columns = list(pairwise(edges))
    table = [[row.part(a - _SAME_EDGE, b - _SAME_EDGE) for a, b in columns] for row in page]
    lengths = [median([len(cell.chars) for cells in table if (cell := cells[n])] or [0]) for n in range(len(columns))]
    anchor = 0 if lengths[0] <= _SHORT else lengths.index(min(lengths))
    heights = [a.base - b.base for a, b in pairwise(page)]
    bands: list[list[list[Segment]]] = []
    for at, cells in enumerate(table):
        apart = at > 0 and heights[at - 1] > _APART * median(heights)
        if not bands or cells[anchor] or (apart and not cells[anchor]):
            bands.append([[] for _ in columns])
        for cell, into in zip(cells, bands[-1], strict=True):
            into.extend(cell.segments if cell else ())
    return Grid(bands)


def _more_edges(page: Sequence[Row], left: float, right: float) -> list[float]:
    """Further columns on one side of the first one found."""
    part = _strip(page, left, right)
    gutter = _gutter(part) if len(part) > 1 else None
    if gutter is None or not gutter.level or (gutter.last - gutter.first) * 2 < len(part):
        return []
    return [gutter.at, *_more_edges(part, left, gutter.at), *_more_edges(part, gutter.at, right)]


# -- running heads --------------------------------------------------------------------------------------------------


def without_running_heads(pages: Sequence[tuple[Page, list[Row]]]) -> tuple[list[list[Row]], list[Row]]:
    """The rows of every page without its running heads and page number, and every running head once."""
    outer = [[row for row in _outer(found) if _stands_apart(page, found, row)] for page, found in pages]
    counts = Counter(shape for candidates in outer for shape in {_shape(row) for row in candidates})
    starts = Counter(n - page.number for (page, _), rows in zip(pages, outer, strict=True) for row in rows if (n := _number(row)))
    usual = starts.most_common(1)[0] if starts else (0, 0)
    heads: dict[str, Row] = {}
    kept: list[list[Row]] = []
    for (page, found), candidates in zip(pages, outer, strict=True):
        taken: set[Row] = set()
        for row in candidates:
            number = _number(row)
            numbers_page = number is not None and number - page.number in (1, usual[0] if usual[1] > 1 else 1)
            again = counts[_shape(row)] >= 2 and counts[_shape(row)] * 5 >= len(pages) * 2
            if numbers_page or (again and number is None and not _ROW_LABEL.match(row.chars)):
                taken.add(row)
                if not numbers_page:
                    heads.setdefault(_shape(row), row)
        kept.append([row for row in found if row not in taken])
    return kept, list(heads.values())


def _outer(found: Sequence[Row]) -> list[Row]:
    """The first and the last rows of a page."""
    return [row for at, row in enumerate(found) if at < 2 or at >= len(found) - 2]


def _stands_apart(page: Page, found: Sequence[Row], row: Row) -> bool:
    """Whether a row stands in the margin, or well away from the rows further in."""
    at = found.index(row)
    inner = at + 1 if at < len(found) / 2 else at - 1
    return _in_margin(page, row) or (0 <= inner < len(found) and _is_away(row, found[inner]))


def _in_margin(page: Page, row: Row) -> bool:
    return min(page.top - row.base, row.base - page.bottom) < _MARGIN * (page.top - page.bottom)


def _is_away(row: Row, other: Row) -> bool:
    return abs(other.base - row.base) > _AWAY * max(row.size, other.size)


def _number(row: Row) -> int | None:
    """The number of a row that says a page's number and no more."""
    found = _PAGE_NUMBER.fullmatch(row.chars)
    return int(found[1]) if found else None


def _shape(row: Row) -> str:
    """A row's words, with a number that may be the page's left open."""
    words = " ".join(row.chars.lower().split())
    return regex.sub(r"^\d+\b|\b\d+$|(?<=page )\d+(?: of \d+)?", "#", words)
