"""What a drawing is laid out on: a straight edge for rows, a circle, a polygon or an oval for rounds.

Lengths are stitch widths. A place is a length along the edge, in the maker's direction; the level is how far the edge
lies from the start of the work. In a drawing y grows upwards, and a round goes against the clock as a right-handed
maker works it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple, Protocol


class Point(NamedTuple):
    x: float
    y: float

    def to(self, other: Point, share: float) -> Point:
        """The point so far along the way to another: 0 here, 1 there."""
        return Point(self.x + (other.x - self.x) * share, self.y + (other.y - self.y) * share)


class Ground(Protocol):
    """The shape that rows or rounds lie on."""

    def period(self, level: float) -> float | None:
        """The length of the whole edge at a level; None where it does not close."""
        ...

    def carried(self, place: float, level: float, to: float) -> float:
        """The place straight outside another, on the edge at another level."""
        ...

    def point(self, place: float, level: float) -> Point: ...


@dataclass(frozen=True)
class Straight:
    """Rows, one above another. A right-handed maker goes from right to left while the right side faces."""

    def period(self, level: float) -> float | None:
        return None

    def carried(self, place: float, level: float, to: float) -> float:
        return place

    def point(self, place: float, level: float) -> Point:
        return Point(-place, level)


@dataclass(frozen=True)
class Circle:
    """Rounds around a ring. ``turn`` is the angle of place 0."""

    turn: float = math.pi / 2

    def period(self, level: float) -> float:
        return 2 * math.pi * level

    def carried(self, place: float, level: float, to: float) -> float:
        return place * to / level

    def point(self, place: float, level: float) -> Point:
        angle = self.turn + place / level
        return Point(level * math.cos(angle), level * math.sin(angle))


@dataclass(frozen=True)
class Fan:
    """Rows that open from one point, as a shawl from the middle of its top edge. Place 0 is straight above the point."""

    def period(self, level: float) -> float | None:
        return None

    def carried(self, place: float, level: float, to: float) -> float:
        return place * to / level

    def point(self, place: float, level: float) -> Point:
        angle = math.pi / 2 + place / level
        return Point(level * math.cos(angle), level * math.sin(angle))


@dataclass(frozen=True)
class Polygon:
    """Rounds with ``corners`` corners. The level is the distance of a side from the centre; place 0 is a corner.

    ``under`` is which stitch or space of the first round lies under the first corner, counted from 0.
    """

    corners: int
    turn: float = math.pi / 4
    under: int = 0

    @property
    def _slope(self) -> float:
        return math.tan(math.pi / self.corners)

    def period(self, level: float) -> float:
        return 2 * self.corners * self._slope * level

    def carried(self, place: float, level: float, to: float) -> float:
        half, wider = self._slope * level, self._slope * to
        side, along = divmod(place, 2 * half)
        from_middle = along - half
        if abs(from_middle) > half - 0.3:  # a corner stays a corner
            from_middle = math.copysign(wider - (half - abs(from_middle)), from_middle)
        return side * 2 * wider + wider + max(-wider, min(wider, from_middle))

    def at_angle(self, angle: float, level: float) -> float:
        """The place that lies in a direction, counted from the first corner."""
        sector = 2 * math.pi / self.corners
        side, rest = divmod(angle, sector)
        half = self._slope * level
        return side * 2 * half + half + level * math.tan(rest - sector / 2)

    def point(self, place: float, level: float) -> Point:
        half = self._slope * level
        side, along = divmod(place, 2 * half)
        out = self.turn + (side + 0.5) * 2 * math.pi / self.corners
        s = along - half
        # the points of a triangle are drawn in, as the fabric draws them in
        near = (math.hypot(level, s) / level) ** -0.45 if self.corners == 3 and level > 0 else 1.0
        x, y = level * math.cos(out) - s * math.sin(out), level * math.sin(out) + s * math.cos(out)
        return Point(x * near, y * near)


@dataclass(frozen=True)
class Oval:
    """Rounds along both sides of a chain ``length`` long. The level is the distance from the chain; place 0 is its start."""

    length: float

    def period(self, level: float) -> float:
        return 2 * self.length + 2 * math.pi * level

    def carried(self, place: float, level: float, to: float) -> float:
        half, bend, wider = self.period(level) / 2, math.pi * level, math.pi * to
        side, along = divmod(place, half)
        start = side * (self.length + wider)
        if along <= self.length:
            return start + along
        return start + self.length + (along - self.length) * wider / bend

    def point(self, place: float, level: float) -> Point:
        side, along = divmod(place % self.period(level), self.period(level) / 2)
        sign = 1 if side == 0 else -1
        if along <= self.length:
            return Point(sign * (along - self.length / 2), -sign * level)
        angle = (along - self.length) / level - math.pi / 2
        return Point(sign * (self.length / 2 + level * math.cos(angle)), sign * level * math.sin(angle))
