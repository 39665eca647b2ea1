"""The marks of a repeat: an asterisk, a pair of them, square or round brackets."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from ...lint.finding import Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.style import Choice
from ...lint.syntax.tree import Group, Star, Tree
from .habit import Use, departures, in_trees, quoted, rebracketed, sample, told

MARK = Choice("repeat-mark", "the marks of a repeat", ("*", "* *", "[ ]", "( )"))

_FORMS = {"[": "[ ]", "(": "( )", "{": "{ }", "<": "< >"}
_WORDS = {"*": "an asterisk and “rep from *”", "* *": "a pair of asterisks", "[ ]": "square brackets", "( )": "round brackets", "{ }": "braces", "< >": "angle brackets"}


@lru_cache(maxsize=2048)
def _find(tree: Tree, words: str) -> tuple[Use, ...]:
    """The outermost repeats of a row. Asterisks and brackets side by side are no slip, so they are no kin."""
    uses: list[Use] = []
    for step in tree.steps:
        if isinstance(step, Star):
            uses.append(Use("* *" if step.closed else "*", step.at.start, step.at.end, "star"))
        elif isinstance(step, Group) and step.place is None and (step.times or step.scope) and step.mark in _FORMS:
            start = words.find(step.mark, step.at.start, step.at.end)
            if start >= 0:
                uses.append(Use(_FORMS[step.mark], start, step.at.end, "bracket"))
    return tuple(uses)


def check(subject: Subject) -> Iterator[Finding]:
    for departure in departures(subject, MARK, in_trees(_find)):
        message = f"{quoted(subject, departure.places[0][0])} marks its repeat with {_WORDS[departure.form]}; {departure.standard(_WORDS[departure.wanted])}."
        yield told(subject, RULE.name, departure, message, lambda printed, wanted=departure.wanted: rebracketed(printed, wanted))


RULE = Rule(
    name="repeat-mark",
    severity=Severity.STYLE,
    title="A repeat in other marks",
    why="Square brackets for repeats and round ones for everything else is a rule a maker can learn, if it is kept.",
    looks_like=sample("Row 8: Ch 1, (sc in next sc) 10 times, turn. (10 sc)", "Row {}: Ch 1, [sc in next sc] 10 times, turn. (10 sc)"),
    better=sample("Row 8: Ch 1, [sc in next sc] 10 times, turn. (10 sc)", "Row {}: Ch 1, [sc in next sc] 10 times, turn. (10 sc)"),
    let_stand="When a repeat stands inside another and needs marks of its own.",
    check=check,
    settings=(MARK,),
)
