"""A manuscript read, proofed and marked up: what is to be noted is worked out here, what is done to a document in a child.

Nothing that a person wrote is written over: OUT is neither the manuscript nor a file that is there, unless that is wished,
and it is written whole or not at all.
"""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import PurePath
from typing import Any

from ..beside.desk import Desk
from ..confined import Refused, confined
from ..corrections import certain_together
from ..finding import Edit, Finding, Severity
from ..manuscript.read import DOCUMENT_SUFFIXES, Manuscript, Unreadable, manuscript_from, read_manuscript
from ..output import write_whole
from ..proof import Proof, proof
from ..text import Span, Text
from ..words import count_of, severity_count
from . import plain
from .notes import Note, anchors, notes

MARKERS = {
    "word": ("markup.word:mark_up", "word"),
    "pdf": ("markup.pdf:mark_up", "pdf"),
}
"""The task that marks up each kind of document, by the name of the kind, and the extra that installs what it needs."""

_TRACKED = frozenset({"word"})


@dataclass(frozen=True, slots=True)
class Wishes:
    """What is wished for: the mildest findings to be noted, what becomes of the notes of an earlier round, corrections."""

    mildest: Severity = Severity.SUGGESTION
    replace: bool = False
    corrections: bool = False
    overwrite: bool = False


@dataclass(frozen=True, slots=True)
class Marked:
    """What was done: the file, the notes in it by their severity, how many of them were there before, and the corrections."""

    data: bytes
    notes: tuple[Note, ...]
    known: int = 0
    corrected: int = 0
    stand: int = 0


def mark_up_file(path: str, out: str, desk: Desk, wishes: Wishes) -> Marked:
    """Mark up the manuscript at ``path`` into the file ``out``. Raises Unreadable, and then ``out`` is as it was."""
    _may_be_written(path, out, wishes)
    manuscript = read_manuscript(path)
    _is_of_its_kind(manuscript, out)
    marked = mark_up(manuscript, desk, wishes)
    try:
        write_whole(out, marked.data)
    except OSError as error:
        raise Unreadable(out, f"this file could not be written ({(error.strerror or str(error)).lower()})") from None
    return marked


def mark_up(manuscript: Manuscript, desk: Desk, wishes: Wishes, date: datetime | None = None) -> Marked:
    """The manuscript with a note at the words of every finding that does not stand. Raises Unreadable."""
    path = manuscript.text.name
    if manuscript.kind != "text" and manuscript.kind not in MARKERS:
        raise Unreadable(path, "this kind of file is read but not marked up; mark up its text, or a Word file made from it")
    if wishes.corrections and manuscript.kind not in _TRACKED:
        raise Unreadable(path, "only Word files get corrections as tracked changes; without --corrections they are proposed in the notes")
    if manuscript.kind == "text" and wishes.replace:
        manuscript = manuscript_from(plain.without_notes(manuscript.data), path)
    done = desk.proof(manuscript.text)
    noted = notes(done, wishes.mildest)
    if manuscript.kind == "text":
        data, put = plain.mark_up(manuscript, noted)
        return Marked(data, noted, len(noted) - put, 0, len(done.stand))
    groups = _certain(done, desk) if wishes.corrections else []
    task, extra = MARKERS[manuscript.kind]
    arguments: dict[str, Any] = {
        "notes": [_for_a_child(done.text, note) for note in noted],
        "corrections": [[_placed(done.text, edit) for edit in group] for group in groups],
        "replace": wishes.replace,
        "date": (date or datetime.now(UTC)).strftime("%Y-%m-%dT%H:%M:%SZ"),
    }
    try:
        answer, data = confined(task, manuscript.data, extra, arguments)
    except Refused as refused:
        raise Unreadable(path, refused.reason) from None
    return Marked(data, noted, len(noted) - answer["put"], answer["corrected"], len(done.stand))


def _certain(done: Proof, desk: Desk) -> list[list[Edit]]:
    """The edits of the corrections that can be made together, those of one finding together."""
    name = done.text.name
    style, margin = desk.style_for(name), desk.margin_for(name)

    def again(source: str) -> Sequence[Finding]:
        return proof(Text(source, name), style, corrections=False, margin=margin).findings

    open_ones = [replace(f, corrections=()) if f.stands else f for f in done.findings]
    together = certain_together(done.text.source, open_ones, again)
    return [] if together is None else [*_groups(open_ones, set(together.edits))]


def _groups(findings: Iterable[Finding], edits: set[Edit]) -> Iterable[list[Edit]]:
    for finding in findings:
        for correction in finding.corrections if len(finding.corrections) == 1 else ():
            if edits.issuperset(correction.edits):
                yield sorted(correction.edits, key=lambda edit: edit.span)


def _for_a_child(text: Text, note: Note) -> dict[str, Any]:
    return {"lines": note.lines, "about": note.about, "at": anchors(text, note.span), "on_words": bool(len(note.span))}


def _placed(text: Text, edit: Edit) -> dict[str, Any]:
    """An edit and where in the document it is; what replaces nothing comes behind the character before it."""
    behind = not len(edit.span)
    span = Span(max(0, edit.span.start - 1), edit.span.start) if behind else edit.span
    return {"span": [edit.span.start, edit.span.end], "text": edit.text, "at": anchors(text, span), "behind": behind}


def _may_be_written(path: str, out: str, wishes: Wishes) -> None:
    if os.path.isdir(out):
        raise Unreadable(out, "this is a folder; name the file to write")
    if _same(path, out):
        raise Unreadable(out, "this is the manuscript itself; give the marked-up file another name")
    if os.path.lexists(out) and not wishes.overwrite:
        raise Unreadable(out, "this file is there already; give another name, or say --overwrite")


def _same(one: str, other: str) -> bool:
    try:
        return os.path.samefile(one, other)
    except OSError:
        return os.path.abspath(one) == os.path.abspath(other)


def _is_of_its_kind(manuscript: Manuscript, out: str) -> None:
    """A marked-up Word file is a Word file, whatever it is called; under another name nobody could open it."""
    own, wanted = PurePath(manuscript.text.name).suffix.lower(), PurePath(out).suffix.lower()
    if manuscript.kind == "text":
        if wanted in DOCUMENT_SUFFIXES:
            raise Unreadable(out, f"a text is marked up as a text, which {wanted} is not; give it a name such as OUT{own or '.txt'}")
    elif own in DOCUMENT_SUFFIXES and wanted != own:
        raise Unreadable(out, f"the marked-up file is of the same kind as the manuscript; give it a name that ends in {own}")


def in_words(marked: Marked) -> str:
    """What was done, on one line: “3 notes (2 wrong, 1 query), 1 of them there before; 1 finding stands and is left out”."""
    by_severity = Counter(note.severity for note in marked.notes)
    kinds = ", ".join(severity_count(severity, by_severity[severity]) for severity in Severity if by_severity[severity])
    parts = [f"{count_of(len(marked.notes), 'note')}{f' ({kinds})' if kinds else ''}{f', {marked.known} of them there before' if marked.known else ''}"]
    if marked.corrected:
        parts.append(f"{count_of(marked.corrected, 'correction')} as tracked changes")
    if marked.stand:
        parts.append(f"{count_of(marked.stand, 'finding stands and is', 'findings stand and are')} left out")
    return "; ".join(parts)
