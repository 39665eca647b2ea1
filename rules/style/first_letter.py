"""Whether the words after a row's label begin with a capital."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from ...lint import regex
from ...lint.finding import Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.style import Choice
from .habit import Use, departures, in_words, quoted, sample, told

LETTER = Choice("first-letter", "the first letter after a row label", ("capital", "small"))

_WORDS = {"capital": "a capital", "small": "a small letter"}
_FIRST = regex.compile(r"[A-Za-z][a-z]+(?![\w])")  # “FPdc” and “BLO” have their capitals anywhere


@lru_cache(maxsize=2048)
def _find(folded: str, printed: str) -> tuple[Use, ...]:
    match = _FIRST.match(printed)
    if match is None:
        return ()
    return (Use("capital" if match[0][0].isupper() else "small", 0, match.end()),)


def _changed(word: str) -> str:
    return word[:1].swapcase() + word[1:]


def check(subject: Subject) -> Iterator[Finding]:
    for departure in departures(subject, LETTER, in_words(_find)):
        words = quoted(subject, departure.places[0][0])
        message = f"{words} begins this row with {_WORDS[departure.form]}; {departure.standard(_WORDS[departure.wanted])}."
        yield told(subject, RULE.name, departure, message, _changed)


RULE = Rule(
    name="first-letter",
    severity=Severity.STYLE,
    title="A row that begins with another sort of letter",
    why="Some houses begin every row with a capital, others keep abbreviations small wherever they stand. One small letter among capitals looks like the middle of a sentence.",
    looks_like=sample("Row 8: ch 1, sc in each sc across, turn. (10 sc)"),
    better=sample("Row 8: Ch 1, sc in each sc across, turn. (10 sc)"),
    let_stand="When the row goes on with the sentence before it.",
    check=check,
    settings=(LETTER,),
)
