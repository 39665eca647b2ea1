"""A word of the trade that says something else than is meant."""

from __future__ import annotations

import re
from collections.abc import Iterator

from ...lint.finding import Correction, Edit, Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.text import Span

_FACTOR = re.compile(r"(?<![a-z])(?P<word>factors?)\s+of\s+\d+(?=\s*(?:\+|plus|and\s+\d|,|\.|sts?|stitches|ch))")


def check(subject: Subject) -> Iterator[Finding]:
    for match in _FACTOR.finditer(subject.layout.folded):
        span = Span(match.start("word"), match.end("word"))
        right = "multiple" + ("s" if match["word"].endswith("s") else "")
        yield Finding(
            "word-choice",
            Severity.SUGGESTION,
            f"A factor of a number divides it; the chains that hold whole repeats are a multiple. Is {right} meant?",
            span,
            corrections=(Correction(f'Write "{right}"', (Edit(span, right),)),),
        )


RULE = Rule(
    name="word-choice",
    severity=Severity.SUGGESTION,
    title="A word that says something else",
    why="Some words of the trade are near neighbours: the factors of 12 divide it, its multiples are 24, 36 and so on. A maker who changes the width goes by that word.",
    looks_like="Ch in a factor of 3 + 2.\nRow 1: Dc in 4th ch from hook and in each ch across, turn.\nUS terms.\n",
    better="Ch a multiple of 3 + 2.\nRow 1: Dc in 4th ch from hook and in each ch across, turn.\nUS terms.\n",
    let_stand="The word is meant in its own sense.",
    check=check,
)
