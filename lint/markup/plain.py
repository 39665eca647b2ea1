"""Plain text and Markdown: a copy with a numbered mark behind the words of every finding, and the notes at the end."""

from __future__ import annotations

import codecs
from collections.abc import Iterator, Sequence
from pathlib import PurePath

from .. import regex
from ..finding import Correction, Edit
from ..manuscript.earlier_notes import HEADING, back, earlier_notes, left_out, without
from ..manuscript.plain import decoded
from ..manuscript.read import Manuscript
from ..text import Span
from .notes import Note, known_by

_MARKDOWN = (".md", ".markdown")
_ENCODINGS = (
    (codecs.BOM_UTF8, "utf-8"), (b"", "utf-8"), (codecs.BOM_UTF32_LE, "utf-32-le"), (codecs.BOM_UTF32_BE, "utf-32-be"),
    (codecs.BOM_UTF16_LE, "utf-16-le"), (codecs.BOM_UTF16_BE, "utf-16-be"), (b"", "utf-16-le"), (b"", "utf-16-be"),
    (b"", "utf-32-le"), (b"", "utf-32-be"), (b"", "cp1252"), (b"", "mac_roman"), (b"", "cp850"), (b"", "latin-1"),
)  # fmt: skip


def without_notes(data: bytes) -> bytes:
    """A text file without the notes of an earlier round."""
    source, _ = decoded(data)
    earlier = earlier_notes(source)
    return _encoded(without(source, sorted((*earlier.marks, *earlier.blocks))), data, source) if earlier.notes else data


def mark_up(manuscript: Manuscript, notes: Sequence[Note]) -> tuple[bytes, int]:
    """The copy, and how many notes were put in. Notes of an earlier round stay, and what they say is not said again."""
    source, _ = decoded(manuscript.data)
    earlier = earlier_notes(source)
    said = {known_by(words.split("\n")) for words in earlier.notes.values()}
    new = [note for note in notes if known_by(note.lines) not in said]
    numbered = list(enumerate(new, max(earlier.notes, default=0) + 1))
    edits = (*_marks(source, numbered), *_at_the_end(manuscript, source, earlier.blocks, numbered))
    return _encoded(Correction("", edits).apply(source), manuscript.data, source), len(new)


def _at_the_end(manuscript: Manuscript, source: str, earlier: Sequence[Span], numbered: Sequence[tuple[int, Note]]) -> Iterator[Edit]:
    """The notes, under those of an earlier round, or else under a heading at the end of the text."""
    if not numbered:
        return
    end = line_end(source)
    place = earlier[-1].end if earlier else len(source)
    heading = f"## {HEADING}" if PurePath(manuscript.text.name).suffix.lower() in _MARKDOWN else HEADING
    lines = [line for number, note in numbered for line in ("", *_definition(number, note))]
    before = "" if source[place - 1 : place] in ("\r", "\n") else end
    yield Edit(Span(place, place), before + end.join((*(() if earlier else ("", heading)), *lines, "")))


def _marks(source: str, numbered: Sequence[tuple[int, Note]]) -> Iterator[Edit]:
    """The marks, those at one place in one edit. Behind a bracket a space keeps the two apart: together they are a link."""
    passed = left_out(source)
    by_place: dict[int, str] = {}
    for number, note in numbered:
        place = back(note.span.end, passed)
        by_place[place] = f"{by_place.get(place, '')}[^T{number}]"
    for place, marks in by_place.items():
        apart = " " if source[place - 1 : place] == "]" else ""
        yield Edit(Span(place, place), apart + marks)


def _definition(number: int, note: Note) -> Iterator[str]:
    yield f"[^T{number}]: {note.about}."
    yield from (f"    {line}" for line in note.lines)


def line_end(source: str) -> str:
    """The line end that a text has, by its first."""
    found = regex.search(r"\r\n|\r|\n", source)
    return found[0] if found else "\n"


def _encoded(marked: str, data: bytes, source: str) -> bytes:
    """The copy in the encoding of the file, where that is known for certain and holds the notes; otherwise as UTF-8."""
    for mark, encoding in _ENCODINGS:
        try:
            if data.startswith(mark) and mark + source.encode(encoding) == data:
                return mark + marked.encode(encoding)
        except UnicodeEncodeError:
            continue
    return marked.encode("utf-8", "replace")
