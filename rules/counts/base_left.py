"""A row that stops before the stitches below do."""

from __future__ import annotations

from collections.abc import Iterator

from ...lint.corrections import change_times
from ...lint.finding import Correction, Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.wording import Facts, Met, met, number, stitches


def check(subject: Subject) -> Iterator[Finding]:
    for m in met(subject, "base-left"):
        severity = Severity.WRONG if any(_disagrees(f) for f in m.by_size) else Severity.SUGGESTION if all(f.get("short") for f in m.by_size) else Severity.QUERY
        yield m.finding(RULE.name, severity, f"{m.said(lambda f, m=m: _clause(m, f))}. {_question(m)}{m.likewise}", because=m.sources, corrections=_corrections(m))


def _corrections(m: Met) -> list[Correction]:
    """The number of times is the slip where a greater one meets both the stitches below and the count."""
    if m.row is None or len(m.rows) > 1 or len(m.by_size) > 1 or not _disagrees(m.facts):
        return []
    return change_times(m.subject.text, m.row.span, (1, 2))


def _disagrees(facts: Facts) -> bool:
    made, stated = number(facts.get("made")), number(facts.get("stated"))
    return made is not None and stated is not None and made != stated


def _question(m: Met) -> str:
    if any(_disagrees(f) for f in m.by_size):
        return "Is a step or a repeat missing?"
    return "Are they left unworked on purpose?"


def _clause(m: Met, facts: Facts) -> str:
    base, used, left = (number(facts.get(k)) for k in ("base", "used", "left"))
    said, made, stated = (number(facts.get(k)) for k in ("said", "made", "stated"))
    verb = "is" if left == 1 else "are"
    words = f"{m.label} works into {used} of the {stitches(base or 0)} below, and {left} {verb} left at its end"
    if said is not None:
        return f"{words}, where the row says {said}"
    if made is not None and stated is not None:
        if made == stated:
            return f"{words}; its count of {stated} fits what is written"
        return f"{words}; it makes {made} where its count says {stated}"
    return words


RULE = Rule(
    name="base-left",
    severity=Severity.QUERY,
    title="Stitches are left over at the end of the row",
    why=(
        "A row that ends early narrows the work. Where that is the shaping, readers like to be told so; where it is not, a step or a "
        "repeat has been lost."
    ),
    looks_like="Ch 18.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (17 sc)\nRow 2: Ch 1, sc in next 8 sc, hdc in next 8 sc, turn.\n",
    better=(
        "Ch 18.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (17 sc)\n"
        "Row 2: Ch 1, sc in next 8 sc, hdc in next 8 sc, leave last sc unworked, turn.\n"
    ),
    let_stand="When the stitches are left on purpose and the pattern makes that plain elsewhere.",
    check=check,
)
