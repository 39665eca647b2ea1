"""Two versions of a manuscript: what is closed, still open and new, which rows come out otherwise, and what a correction broke."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator
from tenterhook.lint import cli
from tenterhook.lint import recheck as module
from tenterhook.lint.proof import Proof, proof
from tenterhook.lint.recheck import Came, Recheck, recheck
from tenterhook.lint.report import recheck_json, recheck_text
from tenterhook.lint.report.page import Page
from tenterhook.lint.text import Text
from test_report_json import PROOF_SCHEMA, closed

STRAP = """\
Samphire Strap

US terms.

Abbreviations
ch - chain
sc - single crochet
hdc - half double crochet

Strap
Ch 13.
Row 1: Sc in 2nd ch from hook and in each ch across, turn. (12 sc)
Row 2: Ch 1, sc in each sc across, turn. (13 sc)
Row 3: Ch 1, sc in next 13 sc, turn. (13 sc)
Rows 4-8: Ch 1, sc in each sc across, turn. (13 sc)
Row 9: Ch 1, sc in next 20 sc, turn. (20 sc)

Tab
Ch 6.
Row 1: Sc in 2nd ch from hook and in each ch across, turn. (5 sc)
Row 2: Ch 1, hdc in each sc across, turn. (6 hdc)
"""
ROW_2, ROW_9 = "Row 2: Ch 1, sc in each sc across, turn. (13 sc)", "Row 9: Ch 1, sc in next 20 sc, turn. (20 sc)"


def compared(old: str, new: str) -> Recheck:
    return recheck(*(proof(Text(source, name), corrections=False) for source, name in ((old, "old.txt"), (new, "new.txt"))))


def named(done: Proof, *indices: int) -> list[str]:
    return [done.handles[index] for index in indices]


def told(found: Recheck) -> tuple[list[str], list[tuple[str, str]], list[tuple[str, str]]]:
    """Handles of what is closed, of what is open as it was and as it is, and of what is new with how it came."""
    return (
        named(found.old, *found.closed),
        [(*named(found.old, s.old), *named(found.new, s.new)) for s in found.open],
        [(*named(found.new, f.new), f.came.value) for f in found.fresh],
    )


def test_the_same_twice() -> None:
    found = compared(STRAP, STRAP)
    handles = found.old.handles
    assert told(found) == ([], list(zip(handles, handles, strict=True)), [])
    assert found.changed == () and found.added == () == found.gone and not any(s.reworded for s in found.open)


def test_a_finding_that_was_mended_is_closed() -> None:
    found = compared(STRAP, STRAP.replace("(6 hdc)", "(5 hdc)"))
    assert told(found)[0] == ["row-total@tab-row-2"] and told(found)[2] == []
    (pair,) = found.changed
    assert (pair.piece, pair.new.label, pair.reworded) == ("Tab", "Row 2", True)


def test_a_correction_that_broke_something_else() -> None:
    found = compared(STRAP, STRAP.replace(ROW_2, ROW_2.replace("13", "12")))
    assert told(found)[0] == ["row-total@strap-row-2"]
    assert told(found)[2] == [("base-short@strap-row-3", "broken")]
    (fresh,) = found.fresh
    assert fresh.because is not None and fresh.because.label == "Row 2"
    assert named(found.old, *fresh.closed) == ["row-total@strap-row-2"]
    assert [(p.new.label, p.reworded) for p in found.changed] == [("Row 2", True), ("Row 3", False)]


def test_a_correction_that_broke_its_own_row() -> None:
    found = compared(STRAP, STRAP.replace("Ch 1, hdc in each sc across, turn. (6 hdc)", "Ch 1, 2 hdc in first sc, hdc in next 5 sc, turn. (7 hdc)"))
    assert told(found)[0] == ["row-total@tab-row-2"]
    (fresh,) = found.fresh
    assert (fresh.came, named(found.new, fresh.new), named(found.old, *fresh.closed)) == (Came.REWORDED, ["base-short@tab-row-2"], ["row-total@tab-row-2"])


def test_a_finding_whose_words_were_changed_in_vain_is_still_open() -> None:
    found = compared(STRAP, STRAP.replace("(6 hdc)", "(7 hdc)"))
    assert ("row-total@tab-row-2", "row-total@tab-row-2") in told(found)[1] and told(found)[0] == [] == told(found)[2]
    assert [s.reworded for s in found.open] == [False] * (len(found.open) - 1) + [True]


def test_rows_put_in_above_change_nothing() -> None:
    row = "Row 9: Ch 1, sc in each sc across, turn. (13 sc)\n"
    found = compared(STRAP, STRAP.replace("US terms.", "US terms.\n\nA line more.\n").replace(ROW_9, row + ROW_9.replace("Row 9", "Row 10")))
    assert told(found)[0] == [] == told(found)[2]
    assert ("base-short@strap-row-9", "base-short@strap-row-10") in told(found)[1]
    assert not any(s.reworded for s in found.open)
    assert [(p, r.label) for p, r in found.added] == [("Strap", "Row 9")] and found.gone == () == found.changed


def test_a_row_taken_out_is_gone_and_one_put_in_brings_its_own_findings() -> None:
    found = compared(STRAP, STRAP.replace(ROW_9 + "\n", ""))
    assert told(found)[0] == ["base-short@strap-row-9"] and [(p, r.label) for p, r in found.gone] == [("Strap", "Row 9")]
    found = compared(STRAP, STRAP.replace("(6 hdc)\n", "(6 hdc)\nRow 3: Ch 1, sc in each hdc across, turn. (9 sc)\n"))
    assert told(found)[2] == [("row-total@tab-row-3", "added")]


def test_what_comes_from_a_change_elsewhere_in_the_text() -> None:
    source = "US terms.\n\nSpecial stitches\nShell: 5 dc in next st.\n\nMat\nCh 3.\nRow 1: Sc in 2nd ch from hook and in next ch, turn. (2 sc)\nRow 2: Ch 1, sc in next sc, shell, turn. (1 sc, 5 dc)\n"
    found = compared(source, source.replace("5 dc in", "6 dc in"))
    assert found.old.findings == () and [came for _, came in told(found)[2]] == ["elsewhere"]
    assert [(p.new.label, p.reworded) for p in found.changed] == [("Row 2", False)]


def test_a_piece_may_be_renamed_and_another_added() -> None:
    found = compared(STRAP, STRAP.replace("\nTab\n", "\nLoop\n"))
    assert found.added == () == found.gone and told(found)[0] == [] == told(found)[2]
    found = compared(STRAP, STRAP + "\nKeeper\nCh 4.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (3 sc)\n")
    assert [(p, r.label) for p, r in found.added] == [("Keeper", "Row 1")]


def test_of_slips_alike_the_one_that_was_mended_is_closed() -> None:
    rows = "".join(f"Row {n}: Ch 1, sc in each sc across, turn. (13 sc)\n" for n in range(2, 5))
    source = f"US terms.\n\nMat\nCh 13.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (12 sc)\n{rows}".replace("Row 3: Ch 1, sc in each sc across, turn. (13 sc)", "Row 3: Ch 1, sc2tog, sc in each sc across, turn. (12 sc)")
    found = compared(source, source.replace("Row 4: Ch 1, sc in each sc across, turn. (13 sc)", "Row 4: Ch 1, sc in each sc across, turn. (12 sc)"))
    assert told(found)[0] == ["row-total@row-4"] and told(found)[1] == [("row-total@row-2", "row-total@row-2")]


def test_rows_of_a_very_long_piece_are_paired_all_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "_MOST_COMPARED", 0)
    found = compared(STRAP, STRAP.replace(ROW_2, ROW_2.replace("13", "12")).replace("(20 sc)", "(21 sc)"))
    assert found.added == () == found.gone and len(found.rows) == 11


@settings(max_examples=25, deadline=None)
@given(st.lists(st.tuples(st.integers(0, 13), st.sampled_from(["", "Row 1: Sc in each sc across, turn. (12 sc)", "A line."])), max_size=3))
def test_every_finding_and_row_is_told_once(changes: list[tuple[int, str]]) -> None:
    lines = STRAP.splitlines()
    for at, words in changes:
        lines[at + 7] = words
    for found in (compared(STRAP, "\n".join(lines)), compared("\n".join(lines), STRAP)):
        assert sorted([*found.closed, *(s.old for s in found.open)]) == list(range(len(found.old.findings)))
        assert sorted([*(f.new for f in found.fresh), *(s.new for s in found.open)]) == list(range(len(found.new.findings)))
        assert len(found.rows) + len(found.added) == sum(len(p.rows) for p in found.new.work.pieces)
        assert len(found.rows) + len(found.gone) == sum(len(p.rows) for p in found.old.work.pieces)


# Reports

FINDING: Any = PROOF_SCHEMA["properties"]["manuscripts"]["items"]["properties"]["findings"]["items"]  # type: ignore[index]
SIZES = {"type": "array", "items": closed(**{key: {} for key in ("size", "base", "used", "made", "stated")})}
LABELS = {"type": "array", "items": closed(piece={"type": "string"}, label={"type": "string"})}
VERSION = closed(path={"type": "string"}, rows={"type": "object"})
SCHEMA = closed(
    schema={"const": 1},
    version={"type": "string"},
    old=VERSION,
    new=VERSION,
    closed={"type": "array", "items": FINDING},
    open={"type": "array", "items": closed(old=FINDING, new=FINDING, reworded={"type": "boolean"})},
    fresh={"type": "array", "items": closed(finding=FINDING, came={"enum": list(Came)}, because={"type": ["string", "null"]}, closed={"type": "array"})},
    rows={
        "type": "array",
        "items": closed(
            piece={}, label={}, was={}, reworded={"type": "boolean"}, status=closed(old={"type": "string"}, new={"type": "string"}), old=SIZES, new=SIZES
        ),
    },
    added=LABELS,
    gone=LABELS,
)


def test_the_report_for_programs_keeps_to_its_contract() -> None:
    report = json.loads(recheck_json.report(compared(STRAP, STRAP.replace(ROW_2, ROW_2.replace("13", "12")))))
    Draft202012Validator(SCHEMA).validate(report)
    (fresh,) = report["fresh"]
    assert (fresh["came"], fresh["because"], fresh["closed"]) == ("broken", "Row 2", ["row-total@strap-row-2"])
    assert [(r["label"], r["status"]["new"]) for r in report["rows"]] == [("Row 2", "proved"), ("Row 3", "differs")]
    assert report["rows"][1]["new"] == [{"size": None, "base": 12, "used": 13, "made": 13, "stated": 13}]


def test_the_report_for_a_person() -> None:
    page = Page(140)
    recheck_text.report(compared(STRAP, STRAP.replace(ROW_2, ROW_2.replace("13", "12"))), page)
    text = page.text()
    assert text.startswith("old.txt → new.txt")
    words = " ".join(text.split())
    assert "it comes from the change in Row 2, which closed row-total at Strap, Row 2, line 13." in words
    assert "Strap: Row 3: worked into 13 → 12; proved → differs; words as they were" in words
    assert "Strap: Row 2: states 13 → 12; differs → proved –" in words
    assert "What the report covers of new.txt" in words


def test_rows_that_changed_alike_are_told_together_size_by_size() -> None:
    source = "US terms.\nSizes: S (M, L)\n\nCuff\nCh 11 (13, 15).\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. 10 (12, 14) sc\nRows 2-6: Ch 1, sc in each sc across, turn.\n"
    page = Page(140)
    recheck_text.report(compared(source, source.replace("Ch 11 (13, 15)", "Ch 11 (13, 17)").replace("10 (12, 14)", "10 (12, 16)")), page)
    assert "Rows 2–6: size L: worked into 14 → 16, uses 14 → 16, makes 14 → 16; words as they were" in page.text()


def test_rows_of_one_text_take_one_line_whatever_their_numbers() -> None:
    source = "US terms.\n\nShawl\nCh 11.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (10 sc)\nRows 2-6: Ch 1, 2 sc in first st, sc in each st across, turn.\n"
    page = Page(140)
    recheck_text.report(compared(source, source.replace("Ch 11", "Ch 13").replace("10 sc", "12 sc")), page)
    assert "Rows 2–6: Row 2 worked into 10 → 12, uses 10 → 12, makes 11 → 13; the others likewise with their own numbers" in page.text()


# The command


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "old.txt").write_text(STRAP, "utf-8")
    (tmp_path / "new.txt").write_text(STRAP.replace("(6 hdc)", "(5 hdc)"), "utf-8")
    (tmp_path / "sound.txt").write_text("Mat\n\nUS terms.\n\nMat\nCh 3.\nRow 1: Sc in 2nd ch from hook and in next ch. (2 sc)\n", "utf-8")
    return tmp_path


@pytest.mark.parametrize(
    ("arguments", "status"),
    [
        (["old.txt", "new.txt"], 1),
        (["old.txt", "old.txt"], 1),
        (["old.txt", "sound.txt"], 0),
        (["sound.txt", "old.txt"], 1),
        (["old.txt", "gone.txt"], 2),
        (["gone.txt", "new.txt"], 2),
        (["old.txt", "."], 2),
        (["-", "-"], 2),
    ],
)
def test_its_exit_status_is_that_of_the_new_version(folder: Path, capsys: pytest.CaptureFixture[str], arguments: list[str], status: int) -> None:
    assert cli.main(["recheck", *arguments]) == status
    out, err = capsys.readouterr()
    assert bool(out) == (status < 2) and bool(err) == (status == 2)


def test_json_on_the_command_line(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["recheck", "--format", "json", "--threshold", "wrong", "old.txt", "new.txt"]) == 1
    report = json.loads(capsys.readouterr().out)
    Draft202012Validator(SCHEMA).validate(report)
    assert (report["old"]["path"], report["new"]["path"], len(report["closed"])) == ("old.txt", "new.txt", 1)
