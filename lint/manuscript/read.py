"""A file or standard input → the manuscript's characters, or a plain reason why not.

The characters are kept as they are: line ends are not changed and nothing is folded, so every offset counts the code
points an editor counts. Only a byte order mark is left out.
"""

from __future__ import annotations

import codecs
import os
import sys
from dataclasses import dataclass
from pathlib import PurePath

from ..text import Text

STANDARD_INPUT = "-"

MAX_BYTES = 8_000_000
"""The largest file read, in bytes: some hundred times a long garment pattern in ten sizes."""

MAX_LINE = 1_000_000
"""The longest line read, in code points; a longer one is no text that a person wrote."""

MAX_CONTROL_SHARE = 0.1
"""The share of control characters above which a file is not taken for text."""

TEXT_SUFFIXES = frozenset({".txt", ".text", ".md", ".markdown"})

_NOT_READ_YET = {
    ".doc": "a word-processor file",
    ".docx": "a word-processor file",
    ".odt": "a word-processor file",
    ".pages": "a word-processor file",
    ".rtf": "a word-processor file",
    ".pdf": "a PDF file",
    ".epub": "an electronic book",
    ".htm": "a web page",
    ".html": "a web page",
    ".ods": "a spreadsheet",
    ".xls": "a spreadsheet",
    ".xlsx": "a spreadsheet",
}

_SIGNATURES = {
    b"%PDF-": "a PDF file",
    b"PK\x03\x04": "a packed file",
    b"{\\rtf": "a word-processor file",
    b"\xd0\xcf\x11\xe0": "a word-processor file",
}

_MARKS = (
    (codecs.BOM_UTF8, "utf-8", "UTF-8"),
    (codecs.BOM_UTF32_LE, "utf-32-le", "UTF-32"),  # before UTF-16, whose mark it starts with
    (codecs.BOM_UTF32_BE, "utf-32-be", "UTF-32"),
    (codecs.BOM_UTF16_LE, "utf-16-le", "UTF-16"),
    (codecs.BOM_UTF16_BE, "utf-16-be", "UTF-16"),
)

_TEXT_CONTROLS = frozenset("\t\n\v\f\r\x1a\x85")
_BLANK = " \t\n\v\f\r\x1a\x85\ufeff\u200b\u200c\u200d\u2060"


class Unreadable(Exception):
    """A path that gave no manuscript, and the reason in words a person can act on."""

    def __init__(self, path: str, reason: str) -> None:
        super().__init__(f"{path}: {reason}")
        self.path = path
        self.reason = reason


@dataclass(frozen=True, slots=True)
class Manuscript:
    """A manuscript as read. ``remark`` says what a person should know of how it was read, or nothing."""

    text: Text
    remark: str = ""


def read(path: str) -> Text:
    """The text of the file at ``path``, or of standard input for ``-``. Raises Unreadable and nothing else."""
    return read_manuscript(path).text


def read_manuscript(path: str) -> Manuscript:
    """As ``read``, with the remark on how the characters were decoded. Raises Unreadable and nothing else."""
    return manuscript_from(_bytes(path), path)


def manuscript_from(data: bytes, path: str) -> Manuscript:
    """The manuscript in ``data``; ``path`` is what it is called. Raises Unreadable."""
    if len(data) > MAX_BYTES:
        raise Unreadable(path, f"this file is larger than {_millions(MAX_BYTES)} MB, the most that is read")
    for signature, kind in _SIGNATURES.items():
        if data.startswith(signature):
            raise Unreadable(path, _not_read_yet(kind))
    source, remark = _decoded(data, path)
    if not source.strip(_BLANK).strip():
        raise Unreadable(path, "this file is empty" if not source else "this file holds nothing but white space")
    if "\0" in source or _control_share(source) > MAX_CONTROL_SHARE:
        raise Unreadable(path, "this is not text (it holds binary data); save the manuscript as plain text")
    text = Text(source, path)
    start = _long_line(source)
    if start is not None:
        raise Unreadable(
            path,
            f"line {text.line_number(start)} is longer than the {MAX_LINE:,} characters that are read; "
            "is it a manuscript?",
        )
    return Manuscript(text, remark)


def _bytes(path: str) -> bytes:
    """At most one byte more than the limit, so that a device or an endless pipe cannot fill the memory."""
    try:
        if path == STANDARD_INPUT:
            stream = getattr(sys.stdin, "buffer", None)
            if stream is None:
                raise Unreadable(path, "standard input is closed")
            return stream.read(MAX_BYTES + 1)
        if os.path.isdir(path):
            raise Unreadable(path, "this is a folder, not a manuscript")
        kind = _NOT_READ_YET.get(PurePath(path).suffix.lower())
        with open(path, "rb") as file:
            if kind:
                raise Unreadable(path, _not_read_yet(kind))
            return file.read(MAX_BYTES + 1)
    except FileNotFoundError:
        raise Unreadable(path, "there is no such file; check the name") from None
    except PermissionError:
        raise Unreadable(path, "you have no permission to read this file") from None
    except (OSError, ValueError) as error:
        reason = (error.strerror if isinstance(error, OSError) else None) or str(error)
        raise Unreadable(path, f"the file could not be read ({reason.lower()})") from None


def _decoded(data: bytes, path: str) -> tuple[str, str]:
    for mark, encoding, name in _MARKS:
        if data.startswith(mark):
            try:
                return data[len(mark) :].decode(encoding), ""
            except UnicodeDecodeError:
                raise Unreadable(
                    path, f"this file says it is {name} but is damaged; save it again as UTF-8 text"
                ) from None
    try:
        return data.decode("utf-8"), ""
    except UnicodeDecodeError:
        pass
    for encoding, name in (("cp1252", "Windows-1252"), ("latin-1", "Latin-1")):
        try:
            source = data.decode(encoding)
        except UnicodeDecodeError:
            continue
        return source, f"not UTF-8, so read as {name}: look whether accents, fractions and dashes came through"
    raise AssertionError("Latin-1 decodes every byte")


def _control_share(source: str) -> float:
    """The share of control characters (Unicode Cc) that plain text has no use for."""
    controls = sum(
        source.count(chr(code)) for code in (*range(0x20), *range(0x7F, 0xA0)) if chr(code) not in _TEXT_CONTROLS
    )
    return controls / len(source)


def _long_line(source: str) -> int | None:
    """Where the first line of more than MAX_LINE code points starts. Looks at few of the lines, however many."""
    start = 0
    while len(source) - start > MAX_LINE:
        within = (start, start + MAX_LINE + 1)
        end = max(source.rfind("\n", *within), source.rfind("\r", *within))
        if end < 0:
            return start
        start = end + 1
    return None


def _not_read_yet(kind: str) -> str:
    return f"this kind of file is not read yet ({kind}); save it as plain text"


def _millions(number: int) -> str:
    return f"{number / 1_000_000:g}"
