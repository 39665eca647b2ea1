"""The command markup: what it may write, and the copies of plain text and Markdown it makes."""

from __future__ import annotations

import codecs
import io
import re
from pathlib import Path

import pytest
from documents import pdf, word
from docx import Document
from pypdf import PdfReader
from tenterhook.lint import cli
from tenterhook.lint.beside.desk import Desk
from tenterhook.lint.finding import Severity
from tenterhook.lint.manuscript.earlier_notes import HEADING, earlier_notes, left_out, without
from tenterhook.lint.manuscript.read import manuscript_from
from tenterhook.lint.markup.markup import Wishes, mark_up
from tenterhook.lint.markup.plain import without_notes
from tenterhook.lint.proof import proof

SUBMITTED = sorted((Path(__file__).parent.parent / "examples" / "submitted").glob("[0-9]*.*"))
STRAP = """\
Gannet Strap
US terms.

Ch 11.
Row 1: Sc in 2nd ch from hook and in each ch across, turn. (10 sc)
Row 2: Ch 1, sc in each of next 10 sc, turn. [12]
"""


def marked(data: bytes, name: str = "strap.txt", **wishes: bool) -> bytes:
    return mark_up(manuscript_from(data, name), Desk(), Wishes(**wishes)).data  # type: ignore[arg-type]


def said(data: bytes, name: str) -> list[tuple[str, str, int]]:
    found = proof(manuscript_from(data, name).text, corrections=False).findings
    return [(f.rule, f.message, f.span.start) for f in found]


@pytest.mark.parametrize("path", SUBMITTED, ids=lambda path: path.stem)
def test_a_text_keeps_its_words_and_every_finding_has_a_numbered_note(path: Path) -> None:
    data, name = path.read_bytes(), path.name
    out = marked(data, name)
    assert without_notes(out) == data
    source = out.decode()
    done = proof(manuscript_from(data, name).text)
    notes = earlier_notes(source).notes
    assert len(notes) == len(done.findings) > 0
    for number, (finding, handle) in enumerate(zip(done.findings, done.handles, strict=True), 1):
        lines = notes[number].split("\n")
        words = re.sub(r"(?<=\]) (?=\[\^T)|\[\^T\d+\]", "", source[: source.index(f"[^T{number}]")])
        assert words.rstrip().endswith(done.text[finding.span].rstrip()) and lines[0].startswith("On ")
        assert finding.message in lines[1] and lines[-1] == f"[{handle}]"
    assert f"{'## ' if path.suffix == '.md' else ''}{HEADING}\n" in source


@pytest.mark.parametrize("path", SUBMITTED, ids=lambda path: path.stem)
def test_a_marked_up_text_reads_as_before_and_goes_through_a_second_round(path: Path) -> None:
    data, name = path.read_bytes(), path.name
    out = marked(data, name)
    assert said(out, name) == said(data, name)
    assert marked(out, name) == out
    assert marked(out, name, replace=True) == out


def test_later_notes_are_numbered_on_from_earlier_ones() -> None:
    out = marked(STRAP.encode())
    later = out.decode().replace("Row 2:", "Row 1: Ch 1, sc in each sc across, turn. (9 sc)\nRow 2:").encode()
    again = marked(later).decode()
    notes = earlier_notes(again).notes
    assert list(notes) == [*range(1, len(notes) + 1)] and len(notes) > 1 and again.count(HEADING) == 1
    assert again.startswith(STRAP[: STRAP.index("Row 2")]) and "[12[^T1]]" in again


def test_only_what_was_put_in_is_taken_for_notes() -> None:
    own = "Row 1: 6 sc[^T1] in ring.\n[^T1]: With the thinner yarn.\n"
    assert left_out(own) == ()
    out = marked(STRAP.encode()).decode() + "\nWash by hand.\n"
    read = manuscript_from(out.encode(), "strap.txt").text
    assert read.source.startswith(STRAP) and read.source.split() == [*STRAP.split(), "Wash", "by", "hand."]
    assert read.line_number(read.source.index("Wash")) == out[: out.index("Wash")].count("\n") + 1
    unknown = out.replace("Ch 11.", "Ch 11[^T9].")
    assert "[^T9]" in without(unknown, left_out(unknown))


@pytest.mark.parametrize(
    "before, encoding, end",
    [(b"", "utf-8", "\r\n"), (codecs.BOM_UTF8, "utf-8", "\n"), (codecs.BOM_UTF16_LE, "utf-16-le", "\r\n"), (codecs.BOM_UTF16_BE, "utf-16-be", "\r"), (b"", "cp1252", "\n")],
)
def test_the_encoding_and_the_line_ends_are_kept(before: bytes, encoding: str, end: str) -> None:
    data = before + STRAP.replace("US terms.", "US terms. Café size ½.").replace("\n", end).encode(encoding)
    out = marked(data)
    assert out.startswith(before) and without_notes(out) == data
    assert HEADING in (source := out[len(before) :].decode(encoding)) and set(re.findall(r"\r\n|\r|\n", source)) == {end}


def test_what_stands_and_what_is_milder_is_left_out(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.chdir(tmp_path)
    Path("strap.txt").write_text(STRAP)
    Path("tenterhook.toml").write_text('terms = "US"\n')
    assert cli.main(["proof", "strap.txt", "--stet", "row-total@row-2", "--because", "As agreed."]) in (0, 1)
    capsys.readouterr()
    assert cli.main(["markup", "strap.txt", "-o", "out.txt"]) == 0
    assert "1 finding stands and is left out" in capsys.readouterr().out
    assert "row-total" not in Path("out.txt").read_text()
    mild = [note.severity for note in mark_up(manuscript_from(SUBMITTED[1].read_bytes(), "vole.txt"), Desk(), Wishes(Severity.WRONG)).notes]
    assert mild and set(mild) == {Severity.WRONG}


def test_nothing_a_person_wrote_is_written_over(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.chdir(tmp_path)
    Path("strap.txt").write_text(STRAP)
    Path("mine.txt").write_text("mine")
    Path("folder").mkdir()
    refused = {"strap.txt": "the manuscript itself", "./strap.txt": "the manuscript itself", "mine.txt": "there already", "folder": "a folder", "out.docx": "as a text", "no/out.txt": "could not be written"}
    for out, why in refused.items():
        assert cli.main(["markup", "strap.txt", "-o", out]) == 2
        assert why in capsys.readouterr().err
    assert cli.main(["markup", "strap.txt", "-o", "strap.txt", "--overwrite"]) == 2
    assert cli.main(["markup", "missing.txt", "-o", "out.txt"]) == 2
    assert cli.main(["markup", "strap.txt", "-o", "out.txt", "--corrections"]) == 2
    assert "only Word files" in capsys.readouterr().err
    assert Path("strap.txt").read_text() == STRAP and Path("mine.txt").read_text() == "mine"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["folder", "mine.txt", "strap.txt"]
    assert cli.main(["markup", "strap.txt", "-o", "mine.txt", "--overwrite"]) == 0
    assert capsys.readouterr().out == "mine.txt: 1 note (1 wrong)\n" and HEADING in Path("mine.txt").read_text()


def test_a_word_file_is_marked_up_in_a_child_and_a_hostile_one_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.chdir(tmp_path)
    Path("strap.docx").write_bytes(word(SUBMITTED[1].read_text("utf-8").rstrip("\n").split("\n")))
    assert cli.main(["markup", "strap.docx", "-o", "out.docx", "--corrections"]) == 0
    assert capsys.readouterr().out == "out.docx: 5 notes (3 wrong, 1 query, 1 suggestion); 1 correction as tracked changes\n"
    assert len(list(Document(io.BytesIO(Path("out.docx").read_bytes())).comments)) == 5
    assert cli.main(["markup", "strap.docx", "-o", "out.pdf"]) == 2
    assert "ends in .docx" in capsys.readouterr().err
    for corrections, status in (([], 0), (["--corrections"], 2)):
        Path("strap.pdf").write_bytes(pdf(STRAP.split("\n")))
        assert cli.main(["markup", "strap.pdf", "-o", "out.pdf", "--overwrite", *corrections]) == status
    assert len(PdfReader("out.pdf").pages[0]["/Annots"]) == 1
    Path("out.pdf").unlink()
    Path("strap.pdf").unlink()
    Path("cut.docx").write_bytes(Path("strap.docx").read_bytes()[:9_000])
    assert cli.main(["markup", "cut.docx", "-o", "cut-out.docx"]) == 2
    assert cli.main(["markup", "page.html", "-o", "page-out.html"]) == 2
    assert sorted(path.name for path in tmp_path.iterdir()) == ["cut.docx", "out.docx", "strap.docx"]
