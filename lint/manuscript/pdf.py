"""PDF files: the words of every page in the order in which they are read, each character with its place on the page.

PDFium tells which characters a page shows and where; ``page_layout`` makes lines and columns of them. It is asked through
its own functions, by way of pypdfium2, because only they tell of single characters.
"""

# PDFium's functions are bound through ctypes and have no types of their own.
# pyright: reportMissingTypeStubs=false, reportUnknownMemberType=false, reportUnknownVariableType=false
# pyright: reportUnknownArgumentType=false

from __future__ import annotations

import ctypes
import math
import re
from collections.abc import Iterator
from typing import Any, cast

import pypdfium2 as pdfium
import pypdfium2.raw as raw

from ..confined import Refused, allow
from .assembly import Assembly
from .origins import Box, turned
from .page_layout import Page
from .page_rows import Glyph
from .page_text import write

MAX_PAGES = 1_000
MAX_GLYPHS = 2_000_000
"""The most characters taken from one file; 400 pages hold a million."""

_SECONDS_PER_PAGE, _SECONDS_PER_GLYPH = 0.02, 0.000_1
"""What is allowed for what has been read: some five times what it takes on a slow machine."""

_PICTURE_SHARE = 0.4
"""The share of a page above which a picture is taken for the page itself, where next to no words stand beside it."""
_NEXT_TO_NONE = 40  # characters: a running head and a page number

_UNKNOWN_SHARE = 0.1
"""The share of characters without a meaning above which a page's words are not to be relied on."""

_LIGATURES = {"\ufb00": "ff", "\ufb01": "fi", "\ufb02": "fl", "\ufb03": "ffi", "\ufb04": "ffl", "\ufb05": "st", "\ufb06": "st"}
_SYMBOLS = {0xF0B4: "×", 0xF0B0: "°", 0xF0B1: "±", 0xF0D7: "·", **dict.fromkeys((0xF0B7, 0xF0A7, 0xF0A8, 0xF06C, 0xF06E, 0xF076, 0xF0D8, 0xF0FC, 0xE00C), "•")}
"""What fonts of symbols show at the places that are theirs to use; word processors take the marks of lists from them."""
_HYPHENS = frozenset("\x02\xad\ufffe")
_UNKNOWN = "\N{REPLACEMENT CHARACTER}"
_BOLD_NAME = re.compile(rb"bold|black|heavy|semib|demi", re.IGNORECASE)
_ASLANT = -360  # in place of a turn, for what lies level at none
_FORCE_BOLD = 1 << 18  # of a font's flags (ISO 32000-1, table 123)
_ERRORS = {
    raw.FPDF_ERR_PASSWORD: "this PDF is locked with a password; save it without one",
    raw.FPDF_ERR_SECURITY: "this PDF is locked in a way that is not known; save it without that",
}


def read(data: bytes, arguments: dict[str, Any]) -> tuple[dict[str, Any], bytes]:
    """A PDF's text, as ``Assembly.packed`` gives it. Raises Refused."""
    _is_whole(data)
    try:
        document = pdfium.PdfDocument(data)
    except pdfium.PdfiumError as error:
        raise Refused(_ERRORS.get(error.err_code or 0, "this PDF is damaged: its pages cannot be found")) from None
    count = len(document)
    if not 0 < count <= MAX_PAGES:
        raise Refused(f"this PDF has {count:,} pages; from 1 to {MAX_PAGES:,} are read")
    pages: list[Page] = []
    glyphs = 0
    for number in range(count):
        page = _page(document, number)
        glyphs += len(page.glyphs)
        if glyphs > MAX_GLYPHS:
            raise Refused(f"this PDF holds more than the {MAX_GLYPHS:,} characters that are read; is it a manuscript?")
        allow(_SECONDS_PER_PAGE + _SECONDS_PER_GLYPH * len(page.glyphs))
        pages.append(page)
    if not any(glyph.char.strip() for page in pages for glyph in page.glyphs):
        raise Refused("its pages are pictures, or empty: there are no words to read; have the words recognised first")
    to = Assembly()
    write(pages, to)
    return to.packed("none of the words on its pages lie level, so they were not read")


def _is_whole(data: bytes) -> None:
    """A file that was cut short may still show its first pages; taken for the whole it would be a silent gap."""
    end = data.rfind(b"%%EOF")
    if end < 0 or data.rfind(b"startxref", 0, end) < 0:
        raise Refused("this PDF is cut short: its end is missing; copy or save it again")


def _page(document: pdfium.PdfDocument, number: int) -> Page:
    try:
        page = document[number]
        turn = page.get_rotation()
        shown = cast(Box, page.get_cropbox())  # what is not said is taken from the outer boxes
        text = page.get_textpage()
        by_turn = _glyphs(text.raw, shown)
        text.close()
        level = by_turn.pop(turn, [])
        missing = [*_missing(page, number, level, shown)]
        page.close()
    except pdfium.PdfiumError:
        return Page(number, 0, [], {}, (f"Page {number + 1} is damaged, and it was not read.",))
    if by_turn.pop(_ASLANT, None):
        missing.append(f"Words that lie aslant on page {number + 1} were not read.")
    corners = (turned(shown[0], shown[1], turn), turned(shown[2], shown[3], turn))
    right, bottom, top = max(u for u, _ in corners), min(v for _, v in corners), max(v for _, v in corners)
    return Page(number, turn, level, by_turn, tuple(missing), right, bottom, top)


def _glyphs(text: Any, shown: Box) -> dict[int, list[Glyph]]:
    """The characters by how the page has to be turned for them to lie level.

    What lies off the page, as printers' marks do, is left out; a line that runs over the edge is still the author's.
    """
    out: dict[int, list[Glyph]] = {}
    run: list[Glyph] = []
    last, look, on_page = -1, (0.0, False, 0), False
    space, letters = (0.0, 0.0), 0  # of the character before
    box, x, y = raw.FS_RECTF(), ctypes.c_double(), ctypes.c_double()
    for at in range(raw.FPDFText_CountChars(text)):
        if raw.FPDFText_IsGenerated(text, at):
            continue
        chars = _chars(raw.FPDFText_GetUnicode(text, at))
        if not chars or not raw.FPDFText_GetLooseCharBox(text, at, box) or not raw.FPDFText_GetCharOrigin(text, at, x, y):
            continue
        this = ctypes.cast(raw.FPDFText_GetTextObject(text, at), ctypes.c_void_p).value or 0
        if this != last:
            run, look, on_page = [], _look(text, at), False
        size, bold, turn = look
        if not on_page and shown[0] - 1 <= x.value <= shown[2] + 1 and shown[1] - 1 <= y.value <= shown[3] + 1:
            on_page = True
            out.setdefault(turn, []).extend(run)
        into = out[turn] if on_page else run
        left, low, right, high, base = box.left, box.bottom, box.right, box.top, y.value
        if turn % 360:
            (u0, v0), (u1, v1) = turned(left, low, turn % 360), turned(right, high, turn % 360)
            left, low, right, high = min(u0, u1), min(v0, v1), max(u0, u1), max(v0, v1)
            base = turned(x.value, y.value, turn % 360)[1]
        if this == last and (left, right) == space:
            # Another letter of a ligature: all of them have its whole space, and share it.
            before = [into.pop() for _ in range(letters)]
            chars = "".join(glyph.char for glyph in reversed(before)) + chars
        space, letters, last = (left, right), len(chars), this
        share = (right - left) / letters
        into.extend(Glyph(char, left + n * share, left + (n + 1) * share, low, high, base, size, bold) for n, char in enumerate(chars))
    return out


def _chars(code: int) -> str:
    """What a character code stands for: several letters for a ligature, nothing for what is not to be seen."""
    if code == 0 or 0xD800 <= code < 0xE000 or code > 0x10FFFF:
        return _UNKNOWN
    char = chr(code)
    if char in _HYPHENS:
        return "-"
    if char in "\r\n" or (char < " " and char != "\t"):
        return ""
    if 0xE000 <= code < 0xF900:
        return _SYMBOLS.get(code, _UNKNOWN)
    return " " if char == "\t" else _LIGATURES.get(char, char)


def _look(text: Any, at: int) -> tuple[float, bool, int]:
    """Of a run of characters: the size in points, whether it is bold, and at which turn of the page it lies level."""
    matrix = raw.FS_MATRIX()
    raw.FPDFText_GetMatrix(text, at, matrix)
    size = raw.FPDFText_GetFontSize(text, at) * math.hypot(matrix.c, matrix.d)
    quarters = -math.degrees(raw.FPDFText_GetCharAngle(text, at)) / 90
    turn = round(quarters) % 4 * 90 if abs(quarters - round(quarters)) < 0.02 else _ASLANT
    flags, name = ctypes.c_int(), ctypes.create_string_buffer(128)
    raw.FPDFText_GetFontInfo(text, at, name, len(name), flags)
    bold = bool(flags.value & _FORCE_BOLD) or _BOLD_NAME.search(name.value) is not None
    return max(size, 0.1), bold, turn


def _missing(page: pdfium.PdfPage, number: int, glyphs: list[Glyph], box: Box) -> tuple[str, ...]:
    """What of a page cannot be read, in words that say so."""
    area = abs(box[2] - box[0]) * abs(box[3] - box[1])
    shown = [glyph.char for glyph in glyphs if not glyph.char.isspace()]
    unknown = shown.count(_UNKNOWN)
    if unknown > max(3, _UNKNOWN_SHARE * len(shown)):
        return (f"On page {number + 1}, {unknown} of {len(shown)} characters do not say which letters they are, so its words are not to be relied on.",)
    if len(shown) <= _NEXT_TO_NONE and area > 0 and sum(_picture_areas(page)) > _PICTURE_SHARE * area:
        return (f"Page {number + 1} is a picture, and it was not read.",)
    return ()


def _picture_areas(page: pdfium.PdfPage) -> Iterator[float]:
    for found in page.get_objects(filter=[raw.FPDF_PAGEOBJ_IMAGE], max_depth=4):
        left, bottom, right, top = found.get_bounds()
        yield abs(right - left) * abs(top - bottom)
