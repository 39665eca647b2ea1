"""PDF files: a highlight on the words of every finding, with the note in it, added behind the file as it was.

An incremental update (ISO 32000-1, 7.5.6): the bytes of the file stay, and what is new comes after them. Where the table
of its objects is a stream (7.5.8), which PDFium cannot add to soundly, the same objects are written anew. The annotations
are plain ones (12.5.6.4 and 12.5.6.10), without actions, scripts or references to anything outside.
"""

# PDFium's functions are bound through ctypes and have no types of their own.
# pyright: reportMissingTypeStubs=false, reportUnknownMemberType=false, reportUnknownVariableType=false
# pyright: reportUnknownArgumentType=false

from __future__ import annotations

import ctypes
import io
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import pypdfium2 as pdfium
import pypdfium2.raw as raw

from ..confined import Refused
from ..manuscript.origins import Box, OnPage, from_list
from ..manuscript.pdf import read
from .notes import AUTHOR, known_by

_START = re.compile(rb"startxref\s+(\d{1,12})")
_COLOUR = (255, 214, 64)
_OPAQUE = 255
_PRINTED = 1 << 2  # of an annotation's flags (ISO 32000-1, table 165)
_LINE_END = "\r"
_ICON = 18.0  # points across the sign of a note that is on no words
_NOT_LEVEL = 0.5  # of a line's height by which boxes of one line differ at most


@dataclass(frozen=True, slots=True)
class _Placed:
    """A note on one page: its lines, the boxes of the words, and whether it is about words at all."""

    lines: tuple[str, ...]
    page: int
    boxes: tuple[Box, ...]
    on_words: bool


def mark_up(data: bytes, arguments: dict[str, Any]) -> tuple[dict[str, Any], bytes]:
    """The file with its notes, and how many were put in. Raises Refused. ``arguments`` are those of a Word file."""
    before = read(data, {})[0]["source"]
    document = pdfium.PdfDocument(data)
    if raw.FPDF_GetSecurityHandlerRevision(document) >= 0:
        raise Refused("this PDF is protected, so nothing can be added to it; save it without protection")
    said = {known_by(lines) for page in _pages(document) for _, lines in _own(page)} if not arguments["replace"] else set()
    if arguments["replace"]:
        for page in _pages(document):
            for index, _ in reversed([*_own(page)]):
                raw.FPDFPage_RemoveAnnot(page, index)
    new = [note for note in arguments["notes"] if known_by(note["lines"]) not in said]
    if not new and not arguments["replace"]:
        return {"put": 0, "corrected": 0}, data
    date = f"D:{arguments['date'].translate(str.maketrans('', '', '-:T'))}"
    for placed in (p for note in new for p in _placed(note)):
        _add(document, placed, date)
    marked = _saved(document, data)
    if read(marked, {})[0]["source"] != before:
        raise Refused("this PDF could not be marked up without a change to it, so it was left alone; please report it")
    return {"put": len(new), "corrected": 0}, marked


def _saved(document: pdfium.PdfDocument, data: bytes) -> bytes:
    out = io.BytesIO()
    if _ends_with_table(data):
        document.save(out, flags=raw.FPDF_INCREMENTAL)
        if out.getvalue().startswith(data):
            return out.getvalue()
    if b"/ByteRange" in data:
        raise Refused("this PDF is signed, and a note would break its signature; mark up a copy that is not signed")
    out = io.BytesIO()
    document.save(out, flags=raw.FPDF_NO_INCREMENTAL)
    return out.getvalue()


def _ends_with_table(data: bytes) -> bool:
    """Whether the place that the end of a file names holds a table of its objects, and no stream."""
    found = _START.search(data, max(0, data.rfind(b"startxref")))
    return found is not None and data[int(found[1]) :][:20].lstrip().startswith(b"xref") and b"/XRefStm" not in data[int(found[1]) :]


def _pages(document: pdfium.PdfDocument) -> Iterator[pdfium.PdfPage]:
    for number in range(len(document)):
        try:
            page = document[number]
        except pdfium.PdfiumError:  # damaged; the reader has said so
            continue
        yield page
        page.close()


def _own(page: pdfium.PdfPage) -> Iterator[tuple[int, list[str]]]:
    """The annotations of an earlier round, by their number on the page, with their lines."""
    for index in range(raw.FPDFPage_GetAnnotCount(page)):
        annotation = raw.FPDFPage_GetAnnot(page, index)
        if annotation and _words(annotation, b"T") == AUTHOR:
            yield index, _words(annotation, b"Contents").replace("\n", _LINE_END).split(_LINE_END)
        raw.FPDFPage_CloseAnnot(annotation)


def _words(annotation: Any, key: bytes) -> str:
    size = raw.FPDFAnnot_GetStringValue(annotation, key, None, 0)
    held = ctypes.create_string_buffer(max(size, 2))
    raw.FPDFAnnot_GetStringValue(annotation, key, ctypes.cast(held, ctypes.POINTER(raw.FPDF_WCHAR)), size)
    return held.raw[:size].decode("utf-16-le", "replace").rstrip("\0")


def _placed(note: dict[str, Any]) -> Iterator[_Placed]:
    """A note on the page where its words begin; on the pages on which they go on, a pointer to it."""
    boxes: dict[int, list[Box]] = {}
    for origin, start, end in note["at"]:
        at = from_list(origin)
        assert isinstance(at, OnPage)
        boxes.setdefault(at.page, []).append(at.box(start, end))
    first = min(boxes, default=0)
    for page, there in sorted(boxes.items()):
        lines = note["lines"] if page == first else [f"This goes on from the note on page {first + 1}.", note["lines"][-1]]
        yield _Placed(tuple(lines), page, tuple(_joined(there)), note["on_words"])


def _joined(boxes: Sequence[Box]) -> Iterator[Box]:
    """Boxes side by side on one level line as one, so that a highlight has no gaps between words."""
    last: Box | None = None
    for box in boxes:
        height = box[3] - box[1]
        if last and abs(last[1] - box[1]) < _NOT_LEVEL * height and last[0] <= box[0] <= last[2] + height:
            last = (last[0], min(last[1], box[1]), max(last[2], box[2]), max(last[3], box[3]))
            continue
        if last:
            yield last
        last = box
    if last:
        yield last


def _add(document: pdfium.PdfDocument, placed: _Placed, date: str) -> None:
    page = document[placed.page]
    annotation = raw.FPDFPage_CreateAnnot(page, raw.FPDF_ANNOT_HIGHLIGHT if placed.on_words else raw.FPDF_ANNOT_TEXT)
    left, bottom, right, top = (min(b[0] for b in placed.boxes), min(b[1] for b in placed.boxes), max(b[2] for b in placed.boxes), max(b[3] for b in placed.boxes))
    if placed.on_words:
        for x0, y0, x1, y1 in placed.boxes:
            raw.FPDFAnnot_AppendAttachmentPoints(annotation, raw.FS_QUADPOINTSF(x0, y1, x1, y1, x0, y0, x1, y0))
    else:
        left, bottom, right, top = right, top - _ICON, right + _ICON, top
    raw.FPDFAnnot_SetRect(annotation, raw.FS_RECTF(left, top, right, bottom))
    raw.FPDFAnnot_SetColor(annotation, raw.FPDFANNOT_COLORTYPE_Color, *_COLOUR, _OPAQUE)
    raw.FPDFAnnot_SetFlags(annotation, _PRINTED)
    for key, words in ((b"Contents", _LINE_END.join(placed.lines)), (b"T", AUTHOR), (b"M", date), (b"CreationDate", date)):
        wide = (words + "\0").encode("utf-16-le", "replace")
        raw.FPDFAnnot_SetStringValue(annotation, key, ctypes.cast(ctypes.create_string_buffer(wide), ctypes.POINTER(raw.FPDF_WCHAR)))
    raw.FPDFPage_CloseAnnot(annotation)
    page.close()
