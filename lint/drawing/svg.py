"""A part laid out → an inline SVG picture: lines in the colours of the page, its words for those who do not see it."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace
from xml.etree.ElementTree import Element, SubElement

from ..fabric.work import Status
from .ground import Fan, Point
from .layout import Layout, Placed, PlacedRow
from .strokes import Ink, chains, draw, foundation, points_of
from .window import Window

UNIT = 20.0
"""Width of a stitch in CSS pixels."""

_MARGIN = 0.8
_WORD = 0.62  # height of small words, in stitch widths
_LETTER = 0.36  # usual width of a letter of them
_LEAP = 3.5  # a gap in a row that is a cut in the drawing
_STATES = {Status.DIFFERS: "differs", Status.ASSUMED: "assumed"}


def svg(layout: Layout, window: Window, title: str, description: str, name: str) -> Element:
    """The picture. ``name`` begins the ids of its title and description, and is used nowhere else in the page."""
    sheet = _Sheet()
    body = Element("g")
    closed = layout.ground.period(1.0) is not None
    begun = Ink()
    shown = [moved for b in layout.base for moved in _shown(b, window)]
    foundation(tuple(shown), layout.ground, begun)
    sheet.put(body, begun, "base")
    if layout.ring:
        sheet.circle(body, Point(0, 0), layout.ring, "base ring")
    for index, row in enumerate(layout.rows):
        _row(sheet, body, row, window, "turn" if index % 2 else "", closed, isinstance(layout.ground, Fan))
    if window.cut and window.sector is None:
        _cut(sheet, body, layout, window)
    whole = Element("svg", {"role": "img", "class": "work", "aria-labelledby": f"{name}-title {name}-desc"})
    left, top, wide, high = sheet.box()
    whole.set("viewBox", f"{left:.0f} {top:.0f} {wide:.0f} {high:.0f}")
    whole.set("width", f"{wide:.0f}")
    whole.set("height", f"{high:.0f}")
    SubElement(whole, "title", {"id": f"{name}-title"}).text = title
    SubElement(whole, "desc", {"id": f"{name}-desc"}).text = description
    whole.append(body)
    return whole


def sample(stitches: Iterable[Placed], standing: Iterable[tuple[Point, Point, int]] = (), over: Iterable[Placed] = ()) -> Element:
    """A small picture of a few symbols, for the key. It says nothing that the words beside it do not."""
    sheet = _Sheet(margin=0.35)
    body = Element("g")
    ink = Ink()
    for stitch in stitches:
        draw(stitch, ink)
    for foot, top, many in standing:
        chains(foot, top, many, ink)
    sheet.put(body, ink, "")
    above = Ink()
    for stitch in over:
        draw(stitch, above)
    sheet.put(body, above, "halo")
    sheet.put(body, above, "over")
    left, top, wide, high = sheet.box()
    whole = Element("svg", {"class": "work sample", "aria-hidden": "true", "viewBox": f"{left:.0f} {top:.0f} {wide:.0f} {high:.0f}"})
    whole.set("width", f"{wide:.0f}")
    whole.set("height", f"{high:.0f}")
    whole.append(body)
    return whole


def _shown(stitch: Placed, window: Window) -> Iterable[Placed]:
    """The stitch where it is drawn, if it is."""
    by = window.moved(stitch)
    if by is None:
        return
    yield stitch if by == 0 else _shifted(stitch, by)


def _shifted(stitch: Placed, by: float) -> Placed:
    def move(p: Point) -> Point:
        return Point(p.x + by, p.y)

    return replace(
        stitch, place=stitch.place - by, top=move(stitch.top), feet=tuple(map(move, stitch.feet)),
        ends=(move(stitch.ends[0]), move(stitch.ends[1])) if stitch.ends else None, control=move(stitch.control) if stitch.control else None,
    )  # fmt: skip


def _row(sheet: _Sheet, body: Element, row: PlacedRow, window: Window, turn: str, closed: bool, in_short: bool) -> None:
    work = row.traced.work
    state = _STATES.get(work.status, "")
    group = SubElement(body, "g", {"class": " ".join(x for x in ("row", turn, state) if x)})
    stitches = [moved for s in row.stitches for moved in _shown(s, window)]
    if state:
        sheet.band(group, [s.top.to(s.middle, 0.5) for s in stitches], closed and not window.cut)
    plain = Ink()
    for s in stitches:
        if s.spot.beyond:
            continue
        if not s.crossed and s.lies in ("", "unsaid"):
            draw(s, plain)
    under, over = Ink(), Ink()
    for s in stitches:
        # what is crossed lies over the stitch worked behind it, and under the one worked in front
        if s.lies == "under" or (s.crossed and _crosser(s, stitches) == "over"):
            draw(s, under)
        elif s.lies == "over" or (s.crossed and _crosser(s, stitches) == "under"):
            draw(s, over)
        elif s.crossed:
            draw(s, plain)
    sheet.put(group, plain, "")
    sheet.put(group, under, "under")
    sheet.put(group, over, "halo")
    sheet.put(group, over, "over")
    _beyond(sheet, group, stitches)
    edge = Ink()
    by = window.moved_x(row.start.x) if not closed else 0.0
    if row.turning_chain and by is not None and _is_shown(row.stitches[:1], window):
        foot, top = (Point(p.x + by, p.y) for p in row.turning_chain)
        chains(foot, top, row.traced.turning_chain, edge)
    if row.join and _is_shown(row.stitches[:1], window):
        edge.dots.append((row.join, 0.15))
    sheet.put(group, edge, "")
    left = Ink()
    for stitch in row.left_over:
        for s in _shown(stitch, window):
            left.rings.append((s.top, 0.3))
    sheet.put(group, left, "left")
    _label(sheet, group, row, state, by or 0.0, closed, in_short)


def _is_shown(stitches: Iterable[Placed], window: Window) -> bool:
    return any(window.moved(s) is not None for s in stitches)


def _beyond(sheet: _Sheet, group: Element, stitches: Iterable[Placed]) -> None:
    ink = Ink()
    for s in stitches:
        if s.spot.beyond:
            draw(s, ink)
    sheet.put(group, ink, "beyond")


def _crosser(stitch: Placed, row: Iterable[Placed]) -> str:
    """How the stitch that crosses this one lies on it."""
    after = False
    for other in row:
        if other is stitch:
            after = True
        elif after and other.lies and other.spot.bases and stitch.spot.bases and other.spot.bases[0] < stitch.spot.bases[0]:
            return other.lies
    return "unsaid"


def _label(sheet: _Sheet, group: Element, row: PlacedRow, state: str, by: float, closed: bool, in_short: bool) -> None:
    work = row.traced.work
    number = str(work.number) if work.number is not None else work.label
    if closed:
        sheet.word(group, row.start, f"{number} {state}".strip(), "label", "middle")
        return
    side = f" {work.side}" if work.side else ""
    words = f"{number if in_short else f'{work.label}{side}'}" + (f", {state}" if state else "")
    right = row.way == 1
    at = Point(row.start.x + by + (0.2 if right else -0.2), row.start.y)
    sheet.word(group, at, f"← {words}" if right else f"{words} →", "label", "start" if right else "end")


def _cut(sheet: _Sheet, body: Element, layout: Layout, window: Window) -> None:
    """Two broken lines where stitches are left out."""
    low = min((b.level for b in layout.base), default=0.0) - 0.4
    high = max(s.level for row in layout.rows for s in row.stitches) + 0.4
    for x in (window.right - 0.75, window.left + window.shift + 0.75):
        steps = max(2, math.ceil((high - low) / 0.8))
        zigzag = [Point(x + (0.18 if k % 2 else -0.18), low + (high - low) * k / steps) for k in range(steps + 1)]
        ink = Ink(lines=[tuple(zigzag)])
        sheet.put(body, ink, "cut")


class _Sheet:
    """Writes strokes as SVG and remembers how far they reach."""

    def __init__(self, margin: float = _MARGIN) -> None:
        self.low = Point(math.inf, math.inf)
        self.high = Point(-math.inf, -math.inf)
        self.margin = margin

    def reach(self, point: Point, by: float = 0.0) -> None:
        self.low = Point(min(self.low.x, point.x - by), min(self.low.y, point.y - by))
        self.high = Point(max(self.high.x, point.x + by), max(self.high.y, point.y + by))

    def box(self) -> tuple[float, float, float, float]:
        if self.low.x > self.high.x:
            return 0.0, 0.0, UNIT, UNIT
        left, top = (self.low.x - self.margin) * UNIT, -(self.high.y + self.margin) * UNIT
        return left, top, (self.high.x - self.low.x + 2 * self.margin) * UNIT, (self.high.y - self.low.y + 2 * self.margin) * UNIT

    def put(self, parent: Element, ink: Ink, look: str) -> None:
        for point in points_of(ink):
            self.reach(point)
        lines = "".join("M" + "L".join(map(_at, line)) for line in ink.lines)
        lines += "".join(f"M{_at(a)}Q{_at(c)} {_at(b)}" for a, c, b in ink.curves)
        lines += "".join(map(_oval, ink.ovals)) + "".join(map(_ring, ink.rings))
        if lines:
            SubElement(parent, "path", {"class": f"ink {look}".strip(), "d": lines})
        if ink.dots:
            SubElement(parent, "path", {"class": f"fill {look}".strip(), "d": "".join(map(_ring, ink.dots))})
        if look != "halo":
            for at, words in ink.words:
                self.word(parent, at, words, "name", "middle")

    def circle(self, parent: Element, centre: Point, radius: float, look: str) -> None:
        self.reach(centre, radius)
        SubElement(parent, "path", {"class": f"ink {look}", "d": _ring((centre, radius))})

    def band(self, parent: Element, points: list[Point], closed: bool) -> None:
        """A broad line along a row that needs to be seen; its label says why in words."""
        if len(points) < 2:
            return
        steps = ["M" if not k or (not closed and math.dist(points[k - 1], p) > _LEAP) else "L" for k, p in enumerate(points)]
        line = "".join(step + _at(p) for step, p in zip(steps, points, strict=True))
        SubElement(parent, "path", {"class": "band", "d": line + ("Z" if closed else "")})

    def word(self, parent: Element, at: Point, words: str, look: str, anchor: str) -> None:
        wide = len(words) * _LETTER
        start = at.x - {"start": 0.0, "middle": wide / 2, "end": wide}[anchor]
        self.reach(Point(start, at.y))
        self.reach(Point(start + wide, at.y + _WORD))
        attributes = {"class": look, "x": f"{at.x * UNIT:.1f}", "y": f"{-at.y * UNIT + 0.3 * _WORD * UNIT:.1f}", "text-anchor": anchor}
        SubElement(parent, "text", attributes).text = words


def _at(p: Point) -> str:
    return f"{p.x * UNIT:.1f} {-p.y * UNIT:.1f}"


def _oval(oval: tuple[Point, Point, float]) -> str:
    start, end, half = oval
    long = math.dist(start, end) / 2 * UNIT
    tilt = math.degrees(math.atan2(start.y - end.y, end.x - start.x))
    arc = f"A{long:.1f} {half * UNIT:.1f} {tilt:.0f} 1 1 "
    return f"M{_at(start)}{arc}{_at(end)}{arc}{_at(start)}Z"


def _ring(ring: tuple[Point, float]) -> str:
    centre, radius = ring
    a, b = Point(centre.x - radius, centre.y), Point(centre.x + radius, centre.y)
    arc = f"A{radius * UNIT:.1f} {radius * UNIT:.1f} 0 1 1 "
    return f"M{_at(a)}{arc}{_at(b)}{arc}{_at(a)}Z"
