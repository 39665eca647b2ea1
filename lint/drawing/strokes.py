"""The lines of a symbol: a stitch in its place → strokes of a pen, in stitch widths."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import pairwise

from .. import regex
from ..fabric.row import ANY, CHAIN, SPACE
from ..syntax.lexicon import unprefixed
from ..trade.symbols import Symbol, symbols
from .ground import Ground, Point
from .layout import Placed, curved

_TOGETHER = regex.compile(r"(?P<plain>[a-z]+)\d+tog")
_HALF_TOP = 0.3
_HALF_BAR = 0.19
_LONGEST_OVAL = 0.8
_MOST_OVALS = 14  # chains of one loop that are drawn one by one; a longer loop has its number beside it


@dataclass
class Ink:
    """What is drawn of some stitches: open lines, filled shapes, and words beside them."""

    lines: list[tuple[Point, ...]] = field(default_factory=list[tuple[Point, ...]])
    ovals: list[tuple[Point, Point, float]] = field(default_factory=list[tuple[Point, Point, float]])  # ends, half width
    curves: list[tuple[Point, Point, Point]] = field(default_factory=list[tuple[Point, Point, Point]])  # start, control, end
    dots: list[tuple[Point, float]] = field(default_factory=list[tuple[Point, float]])
    rings: list[tuple[Point, float]] = field(default_factory=list[tuple[Point, float]])  # open circles
    words: list[tuple[Point, str]] = field(default_factory=list[tuple[Point, str]])


def symbol_for(kind: str) -> Symbol | None:
    """The symbol a kind is drawn with, posts and decreases included; None where the program knows none."""
    plain = kind[2:] if kind.startswith(("FP", "BP")) else kind
    found = _TOGETHER.fullmatch(plain)
    return symbols().get(found["plain"] if found else plain)


def draw(stitch: Placed, ink: Ink) -> None:
    """The strokes of one stitch or chain space."""
    if stitch.cell.kind == SPACE:
        _loop(stitch, ink)
        return
    up = _outward(stitch)
    top = stitch.top
    feet = stitch.feet or (Point(top.x - up.x * 0.9, top.y - up.y * 0.9),)
    if stitch.cell.kind == ANY:
        ink.rings.append((top, 0.16))
    elif stitch.cell.tch and not stitch.is_post:
        chains(feet[0], top, stitch.cell.tch, ink)
    else:
        _symbol(stitch, feet, top, ink)
    for n in range(stitch.spot.picots):
        _picot(_moved(top, up, 0.12 + 0.5 * n), up, ink)


def _symbol(stitch: Placed, feet: tuple[Point, ...], top: Point, ink: Ink) -> None:
    symbol = symbol_for(stitch.cell.kind)
    if symbol is None:
        _unknown(stitch.cell.kind, feet, top, ink)
        return
    for foot in feet:
        if symbol.form == "dot":
            ink.dots.append((top.to(foot, 0.4), 0.15))
        elif symbol.form == "cross":
            _cross(foot, top, len(feet) > 1, ink)
        elif symbol.form == "bundle" and len(feet) == 1:
            _bundle(foot, top, symbol, ink)
        else:
            _stem(foot, top, symbol.bars, ink)
        if stitch.is_post:
            _hook(foot, top, stitch.cell.face, ink)
    if symbol.form == "line" or (symbol.form == "bundle" and symbol.kind != "popcorn"):
        across = _across(feet[len(feet) // 2] if len(feet) % 2 else feet[0].to(feet[-1], 0.5), top)
        ink.lines.append((_moved(_in(top, feet), across, -_HALF_TOP), _moved(_in(top, feet), across, _HALF_TOP)))


def _in(top: Point, feet: tuple[Point, ...]) -> Point:
    """Just inside the top of a stitch, so that it does not run into the next row."""
    return _moved(top, _along(top, feet[0].to(feet[-1], 0.5)), 0.07)


def _stem(foot: Point, top: Point, bars: int, ink: Ink) -> None:
    way = _along(foot, top)
    start, end = _moved(foot, way, 0.1), _moved(top, way, -0.07)
    ink.lines.append((start, end))
    length = math.dist(start, end)
    slant = _turned(way, math.radians(62))
    for k in range(bars):
        middle = start.to(end, 0.55 + (k - (bars - 1) / 2) * 0.24 / max(length, 0.8))
        ink.lines.append((_moved(middle, slant, -_HALF_BAR), _moved(middle, slant, _HALF_BAR)))


def _cross(foot: Point, top: Point, together: bool, ink: Ink) -> None:
    """An upright cross of its usual size half way up; of stitches worked together, legs that reach the top."""
    way = _along(foot, top)
    middle, across = foot.to(top, 0.52), _turned(way, math.pi / 2)
    half = min(0.42, math.dist(foot, top) / 2 - 0.08)
    start, end = (_moved(foot, way, 0.12), top) if together else (_moved(middle, way, -half), _moved(middle, way, half))
    ink.lines += [(start, end), (_moved(middle, across, -0.28), _moved(middle, across, 0.28))]


def _bundle(foot: Point, top: Point, symbol: Symbol, ink: Ink) -> None:
    """Several stems from one stitch that meet again at the top; a popcorn's under a small oval."""
    way = _along(foot, top)
    start, end = _moved(foot, way, 0.1), _moved(top, way, -0.07)
    if symbol.kind == "popcorn":
        end = _moved(top, way, -0.3)
        ink.ovals.append((_moved(end, _turned(way, math.pi / 2), -0.2), _moved(end, _turned(way, math.pi / 2), 0.2), 0.11))
    across, slant = _turned(way, math.pi / 2), _turned(way, math.radians(62))
    middle = start.to(end, 0.5)
    for k in range(symbol.legs):
        off = (k - (symbol.legs - 1) / 2) / max(1, symbol.legs - 1) * 0.8
        bulge = _moved(middle, across, off)
        ink.curves.append((start, Point(2 * bulge.x - middle.x, 2 * bulge.y - middle.y), end))
        if symbol.bars:
            ink.lines.append((_moved(bulge, slant, -0.1), _moved(bulge, slant, 0.1)))


def _hook(foot: Point, top: Point, face: str, ink: Ink) -> None:
    """The hook around the post below: to the right where the stitch stands out on the right side, else to the left."""
    way = _along(foot, top)
    start = _moved(foot, way, 0.1)
    if not face:
        ink.rings.append((_moved(foot, way, -0.08), 0.16))
        return
    side = _turned(way, -math.pi / 2 if face == "RS" else math.pi / 2)
    low, high = _moved(_moved(start, side, 0.2), way, -0.26), _moved(_moved(start, side, 0.4), way, 0.04)
    ink.curves.append((start, _moved(start, way, -0.26), low))
    ink.curves.append((low, _moved(_moved(start, side, 0.4), way, -0.26), high))


def _unknown(kind: str, feet: tuple[Point, ...], top: Point, ink: Ink) -> None:
    """A stitch without a symbol of its own: a plain stem with its name, never another stitch's symbol."""
    for foot in feet:
        ink.lines.append((foot.to(top, 0.1), foot.to(top, 0.55)))
    middle = feet[0].to(top, 0.75)
    ink.rings.append((middle, 0.28))
    ink.words.append((middle, unprefixed(kind)[:4]))


def chains(foot: Point, top: Point, many: int, ink: Ink) -> None:
    """A chain that stands up from foot to top."""
    shown = max(1, min(many, round(math.dist(foot, top) / 0.34)))
    for k in range(shown):
        ink.ovals.append((foot.to(top, k / shown), foot.to(top, (k + 1) / shown), 0.15))
    if shown < many:
        ink.words.append((_moved(foot.to(top, 0.5), _turned(_along(foot, top), math.pi / 2), 0.5), str(many)))


def _loop(space: Placed, ink: Ink) -> None:
    """The chain of a space, oval by oval along its curve."""
    if space.ends is None or space.control is None:
        return
    start, end = space.ends
    size = space.cell.size
    if size > _MOST_OVALS:
        ink.curves.append((start, space.control, end))
        ink.words.append((space.top, f"ch {size}"))
        return
    size = max(1, size)
    points = [curved(start, space.control, end, 0.1 + 0.8 * k / (size * 4)) for k in range(size * 4 + 1)]
    length = sum(math.dist(a, b) for a, b in pairwise(points))
    each = length / size
    margin = max(0.04, (1 - _LONGEST_OVAL / each) / 2)
    for k in range(size):
        a, b = points[4 * k], points[4 * k + 4]
        ink.ovals.append((a.to(b, margin), a.to(b, 1 - margin), min(0.15, 0.4 * each)))


def foundation(base: tuple[Placed, ...], ground: Ground, ink: Ink) -> None:
    """What a part begins on: the foundation chain, or the tops of a row that is not drawn."""
    for chain in base:
        level = max(0.1, chain.level) if ground.period(1.0) is not None else chain.level - 0.14
        start, end = (ground.point(ground.carried(chain.place, chain.level or level, level) + by, level) for by in (-0.4, 0.4))
        if chain.cell.kind == CHAIN:
            ink.ovals.append((start, end, 0.15))
        elif chain.cell.kind == SPACE:
            ink.rings.append((chain.top, 0.08))
        else:
            ink.lines.append((start, end))


def _picot(at: Point, up: Point, ink: Ink) -> None:
    left, right = _turned(up, math.radians(38)), _turned(up, math.radians(-38))
    a, b = _moved(at, left, 0.4), _moved(at, right, 0.4)
    for start, end in ((at, a), (a, b), (b, at)):
        ink.ovals.append((start, end, 0.1))


# -- geometry -------------------------------------------------------------------------------------------------------------


def _outward(stitch: Placed) -> Point:
    if stitch.feet:
        return _along(stitch.feet[0].to(stitch.feet[-1], 0.5), stitch.top)
    return Point(0.0, 1.0)


def _along(start: Point, end: Point) -> Point:
    """The direction from one point to another, one stitch width long; upwards where they are one."""
    length = math.dist(start, end)
    return Point((end.x - start.x) / length, (end.y - start.y) / length) if length > 1e-6 else Point(0.0, 1.0)


def _across(start: Point, end: Point) -> Point:
    return _turned(_along(start, end), math.pi / 2)


def _turned(way: Point, angle: float) -> Point:
    c, s = math.cos(angle), math.sin(angle)
    return Point(way.x * c - way.y * s, way.x * s + way.y * c)


def _moved(point: Point, way: Point, by: float) -> Point:
    return Point(point.x + way.x * by, point.y + way.y * by)


def points_of(ink: Ink) -> Iterator[Point]:
    """Points that bound what is drawn."""
    for line in ink.lines:
        yield from line
    for start, end, _ in ink.ovals:
        yield from (start, end)
    for curve in ink.curves:
        yield from curve
    for dot, _ in (*ink.dots, *ink.rings):
        yield dot
    for at, _ in ink.words:
        yield at
