"""A count by kinds against what the row has of each."""

from __future__ import annotations

from collections.abc import Iterator
from typing import cast

from ...lint.finding import Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.wording import Facts, Met, counted, in_terms, listed, met


def check(subject: Subject) -> Iterator[Finding]:
    for m in met(subject, "count-by-kind"):
        yield m.finding(RULE.name, RULE.severity, f"{m.said(lambda f, m=m: _clause(m, f))}. Which is meant?{m.likewise}")

    for m in met(subject, "count-noun"):
        kinds = listed([in_terms(k, subject.work.terms) for k in cast("tuple[str, ...]", m.facts["kinds"])])
        noun = in_terms(str(m.facts["noun"]), subject.work.terms)
        message = f"{m.label} is worked in {kinds}, but its count of {m.facts['stated']} calls them {noun}. Which is meant?{m.likewise}"
        yield m.finding(RULE.name, Severity.QUERY, message)


def _clause(m: Met, facts: Facts) -> str:
    differ = cast("tuple[tuple[str, int, int], ...]", facts.get("differ") or ())
    terms = m.subject.work.terms
    made = listed([counted(n, noun, terms) for noun, n, _ in differ])
    stated = listed([counted(n, noun, terms) for noun, _, n in differ])
    return f"{m.label} makes {made}, but its count says {stated}"


RULE = Rule(
    name="count-by-kind",
    severity=Severity.WRONG,
    title="The count names kinds of stitches that the row does not have in that number",
    why="A count by kind is what a maker checks a lace or textured row with; the sum may be right and the stitches still in the wrong place.",
    looks_like="Ch 9.\nRow 1: Sc in 2nd ch from hook and in next 3 ch, dc in last 4 ch, turn. (5 sc, 3 dc)\n",
    better="Ch 9.\nRow 1: Sc in 2nd ch from hook and in next 3 ch, dc in last 4 ch, turn. (4 sc, 4 dc)\n",
    let_stand="When a turning chain is counted among stitches of a kind the pattern does not name.",
    check=check,
)
