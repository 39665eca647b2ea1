"""What a person reads: marks under the right words, followers under their cause, nothing unread passed over."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from handmade import span_of
from rich.cells import cell_len
from tenterhook.lint.finding import Because, Finding, Severity
from tenterhook.lint.manuscript.read import Unreadable
from tenterhook.lint.proof import Proof
from tenterhook.lint.report import scope, terminal
from tenterhook.lint.report.excerpt import excerpt
from tenterhook.lint.report.page import Page, cells, wrapped
from tenterhook.lint.text import Span, Text
from tenterhook.lint.words import listed, one_line, row_list


def report_of(proof: Proof, width: int = 80, colour: bool = False) -> str:
    page = Page(width, colour)
    terminal.manuscript("cowl.md", proof, page)
    terminal.closing([scope.summary("cowl.md", proof)], [], page)
    return page.text()


def words_of(text: str) -> str:
    return " ".join(text.split())


def shown(source: str, marked: str, width: int = 40, nth: int = 1) -> list[str]:
    text = Text(source)
    lines = excerpt(text, span_of(text, marked, nth), None, width, "wrong")
    return ["".join(cell.char for cell in line) for line in lines]


def test_marks_stand_under_the_words() -> None:
    assert shown("Row 1: 3 sc. (4 sts)", "4 sts") == ["Row 1: 3 sc. (4 sts)", "              ^^^^^"]


def test_marks_follow_the_words_over_a_wrapped_line() -> None:
    assert shown("Row 1: sc in each of next 9 sts, turn.", "of next 9", width=24) == [
        "Row 1: sc in each of",
        "                  ^^",
        "next 9 sts, turn.",
        "^^^^^^",
    ]


def test_marks_stand_under_wide_and_combining_characters() -> None:
    assert shown("編み cafe\u0301 9 sts", "9") == ["編み cafe\u0301 9 sts", "          ^"]
    assert shown("a 編み b", "編み") == ["a 編み b", "  ^^^^"]


def test_no_marks_where_all_of_a_wrapped_row_is_concerned() -> None:
    assert shown("sc in each of next 9 sts, turn.", "sc in each of next 9 sts, turn.", width=24) == [
        "sc in each of next 9",
        "sts, turn.",
    ]
    assert shown("sc in next 9", "sc in next 9") == ["sc in next 9", "^^^^^^^^^^^^"]


def test_an_empty_span_at_the_end_is_marked() -> None:
    text = Text("Row 1: 3 sc")
    lines = list(excerpt(text, Span(11, 11), None, 40, "wrong"))
    assert "".join(c.char for c in lines[1]) == " " * 11 + "^"


def test_a_long_row_is_cut_around_the_words() -> None:
    source = "Row 1: " + ", ".join(f"{n} sc" for n in range(1, 200)) + "."
    lines = shown(source, "150", width=40)
    assert lines[0].startswith("Row 1:")
    assert lines.count("…") == 2
    marks = next(line for line in lines if "^" in line)
    above = lines[lines.index(marks) - 1]
    assert above[marks.index("^") : len(marks)] == "150"
    assert len(lines) < 10


def test_a_row_broken_over_lines_is_shown_whole(cowl: Proof) -> None:
    source = "Row 1: Ch 4,\r\n\tsc in 2nd ch\nfrom hook. (4 sts)"
    text = Text(source)
    lines = list(excerpt(text, span_of(text, "4 sts"), text.whole, 80, "wrong"))
    assert "".join(c.char for c in lines[0]) == "Row 1: Ch 4, sc in 2nd ch from hook. (4 sts)"


@pytest.mark.parametrize("width", [60, 80, 100, 120, 140])
def test_no_line_is_wider_than_the_terminal(cowl: Proof, width: int) -> None:
    assert max(map(cell_len, report_of(cowl, width).splitlines())) <= width


@pytest.mark.parametrize("width", [1, 40, 60, 500])
def test_the_same_is_said_at_any_width(cowl: Proof, width: int) -> None:
    for sentence in (
        "9 sc + 8 FPdc + 9 sc = 26 stitches; the row says 27. Should it say 26, or is an increase meant?",
        "Row 2 leaves 26 stitches (line 13).",
        "Correction: Say 26 sts.",
        "Taken on the designer's word: Body: Row 6.",
        "“work shells evenly across”",
        "The ch 1 at the start of a row does not count as a stitch.",
        "7 rows: 3 proved, 2 differ, 1 assumed, 1 not read.",
    ):
        assert sentence in words_of(report_of(cowl, width))


def test_colour_adds_no_words_and_takes_none(cowl: Proof) -> None:
    coloured = report_of(cowl, colour=True)
    assert "\x1b[" in coloured
    assert re.sub(r"\x1b\[[0-9;]*m", "", coloured) == report_of(cowl)


def test_what_follows_hangs_under_its_first_cause(cowl: Proof) -> None:
    report = report_of(cowl)
    numbered = re.findall(r"(?m)^\d+\. \w+ · (.*?)  ", report)
    assert numbered == ["Body, Row 3, line 14", "Body, Row 5, line 16", "line 7"]
    under = words_of(report)[words_of(report).index("2 findings follow from this") : words_of(report).index("2. Query")]
    assert "base-short" in under
    assert "27 made, one more than the row below" in under


def test_a_long_tail_is_folded_but_every_place_is_named(cowl: Proof) -> None:
    cause = cowl.findings[0]
    tail = tuple(replace(cause, message="The same 1 again.", place=f"Row {n}", follows=0) for n in range(20, 40))
    report = words_of(report_of(replace(cowl, findings=(cause, *tail))))
    assert report.count("The same 1 again.") == terminal.MAX_FOLLOWERS
    spelled = 20 + terminal.MAX_FOLLOWERS
    assert f"and {40 - spelled} more: {', '.join(f'Row {n}' for n in range(spelled, 40))} " in report


@pytest.mark.parametrize("follows", [(1, 0), (0, None), (7, None), (None, 0)])
def test_no_finding_is_lost_whatever_it_says_it_follows(cowl: Proof, follows: tuple[int | None, ...]) -> None:
    findings = tuple(
        replace(cowl.findings[0], message=f"Message {n}.", follows=cause) for n, cause in enumerate(follows)
    )
    report = report_of(replace(cowl, findings=findings))
    assert "Message 0." in report
    assert "Message 1." in report


def test_each_phrase_not_read_is_named_once(cowl: Proof) -> None:
    loose = span_of(cowl.text, "# Quayside Cowl")
    extra = Finding("not-read", Severity.SUGGESTION, "This sentence was not read.", loose)
    report = report_of(replace(cowl, findings=(*cowl.findings, extra)))
    assert report.count("“work shells evenly across”") == 1
    assert "line 1: “# Quayside Cowl” – This sentence was not read." in words_of(report)
    assert "These words were not read." not in report
    assert scope.summary("cowl.md", cowl).phrases_unread == 1


def test_nothing_found_still_says_what_was_worked(cowl: Proof) -> None:
    report = words_of(report_of(replace(cowl, findings=())))
    assert "no findings" in report
    assert "7 rows: 3 proved" in report
    assert "“work shells evenly across”" in report
    assert "Needs eyes and hands" in report


def test_sizes_are_named_where_not_all_are_concerned(cowl: Proof) -> None:
    pattern = replace(cowl.pattern, sizes=("S", "M", "L"))
    some = replace(cowl.findings[0], sizes=("M", "L"))
    every = replace(cowl.findings[0], sizes=("S", "M", "L"))
    report = report_of(replace(cowl, pattern=pattern, findings=(some, every)))
    assert "sizes S, M, L" in report
    assert "line 14, sizes M and L" in report
    assert "line 14, all sizes" in report


def test_a_manuscript_cannot_command_the_terminal(cowl: Proof) -> None:
    text = Text("Row 1: 3 sc \x1b[2J\x1b]0;x\x07 \u202edlrow (4 sts)")
    finding = Finding("row-total", Severity.WRONG, "“\x1b[2J” made 3.", span_of(text, "4 sts"), "Row\x071")
    because = (Because(text.whole, "\x9b31m said so"),)
    work = replace(cowl.work, pieces=())
    proof = replace(cowl, text=text, work=work, findings=(replace(finding, because=because),))
    assert not re.search(r"[\x00-\x09\x0b-\x1f\x7f-\x9f\u202a-\u202e]", report_of(proof))


def test_several_manuscripts_end_with_an_overview(cowl: Proof) -> None:
    page = Page(60)
    long = "series/" + "long-" * 20 + "name.md"
    terminal.closing(
        [scope.summary("cowl.md", cowl), scope.summary(long, replace(cowl, findings=()))],
        [Unreadable("chart.pdf", "this kind of file is not read yet")],
        page,
    )
    lines = page.text().splitlines()
    assert max(map(len, lines)) <= 60
    (row,) = [line for line in lines if line.startswith("cowl.md")]
    assert row.split()[1:] == ["2", "2", "1", "–", "7", "3"]
    assert any(line.startswith("…") and "name.md" in line for line in lines)
    assert "chart.pdf: this kind of file is not read yet" in page.text()


def test_wrapping_loses_no_word() -> None:
    words = "one two  three " + "x" * 25 + " 編み物編み物 four"
    lines = ["".join(c.char for c in line) for line in wrapped(cells(words), 10)]
    assert "".join("".join(lines).split()) == "".join(words.split())
    assert max(map(cell_len, lines)) <= 10


def test_small_wordings(cowl: Proof) -> None:
    rows = cowl.work.pieces[0].rows
    assert row_list(rows) == "Rows 1–6"
    assert row_list((rows[0], rows[1], rows[3])) == "Rows 1, 2 and 4"
    assert row_list((rows[2],)) == "Row 3"
    assert row_list((replace(rows[0], label="Next row", number=None), rows[4])) == "Next row, Row 5"
    assert listed(["A", "B", "C"]) == "A, B and C"
    assert one_line("a\r\n b\tc") == "a b c"
