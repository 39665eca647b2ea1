"""Findings let stand: put down beside the manuscript, found again after edits, counted in every report, and spent."""

from __future__ import annotations

import json
import os
import re
import stat
import tomllib
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from handmade import STRAP
from hypothesis import given, settings
from hypothesis import strategies as st
from tenterhook.lint import cli
from tenterhook.lint.beside import margin_file
from tenterhook.lint.beside.margin_file import let_stand_in, read_margin, with_stets
from tenterhook.lint.beside.toml_file import Faulty
from tenterhook.lint.finding import Finding, Severity
from tenterhook.lint.margin import Margin
from tenterhook.lint.proof import Proof, proof
from tenterhook.lint.report import json_report, lines, page, terminal
from tenterhook.lint.stet import Stet, entry, handles, let_stand
from tenterhook.lint.text import Span, Text
from test_report_json import check_proof


def proofed(source: str, *stets: Stet) -> Proof:
    return proof(Text(source, "strap.txt"), corrections=False, margin=Margin(stets))


def stet_of(source: str, handle: str, because: str = "It is so on purpose.") -> Stet:
    done = proofed(source)
    return entry(done.text, done.work, done.findings, done.handles.index(handle), because)


def standing(done: Proof) -> list[str]:
    return [handle for handle, finding in zip(done.handles, done.findings, strict=True) if finding.stands]


# Names


def test_every_finding_has_a_name_of_its_own() -> None:
    done = proofed(STRAP)
    assert done.handles == ("row-total@strap-row-2", "base-short@strap-row-4", "row-total@tab-row-2")
    twice = [*done.findings, *done.findings]
    assert handles(done.work, twice)[3:] == tuple(f"{handle}.2" for handle in done.handles)
    assert handles(done.work, [replace(done.findings[0], place="")]) == ("row-total",)
    assert handles(done.work, [replace(done.findings[0], place="Rows 3–6")]) == ("row-total@strap-rows-3-6",)


# Standing


def test_a_finding_stands_and_counts_no_more() -> None:
    done = proofed(STRAP, stet_of(STRAP, "row-total@strap-row-2"))
    assert standing(done) == ["row-total@strap-row-2"]
    assert [f.place for f in done.loud()] == ["Row 4", "Row 2"]
    assert len(done.findings) == len(proofed(STRAP).findings)
    assert done.spent == ()


def test_what_follows_from_a_finding_that_stands_stands_with_it() -> None:
    source = STRAP.replace("turn. (20 sc)", "turn. (21 sc)")
    assert [f.follows for f in proofed(source).findings] == [None, None, 1, None]
    done = proofed(source, stet_of(source, "base-short@strap-row-4"))
    assert standing(done) == ["base-short@strap-row-4", "row-total@strap-row-4"]
    assert {f.stands for f in done.stand} == {"It is so on purpose."}


def finding(rule: str, span: Span, place: str = "Row 1", severity: Severity = Severity.QUERY, follows: int | None = None) -> Finding:
    return Finding(rule, severity, "A sentence.", span, place, follows=follows)


def test_followers_stand_with_their_cause_and_not_the_other_way_round() -> None:
    text, work = Text("Row 1: sc, dc.\n"), proofed("").work
    cause, follower = finding("a-b", Span(7, 9)), finding("c-d", Span(11, 13), follows=0)
    on_cause = entry(text, work, [cause, follower], 0, "Because.")
    out, spent = let_stand(text, work, [cause, follower], [on_cause])
    assert [f.stands for f in out] == ["Because.", "Because."] and spent == []
    on_follower = entry(text, work, [cause, follower], 1, "Because.")
    assert [f.stands for f in let_stand(text, work, [cause, follower], [on_follower])[0]] == ["", "Because."]


def test_nothing_graver_than_what_was_accepted_stands() -> None:
    text, work = Text("Row 1: sc, dc.\n"), proofed("").work
    mild, grave = finding("a-b", Span(7, 9), severity=Severity.QUERY), finding("a-b", Span(7, 9), severity=Severity.WRONG)
    stet = entry(text, work, [mild], 0, "Because.")
    out, spent = let_stand(text, work, [grave], [stet])
    assert out[0].stands == "" and spent == [stet]
    assert let_stand(text, work, [replace(mild, severity=Severity.STYLE)], [stet])[0][0].stands == "Because."


def test_a_finding_that_is_gone_leaves_its_stet_spent() -> None:
    stet = stet_of(STRAP, "row-total@strap-row-2")
    done = proofed(STRAP.replace("Row 2: Ch 1, sc in each sc across, turn. (13 sc)\nRow 3", "Row 2: Ch 1, sc in each sc across, turn. (12 sc)\nRow 3"), stet)
    assert done.spent == (stet,)
    assert str(stet) == "row-total at Strap Row 2"


# Found again


@pytest.mark.parametrize("handle", proofed(STRAP).handles)
@pytest.mark.parametrize(
    "change",
    [
        lambda s: s.replace("US terms.", "US terms.\n\nA strap for a small bag.\nIt is worked flat.\n\n\n"),
        lambda s: s.replace("Row 3: Ch 1, sc in each sc across, turn. (13 sc)\n", "Row 3: Ch 1, sc in each sc across, turn. (13 sc)\nThe edges curl a little.\n"),
        lambda s: s.replace("Row 3", "Row 5").replace("Row 4", "Row 6").replace("Row 2: Ch 1, sc in each sc across, turn. (13 sc)\nRow 5", "Row 2: Ch 1, sc in each sc across, turn. (13 sc)\nRow 3: Ch 1, sc in each sc across, turn. (13 sc)\nRow 4: Ch 1, sc in each sc across, turn. (13 sc)\nRow 5"),
        lambda s: s.replace("\n", "\r\n"),
        lambda s: s + "\nSew the tab to the strap.\n",
        lambda s: s.replace("Samphire Strap", "Osier Strap"),
        lambda s: s.replace("Ch 13.", "Using A, ch 13."),
    ],
)  # fmt: skip
def test_a_stet_holds_through_edits_elsewhere(handle: str, change: Callable[[str], str]) -> None:
    stet = stet_of(STRAP, handle)
    done = proofed(change(STRAP), stet)
    assert done.spent == ()
    assert [h.split("@")[0] for h in standing(done)] == [handle.split("@")[0]]
    (stands,) = [f for f in done.findings if f.stands]
    assert re.sub(r"Row \d", "Row", " ".join(done.text[stands.span].split())) == re.sub(r"Row \d", "Row", stet.words)


HARMLESS = st.lists(st.sampled_from(["A line of prose that says nothing.", "", "The strap is soft.", "Photograph by Jory Vennacombe."]), max_size=6)
PLACES = ("Samphire Strap\n", "US terms.\n", "\nStrap\n", "turn. (5 sc)\n", "(20 sc)\n")


@settings(max_examples=60, deadline=None)
@given(st.lists(HARMLESS, min_size=len(PLACES), max_size=len(PLACES)), st.sampled_from(proofed(STRAP).handles))
def test_lines_put_in_elsewhere_change_nothing(added: list[list[str]], handle: str) -> None:
    source = STRAP
    for place, words in zip(PLACES, added, strict=True):
        if place == "turn. (5 sc)\n":
            source = source + "\n" + "\n".join(words) + "\n"
        elif place == "\nStrap\n":
            source = source.replace(place, "\n" + "".join(f"{w}\n\n" for w in words) + "Strap\n", 1)
        else:
            source = source.replace(place, place + "".join(f"\n{w}\n" for w in words), 1)
    before, after = proofed(STRAP), proofed(source)
    if [(f.rule, f.place) for f in before.findings] != [(f.rule, f.place) for f in after.findings]:
        return  # prose in that place made another manuscript of it
    done = proofed(source, stet_of(STRAP, handle))
    assert standing(done) == [handle] and done.spent == ()


def test_findings_that_look_alike_are_told_apart() -> None:
    """Two pieces with the same rows, the same slip in each, and nothing but their order to tell them by."""
    rows = "Ch 13.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (12 sc)\nRow 2: Ch 1, sc in each sc across, turn. (13 sc)\n"
    source = f"US terms.\n\nStrap\n{rows}\nStrap\n{rows}"
    assert proofed(source).handles == ("row-total@strap-row-2", "row-total@strap-row-2.2")
    first, second = (stet_of(source, handle) for handle in proofed(source).handles)
    assert (first.which, second.which) == (1, 2) or first.before != second.before or first.after != second.after
    assert standing(proofed(source, first)) == ["row-total@strap-row-2"]
    assert standing(proofed(source, second)) == ["row-total@strap-row-2.2"]
    assert len(standing(proofed(source, first, second))) == 2


def test_alike_in_everything_but_their_order() -> None:
    text, work = Text("sc, " * 40), proofed("").work
    found = [finding("word-doubled", Span(at, at + 2), place="") for at in (60, 80, 100)]
    stets = [entry(text, work, found, i, f"Number {i}.") for i in range(3)]
    assert [s.which for s in stets] == [1, 2, 3]
    assert [f.stands for f in let_stand(text, work, found, [stets[1]])[0]] == ["", "Number 1.", ""]
    assert [f.stands for f in let_stand(text, work, found, stets[::-1])[0]] == ["Number 0.", "Number 1.", "Number 2."]
    # One of them is gone, and nothing tells which: in doubt it is told again.
    left, spent = let_stand(text, work, found[:2], [stets[1]])
    assert [f.stands for f in left] == ["", ""] and spent == [stets[1]]
    assert [f.stands for f in let_stand(text, work, found[:2], stets)[0]] == ["Number 0.", "Number 1."]


def test_a_finding_of_the_other_piece_is_not_taken_for_it() -> None:
    stet = stet_of(STRAP, "row-total@strap-row-2")
    mended = STRAP.replace("(13 sc)\nRow 3", "(12 sc)\nRow 3")
    assert standing(proofed(mended, stet)) == []


# The side file


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "strap.txt").write_text(STRAP, encoding="utf-8")
    return tmp_path


STET = Stet("row-total", Severity.WRONG, "Because \"so\".", "Row 2: … (13 sc)", "Strap", "Row 2", "a \\ b", "c", 2, 3, "It makes 12.")


@pytest.mark.parametrize(
    "source",
    [
        "",
        "# a comment at the top\n",
        "# no line end",
        '[[stet]]\nrule = "post-side" # as agreed\nbecause = "x"\n\n# the gauge\n[[gauge]]\npattern = "mesh"\nstitches = 9\nover = "10 cm"\n',
        '[[gauge]]\r\npattern = "mesh"\r\nstitches = 9\r\nover = "10 cm"\r\n',
    ],
)
def test_an_entry_is_put_at_the_end_and_changes_nothing(source: str) -> None:
    changed = with_stets(source, [STET, STET])
    assert changed.startswith(source)
    assert ("\r\n" in changed) == ("\r\n" in source)
    before, after = tomllib.loads(source), tomllib.loads(changed)
    assert after["stet"][: len(before.get("stet", []))] == before.get("stet", [])
    assert {k: v for k, v in after.items() if k != "stet"} == {k: v for k, v in before.items() if k != "stet"}
    assert after["stet"][-1]["because"] == STET.because and after["stet"][-1]["before"] == STET.before


@settings(deadline=None)
@given(st.text(max_size=60), st.text(max_size=60), st.text(min_size=1, max_size=60).filter(str.strip))
def test_any_words_can_be_put_down_and_read_again(tmp_path_factory: pytest.TempPathFactory, words: str, before: str, because: str) -> None:
    source = f"{before}Row 1: sc.{words}"
    text, work = Text(source), proofed("").work
    found = [finding("a-b", Span(len(before), len(before) + 6))]
    stet = entry(text, work, found, 0, because)
    if not stet.because:
        return
    path = tmp_path_factory.mktemp("side") / "x.toml"
    let_stand_in(str(path), [stet])
    (read,) = read_margin(str(path)).stets
    assert replace(read, line=None) == stet
    out, spent = let_stand(text, work, found, [read])
    assert out[0].stands == stet.because and spent == []


def test_a_side_file_is_replaced_as_a_whole_or_not_at_all(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = folder / "strap.txt.toml"
    path.write_text("# mine\n", encoding="utf-8")
    os.chmod(path, 0o640)
    let_stand_in(str(path), [STET])
    assert stat.S_IMODE(path.stat().st_mode) == 0o640
    kept = path.read_text("utf-8")

    def refused(source: str, target: str) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(margin_file.os, "replace", refused)
    with pytest.raises(Faulty, match="could not be written"):
        let_stand_in(str(path), [STET])
    assert path.read_text("utf-8") == kept
    assert sorted(p.name for p in folder.iterdir()) == ["strap.txt", "strap.txt.toml"]


def test_a_link_to_a_side_file_stays_a_link(folder: Path) -> None:
    (folder / "kept.toml").write_text("# kept elsewhere\n", encoding="utf-8")
    (folder / "strap.txt.toml").symlink_to("kept.toml")
    let_stand_in(str(folder / "strap.txt.toml"), [STET])
    assert (folder / "strap.txt.toml").is_symlink()
    assert "[[stet]]" in (folder / "kept.toml").read_text("utf-8")


@pytest.mark.parametrize(
    ("source", "words"),
    [
        ("[[stets]]", "line 1: there is no setting “stets”; did you mean “stet”?"),
        ('[[stet]]\nrule = "a"\n', "line 1: an entry [[stet]] without “because”"),
        ('[[stet]]\nrule = "a"\nbecause = "b"\nplaice = "Row 2"\n', "line 4: there is no setting “plaice” in [[stet]]; did you mean “place”?"),
        ('[[stet]]\nrule = "a"\nbecause = "b"\n[[stet]]\nrule = 3\nbecause = "c"\n', "line 5: “rule” is 3, but must be words in quotation marks"),
        ('[[stet]]\nrule = "a"\nbecause = "b"\nseverity = "grave"\n', "line 4: “severity” is “grave”, but must be "),
        ('[[stet]]\nrule = "a"\nbecause = "b"\nwhich = 0\n', "line 4: “which” is 0, but must be a number from 1 to "),
        ('[stet]\nrule = "a"\n', "line 1: “stet” is a table, but must be tables headed [[stet]]"),
    ],
)
def test_a_side_file_at_fault_is_told_with_its_line(folder: Path, capsys: pytest.CaptureFixture[str], source: str, words: str) -> None:
    (folder / "strap.txt.toml").write_text(source, encoding="utf-8")
    assert cli.main(["proof", "strap.txt"]) == 2
    assert f"strap.txt: not proofed, because of strap.txt.toml: {words}" in capsys.readouterr().err
    assert cli.main(["proof", "strap.txt", "--stet", "row-total@strap-row-2", "--because", "So."]) == 2
    assert (folder / "strap.txt.toml").read_text("utf-8") == source


def test_entries_in_one_line_are_left_as_they_are(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    source = 'stet = [{rule = "a-b", because = "c"}]\n'
    (folder / "strap.txt.toml").write_text(source, encoding="utf-8")
    assert cli.main(["proof", "strap.txt", "--stet", "row-total@strap-row-2", "--because", "So."]) == 2
    assert "strap.txt.toml: entries can only be added where each one has a heading [[stet]] of its own" in capsys.readouterr().err
    assert (folder / "strap.txt.toml").read_text("utf-8") == source


# The command


def run(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    status = cli.main(["proof", *arguments])
    written = capsys.readouterr()
    return status, written.out, written.err


def test_a_finding_is_let_stand_from_end_to_end(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status, out, _ = run(capsys, "strap.txt")
    assert status == 1 and "row-total@strap-row-2" in out
    status, out, err = run(capsys, "strap.txt", "--stet", "row-total@strap-row-2", "base-short", "--because", "The printed strap is wider.")
    assert (status, err) == (1, "")
    assert "US terms · one size · 1 wrong · 2 stand" in out
    assert "2 stand, as an editor decided" in out and "Stands because: The printed strap is" in out
    assert "Let stand by an editor, and not counted above: 2 findings." in out
    written = (folder / "strap.txt.toml").read_text("utf-8")
    assert written.count("[[stet]]") == 2 and "line" not in tomllib.loads(written)["stet"][0]
    status, out, _ = run(capsys, "strap.txt", "--stet", "row-total@tab-row-2", "--because", "So is the tab.")
    assert status == 0 and "no findings · 3 stand" in out
    (folder / "strap.txt").write_text(STRAP.replace("(6 sc)", "(5 sc)"), encoding="utf-8")
    status, out, _ = run(capsys, "strap.txt")
    assert status == 0 and "1 stet is spent: the finding is gone" in out
    assert "row-total at Tab Row 2, line 23 of the side file: So is the tab." in " ".join(out.split())


def test_what_stands_is_counted_in_every_format(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    run(capsys, "strap.txt", "--stet", "row-total@strap-row-2", "row-total@tab-row-2", "--because", "So.")
    (folder / "strap.txt").write_text(STRAP.replace("(6 sc)", "(5 sc)"), encoding="utf-8")
    _, out, _ = run(capsys, "--format", "lines", "strap.txt")
    assert out.splitlines()[-2:] == ["strap.txt: 1 stands: row-total@strap-row-2 (line 8)", "strap.txt: 1 stet is spent: row-total at Tab Row 2"]
    assert "[row-total]" not in out
    _, out, _ = run(capsys, "--format", "json", "strap.txt")
    (report,) = check_proof(out)["manuscripts"]
    assert report["stand"] == 1
    assert [(f["handle"], f["stands"]) for f in report["findings"]] == [("row-total@strap-row-2", "So."), ("base-short@strap-row-4", None)]
    assert report["spent"] == [{"rule": "row-total", "place": "Row 2", "because": "So.", "line": 12}]
    (folder / "other.txt").write_text(STRAP, encoding="utf-8")
    _, out, _ = run(capsys, "strap.txt", "other.txt")
    assert "  stand" in next(line for line in out.splitlines() if line.startswith("Manuscript "))


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["strap.txt", "--stet", "row-totle@strap-row-2", "--because", "So."], "did you mean “row-total@strap-row-2”?; nothing was put down"),
        (["strap.txt", "--stet", "row-total", "--because", "So."], "“row-total” has 2 findings: row-total@strap-row-2, row-total@tab-row-2; nothing was put down"),
        (["strap.txt", "--stet", "base-short", "xyzzy", "--because", "So."], "there is no finding “xyzzy”; the report shows the name of each; nothing was put down"),
        (["strap.txt", "--stet", "base-short"], "--stet and --because go together"),
        (["strap.txt", "--because", "So."], "--stet and --because go together"),
        (["strap.txt", "--stet", "base-short", "--because", "  "], "--stet and --because go together"),
        (["strap.txt", "strap.txt", "--stet", "base-short", "--because", "So."], "--stet is for one manuscript at a time"),
        ([".", "--stet", "base-short", "--because", "So."], "this is a folder, not a manuscript"),
        (["none.txt", "--stet", "base-short", "--because", "So."], "there is no such file"),
    ],
)  # fmt: skip
def test_what_cannot_be_let_stand_is_told_and_nothing_is_put_down(folder: Path, capsys: pytest.CaptureFixture[str], arguments: list[str], words: str) -> None:
    status, out, err = run(capsys, *arguments)
    assert (status, out) == (2, "")
    assert words in err
    assert not (folder / "strap.txt.toml").exists()


def test_a_finding_is_let_stand_once(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(capsys, "strap.txt", "--stet", "base-short", "base-short", "--because", "So.")[0] == 1
    assert (folder / "strap.txt.toml").read_text("utf-8").count("[[stet]]") == 1
    status, _, err = run(capsys, "strap.txt", "--stet", "base-short", "--because", "Again.")
    assert status == 2 and "“base-short” stands already: So." in err


def test_standard_input_has_no_side_file(folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    import io

    class Given:
        buffer = io.BytesIO(STRAP.encode())

    monkeypatch.setattr("sys.stdin", Given)
    status, _, err = run(capsys, "-", "--stet", "base-short", "--because", "So.")
    assert status == 2 and "there is no file to put a stet beside" in err


def test_a_folder_of_manuscripts_reads_each_one_s_own_file(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / "other.txt").write_text(STRAP, encoding="utf-8")
    run(capsys, "strap.txt", "--stet", "base-short", "--because", "So.")
    _, out, _ = run(capsys, "--format", "json", ".")
    assert [(Path(m["path"]).name, m["stand"]) for m in json.loads(out)["manuscripts"]] == [("other.txt", 0), ("strap.txt", 1)]


# Reports by themselves


def test_reports_of_a_proof_with_findings_that_stand() -> None:
    done = proofed(STRAP, stet_of(STRAP, "row-total@strap-row-2"), replace(stet_of(STRAP, "base-short@strap-row-4"), words="gone", line=None))
    sheet = page.Page(80)
    terminal.manuscript("strap.txt", done, sheet)
    assert "1 stet is spent: the finding is gone" in sheet.text() and "base-short at Strap Row 4: It is so on purpose." in sheet.text()
    assert lines.report("strap.txt", done).count("stands") == 1
    assert json_report.manuscript("strap.txt", done)["spent"][0]["line"] is None
