"""Word-processor files are packed folders of XML: looked over before anything is unpacked, and parsed without surprises.

The limits are wide for a manuscript with photographs and far below what a file made to fill the memory needs. The sizes
a packed folder declares can be believed: Python's zipfile unpacks no more than them and then finds the checksum wrong.
"""

from __future__ import annotations

import io
import zipfile
import zlib
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from ..confined import Refused, allow

if TYPE_CHECKING:
    from lxml import etree

    Element = etree._Element  # pyright: ignore[reportPrivateUsage]

MAX_MEMBERS = 3_000
MAX_DIRECTORY = 1_000_000
"""Bytes that the list of the parts may take."""
MAX_XML = 24_000_000
"""Bytes of XML unpacked, in all; some hundred times a long garment pattern."""
MAX_UNPACKED = 200_000_000
MAX_RATIO = 150
"""How many times its packed size something may unpack to, where it unpacks to more than a megabyte; prose reaches 20."""

_SECONDS_PER_BYTE = 0.000_01
"""What is allowed for each byte of packed XML: some three times what prose takes on a slow machine."""

_END_RECORD = 22 + 65_535  # bytes from the end within which the last record of a packed folder starts, its remark included
_DAMAGED = "this file is damaged: it cannot be unpacked"


class Packed:
    """A packed folder that keeps to the limits. Raises Refused where it does not."""

    def __init__(self, data: bytes) -> None:
        if _directory_size(data) > MAX_DIRECTORY:
            raise Refused("this file packs far more parts than a document has; is it a manuscript?")
        try:
            self._zip = zipfile.ZipFile(io.BytesIO(data))
        except (zipfile.BadZipFile, OSError, ValueError, NotImplementedError):
            raise Refused(f"{_DAMAGED}, or cut short") from None
        members = self._zip.infolist()
        self.names = frozenset(member.filename for member in members)
        if len(members) > MAX_MEMBERS:
            raise Refused(f"this file packs {len(members):,} parts, more than the {MAX_MEMBERS:,} that are looked into")
        if any(member.flag_bits & 1 for member in members):
            raise Refused("this file is locked with a password; save it without one")
        if len(self.names) < len(members):
            raise Refused(f"{_DAMAGED} (it has two parts of one name)")
        xml = sum(member.file_size for member in members if _is_xml(member.filename))
        whole = sum(member.file_size for member in members)
        if xml > MAX_XML or whole > MAX_UNPACKED:
            raise Refused(
                f"this file unpacks to {max(xml, whole) // 1_000_000:,} MB, more than is read; is it a manuscript?"
            )
        for member in members:
            if member.file_size > max(1_000_000, MAX_RATIO * member.compress_size):
                raise Refused(f"a part of this file unpacks to over {MAX_RATIO} times its size; is it a manuscript?")

    def bytes(self, name: str) -> bytes:
        """One part. Raises Refused where it is not there or damaged."""
        try:
            return self._zip.read(name)
        except (KeyError, zipfile.BadZipFile, zlib.error, EOFError, OSError, RuntimeError, NotImplementedError, ValueError):
            raise Refused(f"{_DAMAGED} ({name})") from None

    def xml(self, name: str, spelled: Iterable[tuple[bytes, bytes]] = ()) -> Element:
        """One part parsed. A document type is refused: no word processor writes one, and text behind entities is lost.

        ``spelled`` are words, such as the names of a vocabulary, that are to be read as others.
        """
        from lxml import etree

        data = self.bytes(name)
        allow(_SECONDS_PER_BYTE * self._zip.getinfo(name).compress_size)
        for old, new in spelled:
            data = data.replace(old, new)
        if declares_type(data):
            raise Refused("this file declares entities of its own, which no word processor does, so it was not read")
        try:
            return etree.fromstring(data, parser())
        except etree.XMLSyntaxError as error:
            raise Refused(f"this file is damaged ({name}, line {error.lineno or 1})") from None

    def members(self) -> list[zipfile.ZipInfo]:
        return self._zip.infolist()


def parser() -> Any:
    """An XML parser that fetches nothing, resolves nothing and stops at libxml2's own limits of depth and size."""
    from lxml import etree

    return etree.XMLParser(resolve_entities=False, no_network=True, load_dtd=False, huge_tree=False, remove_comments=True, remove_pis=True)


def declares_type(data: bytes) -> bool:
    """Whether XML has a document type, in any of the encodings it may be in."""
    return b"<!DOCTYPE" in data.replace(b"\0", b"")


def _directory_size(data: bytes) -> int:
    """Bytes that the list of parts takes, by the record at the end (PKWARE's application note on ZIP, 4.3.16), so that
    a list made to be long need not be gone through; 0 where there is no record."""
    end = data.rfind(b"PK\x05\x06", -_END_RECORD)
    return int.from_bytes(data[end + 12 : end + 16], "little") if end >= 0 else 0


def _is_xml(name: str) -> bool:
    return name.lower().endswith((".xml", ".rels"))
