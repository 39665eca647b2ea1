"""What was not read, said aloud: no silent gap."""

from __future__ import annotations

from collections.abc import Iterator

from ...lint.fabric.work import RowWork, Status
from ...lint.finding import Because, Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.text import Span
from ...lint.wording import listed, name_of, row_list

_LONG = 60


def check(subject: Subject) -> Iterator[Finding]:
    for piece in subject.work.pieces:
        by_span: dict[Span, list[RowWork]] = {}
        for row in piece.rows:
            if row.status in (Status.UNREAD, Status.ASSUMED) and (row.written or row.unread):
                by_span.setdefault(row.span, []).append(row)
        for rows in by_span.values():
            yield _finding(subject, rows)


def _finding(subject: Subject, rows: list[RowWork]) -> Finding:
    row = rows[0]
    spans = sorted(set(row.unread))
    words = list(dict.fromkeys(_short(subject.text[s]) for s in spans))
    name = name_of(row.label)
    if words and spans[0] != row.span:
        message = f"{name} was not read whole: {listed([f'“{w}”' for w in words[:3]])}{' and more' if len(words) > 3 else ''}."
    elif row.status is Status.ASSUMED:
        message = f"What {name} is worked into is not known, so its count could not be checked."
    else:
        message = f"{name} could not be worked."
    stated = [s.stated if s.stated is not None else s.made for s in row.sizes]
    if row.status is Status.ASSUMED and any(n is not None for n in stated):
        numbers = list(dict.fromkeys(str(n) for n in stated if n is not None))
        message += f" Taken on the designer's word: {listed(numbers)}."
    others = rows[1:]
    if others:
        message += f" {row_list(others)} likewise."
    span = spans[0] if spans else row.span
    because = tuple(Because(s, "nor was this") for s in spans[1:])
    return Finding(RULE.name, RULE.severity, message[:1].upper() + message[1:], span, row.label, (), because)


def _short(words: str) -> str:
    words = " ".join(words.split())
    return words if len(words) <= _LONG else f"{words[:_LONG].rstrip()}…"


RULE = Rule(
    name="not-read",
    severity=Severity.SUGGESTION,
    title="Words that were not read, and rows taken on the designer's word",
    why="A row that was not read was not checked either. This says which, so that an editor can work it by hand.",
    looks_like="Ch 12.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (11 sc)\nRow 2: Ch 1, twirl the yarn about the flag of each sc, turn. (11 sc)\n",
    better="Ch 12.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (11 sc)\nRow 2: Ch 1, sc in each sc across, turn. (11 sc)\n",
    let_stand="Always, once the row has been checked by hand.",
    check=check,
)
