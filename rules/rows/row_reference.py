"""A row that repeats a row that is not there."""

from __future__ import annotations

from collections.abc import Iterator

from ...lint.finding import Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.wording import Met, met, number


def check(subject: Subject) -> Iterator[Finding]:
    for m in met(subject, "row-reference"):
        severity = Severity.QUERY if m.facts.get("foundation") else RULE.severity
        yield m.finding(RULE.name, severity, f"{_message(m)}{m.likewise}")


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
