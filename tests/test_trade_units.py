"""Conversions against an independent library, printed pairs against leaflets, misprints against their corrections."""

from __future__ import annotations

import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tenterhook.lint.trade import units
from tenterhook.lint.trade.tables import table

REGISTRY = pint.UnitRegistry()
PINT = {"in": "inch", "ft": "foot", "yd": "yard", "mm": "millimeter", "cm": "centimeter", "m": "meter", "oz": "ounce", "lb": "pound", "g": "gram", "kg": "kilogram"}


@pytest.mark.parametrize("one", PINT)
@pytest.mark.parametrize("other", PINT)
def test_every_conversion_is_that_of_an_independent_library(one: str, other: str) -> None:
    source, target = REGISTRY.Quantity(7.25, PINT[one]), REGISTRY.Unit(PINT[other])
    if not source.is_compatible_with(target):
        with pytest.raises(ValueError, match=" is a "):
            units.convert(7.25, one, other)
        return
    assert math.isclose(units.convert(7.25, one, other), source.to(target).magnitude, rel_tol=1e-12)


def test_every_unit_written_out_is_the_library_s_unit() -> None:
    # A gramme and mtrs are unknown to the library, and kilos are thousands of seconds to it.
    known = {word: symbol for symbol, row in table("units")["unit"].items() for word in row["words"] if len(word) > 3 and word != "kilos" and word in REGISTRY}
    assert {"inches", "feet", "yards", "millimetres", "centimeters", "metres", "ounces", "pounds", "grams", "kilograms"} <= set(known)
    for word, symbol in known.items():
        assert REGISTRY.Unit(word) == REGISTRY.Unit(PINT[symbol]), word


def test_customary_pairs_lie_near_the_exact_figure() -> None:
    # By the library; the roundest is 2 in for 5 cm, a sixtieth off.
    for row in table("units")["customary"]:
        one, other = (PINT[symbol] for symbol in row["units"])
        for a, b in row["pairs"]:
            assert REGISTRY.Quantity(a, one).to(other).magnitude == pytest.approx(b, rel=0.02), (a, b)


def test_named_conversions() -> None:
    # 2.54 and 28.35: US Statistical Abstract; 0.9144 m: the yard of 1959.
    assert units.inch_to_cm(1) == 2.54
    assert units.yard_to_metre(1) == pytest.approx(0.9144, rel=1e-12)
    assert round(units.ounce_to_gram(1), 2) == 28.35
    assert units.cm_to_inch(units.inch_to_cm(9)) == pytest.approx(9)
    assert units.metre_to_yard(units.yard_to_metre(9)) == pytest.approx(9)
    assert units.gram_to_ounce(units.ounce_to_gram(9)) == pytest.approx(9)


@pytest.mark.parametrize("word, symbol", [("inches", "in"), ("in.", "in"), ("″", "in"), ('"', "in"), ("Yds", "yd"), ("yds.", "yd"), ("metres", "m"), ("Meters", "m"), ("oz.", "oz"), ("grams", "g"), ("feet", "ft"), ("lbs", "lb")])
def test_a_unit_by_any_spelling(word: str, symbol: str) -> None:
    found = units.unit(word)
    assert found is not None and found.symbol == symbol


# 18 pairs of inches and centimetres measured on yarn companies' leaflets (CAC0126-035092M and others).
INCHES = [
    (8, 20.5), (8, 20), (16.5, 42), (19.5, 49.5), (20, 51), (20, 50.5), (30, 76), (34, 86.5), (48, 122), (50, 127),
    (50.5, 128), (54, 137), (58, 147.5), (62, 157.5), (64, 162.5), (66, 167.5), (80, 203.5), (86, 218.5),
]  # fmt: skip
# Labels in the same leaflets: oz, g, yd, m.
LABELS = [
    (1.75, 50, 166, 152), (3.5, 100, 194, 177), (3.5, 100, 127, 116), (3.5, 100, 41, 37), (3.5, 100, 59, 54),
    (3.5, 100, 83, 76), (3.5, 100, 211, 193), (3.5, 100, 78, 71), (5, 140, 223, 204), (5, 140, 155, 142),
    (5, 141, 240, 219), (6, 170, 315, 288), (8.8, 250, 466, 426), (10.5, 300, 220, 201), (10.5, 300, 221, 202),
    (10.5, 300, 315, 288),
]  # fmt: skip


@pytest.mark.parametrize("inches, cm", INCHES)
def test_leaflet_lengths_agree(inches: float, cm: float) -> None:
    assert units.pair_agrees(inches, "in", cm, "cm") is True
    assert units.pair_agrees(cm, "cm", inches, "inches") is True


@pytest.mark.parametrize("oz, g, yd, m", LABELS)
def test_leaflet_labels_agree(oz: float, g: float, yd: float, m: float) -> None:
    assert units.pair_agrees(oz, "oz", g, "g") is True
    assert units.pair_agrees(g, "grams", oz, "oz") is True
    assert units.pair_agrees(yd, "yds", m, "m") is True
    assert units.pair_agrees(m, "metres", yd, "yd") is True


def test_the_labels_of_the_yarn_table_agree_as_well() -> None:
    rows = [row for label in table("yarns")["label"] for row in label["rows"]]
    assert [tuple(row) for row in rows] == LABELS


@pytest.mark.parametrize(
    "one, unit, other, other_unit, right",
    [  # misprints found in print, and what they should have said
        (76, "in", 196, "cm", 193),  # leaflet CAC0126-035092M
        (15, "in", 36, "cm", 38),  # calicojoy.com/size-chart
        (97, "yd", 87, "m", 89),  # leaflet BRK0502-026740M: 88.7 m
        (267, "yd", 330, "m", 244),  # leaflet BRK0502-027907M
        (1351, "yd", 1244, "m", 1235),  # leaflet BRK0502-027907M: 1235.4 m
    ],
)
def test_misprints_are_refused(one: float, unit: str, other: float, other_unit: str, right: float) -> None:
    assert units.pair_agrees(one, unit, other, other_unit) is False
    assert units.pair_agrees(other, other_unit, one, unit) is False
    assert units.pair_agrees(one, unit, right, other_unit) is True
    assert units.rounded(one, unit, other_unit) == right


@pytest.mark.parametrize(
    "one, unit, other, other_unit",
    [
        (4, "in", 10, "cm"),  # gauge lines of nearly every leaflet; exactly 10.16 cm
        (2, "in", 5, "cm"),
        (6, "in", 15, "cm"),
        (12, "in", 30, "cm"),
        (3.5, "oz", 100, "g"),  # common practice; exactly 99.2 g
        (0.88, "oz", 25, "g"),  # put-ups by custom
        (7, "oz", 198, "g"),
        (14, "oz", 397, "g"),
        (16, "oz", 454, "g"),
        (1.8, "oz", 50, "g"),  # ounces to one place
        (1, "lb", 454, "g"),
        (0.5, "in", 12, "mm"),
        (1, "in", 25, "mm"),
        (60, "in", 1.5, "m"),
        (6, "ft", 1.8, "m"),
        (10, "mm", 1, "cm"),
        (0.5, "kg", 500, "g"),
    ],
)
def test_customary_pairs_agree(one: float, unit: str, other: float, other_unit: str) -> None:
    assert units.pair_agrees(one, unit, other, other_unit) is True


@pytest.mark.parametrize(
    "one, unit, other, other_unit",
    [
        (20, "in", 50, "cm"),  # the round inch of 2.5 cm
        (16, "in", 40, "cm"),
        (40, "in", 100, "cm"),
        (39, "in", 100, "cm"),  # made in centimetres, inches to the whole
        (15.5, "in", 40, "cm"),  # ... and to the half
        (220, "yd", 200, "m"),  # yards to the ten
    ],
)
def test_rounder_figures_are_left_open(one: float, unit: str, other: float, other_unit: str) -> None:
    assert units.pair_agrees(one, unit, other, other_unit) is None


@pytest.mark.parametrize(
    "one, unit, other, other_unit",
    [
        (20, "in", 52, "cm"),
        (4, "in", 12, "cm"),
        (2, "in", 4, "cm"),
        (54, "ft", 137, "cm"),  # a foot mark for an inch mark
        (100, "in", 260, "cm"),
        (3.5, "oz", 50, "g"),
        (4, "oz", 100, "g"),
        (200, "yd", 200, "m"),
        (164, "yd", 180, "m"),  # yards and metres swapped
        (10, "mm", 10, "cm"),
        (5, "cm", 6, "cm"),
    ],
)
def test_slips_are_refused(one: float, unit: str, other: float, other_unit: str) -> None:
    assert units.pair_agrees(one, unit, other, other_unit) is False


@pytest.mark.parametrize("one, unit, other, other_unit", [(4, "in", 10, "g"), (4, "in", 10, "ells"), (0, "in", 0, "cm"), (-4, "in", 10, "cm"), (math.nan, "in", 1, "cm"), (math.inf, "yd", 1, "m"), (5e307, "in", 1, "cm"), (1, "g", 1e300, "oz"), (1, "yd", 900, "mm")])
def test_what_cannot_be_compared_is_left_open(one: float, unit: str, other: float, other_unit: str) -> None:
    assert units.pair_agrees(one, unit, other, other_unit) is None


@given(st.integers(1, 1000))
def test_properly_rounded_figures_always_agree(quarters: int) -> None:
    inches = quarters / 4
    exact = float(REGISTRY.Quantity(inches, "inch").to("centimeter").magnitude)
    assert units.pair_agrees(inches, "in", round(exact * 2) / 2, "cm") is True
    assert units.pair_agrees(inches, "in", round(exact), "cm") is True
    yards = float(REGISTRY.Quantity(quarters, "yard").to("meter").magnitude)
    assert units.pair_agrees(quarters, "yd", round(yards), "m") is True
    grams = float(REGISTRY.Quantity(quarters, "gram").to("ounce").magnitude)
    assert units.pair_agrees(quarters, "g", round(grams, 2) or 0.01, "oz") is True


@given(st.integers(16, 600))
def test_figures_well_off_never_agree(quarters: int) -> None:
    inches = quarters / 4
    assert units.pair_agrees(inches, "in", inches * 2.54 + 2.7, "cm") is not True
    assert units.pair_agrees(inches, "in", inches * 2.54 * 1.1 + 0.5, "cm") is False


NUMBERS = st.floats(allow_nan=True, allow_infinity=True) | st.integers(-5, 500)
WORDS = st.sampled_from([*PINT, "inches", "ells", ""])


@given(NUMBERS, WORDS, NUMBERS, WORDS)
def test_a_pair_reads_the_same_in_either_order_and_never_raises(a: float, one: str, b: float, other: str) -> None:
    assert units.pair_agrees(a, one, b, other) is units.pair_agrees(b, other, a, one)


def test_rounding_for_print() -> None:
    # The Council's columns: 16 in = 40.5 cm, 22 in = 56 cm; 4 in = 10 cm on gauge lines.
    assert units.rounded(16, "in", "cm") == 40.5
    assert units.rounded(22, "in", "cm") == 56
    assert units.rounded(4, "in", "cm") == 10
    assert units.rounded(10, "cm", "in") == 4
    assert units.rounded(3.5, "oz", "g") == 100
    assert units.rounded(8, "oz", "g") == 227
    with pytest.raises(ValueError, match="'ells'"):
        units.rounded(4, "in", "ells")
