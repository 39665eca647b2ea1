"""Foundations that fit the stated multiple in every size but one."""

from __future__ import annotations

from collections.abc import Iterator

from ...lint import regex
from ...lint.finding import Because, Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.text import Span

_MULTIPLE = regex.compile(
    r"multiples?\s+of\s+(?P<n>\d+)\s*(?:sts?|stitches|ch(?:s|ains?)?)?\s*,?\s*(?:(?:\+|plus|and|add)\s*(?P<plus>\d+))?"
)


def check(subject: Subject) -> Iterator[Finding]:
    sizes = subject.pattern.sizes
    stated = list(_MULTIPLE.finditer(subject.layout.folded))
    if len(sizes) < 3 or len({(m["n"], m["plus"]) for m in stated}) != 1:
        return
    match = stated[0]
    n, plus = int(match["n"][:5]), int((match["plus"] or "0")[:5])
    if n < 2:
        return
    reported = [t.span for piece in subject.work.pieces for t in piece.troubles if t.kind == "multiple-fit"]
    where = Span(match.start(), match.end())
    for piece in subject.pattern.pieces:
        for entry in piece.entries:
            if (
                entry.kind != "foundation"
                or len(entry.chains) != len(sizes)
                or any(entry.span.touches(s) for s in reported)
            ):
                continue
            odd = [(i, c) for i, c in enumerate(entry.chains) if c is not None and (c - plus) % n]
            if len(odd) != 1 or any(c is None for c in entry.chains):
                continue  # none, or the multiple is not meant for this chain
            i, chains = odd[0]
            below = chains - (chains - plus) % n
            yield Finding(
                RULE.name,
                Severity.QUERY,
                f"Size {sizes[i]}: {chains} chains are no multiple of {n}{f' plus {plus}' if plus else ''}; {below} and {below + n} are. The other sizes fit. Is {chains} right?",
                entry.span,
                sizes=(sizes[i],),
                because=(Because(where, "the multiple is stated here"),),
            )


RULE = Rule(
    name="size-multiple",
    severity=Severity.QUERY,
    title="A size that does not fit the stitch multiple",
    why="Each size's foundation has to hold whole repeats. Where all sizes but one fit the stated multiple, the odd one is mostly a slip.",
    looks_like="US terms.\nSizes: S (M, L)\nStitch multiple: multiple of 6 plus 1.\n\nBack\nCh 31 (37, 44).\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. 30 (36, 43) sc.\n",
    better="US terms.\nSizes: S (M, L)\nStitch multiple: multiple of 6 plus 1.\n\nBack\nCh 31 (37, 43).\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. 30 (36, 42) sc.\n",
    let_stand="The extra stitches of that size are worked plain at the edge, and the text says so.",
    check=check,
)
