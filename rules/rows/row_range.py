"""A range of rows against its own number of rows."""

from __future__ import annotations

from collections.abc import Iterator

from ...lint.finding import Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.wording import Met, count_of, met, number


def check(subject: Subject) -> Iterator[Finding]:
    for m in met(subject, "row-range"):
        yield m.finding(RULE.name, RULE.severity, _message(m))


def _message(m: Met) -> str:
    said, size, first, last, cycle, times = (number(m.facts.get(k)) or 0 for k in ("said", "range", "first", "last", "cycle", "times"))
    word = m.row_word
    if m.facts.get("total"):
        return f"The rows come to {size}, but the text says {said}. Which is meant?"
    run = f"{word}s {first} to {last} are {count_of(size, 'round' if word == 'Rnd' else 'row')}"
    if m.facts.get("repeated"):
        return f"{run}, but they repeat {said} rows of another part. Which is meant?"
    if cycle and times:
        then = f" and {said - cycle * times} more" if said > cycle * times else ""
        return f"{run}, but {cycle} worked {count_of(times, 'time')}{then} make {said}. Which is meant?"
    return f"{run}, but the text says {said}. Which is meant?"


RULE = Rule(
    name="row-range",
    severity=Severity.WRONG,
    title="A range of rows does not agree with its own number of rows",
    why="Rows 5 to 16 are twelve rows, not eleven: counting the ends is the commonest slip of a range, and it moves every row after it.",
    looks_like=(
        "Ch 12.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (11 sc)\n"
        "Rows 2-9 (7 rows): Ch 1, sc in each sc across, turn. (11 sc)\n"
    ),
    better=(
        "Ch 12.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (11 sc)\n"
        "Rows 2-9 (8 rows): Ch 1, sc in each sc across, turn. (11 sc)\n"
    ),
    let_stand="When the number counts something else than the rows of the range.",
    check=check,
)
