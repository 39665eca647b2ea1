"""A repeat that goes back to a mark the row does not have."""

from __future__ import annotations

from collections.abc import Iterator

from ...lint.finding import Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.wording import met


def check(subject: Subject) -> Iterator[Finding]:
    for m in met(subject, "repeat-target"):
        mark = str(m.facts.get("detail") or "*")
        yield m.finding(
            RULE.name, RULE.severity, f"{m.label} repeats from {mark}, but no {mark} stands before these words in the row. Where does the repeat begin?{m.likewise}"
        )


RULE = Rule(
    name="repeat-target",
    severity=Severity.WRONG,
    title="A repeat goes back to a mark that is not there",
    why="The maker cannot tell which stitches to repeat, and a row that starts one stitch too early may even come out.",
    looks_like="Ch 22.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (21 sc)\nRow 2: Ch 1, sc in first sc, ch 1, sk next sc, sc in next sc; rep from * across, turn.\n",
    better="Ch 22.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (21 sc)\nRow 2: Ch 1, sc in first sc, *ch 1, sk next sc, sc in next sc; rep from * across, turn.\n",
    let_stand="When the mark stands in an earlier row on purpose, and the text says so.",
    check=check,
)
