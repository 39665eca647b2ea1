"""Documents made with the libraries that others write them with, and read in this process, where a fault shows."""

from __future__ import annotations

import io
from collections.abc import Iterable
from importlib import import_module
from typing import Any

from docx import Document
from docx.oxml import parse_xml
from odf.opendocument import OpenDocumentText
from odf.text import P
from reportlab.lib.pagesizes import A4
from reportlab.pdfgen.canvas import Canvas
from tenterhook.lint.manuscript.assembly import unpacked
from tenterhook.lint.manuscript.read import READERS
from tenterhook.lint.text import Text

W = 'xmlns:w="http://schemas.openxmlformats.org/wordprocessingml/2006/main"'


def read(kind: str, data: bytes) -> tuple[Text, str]:
    """A document's text and the remark on how it was read. Raises what the reader raises."""
    module, _, function = READERS[kind][0].partition(":")
    packed, _ = getattr(import_module(f"tenterhook.lint.{module}"), function)(data, {})
    return unpacked(packed)


def saved(document: Any) -> bytes:
    """The file of a Word or OpenDocument document."""
    out = io.BytesIO()
    document.save(out)
    return out.getvalue()


def word(lines: Iterable[str]) -> bytes:
    document = Document()
    for line in lines:
        document.add_paragraph(line)
    return saved(document)


def put_in(paragraph: Any, inner: str) -> None:
    """Words in Word's own XML, at the end of a paragraph."""
    for element in list(parse_xml(f"<w:p {W}>{inner}</w:p>")):
        paragraph._p.append(element)


def run(words: str, properties: str = "") -> str:
    return f'<w:r><w:rPr>{properties}</w:rPr><w:t xml:space="preserve">{words}</w:t></w:r>'


def opendocument(lines: Iterable[str]) -> bytes:
    document = OpenDocumentText()
    for line in lines:
        document.text.addElement(P(text=line))
    return saved(document)


class Pages:
    """A PDF in the making, drawn line by line from the top of an A4 page; places in points from the left and the top."""

    def __init__(self, **options: Any) -> None:
        self._out = io.BytesIO()
        self.canvas = Canvas(self._out, pagesize=A4, **options)
        self.height = A4[1]

    def line(self, left: float, top: float, words: str, size: float = 10, font: str = "Helvetica") -> None:
        self.canvas.setFont(font, size)
        self.canvas.drawString(left, self.height - top, words)

    def lines(self, left: float, top: float, lines: Iterable[str], step: float = 13) -> None:
        for number, words in enumerate(lines):
            self.line(left, top + step * number, words)

    def next_page(self) -> None:
        self.canvas.showPage()

    def file(self) -> bytes:
        self.canvas.save()
        return self._out.getvalue()


def pdf(lines: Iterable[str]) -> bytes:
    """Lines down as many pages as it takes."""
    pages = Pages()
    top = 60.0
    for words in lines:
        if top > 780:
            pages.next_page()
            top = 60.0
        pages.line(60, top, words)
        top += 13
    return pages.file()
