"""Which stretch of a wide piece is drawn: one repeat and the edges, with a cut between."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from ..fabric.row import SPACE
from .ground import Circle, Fan, Ground, Polygon
from .layout import Layout, Placed, PlacedRow

WIDEST = 46.0
"""Stitch widths of a drawing in rows that is not cut."""

MOST_AROUND = 190
"""Stitches and spaces of the outermost round of a drawing that shows whole rounds."""

_EDGE = 7.0  # stitch widths kept at the far edge
_GAP = 2.2


@dataclass(frozen=True)
class Repeat:
    """What repeats itself along a row: so many stitches and spaces, so many times, ``room`` stitch widths each."""

    start: int
    length: int
    times: int
    room: float


@dataclass(frozen=True)
class Window:
    """What is shown. In rows: x from ``right`` on, and x up to ``left`` moved by ``shift``; in rounds: a sector."""

    right: float = -math.inf
    left: float = -math.inf
    shift: float = 0.0
    sector: tuple[float, float] | None = None  # angles from the start of the rounds, against the clock
    repeat: Repeat | None = None
    shown: int = 0  # stitches of the widest row that are drawn
    whole: int = 0

    @property
    def cut(self) -> bool:
        return self.right > -math.inf or self.sector is not None

    def moved(self, stitch: Placed) -> float | None:
        """How far to the right a stitch is drawn from its place; None where it is not drawn."""
        if self.sector is not None:
            start, end = self.sector
            angle = (math.atan2(stitch.top.y, stitch.top.x) - start) % (2 * math.pi)
            return 0.0 if angle <= end - start or angle > 2 * math.pi - 0.02 else None
        return self.moved_x(stitch.top.x)

    def moved_x(self, x: float) -> float | None:
        if x >= self.right:
            return 0.0
        return self.shift if x <= self.left else None


def window_for(layout: Layout) -> Window:
    """The whole, where it is small enough, else an edge with one or two repeats and the far edge."""
    if not layout.rows:
        return Window()
    widest = max(layout.rows, key=lambda row: len(row.stitches))
    if layout.ground.period(1.0) is not None:
        return _sector(layout.ground, widest)
    xs = [s.top.x for row in layout.rows for s in row.stitches]
    low, high = min(xs), max(xs)
    if high - low <= WIDEST or isinstance(layout.ground, Fan):
        return Window()
    repeats = [(row, r) for row in layout.rows if (r := repeat_of(row.stitches)) is not None]
    unit = max((r for _, r in repeats), key=lambda r: r.room, default=None)
    right, left = high - 24.0, low + _EDGE
    if unit is not None:
        edges = _edges(layout.rows, [(row, r) for row, r in repeats if abs(r.room - unit.room) < 0.1])
        right = _best(edges, high - 26, high - 12) or _best(edges, high - WIDEST, high - 12) or right
        left = _best(edges, low + 1.5, low + _EDGE + unit.room) or left
    if right - left < _EDGE or high - right > WIDEST:
        right, left = high - 24.0, low + _EDGE
    shown = sum(1 for s in widest.stitches if s.top.x >= right or s.top.x <= left)
    return Window(right, left, right - left - _GAP, None, unit, shown, len(widest.stitches))


def _edges(rows: Sequence[PlacedRow], repeats: Sequence[tuple[PlacedRow, Repeat]]) -> list[tuple[int, float]]:
    """Where one repeat ends and the next begins, with the number of stitches that would be cut there."""
    starts = [(row.stitches, i) for row, r in repeats for i in range(max(1, r.start), len(row.stitches), r.length)]
    places = {round((stitches[i - 1].top.x + stitches[i].top.x) / 2, 1) for stitches, i in starts}
    reach = [(min(xs), max(xs)) for row in rows for s in row.stitches for xs in ([p.x for p in (s.top, *s.feet, *(s.ends or ()))],)]
    return [(sum(1 for a, b in reach if a < place < b), place) for place in places]


def _best(edges: Sequence[tuple[int, float]], low: float, high: float) -> float | None:
    """The place between two that cuts through the fewest stitches; of several, the one that shows most."""
    found = [(cut, place) for cut, place in edges if low <= place <= high]
    return min(found, default=(0, None))[1]


def _sector(ground: Ground, widest: PlacedRow) -> Window:
    whole = len(widest.stitches)
    if whole <= MOST_AROUND:
        return Window()
    repeat = repeat_of(widest.stitches)
    times = max(2, repeat.times if repeat else 4)
    share = 2 * math.pi / times
    while share < math.pi / 5:
        share *= 2
    start = ground.turn if isinstance(ground, Circle | Polygon) else 0.0
    end = start + min(share, math.pi / 2)
    shown = sum(1 for s in widest.stitches if Window(sector=(start, end)).moved(s) is not None)
    return Window(sector=(start, end), repeat=repeat, shown=shown, whole=whole)


def repeat_of(stitches: Sequence[Placed]) -> Repeat | None:
    """The shortest run that repeats itself over most of a row, where one does."""
    signs = [(s.cell.kind, s.cell.size, s.cell.face, len(s.into), s.lies) for s in stitches]
    steps = [_step(a, b) for a, b in zip([None, *stitches], stitches, strict=False)]
    marks = list(zip(signs, steps, strict=True))
    many = len(marks)
    for length in range(1, min(60, many // 2) + 1):
        start, end = _longest(marks[i] == marks[i + length] for i in range(many - length))
        reach = end - start + length
        if reach >= max(2 * length, 0.6 * many):
            first, after = stitches[start], stitches[start + length]
            return Repeat(start, length, reach // length, math.dist(first.top, after.top))
    return None


def _step(before: Placed | None, stitch: Placed) -> int:
    """How many cells of the row below a stitch goes on from the one before it."""
    if before is None or not before.spot.bases or not stitch.spot.bases:
        return 1 if stitch.cell.kind == SPACE else 0
    return stitch.spot.bases[0] - before.spot.bases[0]


def _longest(same: Iterable[bool]) -> tuple[int, int]:
    """The longest run of True: its start and its end."""
    best = (0, 0)
    start: int | None = None
    index = -1
    for index, value in enumerate(same):
        if value and start is None:
            start = index
        elif not value and start is not None:
            best = max(best, (start, index), key=lambda run: run[1] - run[0])
            start = None
    if start is not None:
        best = max(best, (start, index + 1), key=lambda run: run[1] - run[0])
    return best
