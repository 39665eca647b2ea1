"""The worksheet on a terminal: every number in its column, the sum beside it or under it."""

from __future__ import annotations

from dataclasses import replace

import pytest
from rich.cells import cell_len
from tenterhook.lint.fabric.work import SizeWork
from tenterhook.lint.proof import Proof
from tenterhook.lint.proof import proof as proof_of
from tenterhook.lint.report import worksheet_table
from tenterhook.lint.report.page import Page
from tenterhook.lint.text import Text


def table_of(proof: Proof, width: int = 80) -> str:
    page = Page(width)
    worksheet_table.manuscript("cowl.md", proof, page)
    return page.text()


@pytest.fixture
def sized(cowl: Proof) -> Proof:
    sizes = ("XS", "M", "XXL")
    body = cowl.work.pieces[0]
    working = "3 + 7 × (4 dc + dc2tog) + 3 dc, where the ch 3 stands for the first dc of the row and is counted as one"
    row = replace(
        body.rows[0],
        sizes=tuple(
            SizeWork(s, 60 + n, 60 + n, 54 + n, 54 + n + (n == 1), {"dc": 1}, 0, working) for n, s in enumerate(sizes)
        ),
    )
    return replace(
        cowl,
        pattern=replace(cowl.pattern, sizes=sizes),
        work=replace(cowl.work, pieces=(replace(body, rows=(row, replace(row, label="Row 7", times=1200))),)),
    )


@pytest.mark.parametrize("width", [60, 80, 100, 120, 140])
def test_it_keeps_to_the_width(cowl: Proof, sized: Proof, width: int) -> None:
    for proof in (cowl, sized):
        assert max(map(cell_len, table_of(proof, width).splitlines())) <= width


def test_the_numbers_stand_in_order(cowl: Proof) -> None:
    lines = table_of(cowl).splitlines()
    (third,) = [line for line in lines if line.startswith("Row 3")]
    assert third.split() == ["Row", "3", "RS", "26", "26", "26", "27", "-1", "differs"]
    assert lines[lines.index(third) + 1].strip() == "9 sc + 8 FPdc + 9 sc = 26"
    (fifth,) = [line for line in lines if line.startswith("Row 5")]
    assert fifth.split() == ["Row", "5", "RS", "27", "–", "–", "26", "not", "read"]


def test_on_a_wide_page_the_sum_stands_beside(cowl: Proof) -> None:
    (third,) = [line for line in table_of(cowl, 120).splitlines() if line.startswith("Row 3")]
    assert third.endswith("differs   9 sc + 8 FPdc + 9 sc = 26")


def test_each_size_has_its_line(sized: Proof) -> None:
    lines = table_of(sized, 120).splitlines()
    assert [line.split()[0] for line in lines if " 61 " in line] == ["M", "M"]
    assert any("Row 7 ×1200" in line for line in lines)
    assert "1200" not in next(line for line in lines if line.startswith("Row 1"))


def test_readings_taken_are_told(cowl: Proof) -> None:
    assert "Read so: The ch 1 at the start of a row does not count as a stitch." in table_of(cowl)


def test_no_rows_is_said(cowl: Proof) -> None:
    assert "No rows were found" in table_of(replace(cowl, work=replace(cowl.work, pieces=())))


STEPS = """US terms.
Sizes: S (M, L, XL)
Finished bust: 32 (36, 40, 48) in / 81.5 (91.5, 101.5, 122) cm

Back
Ch 31 (37, 43, 49).
Row 1: Sc in 2nd ch from hook and in each ch across, turn. 30 (36, 42, 48) sc.
Row 2: Ch 1, sc in each st across, turn. 30 (36, 42, 48) sc.
"""


def test_the_steps_between_sizes_are_told() -> None:
    lines = table_of(proof_of(Text(STEPS, "vest.txt"), rules=()))
    steps = lines[lines.index("Steps between sizes") :].split("\n")
    assert steps[1].split() == ["S", "M", "L", "XL"]
    assert steps[2:5] == ["  Finished bust, in (line 3)", "  32  36  40  48", "      +4  +4  +8"]
    assert steps[5].strip() == "Back, Row 1, stitches"
    assert [line.split() for line in steps[6:8]] == [["30", "36", "42", "48"], ["+6", "+6", "+6"]]
    assert "cm" not in "".join(steps)  # said in inches already


def test_an_uneven_step_is_pointed_at() -> None:
    text = STEPS.replace("32 (36, 40, 48) in / 81.5 (91.5, 101.5, 122) cm", "32 (36, 40, 52) in")
    assert "Finished bust, in (line 3) · uneven" in table_of(proof_of(Text(text, "vest.txt"), rules=()))
    text = STEPS.replace("32 (36, 40, 48) in / 81.5 (91.5, 101.5, 122) cm", "32 (40, 36, 44) in")
    assert "Finished bust, in (line 3) · uneven" in table_of(proof_of(Text(text, "vest.txt"), rules=()))


def test_one_size_has_no_steps(cowl: Proof) -> None:
    assert "Steps" not in table_of(cowl)


def test_the_steps_keep_to_the_width() -> None:
    sizes = "XS (S, M, L, XL) [2X, 3X, 4X, 5X]"
    bust = "1036 (1040, 1044, 1048, 1052) [1056, 1060, 1064, 1068] in"
    lines = table_of(proof_of(Text(f"US terms.\nSizes: {sizes}\nFinished bust: {bust}\n", "vest.txt"), rules=()), 40).splitlines()
    assert max(map(cell_len, lines)) <= 40
    assert sum("1068" in line for line in lines) == 1
