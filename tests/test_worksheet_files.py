"""The worksheet as a workbook and as comma-separated values: what is in the cells, sums that recompute, and words that stay words."""

from __future__ import annotations

import csv
import re
import subprocess
import sys
from collections.abc import Iterator
from io import BytesIO, StringIO
from pathlib import Path
from typing import Any

import pytest
from openpyxl import load_workbook
from tenterhook.lint import cli, worksheets
from tenterhook.lint.measures_pieces import share_in
from tenterhook.lint.proof import proof
from tenterhook.lint.queries import QueryList, guarded, unguarded
from tenterhook.lint.report import workbook, xlsx
from tenterhook.lint.report.sheets import Column, Desk, Manuscript, Sheet, Sum, letters, words
from tenterhook.lint.text import Text
from tenterhook.lint.unprinted import GivenGauge, GivenMeasure, Unprinted

EXAMPLES = Path(__file__).parent.parent / "examples"

MAT = """\
Brackish Mat

US terms.
Gauge: 16 sc and 20 rows = 10 cm

Mat
Ch 13.
Row 1: Sc in 2nd ch from hook and in each ch across, turn. (12 sc)
Row 2: Ch 1, sc in each sc across, turn. (13 sc)
Row 3: Ch 3 (counts as dc), sk first st, dc in next 3 sts, sk next 2 sts, 3 dc in next st, dc in each st across, turn. (13 dc)
"""

SIZED = """\
Saltmarsh Cuff

US terms.
Sizes: S (M, L)

Cuff
Ch 11 (13, 15).
Row 1: Sc in 2nd ch from hook and in each ch across, turn. 10 (12, 14) sc
Row 2: Ch 1, sc in each sc across, turn. 10 (12, 15) sc
"""


def desk(*sources: str, unprinted: Unprinted = Unprinted(), asked: QueryList = QueryList()) -> Desk:  # noqa: B008 - immutable
    return Desk(tuple(Manuscript(f"{n}.txt", proof(Text(source, f"{n}.txt")), unprinted) for n, source in enumerate(sources)), asked)


def lines(sheet: Sheet) -> list[dict[str, object]]:
    """The lines of a sheet by their headings, sums as what they come to."""
    heads = [column.head for column in sheet.columns]
    assert len(set(heads)) == len(heads)
    return [dict(zip(heads, (c.value if isinstance(c, Sum) else c for c in row), strict=True)) for row in sheet.rows]


# What is in the sheets


def test_a_line_for_every_row_with_the_sum_and_the_difference() -> None:
    first, second, third = lines(workbook.sheet("counts", desk(MAT)))
    assert [first[h] for h in ("Piece", "Row", "Line", "Side", "sc", "Made", "Stated", "Difference", "State")] == ["Mat", "Row 1", 8, "RS", 12, 12, 12, 0, "proved"]
    assert [second[h] for h in ("Worked into", "Used", "Left over", "Made", "Stated", "Difference", "State")] == [12, 12, 0, 12, 13, -1, "differs"]
    assert second["Starting chain"] == "ch 1 does not count"
    # Row 2's count is taken over, so that of what lies below only the number is known, and what was skipped is not.
    assert [third[h] for h in ("Worked into", "dc", "Skipped", "Starting chain", "Made", "State")] == [13, 13, None, "ch 3 counts as dc", 13, "proved"]


@pytest.mark.parametrize(
    ("row", "skipped"),
    [
        ("Ch 3 (counts as dc), sk first st, dc in next 3 sts, sk next 2 sts, 3 dc in next st, dc in each st across, turn. (12 dc)", 2),
        ("Ch 1, *sc in next st, sk next st; rep from * across, turn. (6 sc)", 6),
        ("Ch 1, sc in next 4 sts, sk next 4 sts, (2 dc, ch 2, 2 dc) in next st, sc in next 3 sts, turn.", 4),
        ("Ch 1, *sk next 2 sts, dc in next 2 sts, dc in first skipped st, dc in second skipped st; rep from * across, turn. (12 dc)", 0),
        ("Ch 1, sc2tog across, turn. (6 sc)", 0),
    ],
)
def test_stitches_skipped_are_those_nothing_is_worked_into(row: str, skipped: int) -> None:
    source = MAT.replace("(13 sc)", "(12 sc)").split("Row 3")[0] + f"Row 3: {row}\n"
    third = lines(workbook.sheet("counts", desk(source)))[2]
    assert (third["Worked into"], third["Skipped"]) == (12, skipped)


def test_stitches_have_the_names_of_the_manuscript() -> None:
    uk = MAT.replace("US terms", "UK terms").replace("sc", "DC").replace("dc", "tr").replace("DC", "dc")
    first = lines(workbook.sheet("counts", desk(uk)))[0]
    assert (first["dc"], first["How it was worked out"]) == (12, "12 dc = 12")
    both = lines(workbook.sheet("counts", desk(MAT, uk)))
    assert [line["sc (US)"] for line in both if line["Row"] == "Row 1"] == [12, 12]


def test_sizes_stand_beside_each_other() -> None:
    rows = lines(workbook.sheet("sizes", desk(SIZED)))
    assert [rows[1][h] for h in ("Row", "State", "S", "M", "L", "L: difference")] == ["Row 2", "differs", 10, 12, 14, -1]


def test_manuscripts_with_other_sizes_share_a_sheet() -> None:
    rows = lines(workbook.sheet("sizes", desk(MAT, SIZED)))
    assert [(r["Manuscript"], r["Size 1"], r["Size 3"]) for r in rows] == [("0.txt", 12, None), ("0.txt", 12, None), ("0.txt", 13, None), ("1.txt", 10, 14), ("1.txt", 10, 14)]


def test_measurements_by_the_printed_gauge() -> None:
    rows = lines(workbook.sheet("measurements", desk(MAT.replace("(13 sc)", "(12 sc)"))))
    # 12 stitches at 16 to 10 cm are 7.5 cm, 13 are 8.125 cm; 3 rows at 20 to 10 cm are 1.5 cm. The gauge is in sc, as two rows of three are.
    assert [(r["Place"], r["Computed, cm"], r["Stated, cm"], r["Within it"]) for r in rows] == [
        ("first row, Row 1", 7.5, None, ""),
        ("widest row, Row 3", 8.125, None, ""),
        ("length, 3 rows", 1.5, None, ""),
    ]


def test_measurements_by_what_is_given_beside_the_manuscript() -> None:
    given = Unprinted((GivenGauge("lattice", 20, 10, None, 10),), (GivenMeasure("Mat", (8.0,)),))
    rows = lines(workbook.sheet("measurements", desk(MAT, unprinted=given)))
    widest = next(r for r in rows if r["Stated, cm"])
    assert widest["Gauge"] == "lattice, given beside the manuscript"
    assert (widest["Stitches or rows"], widest["Computed, cm"], widest["Difference, cm"], widest["Within it"]) == (13, 6.5, -1.5, "no")


def test_no_width_is_given_for_rounds_that_grow() -> None:
    source = "US terms.\nGauge: 16 sc and 20 rnds = 10 cm\n\nDisc\nRnd 1: 6 sc in magic ring. (6)\nRnd 2: 2 sc in each st around. (12)\nRnd 3: (Sc in next st, 2 sc in next st) 6 times. (18)\n"
    assert lines(workbook.sheet("measurements", desk(source))) == []


def test_a_gauge_in_another_stitch_is_not_used() -> None:
    piece = proof(Text(MAT)).work.pieces[0]
    assert share_in(piece, "sc") == pytest.approx(24 / 37) and share_in(piece, "tr") == 0
    assert lines(workbook.sheet("measurements", desk(MAT.replace("16 sc and", "16 tr and")))) == []


def test_steps_between_sizes_are_sums() -> None:
    sheet = workbook.sheet("steps", desk(SIZED))
    assert lines(sheet)[0] | {"What": ""} == {"What": "", "S": 10, "M": 12, "L": 14, "step to M": 2, "step to L": 2, "Even": ""}
    assert isinstance(sheet.rows[0][4], Sum)


def test_every_finding_and_what_it_follows_from() -> None:
    source = MAT.replace("turn. (13 dc)", "turn. (14 dc)").replace("(13 sc)", "(20 sc)")
    found = lines(workbook.sheet("findings", desk(source)))
    done = desk(source).manuscripts[0].proof
    assert [f["Finding"] for f in found] == [f.message for f in done.findings]
    assert [f["Name"] for f in found] == list(done.handles)


def test_the_scope_is_said() -> None:
    said = " ".join(str(line["In words"]) for line in lines(workbook.sheet("scope", desk(MAT))))
    assert "Worked: 3 rows of 3" in said and "Needs eyes and hands" in said and "1 differ" in said


# Sums that recompute


def recomputed(book: Any) -> Iterator[tuple[object, object]]:
    """Every formula of a workbook worked out from the numbers alone, and the value written beside it."""
    formulas, values = load_workbook(BytesIO(book)), load_workbook(BytesIO(book), data_only=True)

    def value(sheet: str, cell: str) -> Any:
        found = formulas[sheet][cell].value
        return worked(sheet, found) if isinstance(found, str) and found.startswith("=") else "" if found is None else found

    def worked(sheet: str, formula: str) -> Any:
        code = re.sub(r"SUM\(([A-Z]+)(\d+):([A-Z]+)\2\)", r'total("\1","\3",\2)', formula[1:])
        code = re.sub(r"(?<![\"\w!])(?:(\w+)!)?([A-Z]{1,2}\d+)\b", lambda m: f'value("{m[1] or sheet}","{m[2]}")', code)
        code = re.sub(r"(?<![<>])=", "==", code)

        def total(first: str, last: str, row: int) -> int:
            names = [letters(i) for i in range(200)]
            return sum(value(sheet, f"{name}{row}") or 0 for name in names[names.index(first) : names.index(last) + 1])

        lazy = re.sub(r"IF\(OR\((.*?)\),\"\",(.*)\)$", r'("" if any([\1]) else \2)', code)
        lazy = re.sub(r"IF\((.*?),\"\",IF\((.*),\"yes\",\"no\"\)\)$", r'("" if \1 else "yes" if \2 else "no")', lazy)
        return eval(lazy, {"value": value, "total": total, "ABS": abs})

    for page in formulas.worksheets:
        for row in page.iter_rows():
            for cell in row:
                if isinstance(cell.value, str) and cell.data_type == "f":
                    yield worked(page.title, cell.value), values[page.title][cell.coordinate].value


def test_every_sum_recomputes_to_what_the_program_says() -> None:
    given = Unprinted((GivenGauge("lattice", 20, 10, 18, 10),), (GivenMeasure("Mat", (8.0,), (2.0,)),))
    pairs = list(recomputed(xlsx.workbook(workbook.sheets(desk(MAT, SIZED, unprinted=given)))))
    assert len(pairs) > 40
    for here, there in pairs:
        assert (here or 0) == pytest.approx(there or 0) if not isinstance(here, str) else here == (there or "")


def test_a_number_changed_by_hand_changes_the_difference() -> None:
    book = load_workbook(BytesIO(xlsx.workbook(workbook.sheets(desk(MAT)))))
    sheet = book["Counts"]
    heads = {cell.value: cell.column for cell in sheet[1]}
    sheet.cell(3, heads["Stated"]).value = 12
    out = BytesIO()
    book.save(out)
    changed = load_workbook(BytesIO(out.getvalue()))["Counts"].cell(3, heads["Difference"])
    assert changed.data_type == "f"
    # openpyxl keeps no values, so all that can be compared is what the sums come to.
    assert [here for here, _ in recomputed(out.getvalue())].count(-1) == 0


# Words stay words

FORMULAS = ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "＝1+1", " =1", '=HYPERLINK("x")', "'=1", "''-2", "@"]


@pytest.mark.parametrize("said", FORMULAS)
def test_words_are_guarded_and_read_back(said: str) -> None:
    assert guarded(said).startswith("'") and unguarded(guarded(said)) == said
    assert guarded("sc in next st") == "sc in next st" and unguarded("'tis") == "'tis"


@pytest.mark.parametrize("said", ["=cmd|' /C calc'!A0", "+Sleeve", "-Cuff", "@Border"])
def test_a_manuscript_makes_no_formula(said: str) -> None:
    source = MAT.replace("\nMat\nCh", f"\n{said}\nCh").replace("Gauge:", f"{said}\nGauge:")
    here = desk(source.replace("Row 3:", f"{said} Row 3:"), source)
    formulas = {c.formula for s in workbook.sheets(here) for row in s.rows for c in row if isinstance(c, Sum)}
    book = load_workbook(BytesIO(xlsx.workbook(workbook.sheets(here))))
    for sheet in book.worksheets:
        for row in sheet.iter_rows():
            assert all(cell.value in formulas for cell in row if cell.data_type == "f")
    for name in workbook.NAMES:
        for row in csv.reader(StringIO(worksheets.comma_separated(here.manuscripts, None, name))):
            assert not [cell for cell in row if cell.startswith(("=", "+", "-", "@")) and not re.fullmatch(r"-?\d+(\.\d+)?", cell)]


def test_words_that_a_file_cannot_hold_are_replaced() -> None:
    strange = "a\x00b\ufffe\ud800c\x1b"
    sheet = Sheet("Strange", (Column("Words", 20),), ((words(strange),), ("x" * 40_000,), ("_x0041_",)))
    book = load_workbook(BytesIO(xlsx.workbook([sheet])))["Strange"]
    assert book["A2"].value == "a\ufffdb\ufffd\ufffdc\ufffd"
    assert len(book["A3"].value) == xlsx.LONGEST


def test_a_sheet_has_an_end(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(xlsx, "MOST_ROWS", 2)
    book = load_workbook(BytesIO(xlsx.workbook([workbook.sheet("counts", desk(MAT))])))["Counts"]
    assert book["A4"].value.startswith("1 more lines are not in this sheet")


def test_columns_have_the_names_of_spreadsheets() -> None:
    assert [letters(n) for n in (0, 25, 26, 51, 52, 701, 702)] == ["A", "Z", "AA", "AZ", "BA", "ZZ", "AAA"]


# The command


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "mat.txt").write_text(MAT, "utf-8")
    return tmp_path


def test_a_workbook_is_written(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["worksheet", "--format", "xlsx", "-o", "out.xlsx", "mat.txt"]) == 0
    assert capsys.readouterr() == ("", "")
    assert load_workbook("out.xlsx").sheetnames == ["Counts", "Sizes by row", "Measurements", "Steps between sizes", "Findings", "Queries", "Scope"]
    first = (folder / "out.xlsx").read_bytes()
    assert cli.main(["worksheet", "--format", "xlsx", "-o", "out.xlsx", "mat.txt"]) == 0
    assert (folder / "out.xlsx").read_bytes() == first


def test_other_formats_can_go_to_a_file(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["worksheet", "--format", "json", "mat.txt"]) == 0
    printed = capsys.readouterr().out
    assert cli.main(["worksheet", "--format", "json", "--output", "out.json", "mat.txt"]) == 0
    assert (folder / "out.json").read_text("utf-8") == printed
    assert cli.main(["worksheet", "--format", "csv", "-o", "out.csv", "mat.txt"]) == 0
    # The mark tells a spreadsheet that the file is UTF-8.
    assert (folder / "out.csv").read_bytes().startswith(b"\xef\xbb\xbfPiece,")


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["--format", "xlsx", "mat.txt"], "name the file to write"),
        (["--format", "xlsx", "-o", "mat.txt", "mat.txt"], "this is the manuscript itself"),
        (["--format", "csv", "-o", "mat.txt", "."], "this is the manuscript itself"),
        (["--format", "csv", "-o", ".", "mat.txt"], "this is a folder"),
        (["--format", "json", "--answers", "gone.xlsx", "mat.txt"], "--answers goes with --format xlsx or csv"),
        (["--format", "xlsx", "-o", "no/such/out.xlsx", "mat.txt"], "could not be written"),
        (["--format", "xlsx", "-o", "out.xlsx", "gone.txt"], "there is no such file"),
        (["--format", "xlsx", "-o", "out.xlsx", "--answers", "gone.xlsx", "mat.txt"], "this query list could not be read"),
    ],
)
def test_what_cannot_be_written_is_said(folder: Path, capsys: pytest.CaptureFixture[str], arguments: list[str], said: str) -> None:
    assert cli.main(["worksheet", *arguments]) == 2
    assert said in capsys.readouterr().err
    assert sorted(p.name for p in folder.iterdir()) == ["mat.txt"] and (folder / "mat.txt").read_text("utf-8") == MAT


def test_without_the_library_it_says_what_to_install(folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(worksheets, "find_spec", lambda name: None)
    assert cli.main(["worksheet", "--format", "xlsx", "-o", "out.xlsx", "mat.txt"]) == 2
    assert "tenterhook[spreadsheet]" in capsys.readouterr().err


def test_proofing_loads_no_spreadsheet() -> None:
    code = "import sys, tenterhook.lint.cli as c, tenterhook.lint.beside.desk, tenterhook.lint.worksheets; print({'xlsxwriter', 'openpyxl', 'tenterhook.lint.report'} & set(sys.modules))"
    assert subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.strip() == "set()"
