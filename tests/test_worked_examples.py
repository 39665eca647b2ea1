"""Sums that others have published come out: tests/worked_examples.txt, where each has its source beside it.

Then a few facts that every maker knows, marked as common practice: no source is claimed for them.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

import pytest
from tenterhook.lint.fabric.work import RowWork, SizeWork
from tenterhook.lint.finding import Severity
from tenterhook.lint.proof import proof
from tenterhook.lint.style import Style
from tenterhook.lint.text import Text
from tenterhook.lint.trade.hooks import millimetres
from tenterhook.lint.trade.units import pair_agrees, rounded

FILE = Path(__file__).parent / "worked_examples.txt"
STRICT = Style(strict=True)
PART = re.compile(r"^# (?P<source>.+)\n== (?P<title>.+)\n(?P<text>(?:.*\n)+?)--\n(?P<rows>(?:\S.*\n)+)", re.MULTILINE)


@dataclass(frozen=True)
class Example:
    title: str
    source: str
    text: str
    rows: tuple[str, ...]
    reported: tuple[str, ...]

    def __str__(self) -> str:
        return self.title


def read_examples() -> list[Example]:
    found: list[Example] = []
    for part in PART.finditer(FILE.read_text(encoding="utf-8")):
        lines = part["rows"].splitlines()
        reports = tuple(line.removeprefix("report: ") for line in lines if line.startswith("report: "))
        rows = tuple(line for line in lines if not line.startswith("report: "))
        found.append(Example(part["title"], part["source"], part["text"], rows, reports))
    return found


EXAMPLES = read_examples()


def numbers(sizes: tuple[SizeWork, ...]) -> list[str]:
    columns = zip(*((s.base, s.used, s.made, s.spaces) for s in sizes), strict=True)
    return [" ".join("-" if n is None else str(n) for n in column) for column in columns]


def written(row: RowWork) -> str:
    return " | ".join([row.label, *numbers(row.sizes)])


def test_there_are_enough_of_them_and_each_has_a_source() -> None:
    whole = FILE.read_text(encoding="utf-8")
    assert len(EXAMPLES) == len(re.findall(r"^== ", whole, re.MULTILINE)) >= 50
    assert len({e.title for e in EXAMPLES}) == len(EXAMPLES)
    assert all("http" in e.source for e in EXAMPLES)
    assert sum(bool(e.reported) for e in EXAMPLES) >= 3


@pytest.mark.parametrize("example", EXAMPLES, ids=str)
def test_worked_example(example: Example) -> None:
    done = proof(Text(example.text), STRICT, corrections=False)
    said = tuple(f"{f.rule}, line {done.text.line_number(f.span.start)}" for f in done.loud(Severity.QUERY) if f.follows is None)
    assert said == example.reported
    if example.rows:
        assert [written(row) for row in done.work.rows()] == list(example.rows)
        assert {row.status.value for row in done.work.rows()} == {"proved"}


def test_metric_misprint() -> None:
    """76 in printed as 196 cm, where 193 is meant.

    Caron leaflet CAC0126-035092M, https://cdn.shopify.com/s/files/1/0711/5132/1403/files/CAC0126-035092M.pdf
    """
    assert pair_agrees(76, "in", 196, "cm") is False
    assert pair_agrees(76, "in", 193, "cm") is True


def test_yardage_misprint() -> None:
    """267 yd printed as 330 m, where 244 is meant.

    Bernat leaflet BRK0502-027907M, https://cdn.shopify.com/s/files/1/0711/5132/1403/files/BRK0502-027907M.pdf
    """
    assert pair_agrees(267, "yd", 330, "m") is False
    assert pair_agrees(267, "yd", 244, "m") is True


# Common practice, no source, from here on.


@pytest.mark.parametrize("chains", [2, 3, 7, 24, 101, 300])
def test_chains_worked_from_the_second_give_one_stitch_fewer(chains: int) -> None:
    done = proof(Text(f"US terms.\nCh {chains}.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. ({chains - 1} sc)\n"), STRICT)
    (row,) = done.work.rows()
    assert numbers(row.sizes) == [str(chains), str(chains), str(chains - 1), "0"]
    assert done.loud() == ()


@pytest.mark.parametrize("over", ["sc in each st across", "sc in each sc and in each popcorn across"])
def test_the_chain_that_closes_a_popcorn_is_no_stitch(over: str) -> None:
    text = f"""\
US terms.

Special stitches
Popcorn: 5 dc in st indicated, drop loop from hook, insert hook in first of these dc, draw loop through, ch 1 to close.

Bobbled strip
Ch 12.
Row 1 (WS): Sc in 2nd ch from hook and in each ch across, turn. (11 sc)
Row 2 (RS): Ch 1, sc in each of next 2 sc, (popcorn in next sc, sc in each of next 2 sc) 3 times, turn. (11 sts)
Row 3: Ch 1, {over}, turn. (11 sc)
"""
    done = proof(Text(text), STRICT)
    popcorns, above = [row.sizes[0] for row in done.work.rows()][1:]
    assert (popcorns.made, popcorns.spaces, popcorns.kinds["popcorn"]) == (11, 0, 3)
    assert (above.base, above.used, above.made) == (11, 11, 11)
    assert done.loud() == ()


@pytest.mark.parametrize(("first", "mark"), [("RS", " (RS)"), ("WS", " (WS)"), ("RS", "")])
def test_turned_rows_show_their_faces_in_turn(first: str, mark: str) -> None:
    rows = [f"Row 1{mark}: Sc in 2nd ch from hook and in each ch across, turn. (8 sc)"]
    rows += [f"Row {n}: Ch 1, sc in each sc across, turn. (8 sc)" for n in range(2, 10)]
    worked = list(proof(Text("\n".join(["US terms.", "Ch 9.", *rows])), STRICT).work.rows())
    assert len(worked) == 9
    odd, even = {row.side for row in worked[::2]}, {row.side for row in worked[1::2]}
    assert odd == {first}
    assert even == ({"RS", "WS"} - {first})


def test_rounds_never_turned_show_one_face() -> None:
    rounds = ["Rnd 1: 6 sc in magic ring. (6)", "Rnd 2: Inc x 6. (12)", *(f"Rnd {n}: Sc in each sc around. (12)" for n in range(3, 8))]
    worked = list(proof(Text("\n".join(["US terms.", *rounds])), STRICT).work.rows())
    assert len(worked) == 7
    assert {row.side for row in worked} == {"RS"}


def test_a_j_10_hook_is_6_mm() -> None:
    assert millimetres("J-10") == (6.0,)


def test_a_ball_of_100_g_is_sold_as_3_5_oz() -> None:
    assert pair_agrees(100, "g", 3.5, "oz") is True
    assert rounded(100, "g", "oz") == 3.5
    assert pair_agrees(100, "g", 3.9, "oz") is False
