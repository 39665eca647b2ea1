"""Doubling a text at most doubles the work, whatever it is that doubles.

Work is counted in calls of Python functions, which is the same on every machine and every day; what happens inside one
regular expression is not seen by it and is timed in ``benchmarks/`` instead.
"""

from __future__ import annotations

import cProfile
import pstats
from collections.abc import Callable

import pytest
from tenterhook.lint.proof import proof
from tenterhook.lint.syntax.statement import read_statement
from tenterhook.lint.text import Text

HEAD = "Long Strip\nUS terms.\n\nCh 61.\nRow 1 (RS): Sc in 2nd ch from hook and in each ch across, turn. (60 sc)\n"


def equal_rows(n: int) -> str:
    return HEAD + "".join(f"Row {i}: Ch 1, sc in each st across, turn. (60 sc)\n" for i in range(2, n))


def changing_rows(n: int) -> str:
    forms = (
        "Ch 1, sc in next {k} sts, dc in next {d} sts, sc in last {k} sts, turn. (60 sts)",
        "Ch 3 (counts as dc), dc in next st, *sk next st, 2 dc in next st; rep from * to last 2 sts, dc in last 2 sts, turn. (60 dc)",
        "Ch 1, sc in first 3 sts, [sc2tog, 2 sc in next st] 18 times, sc in last 3 sts, turn. (60 sc)",
    )
    return HEAD + "".join(f"Row {i}: {forms[i % 3].format(k=i % 7 + 2, d=56 - 2 * (i % 7))}\n" for i in range(2, n))


def differing_rows(n: int) -> str:
    return HEAD + "".join(f"Row {i}: Ch 1, sc in each st across, turn. ({60 + i % 2} sc)\n" for i in range(2, n))


def long_row(n: int) -> str:
    steps = ", ".join(("sc in next st", "dc in next st")[i % 2] for i in range(n))
    return f"Ch {n + 1}.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. ({n} sc)\nRow 2: Ch 1, {steps}, turn. ({n} sts)\n"


def wide_row(n: int) -> str:
    """A repeat worked ``n`` times: the text stays the same, the fabric grows."""
    return (
        f"Ch {3 * n + 1}.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. ({3 * n} sc)\n"
        f"Row 2: Ch 1, *sc in next 2 sts, dc in next st; rep from * across, turn. ({3 * n} sts)\n"
        f"Row 3: Ch 1, [dc in next st, sc in next 2 sts] {n} times, turn. ({3 * n} sts)\n"
    )


def repeated_rows(n: int) -> str:
    return HEAD + f"Row 2: Ch 1, sc in each st across, turn.\nRow 3: Ch 1, sc in each st across, turn.\nRows 4-{2 * n + 3}: Rep Rows 2 and 3 {n} times. (60 sc)\n"


def sizes(n: int) -> str:
    names = [f"{30 + 2 * i}" for i in range(n)]

    def vector(first: int) -> str:
        return f"{first} ({', '.join(str(first + 2 * i) for i in range(1, n))})"

    rows = "".join(f"Row {i}: Ch 1, sc in each st across, turn. {vector(60)} sc\n" for i in range(2, 30))
    return f"Vest\nUS terms.\nSizes: {names[0]} ({', '.join(names[1:])})\n\nCh {vector(61)}.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. {vector(60)} sc\n{rows}"


def open_brackets(n: int) -> str:
    return HEAD + "Row 2: Ch 1, " + "(sc in next st, " * n + "turn. (60 sc)\n"


def nested_brackets(n: int) -> str:
    return HEAD + "Row 2: Ch 1, " + "[" * n + "sc in next st" + "] twice" * n + ", turn. (60 sc)\n"


def stars(n: int) -> str:
    return HEAD + "Row 2: Ch 1, " + "*sc in next st, " * n + "rep from * across, turn. (60 sc)\n"


def prose(n: int) -> str:
    return HEAD + "NOTES\n" + "The wrap is worked from the middle outwards and blocked on a board until it is quite dry. " * n + "\n"


def figures(n: int) -> str:
    return HEAD + "MATERIALS\n" + "".join(f"Yarn {i}: 50 g (1.75 oz) balls of 125 m (137 yd), 4 mm (G-6) hook\n" for i in range(n))


def abbreviations(n: int) -> str:
    key = "".join(f"ab{chr(97 + i % 26)}{chr(97 + i // 26 % 26)}{chr(97 + i // 676)} = a stitch of its own, number {i}\n" for i in range(n))
    return f"Long Strip\nUS terms.\n\nABBREVIATIONS\n{key}\n{HEAD}"


def calls(source: str) -> int:
    """Calls of Python functions that one proof makes, corrections left out, with no statement read before."""
    read_statement.cache_clear()
    with cProfile.Profile() as profile:
        proof(Text(source), corrections=False)
    return pstats.Stats(profile).total_calls  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    ("grow", "start", "most"),
    [
        (equal_rows, 100, 2.1),
        (changing_rows, 60, 2.1),
        (differing_rows, 60, 2.3),
        (long_row, 60, 2.2),
        (wide_row, 1_000, 1.1),
        (repeated_rows, 200, 2.1),
        (sizes, 4, 2.1),
        (open_brackets, 60, 2.3),
        (nested_brackets, 12, 2.3),
        (stars, 60, 2.3),
        (prose, 60, 2.1),
        (figures, 30, 2.2),
        (abbreviations, 40, 2.2),
    ],
    ids=lambda value: value.__name__ if callable(value) else "",
)
def test_twice_the_text_is_at_most_twice_the_work(grow: Callable[[int], str], start: int, most: float) -> None:
    calls(grow(start))  # loads and compiles what this text needs
    once, twice, four = (calls(grow(n)) for n in (start, 2 * start, 4 * start))
    assert four - twice <= most * max(twice - once, 200), (once, twice, four)
