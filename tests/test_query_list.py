"""The query list: made, filled in, read back, and carried into the next round by place and words."""

from __future__ import annotations

import csv
import json
import zipfile
from collections.abc import Callable, Sequence
from dataclasses import replace
from io import BytesIO, StringIO
from pathlib import Path
from typing import Any

import pytest
from handmade import STRAP
from jsonschema import Draft202012Validator
from openpyxl import Workbook, load_workbook
from tenterhook.lint import cli
from tenterhook.lint.beside import answers
from tenterhook.lint.beside.answers import in_workbook, read_answers
from tenterhook.lint.beside.toml_file import Faulty
from tenterhook.lint.confined import Refused
from tenterhook.lint.proof import Proof, proof
from tenterhook.lint.queries import HEADS, QueryList, State, answered
from tenterhook.lint.report import csv_sheet, json_report, lines, proof_html, terminal, workbook, xlsx
from tenterhook.lint.report.page import Page
from tenterhook.lint.report.query_sheet import query_list
from tenterhook.lint.report.sheets import Desk, Manuscript
from tenterhook.lint.text import Text

FIRST, LATER = "Row 2: Ch 1, sc in each sc across, turn. (13 sc)", "Row 4: Ch 1, sc in next 20 sc, turn. (20 sc)"
MENDED = STRAP.replace(FIRST, FIRST.replace("13", "12")).replace("turn. (13 sc)", "turn. (12 sc)")


def proofed(source: str, asked: QueryList = QueryList(), name: str = "strap.txt") -> Proof:  # noqa: B008 - immutable
    return answered(proof(Text(source, name)), replace(asked, alone=True).of(name))


def listed(done: Proof, asked: QueryList = QueryList()) -> QueryList:  # noqa: B008 - immutable
    return query_list(Desk((Manuscript(done.text.name, done),), replace(asked, alone=True)))


def told(queries: QueryList) -> list[tuple[int, int, str, str]]:
    return [(q.asked.number, q.asked.round, q.asked.state, q.entry.rule) for q in queries.queries]


def filled(queries: QueryList, **states: str) -> QueryList:
    """The list with states put in: ``q1="stands"``."""
    changed = [replace(q, asked=replace(q.asked, state=states.get(f"q{q.asked.number}", q.asked.state), answer="As told." if f"q{q.asked.number}" in states else "")) for q in queries.queries]
    return replace(queries, queries=tuple(changed))


# Rounds


def test_a_first_list_numbers_what_stands_by_itself() -> None:
    first = listed(proofed(STRAP))
    assert first.round == 1
    assert told(first) == [(1, 1, "open", "row-total"), (2, 1, "open", "base-short"), (3, 1, "open", "row-total")]
    query = first.queries[1]
    assert query.place == "Strap, Row 4, line 10"
    assert query.question == proofed(STRAP).findings[1].message
    assert "leaves 13 (line 9)" in query.reason and "maker" in query.reason


def test_a_proposal_is_the_line_as_it_would_read() -> None:
    source = "Vole\n\nUS terms.\n\nFoot\nRnd 1: 6 sc in magic ring. [6]\nRnd 2: Inc x 6. [12]\nRnd 3: (Sc, inc) x 6. [18]\nRnd 4: 3 sc, dec x 7, 3 sc. [12]\n"
    (query,) = listed(proofed(source)).queries
    assert query.proposal == "Work the repeat 6 times instead of 7: Rnd 4: 3 sc, dec x 6, 3 sc. [12]"


def test_numbers_and_rounds_are_kept_and_new_queries_come_after_them() -> None:
    first = filled(listed(proofed(STRAP)), q3="answered")
    changed = MENDED.replace("Ch 6.", "Ch 7.").replace("(5 sc)\n", "(6 sc)\n").replace("(6 sc)\n", "(6 sc)\nRow 2: Ch 1, sc in each sc across, turn. (9 sc)\n", 1)
    second = listed(proofed(changed, first), first)
    assert second.round == 2
    states = {number: (round_, state) for number, round_, state, _ in told(second)}
    assert states[1] == (1, "closed") and states[2] == (1, "open")
    assert all(round_ == 2 for number, (round_, _) in states.items() if number > 3)
    assert max(states) > 3 and sorted(states) == [q.asked.number for q in second.queries]


def test_queries_are_found_again_by_their_words_where_lines_have_moved() -> None:
    first = filled(listed(proofed(STRAP)), q1="answered", q2="stands")
    moved = STRAP.replace("US terms.\n", "US terms.\n\nA note on the yarn, in a paragraph of its own.\n\n\n")
    done = proofed(moved, first)
    assert [(f.asked and f.asked.number, f.stands) for f in done.findings] == [(1, ""), (2, "As told."), (3, "")]
    assert done.closed == ()


def test_what_stands_is_quiet_and_what_was_answered_is_not() -> None:
    first = filled(listed(proofed(STRAP)), q1="answered", q2="stands")
    done = proofed(STRAP, first)
    assert [f.asked.number for f in done.loud() if f.asked] == [1, 3]
    assert [f.asked.state for f in done.findings if f.asked] == ["answered", "stands", "open"]


def test_what_was_closed_and_is_found_is_open_again() -> None:
    done = proofed(STRAP, filled(listed(proofed(STRAP)), q1="closed"))
    assert done.findings[0].asked is not None
    assert (done.findings[0].asked.state, done.findings[0].asked.again) == ("open", True)
    assert str(done.findings[0].asked) == "Query 1, round 1, open again: “As told.”"


def test_what_stands_is_told_again_when_it_has_become_graver() -> None:
    first = filled(listed(proofed(STRAP)), q1="stands")
    milder = replace(first, queries=tuple(replace(q, entry=replace(q.entry, severity=type(q.entry.severity)("query"))) for q in first.queries))
    done = proofed(STRAP, milder)
    assert done.findings[0].asked is not None and done.findings[0].asked.again and not done.findings[0].stands


def test_what_is_gone_is_closed_and_stays_in_the_list() -> None:
    first = filled(listed(proofed(STRAP)), q1="answered")
    done = proofed(MENDED, first)
    assert [(a.number, a.state, a.answer) for a in done.closed] == [(1, "closed", "As told.")]
    second = listed(done, first)
    assert told(second)[0] == (1, 1, "closed", "row-total")
    third = listed(proofed(MENDED, second), second)
    assert told(third)[0] == (1, 1, "closed", "row-total") and third.round == 3


def test_a_list_follows_a_manuscript_that_was_renamed() -> None:
    first = listed(proofed(STRAP, name="strap-1.txt"))
    second = listed(proofed(MENDED, first, name="strap-2.txt"), first)
    assert {q.manuscript for q in second.queries} == {"strap-2.txt"}
    assert proofed(MENDED, second, name="strap-3.txt").closed[0].number == 1


def test_of_several_manuscripts_each_has_its_own_queries() -> None:
    one, two = proofed(STRAP, name="a/strap.txt"), proofed(STRAP.replace("Samphire", "Sallow"), name="b/tab.txt")
    both = query_list(Desk((Manuscript("a/strap.txt", one), Manuscript("b/tab.txt", two)), QueryList()))
    assert [q.asked.number for q in both.of("b/tab.txt")] == [4, 5, 6] == [q.asked.number for q in both.of("tab.txt")]
    assert both.of("other.txt") == ()
    only_one = query_list(Desk((Manuscript("a/strap.txt", answered(one, both.of("a/strap.txt"))),), both))
    assert told(only_one) == told(both)  # what was not proofed this time is kept as it was


# Read back


def written(queries: Desk, form: str, folder: Path) -> Path:
    path = folder / f"queries.{form}"
    if form == "xlsx":
        path.write_bytes(xlsx.workbook(workbook.sheets(queries)))
    else:
        path.write_text(csv_sheet.table(workbook.sheet("queries", queries)), "utf-8-sig", newline="")
    return path


@pytest.mark.parametrize("form", ["xlsx", "csv"])
@pytest.mark.parametrize("source", [STRAP, STRAP.replace("Strap\nCh", "=Strap\nCh"), STRAP.replace("Row 4:", "Row 4: =1, +2, '=3,")])
def test_a_list_comes_back_as_it_went(tmp_path: Path, form: str, source: str) -> None:
    desk = Desk((Manuscript("strap.txt", proofed(source)),), QueryList())
    sent, back = query_list(desk), read_answers(str(written(desk, form, tmp_path)))
    assert back.round == 1
    for one, other in zip(sent.queries, back.queries, strict=True):
        assert replace(other, entry=replace(other.entry, line=None, said=one.entry.said)) == one


def test_answers_are_read_from_a_workbook_that_was_filled_in(tmp_path: Path) -> None:
    path = written(Desk((Manuscript("strap.txt", proofed(STRAP)),), QueryList()), "xlsx", tmp_path)
    book = load_workbook(path)
    sheet = book["Queries"]
    heads = {cell.value: cell.column for cell in sheet[1]}
    sheet.cell(2, heads["Answer"]).value = "Yes,\nit is 12."
    sheet.cell(3, heads["State"]).value = " Stands "
    sheet.cell(4, heads["Answer"]).value = "=12"
    sheet.move_range(f"A1:{sheet.cell(1, sheet.max_column).column_letter}{sheet.max_row}", rows=2)  # someone put a title above
    sheet.cell(1, 1).value = "From the author, with thanks"
    book.move_sheet("Queries", -3)
    book.save(path)
    asked = [q.asked for q in read_answers(str(path)).queries]
    assert [(a.state, a.answer) for a in asked] == [("answered", "Yes, it is 12."), ("stands", ""), ("answered", "=12")]


def test_a_comma_separated_list_may_have_semicolons_and_other_columns(tmp_path: Path) -> None:
    table = list(csv.reader(StringIO(csv_sheet.table(workbook.sheet("queries", Desk((Manuscript("strap.txt", proofed(STRAP)),), QueryList()))))))
    out = StringIO()
    csv.writer(out, delimiter=";").writerows([["Mine", *row[::-1]] for row in table])
    path = tmp_path / "queries.csv"
    path.write_text(out.getvalue(), "utf-8", newline="")
    assert [q.asked.number for q in read_answers(str(path)).queries] == [1, 2, 3]


def table_of(*changes: dict[str, str]) -> list[list[str]]:
    usual = {"Number": "1", "State": "open", "Check": "row-total", "Kind": "wrong", "Exact words": "13 sc", "Round": "1"}
    rows = [usual | change for change in changes]
    return [list(HEADS), *([row.get(head, "") for head in HEADS] for row in rows)]


def as_csv(table: Sequence[Sequence[str]], path: Path) -> str:
    with path.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows(table)
    return str(path)


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ([{"State": "Maybe"}], "line 2: the state is “Maybe”, but must be open, answered, stands or closed"),
        ([{"Kind": "grave"}], "line 2: the kind is “grave”"),
        ([{}, {}], "line 3: number 1 stands in line 2 already"),
        ([{"Number": "one"}], "line 2: Number is “one”, but must be a number from 1"),
        ([{"Number": "0"}], "Number is “0”"),
        ([{"Number": "9" * 5_000}], f"Number is “{'9' * 30}…”"),
        ([{"Round": "2.5"}], "Round is “2.5”"),
        ([{"Check": ""}], "line 2: the column Check is empty"),
        ([{"Number": str(n + 1), "State": "x"} for n in range(12)], "and 4 more faults"),
    ],
)
def test_every_line_at_fault_is_named(tmp_path: Path, changes: list[dict[str, str]], said: str) -> None:
    with pytest.raises(Faulty) as faulty:
        read_answers(as_csv(table_of(*changes), tmp_path / "queries.csv"))
    assert said in faulty.value.reason


def packed(parts: dict[str, bytes]) -> bytes:
    out = BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as file:
        for name, data in parts.items():
            file.writestr(name, data)
    return out.getvalue()


def whole_book() -> bytes:
    out = BytesIO()
    Workbook().save(out)
    return out.getvalue()


def with_part(name: str, content: str) -> bytes:
    """A query list as a workbook, one of its parts replaced."""
    desk = Desk((Manuscript("strap.txt", proofed(STRAP)),), QueryList())
    with zipfile.ZipFile(BytesIO(xlsx.workbook(workbook.sheets(desk)))) as book:
        return packed({part: content.encode() if part == name else book.read(part) for part in book.namelist()})


XMLNS = 'xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"'
ENTITIES = "".join(f'<!ENTITY e{n} "{f"&e{n - 1};" * 10 if n else "ha"}">' for n in range(10))


@pytest.mark.parametrize(
    ("name", "data", "said"),
    [
        ("a.xlsx", lambda: b"no workbook at all", "this is no workbook of the kind that is read"),
        ("a.xlsx", lambda: b"PK\x03\x04 and then nothing", "this file is damaged"),
        ("a.xlsx", lambda: packed({"hello.txt": b"hello"}), "this file is damaged"),
        ("a.xlsx", lambda: whole_book(), "no sheet of it has the headings"),
        # Each entity is ten of the one before: a billion letters in all.
        ("a.xlsx", lambda: with_part("xl/sharedStrings.xml", f"<!DOCTYPE sst [{ENTITIES}]><sst {XMLNS}><si><t>&e9;</t></si></sst>"), "this file is damaged"),
        ("a.xlsx", lambda: with_part("xl/sharedStrings.xml", f"<sst {XMLNS}>{'<si><t>a</t></si>' * 2_400_000}</sst>"), "reading this file took"),
        ("a.xlsx", lambda: with_part("xl/worksheets/sheet6.xml", f"<worksheet {XMLNS}><sheetData><row><c><v>{'1' * 9_000}</v></c></row></sheetData></worksheet>"), "this file is damaged"),
        ("a.csv", lambda: b"Number,Words\n1,sc\n", "no sheet of it has the headings"),
        ("a.csv", lambda: b"", "no sheet of it has the headings"),
        ("a.csv", lambda: b"Number,\xff\xfe\n", "this query list is not UTF-8"),
        ("a.csv", lambda: b"Number,Words\n" + b"x" * 300_000, "this query list could not be read"),
        ("a.csv", lambda: b"x" * 8_000_001, "larger than 8 MB"),
    ],
)
def test_what_is_no_list_is_refused(tmp_path: Path, name: str, data: Callable[[], bytes], said: str) -> None:
    path = tmp_path / name
    path.write_bytes(data())
    with pytest.raises(Faulty) as faulty:
        read_answers(str(path))
    assert said in faulty.value.reason


def test_a_workbook_is_measured_before_it_is_unpacked(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(answers, "MAX_UNPACKED", 2_000_000)
    with pytest.raises(Refused, match="unpacks to more than 2 MB"):
        in_workbook(packed({"xl/workbook.xml": b"0" * 3_000_000}), {})


def test_a_list_has_a_most_of_lines(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(answers, "MAX_QUERIES", 3)
    with pytest.raises(Faulty, match="more than 3 lines"):
        read_answers(as_csv(table_of(*({"Number": str(n)} for n in range(1, 5))), tmp_path / "queries.csv"))


def test_states_are_the_ones_offered() -> None:
    desk = Desk((Manuscript("strap.txt", proofed(STRAP)),), QueryList())
    (column,) = (c for c in workbook.sheet("queries", desk).columns if c.head == "State")
    assert column.choices == tuple(State)
    book = load_workbook(BytesIO(xlsx.workbook(workbook.sheets(desk))))["Queries"]
    (offered,) = book.data_validations.dataValidation
    assert offered.formula1 == '"open,answered,stands,closed"'
    hidden = {book.cell(1, n).value for n in range(1, book.max_column + 1) if book.column_dimensions[book.cell(1, n).column_letter].hidden}
    assert {"Before", "After"} <= hidden or book.column_dimensions["K"].hidden  # neighbours of one look share an entry


# Reports


def test_every_report_tells_what_became_of_the_queries() -> None:
    first = filled(listed(proofed(STRAP)), q1="answered", q2="stands", q3="answered")
    done = proofed(MENDED, first)
    page = Page(200)
    terminal.manuscript("strap.txt", done, page)
    shown = page.text()
    assert "1 query of the list closed: the finding is gone" in shown and "Query 1, round 1, closed: “As told.”" in shown
    assert "Stands because: As told. (query 2, round 1)" in shown
    assert "Query 3, round 1, answered: “As told.”" in shown
    assert "(query 3, round 1, answered) [row-total]" in lines.report("strap.txt", done)
    html = proof_html.report([proof_html.part("strap.txt", done, 1)], [], [])
    assert "Query 3, round 1, answered: “As told.”." in html and "Queries that are closed" in html
    entry: dict[str, Any] = json_report.manuscript("strap.txt", done)
    assert entry["closed"] == [{"number": 1, "round": 1, "state": "closed", "answer": "As told.", "again": False}]
    asked = {"type": "object", "required": ["number", "round", "state", "answer", "again"], "additionalProperties": False, "properties": {key: {} for key in ("number", "round", "state", "answer", "again")}}
    queries = [f["query"] for f in entry["findings"] if "query" in f]
    assert len(queries) == 2
    for query in queries:
        Draft202012Validator(asked).validate(query)


def test_without_a_list_the_contract_is_as_it_was() -> None:
    entry: dict[str, Any] = json_report.manuscript("strap.txt", proofed(STRAP))
    assert "closed" not in entry and not any("query" in f for f in entry["findings"])


# The commands


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "strap.txt").write_text(STRAP, "utf-8")
    return tmp_path


def test_a_list_goes_out_and_comes_back(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["worksheet", "--format", "csv", "--sheet", "queries", "-o", "one.csv", "strap.txt"]) == 0
    table = list(csv.reader(StringIO((folder / "one.csv").read_text("utf-8-sig"))))
    heads = table[0]
    for row in table[1:]:
        row[heads.index("State")], row[heads.index("Answer")] = "stands", "It is meant so."
    as_csv(table, folder / "one.csv")
    assert cli.main(["proof", "--format", "json", "--answers", "one.csv", "strap.txt"]) == 0
    (entry,) = json.loads(capsys.readouterr().out)["manuscripts"]
    assert entry["stand"] == 3
    assert cli.main(["worksheet", "--format", "csv", "--sheet", "queries", "--answers", "one.csv", "-o", "two.csv", "strap.txt"]) == 0
    second = read_answers(str(folder / "two.csv"))
    assert second.round == 2 and {(q.asked.round, q.asked.state, q.asked.answer) for q in second.queries} == {(1, "stands", "It is meant so.")}


def test_answers_are_not_written_over(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = ["worksheet", "--format", "csv", "--sheet", "queries", "-o", "one.csv"]
    assert cli.main([*out, "strap.txt"]) == cli.main([*out, "strap.txt"]) == 0
    table = list(csv.reader(StringIO((folder / "one.csv").read_text("utf-8-sig"))))
    table[1][table[0].index("Answer")] = "12"
    as_csv(table, folder / "one.csv")
    before = (folder / "one.csv").read_bytes()
    assert cli.main([*out, "strap.txt"]) == 2
    assert "this query list has been filled in" in capsys.readouterr().err
    assert cli.main([*out, "--answers", "one.csv", "strap.txt"]) == 2
    assert "this is the query list that came back" in capsys.readouterr().err
    assert (folder / "one.csv").read_bytes() == before


def test_a_list_that_cannot_be_read_stops_the_proof(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / "one.csv").write_text("Number\n1\n", "utf-8")
    assert cli.main(["proof", "--answers", "one.csv", "strap.txt"]) == 2
    out, err = capsys.readouterr()
    assert out == "" and err.startswith("tenterhook: one.csv: no sheet of it has the headings")
