"""A repeat to the end that does not divide what is left."""

from __future__ import annotations

from collections.abc import Iterator

from ...lint.finding import Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.wording import Facts, Met, count_of, met, number, stitches


def check(subject: Subject) -> Iterator[Finding]:
    for m in met(subject, "repeat-fit"):
        if "neighbour" in m.facts:
            yield m.finding(RULE.name, Severity.QUERY, _neighbours(m.facts))
            continue
        yield m.finding(RULE.name, RULE.severity, f"{m.said(lambda f, m=m: _clause(m, f))}.{m.likewise}", because=m.sources)


def _neighbours(facts: Facts) -> str:
    """Two rows whose length is not known: one repeat has to take what the one below left."""
    unit, period = number(facts.get("unit")) or 0, number(facts.get("period")) or 0
    return (
        f"One repeat of {facts.get('label')} takes {stitches(unit)}, but one repeat of {facts.get('neighbour')} leaves {period}, so the two do not lie on one "
        "another. Is a number or a step of one of them wrong?"
    )


def _clause(m: Met, facts: Facts) -> str:
    if "tail" not in facts:
        return _pairs(m, facts)
    available, tail, unit = (number(facts.get(k)) or 0 for k in ("available", "tail", "unit"))
    room = available - tail
    if unit and room >= unit and room % unit == 0:
        # The sum comes out, the row does not: its places lie otherwise in the row below than the repeat takes them.
        words = f"the repeat of {m.label} takes {stitches(unit)} the first time, but worked on it does not fall on the same places of the row below again"
    elif room < unit:
        words = f"the repeat of {m.label} takes {stitches(unit)} and there {'is' if room == 1 else 'are'} only {max(room, 0)} for it"
    else:
        whole, over = divmod(room, unit) if unit else (0, 0)
        words = f"the repeat of {m.label} takes {stitches(unit)} and there are {room} for it: {count_of(whole, 'repeat')} "
        words += f"uses {unit} and leaves {over}" if whole == 1 else f"use {whole * unit} and leave {over}"
    if tail:
        kept = "kept for the end" if facts.get("keep") else "worked after it"
        words += f" ({available} less the {tail} {kept})"
    return words


def _pairs(m: Met, facts: Facts) -> str:
    """A decrease worked all along: every one of them takes the same number."""
    available, unit, whole, over = (number(facts.get(k)) or 0 for k in ("available", "unit", "whole", "remainder"))
    return f"{m.label} takes {unit} stitches at a time and there are {available}: {whole * unit} are used in {whole} and {over} {'is' if over == 1 else 'are'} left"


RULE = Rule(
    name="repeat-fit",
    severity=Severity.WRONG,
    title="A repeat worked to the end does not come out even",
    why="“Across” and “around” promise whole repeats. When the stitches do not divide, every maker ends the row in her own way.",
    looks_like="Ch 25.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (24 sc)\nRow 2: Ch 1, *sc in next 3 sc, 2 sc in next sc, sc in next 3 sc; rep from * across, turn.\n",
    better="Ch 29.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (28 sc)\nRow 2: Ch 1, *sc in next 3 sc, 2 sc in next sc, sc in next 3 sc; rep from * across, turn. (32 sc)\n",
    let_stand="When the last repeat is meant to be broken off where the row ends; saying “ending with …” makes that plain.",
    check=check,
)
