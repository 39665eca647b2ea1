"""A row that asks for more stitches than lie below."""

from __future__ import annotations

from collections.abc import Iterator

from ...lint.finding import Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.wording import Facts, Met, count_of, counted, met, name_of, number, stitches


def check(subject: Subject) -> Iterator[Finding]:
    for m in met(subject, "base-short"):
        yield m.finding(RULE.name, RULE.severity, f"{m.said(lambda f, m=m: _clause(m, f))}.{m.likewise}")


def _clause(m: Met, facts: Facts) -> str:
    have = number(facts.get("have"))
    if facts.get("spaces"):
        return f"{m.label} asks for a space after the last one: the row below has {counted(have or 0, 'sp')}. Is a repeat too many, or a space too few?"
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
            name = name_of(below.label)
            return f"{name[0].lower() + name[1:] if name.startswith('The ') else name} leaves {base}"
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
