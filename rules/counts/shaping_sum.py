"""Shaping told in prose against the number it is to end on."""

from __future__ import annotations

from collections.abc import Iterator

from ...lint.finding import Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.wording import Facts, count_of, met, number, stitches


def check(subject: Subject) -> Iterator[Finding]:
    for m in met(subject, "shaping-sum"):
        if "before" in m.facts:
            yield m.finding(RULE.name, RULE.severity, _passed_by(m.facts))
        elif "rows" in m.facts:
            yield m.finding(RULE.name, RULE.severity, _rows(m.facts))
        else:
            yield m.finding(RULE.name, RULE.severity, f"{m.said(_clause)}. Is it the shaping or the number that is off?")


def _rows(facts: Facts) -> str:
    """So many shapings, every so many rows, against a number of rows."""
    rows, every, times = (number(facts.get(k)) or 0 for k in ("rows", "every", "times"))
    fewest, most = (times - 1) * every + 1, times * every
    takes = f"{fewest} to {most}" if fewest < most else f"{most}"
    pace = {1: "row", 2: "other row", 3: "3rd row"}.get(every, f"{every}th row")
    return f"Shaping on every {pace}, {count_of(times, 'time')}, takes {takes} rows, but the text says {rows}. Which is meant?"


def _passed_by(facts: Facts) -> str:
    """Rows repeated until a number that they never leave."""
    before, after, stated = (number(facts.get(k)) or 0 for k in ("before", "after", "stated"))
    return f"The rows repeated go from {stitches(before)} to {after} and never have the {stated} they are to be worked to. Which number is meant?"


def _clause(facts: Facts) -> str:
    start, pace, made, stated = (number(facts.get(k)) for k in ("start", "pace", "made", "stated"))
    if made is None:
        away = f"{'takes' if (pace or 0) < 0 else 'adds'} {abs(pace or 0)} at a time"
        return f"from {stitches(start or 0)}, shaping that {away} does not come to {stated}"
    delta = made - (start or 0)
    change = f"less {-delta}" if delta < 0 else f"and {delta} more"
    return f"{stitches(start or 0)} {change} is {made}, but the text says {stated}"


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
