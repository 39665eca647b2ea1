"""A row that repeats a row that is not there."""

from __future__ import annotations

from collections.abc import Iterator

from ...lint import regex
from ...lint.fabric.work import RowWork, Status
from ...lint.finding import Because, Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.wording import Met, listed, met, number


def check(subject: Subject) -> Iterator[Finding]:
    for m in met(subject, "row-reference"):
        severity = Severity.QUERY if m.facts.get("foundation") else RULE.severity
        yield m.finding(RULE.name, severity, f"{_message(m)}{m.likewise}")
    yield from _older_twins(subject)


def _older_twins(subject: Subject) -> Iterator[Finding]:
    """A row that repeats one of another count, where a later row has the same words and its own count.

    One alone: a row that others repeat on several counts is the pattern's plain row.
    """
    for piece in subject.work.pieces:
        written = {row.number: row for row in piece.rows if row.written and row.source is None and row.number is not None}
        found: dict[int, list[Finding]] = {}
        for row in piece.rows:
            repeated = written.get(row.source) if row.source is not None else None
            if repeated is None or not row.written or row.status is not Status.PROVED or _stated(repeated) in (None, _stated(row)) or _stated(row) is None:
                continue
            words = _words(subject, repeated)
            later = (r for r in written.values() if repeated.index < r.index < row.index)
            twin = next((r for r in later if _stated(r) == _stated(row) and _words(subject, r) == words), None)
            found.setdefault(repeated.index, []).extend([_older_twin(row, repeated, twin)] if twin is not None else [])
        yield from (findings[0] for findings in found.values() if len(findings) == 1)


def _stated(row: RowWork) -> tuple[int, ...] | None:
    """The counts a row states, one for each size; None where one is not known."""
    stated = tuple(s.stated for s in row.sizes if s.stated is not None)
    return stated if len(stated) == len(row.sizes) else None


def _words(subject: Subject, row: RowWork) -> str:
    """What a row says, without its count."""
    words = subject.layout.folded[row.label_span.end : row.span.end].lower()
    return " ".join(regex.sub(r"[\W_]*\d[\d\s(),]*(?:[a-z]+)?[\W_]*$", "", words).split()).strip(" :.-–—")


def _older_twin(row: RowWork, repeated: RowWork, twin: RowWork) -> Finding:
    has, before = (listed([str(n) for n in dict.fromkeys(_stated(r) or ())]) for r in (row, repeated))
    message = f"{row.label} repeats {repeated.label}, which has {before}; {row.label} has {has}, as {twin.label} does with the same words. Is {twin.label} meant?"
    because = (Because(repeated.label_span, f"{repeated.label} has {before}"), Because(twin.label_span, f"{twin.label} has {has}"))
    return Finding(RULE.name, Severity.QUERY, message, row.span, row.label, (), because)


def _message(m: Met) -> str:
    word = m.row_word
    itself, named, last = (number(m.facts.get(k)) for k in ("self", "row", "last"))
    subject = m.label if m.row is not None else "The text"
    if itself is not None:
        return f"{subject} is to repeat {word} {itself}, which is not worked yet at that point. Which row is meant?"
    if m.facts.get("foundation"):
        return (
            f"{subject} repeats {word} {named}, which begins in a chain counted from the hook; "
            f"here it is worked on stitches. Which {word.lower()} is meant?"
        )
    if named is not None:
        if m.facts.get("of"):
            return f"{subject} repeats {word} {named} of another part, which ends at {word} {last}. Which row is meant?"
        known = f"; the highest so far is {word} {last}" if last is not None else ""
        return f"{subject} repeats {word} {named}, but there is no {word} {named} before it{known}. Which row is meant?"
    return f"{subject} says to repeat, but not which row."


RULE = Rule(
    name="row-reference",
    severity=Severity.WRONG,
    title="A row refers to a row that is not there",
    why="“Repeat Row 12” in a piece that ends at Row 9 usually means the rows were renumbered and the reference was not.",
    looks_like=(
        "Ch 12.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (11 sc)\n"
        "Row 2: Ch 1, sc in each sc across, turn. (11 sc)\nRow 3: Rep Row 8.\n"
    ),
    better=(
        "Ch 12.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (11 sc)\n"
        "Row 2: Ch 1, sc in each sc across, turn. (11 sc)\nRow 3: Rep Row 2.\n"
    ),
    let_stand="When the row stands in a part that is printed elsewhere, and the text says where.",
    check=check,
)
