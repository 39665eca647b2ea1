"""A row that asks for more stitches than lie below."""

from __future__ import annotations

from collections.abc import Iterator

from ...lint.corrections import change_times
from ...lint.finding import Correction, Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.wording import Facts, Met, count_of, counted, met, mid, name_of, number, stitches


def check(subject: Subject) -> Iterator[Finding]:
    for m in met(subject, "base-short"):
        yield m.finding(RULE.name, RULE.severity, f"{m.said(lambda f, m=m: _clause(m, f))}. {_question(m)}{m.likewise}", because=m.sources, corrections=_corrections(m))


def _question(m: Met) -> str:
    if m.facts.get("spaces"):
        return "Is a repeat too many, or a space too few?"
    return "Is a repeat or a step too many?"


def _corrections(m: Met) -> list[Correction]:
    """The number of times is the slip where a smaller one meets both the stitches below and the count."""
    made, stated = number(m.facts.get("made")), number(m.facts.get("stated"))
    if m.row is None or len(m.rows) > 1 or len(m.by_size) > 1 or made is None or stated is None or made <= stated:
        return []
    return change_times(m.subject.text, m.row.span, (-1, -2))


def _clause(m: Met, facts: Facts) -> str:
    have = number(facts.get("have"))
    if facts.get("spaces"):
        return f"{m.label} asks for a space after the last one: the row below has {counted(have or 0, 'sp')}"
    if facts.get("groups"):
        name = str(facts["groups"])
        return f"{m.label} asks for more {name}s than the row below has: there {'is' if have == 1 else 'are'} {counted(have or 0, name)}"
    base, used = number(facts.get("base")) or 0, number(facts.get("used")) or 0
    over = number(facts.get("over")) or max(0, used - base)
    return f"{m.label} is worked into {stitches(used)}, but {_below(m, facts, base)}: {over} too many"


def _below(m: Met, facts: Facts, base: int) -> str:
    below = m.below
    if below is not None:
        one = next((s for s in below.sizes if s.size == facts.get("size")), None)
        if one is not None and base in (one.made, one.stated):
            return f"{mid(name_of(below.label))} leaves {base}"
    return f"there {'is' if base == 1 else 'are'} only {count_of(base, 'stitch or chain', 'stitches or chains')} to work into"


RULE = Rule(
    name="base-short",
    severity=Severity.WRONG,
    title="The row asks for more stitches than there are below",
    why="The maker runs out of stitches before the words run out, and cannot tell which of the two is to be believed.",
    looks_like="Rnd 1: 6 sc in magic ring. (6)\nRnd 2: 2 sc in each st around. (12)\nRnd 3: (Sc in next st, 2 sc in next st) 7 times. (21)\n",
    better="Rnd 1: 6 sc in magic ring. (6)\nRnd 2: 2 sc in each st around. (12)\nRnd 3: (Sc in next st, 2 sc in next st) 6 times. (18)\n",
    let_stand="When the row is meant to run on into the next round, as some spirals do.",
    check=check,
)
