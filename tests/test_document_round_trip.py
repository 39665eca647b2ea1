"""Every example as a Word file, an OpenDocument text, a PDF and a web page is the manuscript it was as plain text."""

from __future__ import annotations

import json
from html import escape
from pathlib import Path

import pytest
from documents import opendocument, pdf, read, word
from tenterhook.lint import cli
from tenterhook.lint.finding import Severity
from tenterhook.lint.proof import proof
from tenterhook.lint.text import Text
from test_report_json import check_proof

EXAMPLES = Path(__file__).parent.parent / "examples"
SUBMITTED = sorted((EXAMPLES / "submitted").glob("[0-9]*.*"))
COSY = EXAMPLES / "submitted" / "31-harbour-cosy.md"


def web_page(lines: list[str]) -> bytes:
    return ("<!doctype html><meta charset=utf-8>" + "".join(f"<p>{escape(line)}</p>\n" for line in lines)).encode()


def said(text: Text) -> list[tuple[str, str, str]]:
    """The findings an editor has to answer: the rule, the sentence, and the words it is about."""
    found = proof(text, corrections=False).findings
    loud = [f for f in found if f.severity in (Severity.WRONG, Severity.QUERY)]
    return [(f.rule, f.message, " ".join(text[f.span].split())) for f in loud]


@pytest.mark.parametrize("path", SUBMITTED, ids=lambda path: path.stem)
def test_word_and_opendocument_give_the_very_text(path: Path) -> None:
    source = path.read_text("utf-8")
    lines = source.rstrip("\n").split("\n")
    single = [line for at, line in enumerate(lines) if line or (at and lines[at - 1])]  # empty paragraphs in a row are one
    assert read("word", word(single))[0].source.rstrip("\n").split("\n") == single
    run_together = [" ".join(line.split()) for line in single]  # as OpenDocument has it of spaces in a row
    assert read("opendocument", opendocument(single))[0].source.rstrip("\n").split("\n") == run_together


@pytest.mark.parametrize("path", SUBMITTED, ids=lambda path: path.stem)
def test_a_pdf_gives_the_same_findings_at_the_same_words(path: Path) -> None:
    lines = path.read_text("utf-8").split("\n")
    expected = said(Text("\n".join(lines)))
    assert expected
    assert said(read("pdf", pdf(lines))[0]) == expected


@pytest.mark.parametrize("path", SUBMITTED[::4], ids=lambda path: path.stem)
def test_a_web_page_gives_the_same_findings_at_the_same_words(path: Path) -> None:
    lines = path.read_text("utf-8").split("\n")
    assert said(read("html", web_page(lines))[0]) == said(Text("\n".join(lines)))


def test_reports_say_where_in_the_document_a_finding_stands(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.chdir(tmp_path)
    lines = COSY.read_text("utf-8").rstrip("\n").split("\n")
    Path("cosy.docx").write_bytes(word(lines))
    Path("cosy.pdf").write_bytes(pdf(lines))
    hook = f"paragraph {next(n for n, line in enumerate(lines, 1) if '(I-9)' in line)}"
    written: dict[str, str] = {}
    for form in ("text", "lines", "json", "sarif", "html"):
        assert cli.main(["proof", "--format", form, "cosy.docx", "cosy.pdf"]) == 1
        written[form] = capsys.readouterr().out
        assert hook in written[form] and "page 1" in written[form], form
    assert f"Wrong · {hook}" in written["text"] and " line " not in written["text"].partition("What this report")[0]
    assert f"({hook}) [hook-label]\n" in written["lines"]
    word_entry, pdf_entry = check_proof(written["json"])["manuscripts"]
    first, second = word_entry["findings"][0], pdf_entry["findings"][0]  # type: ignore[index]
    assert (first["where"], second["where"]) == (hook, "page 1")
    assert first["origins"][0]["part"] == "word/document.xml" and first["origins"][0]["characters"] == [2, 11]
    left, bottom, right, top = second["origins"][0]["box"]
    assert 60 < left < right < 150 and 400 < bottom < top < 842
    assert cli.main(["worksheet", "--format", "json", "cosy.docx"]) == 0
    rows = json.loads(capsys.readouterr().out)["worksheets"][0]["pieces"][0]["rows"]
    assert all(row["where"].startswith("paragraph ") for row in rows)
