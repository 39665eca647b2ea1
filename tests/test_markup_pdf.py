"""Marked-up PDF files, read back with pypdf: a highlight on the words of every finding, behind the bytes that were there."""

from __future__ import annotations

import io
from itertools import pairwise
from pathlib import Path
from typing import Any

import pypdf
import pytest
from documents import Pages, pdf, read
from PIL import Image
from pypdf.annotations import FreeText
from reportlab.lib.pdfencrypt import StandardEncryption
from reportlab.lib.utils import ImageReader
from tenterhook.lint.confined import Refused
from tenterhook.lint.markup.notes import anchors, notes
from tenterhook.lint.markup.pdf import mark_up
from tenterhook.lint.proof import Proof, proof

SUBMITTED = sorted((Path(__file__).parent.parent / "examples" / "submitted").glob("[0-9]*.*"))
STRAP = ["Gannet Strap", "US terms.", "", "Ch 11.", "Row 1: Sc in 2nd ch from hook and in each ch across, turn. (10 sc)", "Row 2: Ch 1, sc in each of next 10 sc, turn. (12 sc)"]


def marked(data: bytes, replace: bool = False) -> tuple[bytes, int, Proof]:
    """The file marked up in this process, how many notes were put in, and the proof of the file before."""
    text, _ = read("pdf", data)
    done = proof(text)
    noted = [{"lines": n.lines, "about": n.about, "at": anchors(text, n.span), "on_words": bool(len(n.span))} for n in notes(done)]
    answer, out = mark_up(data, {"notes": noted, "corrections": [], "replace": replace, "date": "2026-03-02T10:00:00Z"})
    return out, answer["put"], done


def annotations(data: bytes) -> list[tuple[int, Any]]:
    reader = pypdf.PdfReader(io.BytesIO(data), strict=True)
    return [(number, each.get_object()) for number, page in enumerate(reader.pages) for each in page.get("/Annots", [])]


def words_under(data: bytes, page: int, annotation: Any) -> str:
    """The characters of a page whose middle lies under a highlight, as PDFium shows the page."""
    import pypdfium2

    text = pypdfium2.PdfDocument(data)[page].get_textpage()
    points = [float(n) for n in annotation["/QuadPoints"]]
    quads = [(min(q[::2]), min(q[1::2]), max(q[::2]), max(q[1::2])) for q in (points[n : n + 8] for n in range(0, len(points), 8))]
    out = ""
    for at in range(text.count_chars()):
        left, bottom, right, top = text.get_charbox(at, loose=True)
        x, y = (left + right) / 2, (bottom + top) / 2
        if any(x0 < x < x1 and y0 < y < y1 for x0, y0, x1, y1 in quads):
            out += text.get_text_range(at, 1)
    return "".join(out.split())


@pytest.mark.parametrize("path", SUBMITTED, ids=lambda path: path.stem)
def test_every_finding_of_the_examples_is_highlighted_on_its_very_words(path: Path) -> None:
    data = pdf(path.read_text("utf-8").split("\n"))
    out, put, done = marked(data)
    assert out.startswith(data) and put == len(done.findings) > 0
    found = annotations(out)
    by_name: dict[str, list[tuple[int, Any]]] = {}
    for page, annotation in found:
        by_name.setdefault(annotation["/Contents"].split("\r")[-1], []).append((page, annotation))
    assert len(by_name) == put
    for finding, handle in zip(done.findings, done.handles, strict=True):
        there = by_name[f"[{handle}]"]
        assert there[0][1]["/Contents"].split("\r")[0] == f"{finding.severity.value.capitalize()}: {finding.message}"
        assert "".join(words_under(data, page, annotation) for page, annotation in there) == "".join(done.text[finding.span].split())
        for _, annotation in there:
            assert (annotation["/Subtype"], annotation["/T"], annotation["/F"], annotation["/M"]) == ("/Highlight", "Tenterhook", 4, "D:20260302100000Z")
            assert annotation.keys() <= {"/Type", "/Subtype", "/C", "/CA", "/Contents", "/T", "/M", "/CreationDate", "/F", "/Rect", "/QuadPoints"}
    assert marked(out)[:2] == (out, 0)
    again, put_again, _ = marked(out, replace=True)
    assert put_again == put and [a["/Contents"] for _, a in annotations(again)] == [a["/Contents"] for _, a in found]


def test_what_others_have_noted_is_kept() -> None:
    writer = pypdf.PdfWriter(io.BytesIO(pdf(STRAP)))
    writer.add_annotation(0, FreeText(text="Is this the long one?", rect=(300, 700, 400, 720)))
    data = io.BytesIO()
    writer.write(data)
    for replace in (False, True):
        out, put, _ = marked(marked(data.getvalue())[0], replace)
        assert [a["/Subtype"] for _, a in annotations(out)] == ["/FreeText", "/Highlight"] and put == int(replace)


def test_a_page_that_is_turned_has_its_highlights_on_the_words() -> None:
    for turn in (90, 180, 270):
        writer = pypdf.PdfWriter(io.BytesIO(pdf(STRAP)))
        page = writer.pages[0]
        page.rotate(turn)
        page.transfer_rotation_to_content()  # the words as they were, on a page that lies as the turn had it
        page.rotate(-turn % 360)
        data = io.BytesIO()
        writer.write(data)
        out, put, done = marked(data.getvalue())
        assert put == 1
        (number, annotation), = annotations(out)
        assert words_under(out, number, annotation) == "".join(done.text[done.findings[0].span].split())


def test_words_that_go_on_over_the_page_are_highlighted_on_both() -> None:
    pages = Pages()
    pages.lines(60, 780, ["Ch 11.", "Row 1: Sc in 2nd ch from hook and in each ch across, turn. (10 sc)", "Row 2: Ch 1, sc in each of next 12 sc,"])
    pages.next_page()
    pages.lines(60, 60, ["turn. (12 sc)", "Row 3: Ch 1, sc in each sc across. (12 sc)"])
    out, _, done = marked(pages.file())
    over = next(handle for f, handle in zip(done.findings, done.handles, strict=True) if "turn. (12" in " ".join(done.text[f.span].split()))
    assert [number for number, a in annotations(out) if a["/Contents"].endswith(f"[{over}]")] == [0, 1]
    assert marked(out)[1] == 0


def test_a_page_that_is_a_picture_has_a_note_that_is_on_no_words() -> None:
    pages = Pages()
    pages.lines(60, 60, STRAP)
    pages.next_page()
    pages.canvas.drawImage(ImageReader(Image.new("L", (20, 20), 200)), 0, 0, 595, 842)
    out, _, _ = marked(pages.file())
    note = next(a for _, a in annotations(out) if "Page 2 is a picture" in a["/Contents"])
    assert note["/Subtype"] == "/Text" and float(note["/Rect"][2]) - float(note["/Rect"][0]) == pytest.approx(18)


def test_a_protected_file_is_left_alone() -> None:
    pages = Pages(encrypt=StandardEncryption("", "owner", canModify=0))
    pages.lines(60, 60, STRAP)
    with pytest.raises(Refused, match="protected"):
        marked(pages.file())


def with_a_stream_of_places(words: list[str]) -> bytes:
    """A file whose table of objects is a stream (ISO 32000-1, 7.5.8), as newer programs write them."""
    shown = " T* ".join(f"({line.replace('(', chr(92) + '(').replace(')', chr(92) + ')')}) Tj" for line in words)
    drawn = f"BT /F1 10 Tf 14 TL 60 760 Td {shown} ET"
    objects = [
        "<</Type/Catalog/Pages 2 0 R>>",
        "<</Type/Pages/Kids[3 0 R]/Count 1>>",
        "<</Type/Page/Parent 2 0 R/MediaBox[0 0 595 842]/Contents 4 0 R/Resources<</Font<</F1 5 0 R>>>>>>",
        f"<</Length {len(drawn)}>>stream\n{drawn}\nendstream",
        "<</Type/Font/Subtype/Type1/BaseFont/Helvetica/Encoding/WinAnsiEncoding>>",
    ]
    out, places = b"%PDF-1.5\n", [0]
    for number, body in enumerate(objects, 1):
        places.append(len(out))
        out += f"{number} 0 obj{body}endobj\n".encode("latin-1")
    places.append(len(out))
    assert all(a < b for a, b in pairwise(places))
    table = b"".join(bytes([n > 0]) + place.to_bytes(4, "big") + bytes([0 if n else 255]) for n, place in enumerate(places))
    head = f"6 0 obj<</Type/XRef/Size 7/W[1 4 1]/Root 1 0 R/Length {len(table)}>>stream\n".encode()
    return out + head + table + f"\nendstream endobj\nstartxref\n{places[-1]}\n%%EOF\n".encode()


def test_a_file_whose_table_of_objects_is_a_stream_is_written_anew() -> None:
    data = with_a_stream_of_places([line for line in STRAP if line])
    assert pypdf.PdfReader(io.BytesIO(data), strict=True).pages[0].extract_text().startswith("Gannet Strap")
    out, put, done = marked(data)
    assert put == len(done.findings) == 1
    ((number, annotation),) = annotations(out)
    assert words_under(out, number, annotation) == "".join(done.text[done.findings[0].span].split())
    with pytest.raises(Refused, match="signed"):
        marked(data.replace(b"\nstartxref", b"\n%/ByteRange\nstartxref"))
