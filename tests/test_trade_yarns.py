"""Yarn weights against the standard's table as printed in 2018 (rows 6 and 7: a newer guide), and sound leaflets."""

from __future__ import annotations

import math

import pytest
from tenterhook.lint.trade import yarns
from tenterhook.lint.trade.tables import table

# Crochet World, October 2018, p. 64; rows 6 and 7: Mary Maxim's guide. Number, name, sc over 4 in, hook in mm.
ROWS = [
    (0, "Lace", 32, 42, 1.5, 2.25),
    (1, "Super Fine", 21, 32, 2.25, 3.5),
    (2, "Fine", 16, 20, 3.5, 4.5),
    (3, "Light", 12, 17, 4.5, 5.5),
    (4, "Medium", 11, 14, 5.5, 6.5),
    (5, "Bulky", 8, 11, 6.5, 9.0),
    (6, "Super Bulky", 7, 9, 9.0, 15.0),
    (7, "Jumbo", 0, 6, 15.0, math.inf),
]
# The same print, stocking stitch over 4 in; wraps per inch: two pages reproducing the Council's table.
KNIT = [(33, 40), (27, 32), (23, 26), (21, 24), (16, 20), (12, 15), (7, 11), (0, 6)]
WRAPS = [(30, math.inf), (14, 30), (12, 18), (11, 15), (9, 12), (6, 9), (5, 6), (1, 4)]


@pytest.mark.parametrize("number, name, low, high, thin, thick", ROWS)
def test_a_row_of_the_standard(number: int, name: str, low: int, high: int, thin: float, thick: float) -> None:
    weight = yarns.weight(number)
    assert weight is not None and weight.name == name
    assert (weight.gauge.low, weight.gauge.high) == (low, high)
    assert (weight.hook_mm.low, weight.hook_mm.high) == (thin, thick)
    assert (weight.knit.low, weight.knit.high) == KNIT[number]
    assert (weight.wraps.low, weight.wraps.high) == WRAPS[number]
    assert yarns.named(name.upper()) == (weight,)


def test_super_bulky_keeps_every_printing() -> None:
    # 7-9 in the newer guide, 6-9 in 2018, 5-9 in the older table (crochetonatrain.com).
    assert yarns.gauge_range(6) == yarns.Range(5, 9)
    assert yarns.gauge_range(4) == yarns.Range(11, 14)
    assert yarns.gauge_range(8) is yarns.gauge_range(-1) is None


@pytest.mark.parametrize(
    "name, numbers",
    [
        ("worsted", [4]), ("Worsted weight", [4]), ("light worsted", [3]), ("DK", [3]), ("dk weight yarn", [3]),
        ("sport", [2]), ("fingering", [0, 1]), ("baby", [1, 2]), ("roving", [6, 7]), ("afghan", [4]),
        # British and Australian names: Craftys, Peapod Soup, a shop's tables
        ("aran", [4]), ("double knitting", [3]), ("chunky", [5]), ("super chunky", [6]), ("8 ply", [3]),
        ("10-ply", [4]), ("4-ply", [1, 2]), ("cashmere", []), ("", []),
    ],
)  # fmt: skip
def test_a_name_finds_its_weights(name: str, numbers: list[int]) -> None:
    assert [w.number for w in yarns.named(name)] == numbers


@pytest.mark.parametrize(
    "number, sc, away",
    [  # sound leaflets: at most one away
        (4, 13, 0), (6, 7, 0), (5, 12, 1), (5, 10, 0), (1, 22, 0),
        (2, 20.5, 0), (1, 20.5, 0), (4, 17, 1), (4, 20, 2), (4, 30, 3), (2, 6, 4), (7, 60, 7), (7, 3, 0), (3, 8, 2),
    ],
)  # fmt: skip
def test_how_far_a_gauge_lies_from_the_weight(number: int, sc: float, away: int) -> None:
    assert yarns.categories_away(number, sc) == away


@pytest.mark.parametrize("number, sc", [(0, 20), (8, 12), (-1, 12), (4, 0), (4, -3), (4, math.nan), (4, math.inf)])
def test_a_gauge_the_table_cannot_judge(number: int, sc: float) -> None:
    assert yarns.categories_away(number, sc) is None


def test_no_sound_leaflet_is_two_categories_away() -> None:
    for row in table("yarns")["leaflet"]:
        assert (yarns.categories_away(row["number"], row["sc"]) or 0) < 2


def test_metres_in_100_grams() -> None:
    # Craftys: DK 200-250, aran 120-200; a shop's tables: 210-250, 130-200; lace 600 and more in both.
    assert yarns.metres_per_100g(3) == yarns.Range(200, 250)
    assert yarns.metres_per_100g(4) == yarns.Range(120, 200)
    assert yarns.metres_per_100g(0) == yarns.Range(600, math.inf)
    assert yarns.metres_per_100g(9) is None
