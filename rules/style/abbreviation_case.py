"""Capitals in abbreviations inside a row: sc or SC."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from ...lint import regex
from ...lint.finding import Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.style import Choice
from .habit import Use, departures, in_words, plainly, sample

CASE = Choice("abbreviation-case", "the letters of an abbreviation inside a row", ("sc", "SC", "Sc"))

# Where nothing begins: behind a small letter, a figure or a comma. What begins a sentence has its capital from that.
_INSIDE = regex.compile(r"(?<=[a-z\d,] )(?:hdc|dc|sc|htr|dtr|tr|ch|sts?|sps?|sl st|inc|dec|sk)\b")


@lru_cache(maxsize=2048)
def _find(folded: str, printed: str) -> tuple[Use, ...]:
    uses: list[Use] = []
    for match in _INSIDE.finditer(folded):
        word = printed[match.start() : match.end()]
        if printed[match.start() - 2].isupper():
            continue  # “With A ch 1”: something ended there
        uses.append(Use("sc" if word.islower() else "SC" if word.isupper() else "Sc", match.start(), match.end()))
    return tuple(uses)


_CHANGES = {"sc": str.lower, "SC": str.upper, "Sc": str.capitalize}


def check(subject: Subject) -> Iterator[Finding]:
    for departure in departures(subject, CASE, in_words(_find)):
        yield plainly(subject, RULE.name, departure, _CHANGES[departure.wanted])


RULE = Rule(
    name="abbreviation-case",
    severity=Severity.STYLE,
    title="An abbreviation in other letters",
    why="In some keys DC and dc are two things: a dark colour and a stitch. An abbreviation should look the same wherever it stands inside a row.",
    looks_like=sample("Row 8: Ch 1, sc in first sc, SC in each sc across, turn. (10 sc)"),
    better=sample("Row 8: Ch 1, sc in first sc, sc in each sc across, turn. (10 sc)"),
    let_stand="When the letters are a colour's.",
    check=check,
    settings=(CASE,),
)
