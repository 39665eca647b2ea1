"""A word of the trade that says something else than is meant."""

from __future__ import annotations

from collections.abc import Iterator

from ...lint import regex
from ...lint.finding import Correction, Edit, Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.text import Span
from ...lint.vocabulary_use import in_rows, row_name

_FACTOR = regex.compile(r"(?<![a-z])(?P<word>factors?)\s+of\s+\d+(?=\s*(?:\+|plus|and\s+\d|,|\.|sts?|stitches|ch))")

_NO_NUMBER = regex.compile(r"(?<![a-z])in(?:to)?\s+(?:the\s+)?ch(?:ain)?\s+from\s+(?:the\s+)?hook(?![a-z])")


def _without_number(subject: Subject) -> Iterator[Finding]:
    """A chain counted from the hook without its number, where the row could not be worked for want of a base."""
    for statement, span in in_rows(subject, _NO_NUMBER):
        told = (t.span for row in subject.work.rows() for t in row.troubles if t.kind == "ordinal")
        if not any(span.touches(t) for t in told):
            yield Finding(
                RULE.name,
                Severity.QUERY,
                f'"{subject.text[span]}" does not say which chain: the 2nd, the 3rd, the 4th?',
                span,
                place=row_name(statement),
            )


def check(subject: Subject) -> Iterator[Finding]:
    factors = _FACTOR.finditer(subject.layout.folded) if "factor" in subject.layout.folded else ()
    for match in factors:
        span = Span(match.start("word"), match.end("word"))
        right = "multiple" + ("s" if match["word"].endswith("s") else "")
        yield Finding(
            RULE.name,
            Severity.SUGGESTION,
            f"A factor of a number divides it; the chains that hold whole repeats are a multiple. Is {right} meant?",
            span,
            corrections=(Correction(f'Write "{right}"', (Edit(span, right),)),),
        )
    yield from _without_number(subject)


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
