"""The foundation or Row 1 against the stated multiple."""

from __future__ import annotations

from collections.abc import Iterator
from typing import cast

from ...lint.finding import Because, Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.text import Span
from ...lint.wording import listed, met, number, sizes_in_words, stitches


def check(subject: Subject) -> Iterator[Finding]:
    for m in met(subject, "multiple-fit"):
        n, plus = number(m.facts.get("n")) or 1, number(m.facts.get("plus")) or 0
        multiple = f"a multiple of {n}" + (f" plus {plus}" if plus else "")
        chains = m.facts.get("chains")
        because: list[Because] = []
        if isinstance(chains, tuple):
            bad = list(cast("tuple[int, ...]", chains))
            sums = [_sum(c, n, plus) for c in bad]
            who = f" in {sizes_in_words(m.trouble.sizes)}" if m.trouble.sizes else ""
            message = f"The chain of {listed([str(c) for c in bad])}{who} is not {multiple}: {'; '.join(sums)}. Is it the chain or the multiple that is off?"
            stated = m.facts.get("stated")
            if isinstance(stated, Span) and stated != m.trouble.span:
                because.append(Because(stated, "the multiple is stated here"))
        else:
            row = str(m.facts.get("row") or "Row 1")
            message = f"{row} does not come out on {multiple}, whatever number is taken"
            unit, remainder = number(m.facts.get("unit")), number(m.facts.get("remainder"))
            if unit and remainder:
                message += f": its repeat takes {stitches(unit)} and {remainder} would always be left over"
            message += ". Is the multiple right?"
        yield m.finding(RULE.name, RULE.severity, message, because=because)


def _sum(chain: int, n: int, plus: int) -> str:
    whole, over = divmod(chain - plus, n)
    less = f"{chain} less {plus} is {chain - plus}, which" if plus else f"{chain}"
    return f"{less} is {whole} times {n} and {over} over"


RULE = Rule(
    name="multiple-fit",
    severity=Severity.WRONG,
    title="The foundation and the stated multiple do not agree",
    why="Makers who change the width go by the multiple. When the pattern's own chain does not fit it, neither number can be trusted.",
    looks_like="Ch 38 (a multiple of 4 plus 3).\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (37 sc)\n",
    better="Ch 39 (a multiple of 4 plus 3).\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (38 sc)\n",
    let_stand="When the multiple is given for stitches and the chain counts one more for turning, and the pattern says so elsewhere.",
    check=check,
)
