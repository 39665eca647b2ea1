"""A bracket of stitches that comes out along the row in one place and all in one stitch in another."""

from __future__ import annotations

from collections.abc import Iterator

from ...lint.finding import Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.wording import Met, count_of, met, number, words_at


def check(subject: Subject) -> Iterator[Finding]:
    for m in met(subject, "group-sense"):
        yield m.finding(RULE.name, RULE.severity, f"{_message(m)}{m.likewise}")


def _message(m: Met) -> str:
    words = words_at(m.subject, m.trouble.span)
    along, in_one = "along the row, one stitch after another", "with all of it in one stitch"
    here, there = (in_one, along) if m.facts.get("sense") == "one" else (along, in_one)
    times = number(m.facts.get("times"))
    if times:
        return (
            f"“{words}” of {m.label} does not say where it is worked. Along the row it does not come out; {here}, in {count_of(times, 'stitch', 'stitches')}, "
            "it does. In which stitches is it worked?"
        )
    return f"“{words}” of {m.label} comes out only {here}; elsewhere in this part such a bracket is worked {there}. Where is it worked?"


RULE = Rule(
    name="group-sense",
    severity=Severity.QUERY,
    title="A bracket of stitches that does not say whether it is worked along the row or in one stitch",
    why=(
        "Brackets mark what is worked in one stitch and what is worked along the row. Where nothing says which, the sum of the row may tell, "
        "but a maker in the middle of the row has no sum yet."
    ),
    looks_like=(
        "Ch 13.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (12 sc)\n"
        "Row 2: Ch 1, (sc, dc) 12 times, turn. (24 sts)\n"
    ),
    better=(
        "Ch 13.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (12 sc)\n"
        "Row 2: Ch 1, (sc, dc) in each of next 12 sts, turn. (24 sts)\n"
    ),
    let_stand="When a legend says what each bracket means and the row keeps to it.",
    check=check,
)
