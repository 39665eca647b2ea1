"""Numbered notes in a text, as marking up puts them in: they are no part of the manuscript.

A mark such as ``[^T3]`` stands behind the words of a note, and the notes stand together, each from ``[^T3]:`` on to the
end of its indented lines, under a heading: footnotes, as extended Markdown has them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from .. import regex
from ..text import Span

HEADING = "Notes by Tenterhook"

_END = r"(?:\r\n|\r|\n|\Z)"
_START = r"(?:(?<=\n)|(?<=\r)|\A)(?:\r\n|\r|\n)?"  # the empty line before is part of what is put in
_HEADING_LINE = regex.compile(rf"{_START}(?:\#\# )?{HEADING}{_END}")
_NOTE = regex.compile(rf"{_START}\[\^T(?P<number>\d{{1,6}})\]: (?P<words>[^\r\n]*{_END}(?:    [^\r\n]*{_END})*)")
_MARK = regex.compile(r"(?:(?<=\]) )?\[\^T(\d{1,6})\](?!:)")
_LINE = regex.compile(r"[^\r\n]+")


@dataclass(frozen=True, slots=True)
class EarlierNotes:
    """The notes by their number, each a paragraph a line; and where they, their marks and their heading stand."""

    notes: dict[int, str]
    blocks: tuple[Span, ...]
    marks: tuple[Span, ...]


def earlier_notes(source: str) -> EarlierNotes:
    heading = _HEADING_LINE.search(source) if HEADING in source else None
    if heading is None:
        return EarlierNotes({}, (), ())
    found = list(_NOTE.finditer(source, heading.end()))
    notes = {int(m["number"]): "\n".join(line.strip() for line in regex.split(r"\r\n|\r|\n", m["words"].strip())) for m in found}
    marks = (m for m in _MARK.finditer(source) if int(m[1]) in notes)
    return EarlierNotes(notes, (Span(*heading.span()), *(Span(*m.span()) for m in found)), tuple(Span(*m.span()) for m in marks))


def left_out(source: str) -> tuple[Span, ...]:
    """What of a text is not read: earlier notes and their marks, but no line end, so that every line keeps its number."""
    earlier = earlier_notes(source)
    lines = (Span(*m.span()) for block in earlier.blocks for m in _LINE.finditer(source, block.start, block.end))
    return tuple(sorted((*lines, *earlier.marks)))


def without(source: str, spans: Sequence[Span]) -> str:
    """A text without some of its characters."""
    starts = (0, *(span.end for span in spans))
    ends = (*(span.start for span in spans), len(source))
    return "".join(source[start:end] for start, end in zip(starts, ends, strict=True))


def back(offset: int, spans: Sequence[Span]) -> int:
    """The offset that what stands at ``offset`` of such a text had before, behind whatever was left out there."""
    for span in spans:
        if span.start > offset:
            break
        offset += len(span)
    return offset
