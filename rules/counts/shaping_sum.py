"""Shaping told in prose against the number it is to end on."""

from __future__ import annotations

from collections.abc import Iterator

from ...lint.finding import Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.wording import Facts, met, number, stitches


def check(subject: Subject) -> Iterator[Finding]:
    for m in met(subject, "shaping-sum"):
        if "before" in m.facts:
            yield m.finding(RULE.name, RULE.severity, _passed_by(m.facts))
            continue
        yield m.finding(RULE.name, RULE.severity, f"{m.said(_clause)}. Is it the shaping or the number that is off?")


def _passed_by(facts: Facts) -> str:
    """Rows repeated until a number that they never leave."""
    before, after, stated = (number(facts.get(k)) or 0 for k in ("before", "after", "stated"))
    return f"The rows repeated go from {stitches(before)} to {after} and never have the {stated} they are to be worked to. Which number is meant?"


def _clause(facts: Facts) -> str:
    start, delta, made, stated = (number(facts.get(k)) or 0 for k in ("start", "delta", "made", "stated"))
    change = f"less {-delta}" if delta < 0 else f"and {delta} more"
    return f"{stitches(start)} {change} is {made}, but the text says {stated}"


RULE = Rule(
    name="shaping-sum",
    severity=Severity.WRONG,
    title="Shaping told in prose does not lead to the number stated",
    why="“Decrease at each end every 4th row 6 times” leaves the sum to the maker; when the sum is wrong the pieces will not fit together.",
    looks_like=(
        "Ch 41.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (40 sc)\n"
        "Dec 1 st at each end of next 4 rows. (30 sts remain)\n"
    ),
    better=(
        "Ch 41.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (40 sc)\n"
        "Dec 1 st at each end of next 4 rows. (32 sts remain)\n"
    ),
    let_stand="When part of the shaping is told elsewhere, for instance at the neck edge only.",
    check=check,
)
