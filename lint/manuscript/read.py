"""A file or standard input → the manuscript's text, or a plain reason why not.

What a file is told by its first bytes, and only where they leave it open by its name. Text is read here; documents,
which libraries have to take apart, are read in a child process whose memory and time are limited.
"""

from __future__ import annotations

import os
import re
import sys
from dataclasses import dataclass, replace
from pathlib import PurePath
from typing import IO

from ..confined import Refused, confined
from ..text import Text

STANDARD_INPUT = "-"

MAX_BYTES = 8_000_000
"""The largest text file read, in bytes: some hundred times a long garment pattern in ten sizes."""

MAX_DOCUMENT_BYTES = 80_000_000
"""The largest word-processor file or PDF read, in bytes; photographs take most of it."""

TEXT_SUFFIXES = frozenset({".txt", ".text", ".md", ".markdown"})
DOCUMENT_SUFFIXES = frozenset({".docx", ".docm", ".odt", ".ott", ".pdf", ".html", ".htm", ".xhtml"})

READERS = {
    "word": ("manuscript.word:read", "word"),
    "opendocument": ("manuscript.opendocument:read", "odt"),
    "pdf": ("manuscript.pdf:read", "pdf"),
    "html": ("manuscript.html:read", "html"),
}
"""The task that reads each kind of document, by the name of the kind, and the extra that installs what it needs."""

_OTHER_KINDS = {
    ".doc": "a file of an older Word",
    ".pages": "a word-processor file of a kind that only its own program reads",
    ".rtf": "a rich text file",
    ".epub": "an electronic book",
    ".ods": "a spreadsheet",
    ".xls": "a spreadsheet",
    ".xlsx": "a spreadsheet",
}

_WEB_PAGE = re.compile(rb"\s*(?:<\?xml[^>]*>\s*)?(?:<!--.*?-->\s*)*<(?:!doctype\s+html|html[\s>])", re.IGNORECASE | re.DOTALL)
_HEAD = 1024  # bytes within which a PDF says that it is one


class Unreadable(Exception):
    """A path that gave no manuscript, and the reason in words a person can act on."""

    def __init__(self, path: str, reason: str) -> None:
        super().__init__(f"{path}: {reason}")
        self.path = path
        self.reason = reason


@dataclass(frozen=True, slots=True)
class Manuscript:
    """A manuscript as read: of which kind it was, ``text`` or one of ``READERS``, and its bytes.

    ``remark`` says what a person should know of how it was read, or nothing.
    """

    text: Text
    remark: str = ""
    kind: str = "text"
    data: bytes = b""

    @property
    def note(self) -> str:
        """The remark, with what is not in the text at all; for reports that list nothing that was not read."""
        return "; ".join(part for part in (self.remark, *(gap.message.rstrip(".") for gap in self.text.gaps)) if part)


def read(path: str) -> Text:
    """The text of the file at ``path``, or of standard input for ``-``. Raises Unreadable and nothing else."""
    return read_manuscript(path).text


def read_manuscript(path: str) -> Manuscript:
    """As ``read``, with what it was read from and the remark on how. Raises Unreadable and nothing else."""
    return manuscript_from(_bytes(path), path)


def manuscript_from(data: bytes, path: str) -> Manuscript:
    """The manuscript in ``data``; ``path`` is what it is called. Raises Unreadable."""
    kind = _kind(data, path)
    try:
        if kind == "text":
            _within(len(data), MAX_BYTES)
            from .plain import read as read_text

            text, remark = read_text(data)
        else:
            _within(len(data), MAX_DOCUMENT_BYTES)
            from .assembly import unpacked
            from .plain import fit

            task, extra = READERS[kind]
            text, remark = unpacked(confined(task, data, extra)[0])
            fit(text.source)
    except Refused as refused:
        raise Unreadable(path, refused.reason) from None
    return Manuscript(replace(text, name=path), remark, kind, data)


def _kind(data: bytes, path: str) -> str:
    """What kind of file this is. Raises Unreadable for the kinds that are not read."""
    suffix = PurePath(path).suffix.lower()
    if b"%PDF-" in data[:_HEAD]:
        return "pdf"
    if data.startswith(b"PK\x03\x04"):
        return _kind_of_packed(data, path)
    if data.startswith(b"\xd0\xcf\x11\xe0"):
        why = "a file of an older Word, or one locked with a password"
        raise Unreadable(path, _not_read(why if suffix != ".xls" else _OTHER_KINDS[suffix]))
    if data.startswith(b"{\\rtf"):
        raise Unreadable(path, _not_read(_OTHER_KINDS[".rtf"]))
    if suffix in _OTHER_KINDS:
        raise Unreadable(path, _not_read(_OTHER_KINDS[suffix]))
    if suffix in DOCUMENT_SUFFIXES and not data:
        raise Unreadable(path, "this file is empty")
    if suffix in (".html", ".htm", ".xhtml") or (suffix not in TEXT_SUFFIXES and _WEB_PAGE.match(data[:_HEAD])):
        return "html"
    if suffix in DOCUMENT_SUFFIXES:
        raise Unreadable(path, f"this is not what a {suffix} file begins like; is it damaged?")
    return "text"


def _kind_of_packed(data: bytes, path: str) -> str:
    from .packed import Packed

    try:
        packed = Packed(data)
        described = packed.bytes("mimetype")[:200].decode("ascii", "replace").strip() if "mimetype" in packed.names else ""
    except Refused as refused:
        raise Unreadable(path, refused.reason) from None
    if described.startswith("application/vnd.oasis.opendocument.text"):
        return "opendocument"
    if any(name.startswith("word/") for name in packed.names):
        return "word"
    for sign, suffix in (("xl/workbook.xml", ".xlsx"), ("Index/Document.iwa", ".pages")):
        if sign in packed.names:
            raise Unreadable(path, _not_read(_OTHER_KINDS[suffix]))
    if described == "application/epub+zip":
        raise Unreadable(path, _not_read(_OTHER_KINDS[".epub"]))
    raise Unreadable(path, "this packed file is no word-processor file; unpack it and give the manuscript itself")


def _bytes(path: str) -> bytes:
    """At most one byte more than the limit, so that a device or an endless pipe cannot fill the memory."""
    try:
        if path == STANDARD_INPUT:
            stream = getattr(sys.stdin, "buffer", None)
            if stream is None:
                raise Unreadable(path, "standard input is closed")
            return _as_much_as_is_read(stream)
        if os.path.isdir(path):
            raise Unreadable(path, "this is a folder, not a manuscript")
        with open(path, "rb") as file:
            return _as_much_as_is_read(file)
    except FileNotFoundError:
        raise Unreadable(path, "there is no such file; check the name") from None
    except PermissionError:
        raise Unreadable(path, "you have no permission to read this file") from None
    except (OSError, ValueError) as error:
        reason = (error.strerror if isinstance(error, OSError) else None) or str(error)
        raise Unreadable(path, f"the file could not be read ({reason.lower()})") from None


def _as_much_as_is_read(stream: IO[bytes]) -> bytes:
    data = stream.read(MAX_BYTES + 1)
    if len(data) > MAX_BYTES and (data.startswith(b"PK\x03\x04") or b"%PDF-" in data[:_HEAD]):
        data += stream.read(MAX_DOCUMENT_BYTES + 1 - len(data))
    return data


def _within(size: int, most: int) -> None:
    if size > most:
        raise Refused(f"this file is larger than {most / 1_000_000:g} MB, the most that is read")


def _not_read(kind: str) -> str:
    return f"this kind of file is not read ({kind}); save it as .docx, .odt, PDF or plain text"
