"""The worksheet on a terminal: every number in its column, the sum beside it or under it."""

from __future__ import annotations

from dataclasses import replace

import pytest
from rich.cells import cell_len
from tenterhook.lint.fabric.work import SizeWork
from tenterhook.lint.proof import Proof
from tenterhook.lint.report import worksheet_table
from tenterhook.lint.report.page import Page


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
