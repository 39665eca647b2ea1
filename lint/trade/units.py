"""Units: exact conversions, and whether the two figures of a printed pair agree as the trade rounds (units.toml)."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Literal

from .tables import Row, is_sure, source_of, table

Measure = Literal["length", "weight"]

_HUGE = 1e9  # beyond any yarn or blanket; keeps the sums finite


@dataclass(frozen=True, eq=False)
class Unit:
    """A unit: ``base`` is its worth in cm for a length, in g for a weight. ``words`` are other spellings of it."""

    symbol: str
    measure: Measure
    base: float
    words: tuple[str, ...]
    source: str
    sure: bool


@dataclass(frozen=True, eq=False)
class Tolerance:
    """How far a printed pair may part, all in the second unit: the largest of the allowances holds.

    ``absolute``; ``relative`` times the exact value; ``absolute + beyond`` times what lies over ``start``. ``step`` is
    the step print usually rounds to.
    """

    units: tuple[str, str]
    absolute: float
    relative: float
    start: float
    beyond: float
    step: float
    source: str
    sure: bool

    def at(self, exact: float) -> float:
        """The allowance for a pair whose second figure would be ``exact``, in the second unit."""
        return max(
            self.absolute,
            self.relative * exact,
            self.absolute + self.beyond * (exact - self.start) if self.beyond else 0.0,
        )


@dataclass(frozen=True, eq=False)
class Customary:
    """A pair of figures the trade prints for one another though the exact ones differ: 4 in and 10 cm."""

    first: float
    first_unit: str
    second: float
    second_unit: str
    source: str
    sure: bool


@lru_cache(maxsize=1)
def units() -> dict[str, Unit]:
    """Every unit by its symbol: in, ft, yd, mm, cm, m, oz, lb, g, kg."""
    return {
        symbol: Unit(symbol, r["measure"], float(r["base"]), tuple(r["words"]), source_of("units", r), is_sure(r))
        for symbol, r in table("units")["unit"].items()
    }


@lru_cache(maxsize=1)
def customary() -> tuple[Customary, ...]:
    """The customary pairs, e.g. 4 in = 10 cm and 3.5 oz = 100 g."""
    return tuple(
        Customary(float(a), row["units"][0], float(b), row["units"][1], source_of("units", row), is_sure(row))
        for row in table("units")["customary"]
        for a, b in row["pairs"]
    )


@lru_cache(maxsize=1)
def tolerances() -> tuple[Tolerance, ...]:
    """The allowances for the pairs of units the trade prints side by side."""
    return tuple(
        Tolerance(
            units=(row["units"][0], row["units"][1]),
            absolute=float(row["absolute"]),
            relative=float(row.get("relative", 0)),
            start=float(row.get("from", 0)),
            beyond=float(row.get("beyond", 0)),
            step=float(row["step"]),
            source=source_of("units", row),
            sure=is_sure(row),
        )
        for row in table("units")["tolerance"]
    )


def unit(word: str) -> Unit | None:
    """The unit a word, sign or abbreviation names ("inches", "″", "yds.", "oz"), or None."""
    plain = word.strip().lower()
    return _spellings().get(plain) or _spellings().get(plain.rstrip("."))


@lru_cache(maxsize=1)
def _spellings() -> dict[str, Unit]:
    return {spelling: u for u in units().values() for spelling in (u.symbol, *u.words)}


def convert(value: float, unit_word: str, other_word: str) -> float:
    """``value`` of one unit in another, exactly. Raises ValueError for an unknown unit or two unlike measures."""
    one, other = unit(unit_word), unit(other_word)
    if one is None:
        raise ValueError(f"Unknown unit: {unit_word!r}.")
    if other is None:
        raise ValueError(f"Unknown unit: {other_word!r}.")
    if one.measure != other.measure:
        raise ValueError(f"{one.symbol} is a {one.measure}, {other.symbol} a {other.measure}.")
    return value * one.base / other.base


def inch_to_cm(inches: float) -> float:
    """Inches in centimetres; 1 in is 2.54 cm exactly."""
    return convert(inches, "in", "cm")


def cm_to_inch(cm: float) -> float:
    """Centimetres in inches."""
    return convert(cm, "cm", "in")


def yard_to_metre(yards: float) -> float:
    """Yards in metres; 1 yd is 0.9144 m exactly since 1959."""
    return convert(yards, "yd", "m")


def metre_to_yard(metres: float) -> float:
    """Metres in yards."""
    return convert(metres, "m", "yd")


def ounce_to_gram(ounces: float) -> float:
    """Ounces in grams; 1 oz is 28.349523125 g exactly."""
    return convert(ounces, "oz", "g")


def gram_to_ounce(grams: float) -> float:
    """Grams in ounces."""
    return convert(grams, "g", "oz")


def pair_agrees(value: float, unit_word: str, other: float, other_word: str) -> bool | None:
    """Do two printed figures, in either order, say the same as the trade rounds?

    True within the trade's rounding (0.5 cm, more above 200 cm; 1 m or 0.5 %; 1.5 % by weight) and for customary
    pairs. False where no usual rounding explains the difference. None where that cannot be said: a rounder figure
    explains it (20 in / 50 cm, 39 in / 100 cm), the units are unknown, unlike or never printed as a pair, or a figure
    is not a number over 0 and under a thousand million. Never raises. Source: units.toml.
    """
    one, two = unit(unit_word), unit(other_word)
    if one is None or two is None or one.measure != two.measure:
        return None
    if not (0 < value < _HUGE and 0 < other < _HUGE):
        return None
    if one is two:
        return math.isclose(value, other, rel_tol=1e-9)
    for tolerance in tolerances():
        if tolerance.units == (two.symbol, one.symbol):
            return pair_agrees(other, other_word, value, unit_word)
        if tolerance.units == (one.symbol, two.symbol):
            return _judged(value, one, other, two, tolerance)
    if _metric(one) and _metric(two):
        return math.isclose(value * one.base, other * two.base, rel_tol=1e-6)
    return None


def rounded(value: float, unit_word: str, other_word: str) -> float:
    """``value`` in another unit, rounded as the trade prints it: 76 in is 193.0 cm, 267 yd is 244 m.

    Customary pairs come first (4 in gives 10 cm); units the trade does not pair come back exact. Raises ValueError
    for an unknown unit or two unlike measures.
    """
    exact = convert(value, unit_word, other_word)
    one, two = unit(unit_word), unit(other_word)
    symbols = (one.symbol if one else "", two.symbol if two else "")
    for pair in customary():
        if symbols == (pair.first_unit, pair.second_unit) and math.isclose(value, pair.first):
            return pair.second
        if symbols == (pair.second_unit, pair.first_unit) and math.isclose(value, pair.second):
            return pair.first
    for tolerance in tolerances():
        if tolerance.units == symbols:
            return _nearest(exact, tolerance.step)
    return exact


def _metric(u: Unit) -> bool:
    return u.symbol in ("mm", "cm", "m", "g", "kg")


def _nearest(value: float, step: float) -> float:
    return round(math.floor(value / step + 0.5) * step, 6)


def _judged(value: float, one: Unit, other: float, two: Unit, tolerance: Tolerance) -> bool | None:
    exact = value * one.base / two.base
    off = abs(other - exact)
    # A hair's breadth for figures that lie on the limit and were read from decimals.
    if off <= tolerance.at(exact) + 1e-9:
        return True
    symbols = (one.symbol, two.symbol)
    if any(
        (c.first_unit, c.second_unit) == symbols and math.isclose(value, c.first) and math.isclose(other, c.second)
        for c in customary()
    ):
        return True
    rows = table("units")
    if any(_rounder(row, value, off, exact, one.base / two.base) for row in _rows(rows["rounder"], symbols)):
        return None
    if any(
        value <= row["upto"] and math.isclose(other, value * row["factor"]) for row in _rows(rows["round_inch"], symbols)
    ):
        return None
    return False


def _rows(rows: Sequence[Row], symbols: tuple[str, str]) -> list[Row]:
    return [row for row in rows if tuple(row["units"]) == symbols]


def _rounder(row: Row, value: float, off: float, exact: float, worth: float) -> bool:
    grains: list[Any] = row["grains"]
    grain = next((g for g in grains if math.isclose(value / g, round(value / g), abs_tol=1e-9)), 0)
    return off <= grain / 2 * worth + 1e-9 and off <= row["relative"] * exact
