"""Capitals in row labels: Row, ROW or row."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from ...lint import regex
from ...lint.finding import Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.style import Choice
from .habit import Use, departures, in_labels, plainly, sample

CASE = Choice("row-case", "the capitals of the word in a row label", ("Row", "ROW", "row"))

_WORD = regex.compile(r"\b(?:rows?|rnds?|rounds?)\b", regex.IGNORECASE)


@lru_cache(maxsize=2048)
def _find(label: str, printed: str) -> tuple[Use, ...]:
    match = _WORD.search(printed)
    if match is None or regex.search(r"\w", printed[: match.start()]):
        return ()  # “4th round”: the word does not begin the label
    word = match[0]
    form = "ROW" if word.isupper() else "row" if word.islower() else "Row"
    return (Use(form, match.start(), match.end()),)


_CHANGES = {"Row": str.capitalize, "ROW": str.upper, "row": str.lower}


def check(subject: Subject) -> Iterator[Finding]:
    for departure in departures(subject, CASE, in_labels(_find)):
        yield plainly(subject, RULE.name, departure, _CHANGES[departure.wanted])


RULE = Rule(
    name="row-case",
    severity=Severity.STYLE,
    title="A row label with other capitals",
    why="Labels are what a reader's eye runs down; one in other capitals looks like a heading or like a slip.",
    looks_like=sample("row 8: Ch 1, sc in each sc across, turn. (10 sc)"),
    better=sample("Row 8: Ch 1, sc in each sc across, turn. (10 sc)"),
    let_stand="When the label is a heading as well.",
    check=check,
    settings=(CASE,),
)
