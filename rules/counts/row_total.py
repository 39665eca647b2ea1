"""The stated count against what the row makes."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import cast

from ...lint.corrections import change_numbers
from ...lint.fabric.work import Status
from ...lint.finding import Correction, Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.wording import Facts, Met, listed, met, number, stitches


def check(subject: Subject) -> Iterator[Finding]:
    for m in met(subject, "row-total"):
        message = f"{m.said(lambda f, m=m: _clause(m, f))}. Which is meant?{m.likewise}"
        yield m.finding(RULE.name, RULE.severity, message, corrections=_corrections(m))


def _corrections(m: Met) -> list[Correction]:
    """The count is the slip where the row closes and the next row, with a count of its own, closes on what was made."""
    row, after = m.row, m.above
    if row is None or after is None or after.status is not Status.PROVED or len(m.rows) > 1:
        return []
    made = {s.size: s.made for s in row.sizes}
    if any(s.base is None or s.base != made.get(s.size, s.base) or s.stated is None for s in after.sizes):
        return []
    every = {s.size: at for at, s in enumerate(row.sizes)}
    changes: dict[int, tuple[int, int]] = {}
    for facts in m.by_size:
        base, used, new, old = (number(facts.get(k)) for k in ("base", "used", "made", "stated"))
        if base != used or new is None or old is None:
            return []
        changes[every.get(cast("str | None", facts.get("size")), 0)] = (old, new)
    edits = change_numbers(m.subject.text, m.trouble.span, changes, len(row.sizes))
    return [Correction(f"Make the count {listed([e.text for e in edits])}", edits)] if edits else []


def _clause(m: Met, facts: Facts) -> str:
    made, stated = number(facts.get("made")) or 0, number(facts.get("stated")) or 0
    working = m.working(facts)
    sum_ = f" ({working})" if working else ""
    gap = abs(made - stated)
    makes = working if re.fullmatch(rf"{made} \w+", working) else f"{stitches(made)}{sum_}"
    words = f"{m.label} makes {makes}, but its count says {stated}, {gap} {'more' if stated > made else 'fewer'}"
    base, used = number(facts.get("base")), number(facts.get("used"))
    if base is not None and base == used:
        words += f"; the row uses all {base} below"
    return words


RULE = Rule(
    name="row-total",
    severity=Severity.WRONG,
    title="The stated count is not what the row makes",
    why=(
        "A maker counts at the end of the row. When the number on the page is not the number in the hand, she rips back a row that "
        "was right, or carries a slip into every row above."
    ),
    looks_like="Ch 13.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (13 sc)\n",
    better="Ch 13.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (12 sc)\n",
    let_stand="When the count is meant to take in something the row does not say, such as a turning chain counted only at the end.",
    check=check,
)
