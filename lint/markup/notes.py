"""What is written to the author about each finding: the question with its sum, what backs it, and the wording proposed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from .. import regex
from ..corrections import as_changed
from ..finding import Finding, Severity
from ..manuscript.origins import to_list
from ..proof import Proof
from ..text import Span, Text
from ..words import one_line

AUTHOR, INITIALS = "Tenterhook", "TH"
"""How notes are signed, and by what those of an earlier round are known."""

_MOST_QUOTED = 80
_SEVERITIES = frozenset(severity.value for severity in Severity)
_LAST_WORD = regex.compile(r"\S+\s*$")


@dataclass(frozen=True, slots=True)
class Note:
    """One note, a paragraph a line, and the words it is about, without the white space around them.

    ``about`` quotes the words and says where they stand, for notes that cannot be put at the words themselves.
    """

    span: Span
    severity: Severity
    lines: tuple[str, ...]
    about: str


def notes(proof: Proof, mildest: Severity = Severity.SUGGESTION) -> tuple[Note, ...]:
    """A note for every finding that does not stand and is not milder than ``mildest``, in the order of the text."""
    return tuple(
        Note(span, finding.severity, tuple(map(one_line, _lines(proof, index, finding))), _about(proof.text, span))
        for index, finding in enumerate(proof.findings)
        if not finding.stands and finding.severity.at_least(mildest)
        for span in [_bare(proof.text, finding.span)]
    )


def known_by(lines: Sequence[str]) -> tuple[str, str]:
    """By what a note is known again: its question and the name of its finding. Where it stands may have been renumbered."""
    question = next((line for line in lines if line.partition(":")[0].lower() in _SEVERITIES), "")
    return question, lines[-1] if lines else ""


def anchors(text: Text, span: Span) -> list[list[object]]:
    """Where in the document some words stand: for each part an origin, as a list, with its first character and the one after its last.

    Of what stands nowhere, such as a page that was not read, it is the last word before.
    """
    found: list[list[object]] = []
    for stretch in text.origins_of(span):
        start, end = max(span.start, stretch.span.start), min(span.end, stretch.span.end)
        if start >= end:
            last = _LAST_WORD.search(text[stretch.span])
            start, end = stretch.span.start + (last.start() if last else 0), stretch.span.end
        found.append([to_list(stretch.origin), start - stretch.span.start, end - stretch.span.start])
    return found


def _lines(proof: Proof, index: int, finding: Finding) -> Iterator[str]:
    text = proof.text
    yield f"{finding.severity.value.capitalize()}: {finding.message}"
    for because in finding.because:
        yield f"– {because.message.rstrip('.')} ({text.where(because.span.start)})."
    for word, correction in zip(("Proposed", *["Or"] * len(finding.corrections)), finding.corrections, strict=False):
        yield f"{word}: {correction.title.rstrip('.')}: “{as_changed(text, correction)}”"
    if finding.follows is not None:
        cause = proof.findings[finding.follows]
        yield f"This follows from {proof.handles[finding.follows]} ({cause.place or text.where(cause.span.start)})."
    yield f"[{proof.handles[index]}]"


def _about(text: Text, span: Span) -> str:
    words = " ".join(text[span].split())
    quoted = words if len(words) <= _MOST_QUOTED else f"{words[: _MOST_QUOTED - 1]}…"
    return one_line(f"On “{quoted}” ({text.where(span.start)})" if words else f"On {text.where(span.start)}")


def _bare(text: Text, span: Span) -> Span:
    """The span without the white space at its ends."""
    words = text[span]
    start = span.start + len(words) - len(words.lstrip())
    return Span(start, start + len(words.strip())) if words.strip() else span
