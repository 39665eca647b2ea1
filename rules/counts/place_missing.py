"""A place to work into that does not exist below."""

from __future__ import annotations

import re
from collections.abc import Iterator

from ...lint import regex
from ...lint.finding import Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.text import Span
from ...lint.vocabulary_use import in_rows
from ...lint.wording import in_terms, is_stitch, listed, met, name_of

_OTHER_ROW = regex.compile(r"\b(?:rows?|rnds?|rounds?|below)\b", regex.IGNORECASE)
_NEAR = 40  # characters after a place in which a row of its own may be named


def check(subject: Subject) -> Iterator[Finding]:
    for m in met(subject, "place-missing"):
        named, found, skipped = m.facts.get("named"), m.facts.get("found"), m.facts.get("skipped")
        if skipped is not None and _made(subject, skipped):
            continue  # a loop that is no space, such as a picot's, may be passed over by that name
        does = "works into" if skipped is None else "skips"
        yield m.finding(RULE.name, RULE.severity, f"{m.label} {does} the {named}, but {_found(found)}. What is meant?{m.likewise}")
    for m in met(subject, "ordinal"):
        yield m.finding(
            RULE.name, RULE.severity, f"{m.label} begins in a chain from the hook without saying which: 2nd, 3rd, 4th?{m.likewise}"
        )
    yield from _misnamed(subject)


def _made(subject: Subject, chains: object) -> bool:
    """Whether the words of any row make so many chains."""
    return any(True for _ in in_rows(subject, re.compile(rf"(?<![a-z])(?:ch|chain)s?[ -]?{chains}(?!\d|[ -]*(?:sps?|spaces?|lo?ops?|lps?)\b)|(?<!\d){chains} ?ch(?:ain)?s?\b(?!-?\s*(?:sps?|spaces?|lo?ops?|lps?)\b)")))


def _found(found: object) -> str:
    words = str(found)
    return f"below it {'are' if words.endswith('s') else 'is'} {words}"


def _misnamed(subject: Subject) -> Iterator[Finding]:
    """Asked of the row that has the words, not of later rows that repeat them over other stitches."""
    terms = subject.work.terms
    worked: set[Span] = set()
    for row in subject.work.rows():
        if row.span in worked:
            continue
        worked.add(row.span)
        for span, noun, kinds in row.misnamed:
            if span.start not in row.span or not is_stitch(noun):
                continue
            after = subject.text.source[span.start : min(row.span.end, span.end + _NEAR)]
            if not _OTHER_ROW.search(regex.split(r"[;.*]", after)[0]):
                lying = listed([in_terms(k, terms) for k in kinds])
                yield Finding(
                    RULE.name, RULE.severity,
                    f"{name_of(row.label)} works into {in_terms(noun, terms)}, but the row below is {lying}. Which is meant?",
                    span, row.label,
                )  # fmt: skip


RULE = Rule(
    name="place-missing",
    severity=Severity.QUERY,
    title="The stitch or space named is not there to work into",
    why="A place that carries another name below sends the maker looking for it; often a row has been changed and the next one was not.",
    looks_like="Ch 12.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (11 sc)\nRow 2: Ch 1, sc in each dc across, turn. (11 sc)\n",
    better="Ch 12.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (11 sc)\nRow 2: Ch 1, sc in each sc across, turn. (11 sc)\n",
    let_stand="When the word is the house's habit for any stitch.",
    check=check,
)
