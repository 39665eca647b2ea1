"""The parts of a Word file and how they refer to each other (ECMA-376 part 2, chapter 9, relationships)."""

from __future__ import annotations

import posixpath
from collections.abc import Iterator
from typing import TYPE_CHECKING

from ..confined import Refused
from .packed import Packed
from .word_lists import W

if TYPE_CHECKING:
    from .packed import Element

R = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}"
M = "{http://schemas.openxmlformats.org/officeDocument/2006/math}"
RELATION = "{http://schemas.openxmlformats.org/package/2006/relationships}Relationship"

STRICT = (
    (b"http://purl.oclc.org/ooxml/wordprocessingml/main", W[1:-1].encode()),
    (b"http://purl.oclc.org/ooxml/officeDocument/relationships", R[1:-1].encode()),
    (b"http://purl.oclc.org/ooxml/officeDocument/math", M[1:-1].encode()),
)
"""The names of the vocabularies in the standard's strict form, which are read as those of its usual one."""


def main_part(packed: Packed) -> str:
    """The part that holds the text. Raises Refused where there is none."""
    named = [target for kind, target, _ in _listed(packed, "_rels/.rels", "") if kind == "officeDocument"]
    name = next((n for n in (*named, "word/document.xml") if n in packed.names), "")
    if not name:
        raise Refused("this packed file holds no Word document; unpack it and give the manuscript itself")
    return name


def xml(packed: Packed, name: str) -> Element:
    return packed.xml(name, STRICT)


def relations_name(part: str) -> str:
    """The part that lists what a part refers to."""
    folder, _, file = part.rpartition("/")
    return f"{folder}/_rels/{file}.rels".lstrip("/")


def relations(packed: Packed, part: str) -> list[tuple[str, str, str]]:
    """The kind, the part and the identifier of every relation of a part to another of the same file."""
    return list(_listed(packed, relations_name(part), part.rpartition("/")[0]))


def _listed(packed: Packed, name: str, folder: str) -> Iterator[tuple[str, str, str]]:
    if name not in packed.names:
        return
    for relation in packed.xml(name).iter(RELATION):
        if relation.get("TargetMode") != "External":
            target = posixpath.normpath(posixpath.join("/", folder, relation.get("Target", ""))).lstrip("/")
            yield relation.get("Type", "").rpartition("/")[2], target, relation.get("Id", "")
