"""The comments of a Word file: those that are there, the ones put in, and the parts that name them.

ECMA-376 part 1, section 17.13.4. What newer programs keep beside a comment, such as whose answer it is, lies in parts of
its own ([MS-DOCX], section 2.5).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING

from .. import regex
from ..manuscript.word_lists import W
from ..manuscript.word_parts import RELATION
from .notes import AUTHOR, INITIALS

if TYPE_CHECKING:
    from ..manuscript.packed import Element

KIND = "http://schemas.openxmlformats.org/officeDocument/2006/relationships/comments"
KIND_STRICT = "http://purl.oclc.org/ooxml/officeDocument/relationships/comments"
_CONTENT = "application/vnd.openxmlformats-officedocument.wordprocessingml.comments+xml"
_TYPES = "{http://schemas.openxmlformats.org/package/2006/content-types}"
_W14 = "{http://schemas.microsoft.com/office/word/2010/wordml}"
_W15 = "{http://schemas.microsoft.com/office/word/2012/wordml}"
_SPACE = "{http://www.w3.org/XML/1998/namespace}space"

EMPTY = f'<w:comments xmlns:w="{W[1:-1]}"/>'.encode()

_NO_XML = regex.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
"""What XML 1.0 cannot hold."""


def plain(words: str) -> str:
    return _NO_XML.sub("\N{REPLACEMENT CHARACTER}", words)


def own(comments: Element) -> dict[str, list[str]]:
    """The comments that this program put in in an earlier round: their lines, by their identifiers."""
    return {
        comment.get(f"{W}id", ""): ["".join(t.text or "" for t in p.iter(f"{W}t")) for p in comment.iter(f"{W}p")]
        for comment in comments.iter(f"{W}comment")
        if comment.get(f"{W}author") == AUTHOR
    }


def answered(comments: Element, extended: Element | None) -> set[str]:
    """The identifiers of comments that someone has answered."""
    parents = {entry.get(f"{_W15}paraIdParent") for entry in (extended.iter(f"{_W15}commentEx") if extended is not None else ())}
    return {
        comment.get(f"{W}id", "")
        for comment in comments.iter(f"{W}comment")
        if any(p.get(f"{_W14}paraId") in parents - {None} for p in comment.iter(f"{W}p"))
    }


def take_out(root: Element, comments: Element, extended: Element | None, identifiers: set[str]) -> None:
    """Take comments out of the text and out of the parts that keep them."""
    names = (f"{W}commentRangeStart", f"{W}commentRangeEnd", f"{W}commentReference")
    for mark in [mark for mark in root.iter(*names) if mark.get(f"{W}id") in identifiers]:
        run = mark.getparent()
        if run is not None and run.tag == f"{W}r" and all(each is mark or each.tag == f"{W}rPr" for each in run):
            mark = run
        _remove(mark)
    gone: set[str | None] = set()
    for comment in [c for c in comments.iter(f"{W}comment") if c.get(f"{W}id") in identifiers]:
        gone.update(p.get(f"{_W14}paraId") for p in comment.iter(f"{W}p"))
        _remove(comment)
    for entry in list(extended.iter(f"{_W15}commentEx")) if extended is not None else ():
        if entry.get(f"{_W15}paraId") in gone:
            _remove(entry)


def _remove(element: Element) -> None:
    parent = element.getparent()
    if parent is not None:
        parent.remove(element)


def next_number(elements: Iterable[Element]) -> int:
    """A number that none of these elements has for its identifier."""
    numbers = (element.get(f"{W}id", "") for element in elements)
    return max((int(n) for n in numbers if regex.fullmatch(r"\d{1,9}", n)), default=-1) + 1


def add(comments: Element, number: int, lines: Sequence[str], date: str) -> None:
    comment = _made(comments, "comment", {"id": str(number), "author": AUTHOR, "date": date, "initials": INITIALS})
    for at, line in enumerate(lines):
        paragraph = _made(comment, "p")
        if at == 0:
            _made(_made(paragraph, "r"), "annotationRef")
        words = _made(_made(paragraph, "r"), "t")
        words.set(_SPACE, "preserve")
        words.text = plain(line)


def mark(first: Element, last: Element, number: int) -> None:
    """Anchor a comment on the runs from one to another."""
    identifier = {f"{W}id": str(number)}
    end = last.makeelement(f"{W}commentRangeEnd", identifier)
    reference = last.makeelement(f"{W}r")
    reference.append(last.makeelement(f"{W}commentReference", identifier))
    first.addprevious(first.makeelement(f"{W}commentRangeStart", identifier))
    last.addnext(end)
    end.addnext(reference)


def _made(parent: Element, name: str, attributes: dict[str, str] | None = None) -> Element:
    element = parent.makeelement(f"{W}{name}", {f"{W}{key}": value for key, value in (attributes or {}).items()})
    parent.append(element)
    return element


def name_part(relations: Element, types: Element, name: str, folder: str, strict: bool) -> None:
    """Say in the parts that list them that there is a part with comments now."""
    taken = {relation.get("Id") for relation in relations.iter(RELATION)}
    identifier = next(i for i in _identifiers() if i not in taken)
    relation = relations.makeelement(
        RELATION, {"Id": identifier, "Type": KIND_STRICT if strict else KIND, "Target": name.removeprefix(f"{folder}/") if folder else name}
    )
    relations.append(relation)
    types.append(types.makeelement(f"{_TYPES}Override", {"PartName": f"/{name}", "ContentType": _CONTENT}))


def _identifiers() -> Iterator[str]:
    number = 0
    while True:
        number += 1
        yield f"rIdNotes{number}"
