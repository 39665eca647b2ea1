"""Where every stitch of a part of a piece stands in the drawing.

A stitch stands above what it is worked into, as near as the room of its neighbours allows. Lengths are stitch widths.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import accumulate
from statistics import fmean

from .. import regex
from ..fabric.row import SPACE, Cell, Spot
from ..fabric.trace import TracedRow
from ..syntax.lexicon import unprefixed
from .ground import Circle, Fan, Ground, Oval, Point, Polygon
from .spread import eased, spread, spread_round

HEIGHTS = {"sl st": 0.3, "sc": 0.95, "hdc": 1.4, "dc": 1.9, "tr": 2.5, "dtr": 3.1, "trtr": 3.7, "popcorn": 1.9, "bobble": 1.9, "puff": 1.7, "cluster": 1.9}
"""How tall the symbols stand; what is not named stands 1.4 tall."""

CHAIN = 0.46
"""The length of one chain of a loop or a turning chain."""

_RING = 0.6  # radius of a ring that stitches are worked into
_CLOSEST = 0.66  # how close stitches of a crowded round may stand
_EASE = 0.35  # how far stitches of a round drift apart where it has room
_BESIDE = 3  # stitches of a row below that are shown beyond those worked into
_SEAM = 0.8  # room at the start of a round for its number, its join and its turning chain
_LEVELLING = 0.65  # how much of a stitch's rise above its row is kept: fabric evens out
_NO_SPOT = Spot()


@dataclass(frozen=True, eq=False)
class Placed:
    """One stitch, or the chain of one space, in its place. ``into`` is what it is worked into, in the row below."""

    cell: Cell
    place: float
    level: float
    top: Point
    feet: tuple[Point, ...] = ()
    into: tuple[Placed, ...] = ()
    ends: tuple[Point, Point] | None = None  # of a chain space: the tops it hangs between
    control: Point | None = None  # of its curve
    lies: str = ""
    crossed: bool = False  # another stitch of its row crosses it

    @property
    def spot(self) -> Spot:
        return self.cell.spot or _NO_SPOT

    @property
    def is_post(self) -> bool:
        return self.cell.kind.startswith(("FP", "BP"))

    @property
    def middle(self) -> Point:
        """Half way up its stem."""
        return self.top.to(self.feet[0], 0.5) if self.feet else self.top


@dataclass(frozen=True, eq=False)
class PlacedRow:
    """One row in its place. ``way`` is 1 where it runs as a row with the right side facing does, else -1."""

    traced: TracedRow
    stitches: tuple[Placed, ...]
    level: float
    way: int
    start: Point  # beside its first stitch, where its label stands
    turning_chain: tuple[Point, Point] | None = None
    join: Point | None = None
    left_over: tuple[Placed, ...] = ()


@dataclass(frozen=True, eq=False)
class Layout:
    """A part of a piece laid out: what it begins on, and its rows."""

    ground: Ground
    base: tuple[Placed, ...]
    rows: tuple[PlacedRow, ...]
    ring: float = 0.0  # radius of the ring in the middle, 0 where there is none


def height(kind: str) -> float:
    """How tall a stitch of a kind stands in the drawing."""
    return HEIGHTS.get(regex.sub(r"\d+tog$", "", unprefixed(kind)), 1.4)


def width(cell: Cell) -> float:
    """The room a stitch or space needs beside its neighbours."""
    return 1.0 if cell.kind != SPACE else min(2.5, 0.35 + 0.2 * cell.size)


@dataclass
class Builder:
    """Lays out the rows of one part, one after another."""

    ground: Ground
    first: TracedRow
    rows: list[PlacedRow] = field(default_factory=list[PlacedRow])
    base: tuple[Placed, ...] = ()
    ring: float = 0.0

    def layout(self, rows: Sequence[TracedRow]) -> Layout:
        for row in rows:
            self.rows.append(self.row(row))
        return Layout(self.ground, tuple(self.base_shown()), tuple(self.rows), self.ring)

    def base_shown(self) -> Iterator[Placed]:
        """What the first row stands on, and a little of what lies beside it."""
        used = [b for s in self.rows[0].stitches for b in s.spot.bases] if self.rows else []
        if self.first.foundation is not None or not used:
            yield from self.base
            return
        used += [i for i, b in enumerate(self.base) if any(b is left for left in self.rows[0].left_over)]
        yield from self.base[max(0, min(used) - _BESIDE) : max(used) + _BESIDE + 1]

    # -- what a row stands on -----------------------------------------------------------------------------------------

    def below(self, row: TracedRow, way: int) -> tuple[Placed, ...]:
        """What the row is worked into, as the maker meets it."""
        if self.rows:
            stitches = self.rows[-1].stitches
            return stitches[::-1] if row.turned_before else stitches
        if row.ring or not row.base:
            self.ring = _RING if row.ring else 0.0
            return ()
        if isinstance(self.ground, Fan):
            self.base = tuple(Placed(cell, 0.0, _RING, self.ground.point(0.0, 0.1)) for cell in row.base)
            return self.base
        self.base = tuple(self.ghosts(row, way))
        return self.base

    def ghosts(self, row: TracedRow, way: int) -> list[Placed]:
        """The foundation chain, or the row that a part of a piece goes on from."""
        cells = row.base or ()
        if isinstance(self.ground, Oval):
            first, _ = chain_worked(row.stitches or ())
            return [self.on_chain(i - first, cell) for i, cell in enumerate(cells)]
        widths = [width(cell) for cell in cells]
        skipped = _skipped(row)
        level = 0.0
        if isinstance(self.ground, Circle):
            level = max(_RING, sum(widths) / self.ground.period(1.0))
        place = 0.0
        out: list[Placed] = []
        for index, cell in enumerate(cells):
            if index >= skipped:
                place += widths[index] / 2
            where = way * (-0.5 if index < skipped else place)
            out.append(Placed(cell, where, level, self.ground.point(where, level)))
            if index >= skipped:
                place += widths[index] / 2
        return out

    def on_chain(self, index: int, cell: Cell) -> Placed:
        """A chain in the middle of an oval, met first along its lower side."""
        assert isinstance(self.ground, Oval)
        along = max(0.0, min(self.ground.length, float(index)))
        return Placed(cell, along, 0.35, Point(along - self.ground.length / 2, 0.0))

    # -- one row ------------------------------------------------------------------------------------------------------

    def way(self, row: TracedRow) -> int:
        if not self.rows:
            return -1 if row.work.side == "WS" else 1
        return -self.rows[-1].way if row.turned_before else self.rows[-1].way

    def row(self, row: TracedRow) -> PlacedRow:
        way = self.way(row)
        below = self.below(row, way)
        cells = row.stitches or ()
        into = [tuple(below[b] for b in (cell.spot or _NO_SPOT).bases if b < len(below)) for cell in cells]
        if isinstance(self.ground, Oval) and not self.rows:
            into = self.around_chain(cells)
        levels = self.levels(cells, into)
        widths = [width(cell) for cell in cells]
        if widths and isinstance(self.ground, Circle | Oval):
            widths[0] += _SEAM
        widths = self.drawn_together(cells, levels, widths)
        nominal = self.nominal(cells, levels, widths)
        rise = nominal - _mean_level(cells, levels)
        wanted, weights = self.wanted(cells, into, widths, nominal, way)
        period = self.ground.period(nominal)
        if period is None:
            places = spread(wanted, widths, weights)
        else:
            places = spread_round(wanted, widths, period, weights)
            if not isinstance(self.ground, Polygon):
                places = eased(places, widths, period, _EASE)
        placed = [self.placed(cell, i, p * way, nominal, level + rise) for cell, i, p, level in zip(cells, into, places, levels, strict=True)]
        placed = _crossings(self.with_spaces(placed, way))
        return self.finished(row, tuple(placed), below, nominal, way)

    def levels(self, cells: Sequence[Cell], into: Sequence[tuple[Placed, ...]]) -> list[float]:
        """How high each stitch reaches: its height above what it stands on, evened out a little along the row."""
        floor = self.rows[-1].level if self.rows else self.base[0].level if self.base else self.ring
        natural = [(fmean(b.level for b in i) if i else floor) + _rise(c) for c, i in zip(cells, into, strict=True)]
        mean = _mean_level(cells, natural)
        fit = any(_gives_height(c) for c in cells)  # posts among other stitches end where those do
        lift = max((fmean(b.level for b in i) + _least(c) - mean for c, i in zip(cells, into, strict=True) if i and _least(c)), default=0.0)
        return [
            mean + max(0.0, lift) + (0.0 if fit and not _gives_height(c) else (n - mean) * _LEVELLING)
            for c, n in zip(cells, natural, strict=True)
        ]

    def drawn_together(self, cells: Sequence[Cell], levels: Sequence[float], widths: Sequence[float]) -> list[float]:
        """The widths, less where a round has more stitches than its edge has room for: petals stand close."""
        period = self.ground.period(_mean_level(cells, levels))
        closer = 1.0 if period is None else max(_CLOSEST, min(1.0, period / sum(widths)))
        return [w * closer for w in widths]

    def nominal(self, cells: Sequence[Cell], levels: Sequence[float], widths: Sequence[float]) -> float:
        """The level of the row: in rounds and fans, far enough out for all its stitches to have room."""
        level = _mean_level(cells, levels)
        needed = sum(widths)
        while (edge := self.edge(level)) is not None and edge < needed:
            level += 0.1
        return level

    def edge(self, level: float) -> float | None:
        """The length that the stitches of a row have at a level; None where there is no bound."""
        return math.pi * level if isinstance(self.ground, Fan) else self.ground.period(level)

    def wanted(
        self, cells: Sequence[Cell], into: Sequence[tuple[Placed, ...]], widths: Sequence[float], nominal: float, way: int
    ) -> tuple[list[float], list[float]]:
        """Where each stitch would stand if it had all the room it liked, in the maker's direction; and how much it matters."""
        period = self.ground.period(nominal)
        wanted: list[float | None] = []
        for i in into:
            places = [way * self.ground.carried(b.place, b.level, nominal) for b in i]
            if period is not None and places:
                places = [p + round((places[0] - p) / period) * period for p in places]
            wanted.append(fmean(places) if places else None)
        _straighten(cells, wanted)
        from_point = isinstance(self.ground, Fan) and not self.rows
        if from_point or not any(w is not None for w in wanted):
            return self.evenly(cells, widths, nominal), [1.0] * len(cells)
        weights = [1.0 if w is not None and c.kind != SPACE else 0.05 for c, w in zip(cells, wanted, strict=True)]
        return _filled(wanted, widths), weights

    def evenly(self, cells: Sequence[Cell], widths: Sequence[float], nominal: float) -> list[float]:
        """Stitches that stand on nothing one by one: in a ring, or on a row that is not known."""
        period, room = self.ground.period(nominal), self.edge(nominal)
        share = 1.0 if room is None else room / sum(widths)
        places: list[float] = []
        place = 0.0
        for width in widths:
            places.append((place + width / 2) * share)
            place += width
        if isinstance(self.ground, Fan):
            places = [p - place * share / 2 for p in places]
        if isinstance(self.ground, Polygon) and period is not None:
            corner = places[min(self.ground.under, len(places) - 1)]
            places = [self.ground.at_angle((p - corner) / period * 2 * math.pi, nominal) for p in places]
        return places

    def placed(self, cell: Cell, into: tuple[Placed, ...], place: float, nominal: float, level: float) -> Placed:
        if cell.kind == SPACE:
            return Placed(cell, place, nominal, self.ground.point(place, nominal), into=into)
        spot = cell.spot or _NO_SPOT
        own = self.ground.carried(place, nominal, level)
        feet = tuple(self.foot(cell, _further_down(b, spot.below), own, level) for b in into)
        if not feet and self.ring:
            feet = (self.ground.point(self.ground.carried(own, level, self.ring), self.ring),)
        if not feet and cell.tch and self.base and not self.rows:
            floor = self.base[0].level
            point_of_all = isinstance(self.ground, Fan)
            feet = (self.base[0].top if point_of_all else self.ground.point(self.ground.carried(own, level, floor) if floor else own, floor),)
        if len(feet) == 1 and into:
            # legs that lean reach a little less high
            lean = self.ground.carried(into[0].place, into[0].level, level) - own
            period = self.ground.period(level)
            lean -= round(lean / period) * period if period else 0
            lower = level - min(0.4, 0.1 * lean * lean)
            own, level = self.ground.carried(own, level, lower), lower
        return Placed(cell, own, level, self.ground.point(own, level), feet, into)

    def foot(self, cell: Cell, base: Placed, place: float, level: float) -> Point:
        """Where on its base a stitch stands: on the top, around the post, or in the curve of a space."""
        if cell.kind.startswith(("FP", "BP")) and base.cell.kind != SPACE:
            # around the post: below its top, above its foot
            low = min(0.42, 0.5 * math.dist(base.top, base.middle) + 0.2)
            return self.ground.point(self.ground.carried(base.place, base.level, base.level - low), base.level - low)
        if base.cell.kind != SPACE or base.ends is None:
            return base.top
        start, end = base.ends
        chord = max(0.1, math.dist(start, end))
        share = min(0.8, 0.1 + 0.12 * base.cell.size)
        apart = share * (self.ground.carried(place, level, base.level) - base.place) / chord
        period = self.ground.period(base.level)
        if period is not None and abs(apart) * chord > period / 2:
            apart = 0.0  # around the end of the round
        return curved(start, base.control or start.to(end, 0.5), end, 0.5 + self.along(start, end, base) * max(-0.4, min(0.4, apart)))

    def along(self, start: Point, end: Point, base: Placed) -> int:
        """1 where the curve of a space runs the way places grow, else -1."""
        on = self.ground.point(base.place + 0.1, base.level)
        return 1 if math.dist(on, end) - math.dist(on, start) < math.dist(base.top, end) - math.dist(base.top, start) else -1

    # -- chain spaces, edges --------------------------------------------------------------------------------------------

    def with_spaces(self, placed: list[Placed], way: int) -> list[Placed]:
        """The curve of every chain space, hung between the stitches beside it."""
        closed = self.ground.period(1.0) is not None
        before, after = _neighbours([p.cell.kind != SPACE for p in placed], closed)
        out: list[Placed] = []
        for p, b, a in zip(placed, before, after, strict=True):
            ends = None if b is None else placed[b], None if a is None else placed[a]
            out.append(self.curve(p, *ends, way) if p.cell.kind == SPACE else p)
        return out

    def curve(self, space: Placed, before: Placed | None, after: Placed | None, way: int) -> Placed:
        half = width(space.cell) / 2
        start = before.top if before else space.into[0].top if space.into else self.ground.point(space.place - way * (half + 0.3), space.level - 0.6)
        end = after.top if after else self.ground.point(space.place + way * (half + 0.3), space.level - 0.3)
        level = max(b.level for b in (before, after) if b) if before or after else space.level
        chord = ((start.x - end.x) ** 2 + (start.y - end.y) ** 2) ** 0.5
        slack = max(0.0, (space.cell.size * CHAIN) ** 2 - chord**2) ** 0.5
        rise = 0.12 + min(2.2, 0.5 * slack)
        apex = self.ground.point(self.ground.carried(space.place, space.level, level + rise), level + rise)
        middle = start.to(end, 0.5)
        control = Point(2 * apex.x - middle.x, 2 * apex.y - middle.y)
        place = self.ground.carried(space.place, space.level, level + rise)
        return replace(space, place=place, level=level + rise, top=apex, ends=(start, end), control=control)

    def finished(self, row: TracedRow, placed: tuple[Placed, ...], below: tuple[Placed, ...], nominal: float, way: int) -> PlacedRow:
        closed = self.ground.period(1.0) is not None
        first = placed[0] if placed else None
        floor = first.into[0].level if first and first.into else self.rows[-1].level if self.rows else self.ring
        edge = first.place if first else 0.0
        gap = 0.6 if closed else 0.8
        chain = None
        if row.turning_chain and first:
            own = self.ground.carried(edge, first.level, floor) if floor > 0 or not closed else 0.0
            stands = [own, *(b.place for b in first.into if not closed)]
            at = way * min(way * place for place in stands) - way * gap
            up = floor + min(row.turning_chain * 0.6, max(0.7, first.level - floor))
            chain = (self.ground.point(at, floor), self.ground.point(self.ground.carried(at, floor, up) if floor > 0 or not closed else at, up))
        join = self.ground.point(edge - way * 0.6, first.level) if first and closed and row.work.joined else None
        start = self.ground.point(edge - way * (1.3 if not closed else 1.15), first.level - 0.3 if first else nominal)
        return PlacedRow(row, placed, nominal, way, start, chain, join, _left_over(row, placed, below))

    def around_chain(self, cells: Sequence[Cell]) -> list[tuple[Placed, ...]]:
        """The first round along both sides of a chain: out along one side, around its end, and back along the other."""
        assert isinstance(self.ground, Oval)
        first, last = chain_worked(cells)
        bases = [(cell.spot or _NO_SPOT).bases[:1] for cell in cells]
        turn = max((i for i, b in enumerate(bases) if b == (last,)), default=len(bases))
        level = self.base[0].level
        bend, straight = math.pi * level, self.ground.length
        out: list[tuple[Placed, ...]] = []
        for index, b in enumerate(bases):
            if not b:
                out.append(())
                continue
            several = (b == bases[index - 1] if index else False) or (index + 1 < len(bases) and b == bases[index + 1])
            if b == (last,) and several:
                place = straight + bend / 2
            elif b == (first,) and several and index > turn:
                place = 2 * straight + 1.5 * bend
            elif index <= turn:
                place = float(b[0] - first)
            else:
                place = straight + bend + (last - b[0])
            chain = self.base[b[0]]
            out.append((replace(chain, place=place, top=self.ground.point(place, 0.15)),))
        return out


def chain_worked(cells: Sequence[Cell]) -> tuple[int, int]:
    """The first and the last chain that a round along both sides of a chain goes into."""
    bases = [b for cell in cells for b in (cell.spot or _NO_SPOT).bases[:1]]
    return min(bases, default=0), max(bases, default=1)


def curved(start: Point, control: Point, end: Point, t: float) -> Point:
    """The point so far along a curve that leaves its start towards the control point: 0 at the start, 1 at the end."""
    return start.to(control, t).to(control.to(end, t), t)


def _skipped(row: TracedRow) -> int:
    """Chains at the start of a foundation that no stitch goes into: they stand up beside the first one."""
    if row.foundation is None or row.circular:
        return 0
    first = next((b for cell in row.stitches or () if not cell.tch for b in (cell.spot or _NO_SPOT).bases), 0)
    return min(first, len(row.base or ()))


def _straighten(cells: Sequence[Cell], wanted: list[float | None]) -> None:
    """The tops of a crossing stand in the order made, over the same places as its feet."""
    index = 0
    while index < len(cells):
        if not (cells[index].spot or _NO_SPOT).lies:
            index += 1
            continue
        end = index
        while end < len(cells) and (cells[end].spot or _NO_SPOT).lies:
            end += 1
        low = min((w for w in wanted[index:end] if w is not None), default=None)
        start = index
        while low is not None and start > 0 and cells[start - 1].kind != SPACE and (before := wanted[start - 1]) is not None and before > low:
            start -= 1
        known = [i for i in range(start, end) if wanted[i] is not None]
        for i, place in zip(known, sorted(w for i in known if (w := wanted[i]) is not None), strict=True):
            wanted[i] = place
        index = end


def _filled(wanted: Sequence[float | None], widths: Sequence[float]) -> list[float]:
    """Places for what has none of its own: between those that have, or beside the nearest."""
    before, after = _neighbours([w is not None for w in wanted], False)
    along = list(accumulate(widths, initial=0.0))
    out: list[float] = []
    for i, (own, b, a) in enumerate(zip(wanted, before, after, strict=True)):
        left = wanted[b] if b is not None else None
        right = wanted[a] if a is not None else None
        if own is not None:
            out.append(own)
        elif left is not None and right is not None and b is not None and a is not None:
            out.append(left + (right - left) * (i - b) / (a - b))
        elif left is not None and b is not None:
            out.append(left + along[i] - along[b])
        else:
            out.append((right or 0.0) + along[i] - along[a or 0])
    return out


def _neighbours(solid: Sequence[bool], closed: bool) -> tuple[list[int | None], list[int | None]]:
    """For every place of a row, the nearest solid one before it and after it; around the end where it is closed."""
    at = [i for i, s in enumerate(solid) if s]
    before: list[int | None] = []
    after: list[int | None] = []
    last: int | None = at[-1] if at and closed else None
    for i, s in enumerate(solid):
        before.append(last)
        last = i if s else last
    following: int | None = at[0] if at and closed else None
    for i in range(len(solid) - 1, -1, -1):
        after.append(following)
        following = i if solid[i] else following
    return before, after[::-1]


def _rise(cell: Cell) -> float:
    """How far above what it stands on a stitch ends; a post stitch begins some way down it."""
    return height(cell.kind) * (0.65 if cell.kind.startswith(("FP", "BP")) else 1.0)


def _least(cell: Cell) -> float:
    """How far above what it stands on a post stitch has to end, to be seen for what it is."""
    if not cell.kind.startswith(("FP", "BP")):
        return 0.0
    return height(cell.kind) * (0.8 if cell.spot and cell.spot.lies else 0.65)


def _gives_height(cell: Cell) -> bool:
    return cell.kind != SPACE and not cell.kind.startswith(("FP", "BP"))


def _mean_level(cells: Sequence[Cell], levels: Sequence[float]) -> float:
    """The level of a row: that of its stitches, leaving out posts where there are others."""
    giving = [level for cell, level in zip(cells, levels, strict=True) if _gives_height(cell)]
    solid = giving or [level for cell, level in zip(cells, levels, strict=True) if cell.kind != SPACE]
    return fmean(solid) if solid else fmean(levels) if levels else 0.0


def _further_down(base: Placed, below: int) -> Placed:
    """The stitch so many rows below the current one, in the same column."""
    for _ in range(below - 1):
        if not base.into:
            break
        base = base.into[0]
    return base


def _crossings(placed: list[Placed]) -> list[Placed]:
    """Which stitches lie over which where they cross."""
    out = list(placed)
    for index, stitch in enumerate(placed):
        if not stitch.spot.lies or not stitch.spot.bases:
            continue
        out[index] = replace(out[index], lies=stitch.spot.lies)
        for i in range(index):
            other = placed[i]
            if other.spot.bases and other.spot.bases[0] > stitch.spot.bases[0] and not other.spot.lies:
                out[i] = replace(out[i], crossed=True)
    return out


def _left_over(row: TracedRow, placed: Sequence[Placed], below: Sequence[Placed]) -> tuple[Placed, ...]:
    """Stitches of the row below that lie beyond the last one worked into, where the row says none are left."""
    if not any(t.kind in ("base-left", "repeat-fit") for t in row.work.troubles) or not below:
        return ()
    used = max((b for p in placed for b in p.spot.bases), default=-1)
    return tuple(b for b in below[used + 1 :] if b.cell.kind != SPACE)
