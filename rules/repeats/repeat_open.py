"""A bracket that is not closed, an asterisk that nothing goes back to."""

from __future__ import annotations

from collections.abc import Iterator

from ...lint.finding import Because, Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.text import Span
from ...lint.wording import Met, listed, met


def check(subject: Subject) -> Iterator[Finding]:
    lost = [row.span for row in subject.work.rows() if any(t.kind == "repeat-target" for t in row.troubles)]
    by_row: dict[Span, list[Met]] = {}
    for m in met(subject, "repeat-open"):
        where = m.row.span if m.row is not None else m.trouble.span
        if where not in lost:
            by_row.setdefault(where, []).append(m)
    for members in by_row.values():
        first = members[0]
        marks = [str(m.facts.get("detail") or "mark") for m in members]
        because = [Because(m.trouble.span, f"and this “{mark}”") for m, mark in zip(members[1:], marks[1:], strict=True)]
        yield first.finding(RULE.name, RULE.severity, f"{_message(first, marks)}{first.likewise}", because=because)


def _message(m: Met, marks: list[str]) -> str:
    kinds = list(dict.fromkeys(marks))
    if len(kinds) > 1:
        return f"In {m.label}, {listed([f'“{k}”' for k in kinds])} have no partners. Where do the repeats begin and end?"
    mark = kinds[0]
    if mark in ")]}":
        return f"{m.label} closes “{mark}” where nothing was opened. Where does the repeat begin?"
    if mark in "([{":
        return f"{m.label} opens “{mark}” and does not close it. Where does the repeat end, and how often is it worked?"
    return f"{m.label} marks a repeat with {mark} and never goes back to it. How often is it worked?"


RULE = Rule(
    name="repeat-open",
    severity=Severity.WRONG,
    title="A repeat is begun and never ended, or ended and never begun",
    why="Without its other half a mark says neither what is repeated nor how often.",
    looks_like="Ch 22.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (21 sc)\nRow 2: Ch 1, sc in first sc, *ch 1, sk next sc, sc in next sc, turn. (11 sc, 10 ch-1 sps)\n",
    better="Ch 22.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (21 sc)\nRow 2: Ch 1, sc in first sc, *ch 1, sk next sc, sc in next sc; rep from * across, turn. (11 sc, 10 ch-1 sps)\n",
    let_stand="When the mark points to a footnote.",
    check=check,
)
