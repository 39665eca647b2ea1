"""The space between a number and its stitch: 3 dc or 3dc."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from ...lint import regex
from ...lint.finding import Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.style import Choice
from .habit import Use, departures, in_words, plainly, sample

SPACE = Choice("number-space", "the space between a number and its stitch", ("3 dc", "3dc"))

_COUNTED = regex.compile(r"(?<![\w.,/-])(?P<n>\d+)(?P<gap> ?)(?P<stitch>(?:sc|hdc|dc|htr|tr|dtr|trtr)(?![\w-]))")


@lru_cache(maxsize=2048)
def _find(folded: str, printed: str) -> tuple[Use, ...]:
    return tuple(Use("3 dc" if m["gap"] else "3dc", m.start(), m.end()) for m in _COUNTED.finditer(folded))


def check(subject: Subject) -> Iterator[Finding]:
    for departure in departures(subject, SPACE, in_words(_find)):
        gap = " " if departure.wanted == "3 dc" else ""
        yield plainly(subject, RULE.name, departure, lambda printed, gap=gap: _spaced(printed, gap))


def _spaced(printed: str, gap: str) -> str:
    return regex.sub(r"(?<=\d) ?(?=[A-Za-z])", gap, printed, count=1)


RULE = Rule(
    name="number-space",
    severity=Severity.STYLE,
    title="A number set close to its stitch, or apart from it",
    why="Numbers and stitches are read together hundreds of times in a pattern; one that is spaced otherwise stops the eye.",
    looks_like=sample("Row 8: Ch 1, sc in each sc across, turn. (10sc)"),
    better=sample("Row 8: Ch 1, sc in each sc across, turn. (10 sc)"),
    let_stand="When a line is too full for the space.",
    check=check,
    settings=(SPACE,),
)
