"""Which shape a part of a piece is laid out on: rows, a circle, a shape with corners, an oval."""

from __future__ import annotations

import math

from ..fabric.row import SPACE, Cell, Spot
from .ground import Circle, Fan, Ground, Oval, Polygon, Straight
from .layout import Builder, Layout, Placed, PlacedRow, chain_worked
from .parts import Part, split
from .strokes import symbol_for

FEW = 48
"""Stitches that rounds may begin on and still be drawn around a middle; more are drawn straight, as a tube is."""

_EMPTY, _ROOMY = 1.6, 1.3  # edge to stitches, of rounds that do not grow and of rounds that shrink
_EVEN = 0.2  # how far corners may lie from where equal corners would, in sides


def laid_out(part: Part) -> list[tuple[Part, Layout]]:
    """The part on the ground that suits it; rounds that have stopped growing are drawn straight, as a tube is."""
    layout = _on(_ground(part), part)
    if isinstance(layout.ground, Circle):
        polygon = _cornered(layout.rows) if part.rows[0].ring else None
        layout = _on(polygon, part) if polygon is not None else layout
    stops = _stops_growing(layout)
    if not stops:
        return [(part, layout)]
    grown, tube = split(part, stops)
    return [(grown, _on(layout.ground, grown)), (tube, _on(Straight(), tube))]


def _ground(part: Part) -> Ground:
    first = part.rows[0]
    if first.both_sides:
        low, high = chain_worked(first.stitches or ())
        return Oval(float(max(1, high - low)))
    if _opens_from_a_point(part):
        return Fan()
    begins = len(first.base or ())
    return Circle() if first.ring or (first.circular and 0 < begins <= FEW) else Straight()


def _opens_from_a_point(part: Part) -> bool:
    """Whether rows, not rounds, begin in a ring or in one single chain."""
    first = part.rows[0]
    if any(row.work.joined for row in part.rows) or not any(row.work.turned for row in part.rows):
        return False
    if first.ring:
        return True
    into = {b for cell in first.stitches or () if cell.kind != SPACE and not cell.tch for b in (cell.spot or Spot()).bases}
    return first.foundation is not None and len(into) == 1 and len(first.stitches or ()) > 2


def _on(ground: Ground, part: Part) -> Layout:
    return Builder(ground, part.rows[0]).layout(part.rows)


def _stops_growing(layout: Layout) -> int:
    """The first round that leaves much of its circle empty: from there on the work is no longer flat. 0 for none."""
    for at, row in enumerate(layout.rows):
        edge = layout.ground.period(row.level)
        if edge is None:
            return 0
        room = edge / max(1.0, sum(_room(s.cell) for s in row.stitches))
        shrinks = at > 0 and len(row.stitches) < len(layout.rows[at - 1].stitches)
        if at > 1 and room > (_ROOMY if shrinks else _EMPTY):
            return at
    return 0


def _room(cell: Cell) -> float:
    """How much of an edge a stitch or space fills in the fabric, in stitch widths."""
    if cell.kind == SPACE:
        return 0.9 * cell.size
    symbol = symbol_for(cell.kind)
    return 2.0 if symbol is not None and symbol.form == "bundle" else 1.0


def _cornered(rows: tuple[PlacedRow, ...]) -> Polygon | None:
    """The polygon that the corner spaces make, where the work grows at three to eight of them that divide the round evenly."""
    for row in reversed(rows):
        spaces = [s for s in row.stitches if s.cell.kind == SPACE]
        if spaces:
            largest = max(s.cell.size for s in spaces)
            corners = [s for s in spaces if s.cell.size == largest]
            if not 3 <= len(corners) <= 8 or not _grows_at(corners, row):
                return None
            return _polygon(corners, _lies_under(corners[0], rows))
    return None


def _lies_under(corner: Placed, rows: tuple[PlacedRow, ...]) -> int:
    """Which stitch or space of the first round a corner has grown from."""
    for row in reversed(rows[1:]):
        at = next((i for i, s in enumerate(row.stitches) if s is corner), None)
        if at is None:
            continue  # a round above the corner's own
        below = corner if corner.into else row.stitches[at - 1]
        if not below.into:
            return 0
        corner = below.into[0]
    return next((i for i, s in enumerate(rows[0].stitches) if s is corner), 0)


def _grows_at(corners: list[Placed], row: PlacedRow) -> bool:
    """Whether what stands on either side of each corner space goes into one and the same place."""
    into = [s.into[0] if s.into else None for s in row.stitches]
    at = [i for i, s in enumerate(row.stitches) if any(s is c for c in corners)]
    return all(into[i - 1] is into[(i + 1) % len(into)] for i in at)


def _polygon(corners: list[Placed], under: int) -> Polygon | None:
    """A polygon with these corners, if they divide the round evenly; it lies on a side, a triangle with its point up."""
    many = len(corners)
    angles = [math.atan2(c.top.y, c.top.x) * many / (2 * math.pi) for c in corners]
    off = [a - angles[0] for a in angles]
    if any(abs(o - round(o)) > _EVEN for o in off) or len({round(o) % many for o in off}) != many:
        return None
    return Polygon(many, math.pi / 2 if many % 2 else math.pi / 2 + math.pi / many, under)
