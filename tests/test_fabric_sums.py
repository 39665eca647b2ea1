"""The sum of a row, as an editor would jot it down; the terms come to the result."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as some
from tenterhook.lint.fabric.row import SPACE, Cell, Row, Segment
from tenterhook.lint.fabric.sums import sum_in_words

SC, DC, FRONT, BACK, GAP = Cell("sc"), Cell("dc"), Cell("FPdc"), Cell("BPdc"), Cell(SPACE, 1)
CHAIN = Cell("dc", tch=3)


def one(cell: Cell, n: int = 1) -> Segment:
    return ((cell, 1),), n


@pytest.mark.parametrize(
    ("segments", "words"),
    [
        ((), ""),
        ((one(GAP, 4),), ""),
        ((one(SC, 12),), "12 sc = 12"),
        ((one(CHAIN), one(DC, 61)), "1 dc + 61 dc = 62"),
        ((one(CHAIN), (((GAP, 1), (DC, 1)), 96)), "1 dc + 96 dc = 97"),
        ((one(SC, 2), (((Cell("sc", first=True), 1), (SC, 1)), 5)), "12 sc = 12"),
        (((((Cell("sc", first=True), 1), (SC, 1)), 5), one(DC)), "5 × 2 sc + 1 dc = 11"),
        ((one(SC), (((DC, 7),), 1), one(SC), (((DC, 7), (SC, 1)), 20), (((DC, 7),), 1), one(SC)), "1 sc + 22 × (7 dc + 1 sc) = 177"),
        ((one(DC), *(one(c, 4) for c in (BACK, FRONT) * 3), one(BACK, 4), one(DC)), "1 dc + 3 × (4 BPdc + 4 FPdc) + 4 BPdc + 1 dc = 30"),
        ((one(SC), one(DC), one(SC)), "1 sc + 1 dc + 1 sc = 3"),
        (tuple(one(c, n) for n in range(1, 8) for c in (SC, DC)), "1 sc + 1 dc + 2 sc + 2 dc + 3 sc + 3 dc + 4 sc + 4 dc + 5 sc + 5 dc + 6 sc + … = 56"),
    ],
)  # fmt: skip
def test_a_sum_is_short_and_whole(segments: tuple[Segment, ...], words: str) -> None:
    assert sum_in_words(Row(segments)) == words


cells = some.sampled_from([SC, DC, FRONT, BACK, GAP, CHAIN])
blocks = some.lists(some.tuples(cells, some.integers(1, 3)), min_size=1, max_size=3).map(tuple)


@given(some.lists(some.tuples(blocks, some.integers(1, 4)), max_size=8).map(tuple))
def test_the_terms_come_to_the_result(segments: tuple[Segment, ...]) -> None:
    words = sum_in_words(Row(segments))
    if words and "…" not in words:
        terms, result = words.split(" = ")
        worked = re.sub(r"(\d+) × \(", r"\1 * (", terms).replace("×", "*")
        assert eval(re.sub(r" (?:sc|dc|FPdc|BPdc)\b", "", worked)) == int(result) == Row(segments).stitches
