"""Row numbers that repeat, leave a gap or go back."""

from __future__ import annotations

from collections.abc import Iterator

from ...lint.finding import Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.wording import Met, met, number


def check(subject: Subject) -> Iterator[Finding]:
    for m in met(subject, "row-order"):
        yield m.finding(RULE.name, RULE.severity, _message(m))


def _message(m: Met) -> str:
    word = str(m.facts.get("label") or "Row")
    repeated, missing, until = (number(m.facts.get(k)) for k in ("repeated", "missing", "until"))
    if repeated is not None:
        return f"There is a {word} {repeated} already. Is this another number, or does a new part begin here?"
    if missing is not None:
        if until is None or until <= missing:
            return f"{word} {missing} is missing before this. Is a row lost, or is the number off?"
        return f"{word}s {missing} to {until} are missing before this. Are rows lost, or is the number off?"
    back, after = number(m.facts.get("back")), number(m.facts.get("after"))
    return f"{word} {back} comes after {word} {after}. Is the number off, or does a new part begin here?"


RULE = Rule(
    name="row-order",
    severity=Severity.QUERY,
    title="Row numbers repeat, leave a gap or go back",
    why="A missing number looks like a lost row, and a number used twice sends “repeat Row 4” to two places.",
    looks_like=(
        "Ch 12.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (11 sc)\n"
        "Row 2: Ch 1, sc in each sc across, turn. (11 sc)\nRow 4: Ch 1, sc in each sc across, turn. (11 sc)\n"
    ),
    better=(
        "Ch 12.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (11 sc)\n"
        "Row 2: Ch 1, sc in each sc across, turn. (11 sc)\nRow 3: Ch 1, sc in each sc across, turn. (11 sc)\n"
    ),
    let_stand="When a new part begins there and its heading was left out of the extract.",
    check=check,
)
