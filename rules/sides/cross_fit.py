"""A crossing that does not use every one of its stitches exactly once."""

from __future__ import annotations

from collections.abc import Iterator

from ...lint.finding import Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.wording import count_of, met, number


def check(subject: Subject) -> Iterator[Finding]:
    for m in met(subject, "cross-fit"):
        skipped, worked = number(m.facts.get("skipped")) or 0, number(m.facts.get("worked")) or 0
        more = "more than were skipped" if worked > skipped else f"{skipped - worked} of them never"
        yield m.finding(
            RULE.name, RULE.severity,
            f"The crossing of {m.label} skips {skipped} and then works {count_of(worked, 'skipped stitch', 'skipped stitches')}, {more}. "
            f"Which number is meant?{m.likewise}",
        )  # fmt: skip


RULE = Rule(
    name="cross-fit",
    severity=Severity.WRONG,
    title="A crossing does not use each of its stitches once",
    why=(
        "A cable skips so many stitches, works the ones beyond, and comes back for exactly those it skipped. One too few leaves a hole and a "
        "narrower row; one too many has nothing to go around."
    ),
    looks_like=(
        "Ch 14.\nRow 1 (WS): Dc in 4th ch from hook (skipped chs count as dc) and in each ch across, turn. (12 dc)\n"
        "Row 2 (RS): Ch 1, sc in first 4 sts, skip next 2 sts, FPtr around each of next 2 sts, working in front of sts just made, "
        "FPtr around each of 3 skipped sts, sc in last 4 sts, turn.\n"
    ),
    better=(
        "Ch 14.\nRow 1 (WS): Dc in 4th ch from hook (skipped chs count as dc) and in each ch across, turn. (12 dc)\n"
        "Row 2 (RS): Ch 1, sc in first 4 sts, skip next 2 sts, FPtr around each of next 2 sts, working in front of sts just made, "
        "FPtr around each of 2 skipped sts, sc in last 4 sts, turn.\n"
    ),
    let_stand="When a stitch is left out of the crossing on purpose, to narrow the work, and the text says so.",
    check=check,
)
