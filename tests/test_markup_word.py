"""Marked-up Word files, read back with python-docx: a comment on the words of every finding, and nothing else changed."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from documents import W, put_in, read, run, saved, word
from docx import Document
from docx.opc.constants import RELATIONSHIP_TYPE
from docx.opc.packuri import PackURI
from docx.opc.part import Part
from docx.oxml.ns import qn
from PIL import Image
from tenterhook.lint.corrections import as_changed
from tenterhook.lint.finding import Correction, Edit
from tenterhook.lint.markup.notes import anchors, notes
from tenterhook.lint.markup.word import mark_up
from tenterhook.lint.proof import Proof, proof
from tenterhook.lint.text import Span, Text

SUBMITTED = sorted((Path(__file__).parent.parent / "examples" / "submitted").glob("[0-9]*.*"))
DATE = "2026-03-02T10:00:00Z"
GOOD = "Row 1: Sc in 2nd ch from hook and in each ch across, turn. (10 sc)"
SHORT = "Row 2: Ch 1, sc in each of next 10 sc, turn. (12 sc)"
STRAP = ["Gannet Strap", "US terms.", "", "Ch 11.", GOOD, SHORT]


def marked(data: bytes, corrections: tuple[tuple[Edit, ...], ...] = (), replace: bool = False) -> tuple[bytes, dict[str, Any], Proof]:
    """The file marked up in this process, what was said of it, and the proof of the file before."""
    text, _ = read("word", data)
    done = proof(text)
    arguments = {
        "notes": [{"lines": n.lines, "about": n.about, "at": anchors(text, n.span)} for n in notes(done)],
        "corrections": [
            [{"span": [e.span.start, e.span.end], "text": e.text, "at": anchors(text, e.span), "behind": False} for e in group] for group in corrections
        ],
        "replace": replace,
        "date": DATE,
    }
    answer, out = mark_up(data, arguments)
    return out, answer, done


def commented(data: bytes) -> list[tuple[str, str]]:
    """The words each comment is anchored on, as an independent library shows the file, and what the comment says."""
    document = Document(io.BytesIO(data))
    out: list[tuple[str, str]] = []
    for comment in document.comments:
        assert comment.author == "Tenterhook" and comment.initials == "TH" and comment.timestamp == datetime(2026, 3, 2, 10, tzinfo=UTC)
        assert len(references(document, comment.comment_id)) == 1
        out.append(("".join(anchored(document, comment.comment_id)), comment.text))
    return out


def references(document: Any, number: int) -> list[Any]:
    return [r for r in document.part.element.body.iter(qn("w:commentReference")) if r.get(qn("w:id")) == str(number)]


def anchored(document: Any, number: int) -> Iterator[str]:
    """Characters from the start of a comment's range to its end."""
    inside = False
    for element in document.part.element.body.iter():
        if element.get(qn("w:id")) == str(number) and element.tag == qn("w:commentRangeStart"):
            inside = True
        elif element.get(qn("w:id")) == str(number) and element.tag == qn("w:commentRangeEnd"):
            return
        elif inside and element.tag in (qn("w:t"), qn("w:delText")):
            yield element.text or ""
        elif inside and element.tag in (qn("w:tab"), qn("w:br")):
            yield "\t" if element.tag == qn("w:tab") else "\n"
    raise AssertionError("a comment has no range")


def bare(words: str) -> str:
    return "".join(words.split())


@pytest.mark.parametrize("path", SUBMITTED, ids=lambda path: path.stem)
def test_every_finding_of_the_examples_has_a_comment_on_its_very_words(path: Path) -> None:
    data = word(path.read_text("utf-8").rstrip("\n").split("\n"))
    out, answer, done = marked(data)
    assert answer["put"] == len(done.findings) > 0
    for (words, said), finding, handle in zip(commented(out), done.findings, done.handles, strict=True):
        assert bare(words) == bare(done.text[finding.span])
        first, *_, last = said.split("\n")
        assert first == f"{finding.severity.value.capitalize()}: {finding.message}" and last == f"[{handle}]"
        assert [c for c in finding.corrections if as_changed(done.text, c) not in said] == []
    assert [p.text for p in Document(io.BytesIO(out)).paragraphs] == [p.text for p in Document(io.BytesIO(data)).paragraphs]
    again, second, _ = marked(out)
    assert second["put"] == 0 and commented(again) == commented(out)
    assert commented(marked(out, replace=True)[0]) == commented(out)


def furnished() -> bytes:
    """A manuscript with most of what a Word file may have: a picture, styles, links, a table, a box, notes, others' comments and changes."""
    document = Document()
    document.add_heading("Gannet Strap", 1)
    picture = io.BytesIO()
    Image.new("RGB", (8, 8), "teal").save(picture, "PNG")
    document.add_picture(picture)
    document.add_paragraph("US terms. Special stitch: none.", "Quote")
    document.add_comment(document.add_paragraph("Ch 11.").runs, "Is this the long one?", author="Wen Oddie", initials="WO")
    row = document.add_paragraph()
    put_in(row, run("Row 1: Sc in 2nd ch ", "<w:b/>") + '<w:ins w:id="7" w:author="Wen Oddie">' + run("from hook and ") + "</w:ins>" + run("in each ch across, turn. (1") + run("0 sc)", "<w:i/>"))
    row = document.add_paragraph()
    put_in(row, run("Row 2: ", "<w:b/>") + run("Ch 1, sc in each of ") + '<w:hyperlink w:anchor="key">' + run("next 10") + "</w:hyperlink>" + run(" sc,\u00a0turn. (1", "<w:i/>") + run("2 sc)"))
    table = document.add_table(1, 3)
    for cell, words in zip(table.rows[0].cells, ("Row 3:", "Ch 1, sc in each of next 10 sc, turn.", "(14 sc)"), strict=True):
        cell.text = words
    box = f'<w:r><w:pict><v:shape xmlns:v="urn:schemas-microsoft-com:vml"><v:textbox><w:txbxContent><w:p>{run("Use a 5 mm (I-9) hook.")}</w:p></w:txbxContent></v:textbox></v:shape></w:pict></w:r>'
    put_in(document.add_paragraph("See the box. "), box)
    put_in(document.add_paragraph("Wash it with care."), '<w:r><w:footnoteReference w:id="2"/></w:r>')
    noted = f'<w:footnotes {W}><w:footnote w:id="2"><w:p>{run("Or a 6 mm (I-9) hook.")}</w:p></w:footnote></w:footnotes>'
    part = Part(PackURI("/word/footnotes.xml"), "application/vnd.openxmlformats-officedocument.wordprocessingml.footnotes+xml", noted.encode(), document.part.package)
    document.part.relate_to(part, RELATIONSHIP_TYPE.FOOTNOTES)
    document.sections[0].footer.paragraphs[0].text = "Worked with a 7 mm (I-9) hook."
    return saved(document)


def test_words_across_runs_links_and_changes_are_anchored_and_what_is_there_is_kept() -> None:
    data = furnished()
    out, _, done = marked(data)
    document = Document(io.BytesIO(out))
    by_other, *ours = list(document.comments)
    assert (by_other.author, by_other.text) == ("Wen Oddie", "Is this the long one?")
    assert "".join(anchored(document, by_other.comment_id)) == "Ch 11."
    found = {comment.text: "".join(anchored(document, comment.comment_id)) for comment in ours}
    here = [(handle, bare(words)) for said, words in found.items() for handle in [said.rpartition("[")[2].rstrip("]")] if not said.startswith("On ")]
    there = {handle: bare(done.text[f.span]) for f, handle in zip(done.findings, done.handles, strict=True)}
    assert dict(here) == {"row-total@row-2": "12sc"} and there["row-total@row-2"] == "12sc"
    hooks = {said.partition("\n")[0]: words for said, words in found.items() if "hook-label" in said}
    # Word has no comments in boxes, footnotes and footers: they stand where those hang on the text, and say the words.
    assert [head for head in hooks if head.startswith("On “5 mm (I-9”")] and [head for head in hooks if "(footnote 1):" in head] and [head for head in hooks if "(footer):" in head]
    with zipfile.ZipFile(io.BytesIO(data)) as before, zipfile.ZipFile(io.BytesIO(out)) as after:
        assert before.namelist() == after.namelist()
        changed = {name for name in before.namelist() if before.read(name) != after.read(name)}
    assert changed == {"word/document.xml", "word/comments.xml"}
    looks = [[(r.text, r.bold, r.italic) for r in p.runs if r.text] for p in Document(io.BytesIO(out)).paragraphs]
    merged = next(row for row in looks if row and row[0][0].startswith("Row 2"))
    assert "".join(t for t, b, _ in merged if b) == "Row 2: " and "".join(t for t, _, i in merged if i) == " sc,\u00a0turn. (1"


def test_a_comment_over_a_table_row_reaches_from_cell_to_cell() -> None:
    document = Document()
    document.add_paragraph("Gannet Strap. US terms.")
    table = document.add_table(3, 3)
    rows = (("Row 1:", "Ch 11, sc in 2nd ch from hook and in each ch across, turn.", "(10 sc)"), ("Row 2:", "Ch 1, sc in each of next 12 sc, turn.", "(12 sc)"), ("Row 3:", "Ch 1, sc in each sc across.", "(12 sc)"))
    for cells, words in zip(table.rows, rows, strict=True):
        for cell, said in zip(cells.cells, words, strict=True):
            cell.text = said
    out, _, done = marked(saved(document))
    assert [bare(words) for words, _ in commented(out)] == [bare(done.text[f.span]) for f in done.findings] != []


def test_certain_corrections_are_tracked_changes_and_the_text_then_reads_as_corrected() -> None:
    data = word(STRAP)
    source = read("word", data)[0].source
    at = source.index("12 sc)")
    out, answer, _ = marked(data, ((Edit(Span(at, at + 2), "10"),),))
    assert answer["corrected"] == 1
    body = Document(io.BytesIO(out)).part.element.body
    (struck,), (put,) = list(body.iter(qn("w:del"))), list(body.iter(qn("w:ins")))
    assert struck.get(qn("w:author")) == put.get(qn("w:author")) == "Tenterhook"
    assert [[t.text for t in change.iter(qn("w:t"), qn("w:delText"))] for change in (struck, put)] == [["12"], ["10"]]
    assert read("word", out)[0].source == Correction("", (Edit(Span(at, at + 2), "10"),)).apply(source)
    assert proof(read("word", out)[0]).loud() == ()


def test_words_that_someone_else_put_in_are_not_changed() -> None:
    document = Document(io.BytesIO(word(STRAP[:-1])))
    put_in(document.add_paragraph("Row 2: Ch 1, sc in each of next 10 sc, turn. "), f'<w:ins w:id="3" w:author="Wen Oddie">{run("(12 sc)")}</w:ins>')
    data = saved(document)
    at = read("word", data)[0].source.index("12 sc)")
    out, answer, done = marked(data, ((Edit(Span(at, at + 2), "10"),),))
    assert answer == {"put": len(done.findings), "corrected": 0}
    assert [struck.get(qn("w:author")) for struck in Document(io.BytesIO(out)).part.element.body.iter(qn("w:ins"), qn("w:del"))] == ["Wen Oddie"]


def test_a_comment_that_was_answered_is_not_taken_out() -> None:
    out, _, _ = marked(word(STRAP))
    w14, w15 = "http://schemas.microsoft.com/office/word/2010/wordml", "http://schemas.microsoft.com/office/word/2012/wordml"
    document = Document(io.BytesIO(out))
    (first, *_) = list(document.comments)
    first._comment_elm.findall(qn("w:p"))[-1].set(f"{{{w14}}}paraId", "00000A01")
    answer = document.add_comment(document.paragraphs[0].runs, "It is meant to be 12.", author="Wen Oddie", initials="WO")
    answer._comment_elm.findall(qn("w:p"))[-1].set(f"{{{w14}}}paraId", "00000A02")
    kept = f'<w15:commentsEx xmlns:w15="{w15}"><w15:commentEx w15:paraId="00000A01" w15:done="0"/><w15:commentEx w15:paraId="00000A02" w15:paraIdParent="00000A01"/></w15:commentsEx>'
    part = Part(PackURI("/word/commentsExtended.xml"), "application/vnd.openxmlformats-officedocument.wordprocessingml.commentsExtended+xml", kept.encode(), document.part.package)
    document.part.relate_to(part, "http://schemas.microsoft.com/office/2011/relationships/commentsExtended")
    again, said, _ = marked(saved(document), replace=True)
    assert said["put"] == 0
    assert [c.author for c in Document(io.BytesIO(again)).comments] == ["Tenterhook", "Wen Oddie"]


def test_a_strict_file_stays_strict() -> None:
    strict = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(word(STRAP))) as usual, zipfile.ZipFile(strict, "w") as to:
        for name in usual.namelist():
            words = usual.read(name)
            if name == "word/document.xml":
                words = words.replace(b"http://schemas.openxmlformats.org/wordprocessingml/2006/main", b"http://purl.oclc.org/ooxml/wordprocessingml/main")
            to.writestr(name, words)
    out, answer, _ = marked(strict.getvalue())
    assert answer["put"] == 1
    with zipfile.ZipFile(io.BytesIO(out)) as packed:
        assert b"http://purl.oclc.org/ooxml/wordprocessingml/main" in packed.read("word/document.xml")
        assert b"openxmlformats.org/wordprocessingml" not in packed.read("word/document.xml")
        assert b"purl.oclc.org/ooxml/wordprocessingml/main" in packed.read("word/comments.xml")


def test_what_xml_cannot_hold_does_not_stop_a_note() -> None:
    text = Text("Row 1: \ufffe sc")
    from tenterhook.lint.markup.word_comments import plain

    assert plain(text.source + "\x01") == "Row 1: \ufffd sc\ufffd"
