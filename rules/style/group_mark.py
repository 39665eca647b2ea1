"""The brackets of a group that is worked in one place: (2 dc, ch 2, 2 dc) in next sp."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from ...lint.finding import Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.style import Choice
from ...lint.syntax.tree import Group, Tree
from .habit import Use, departures, every_step, in_trees, plainly, rebracketed

MARK = Choice("group-mark", "the brackets of a group that is worked in one place", ("( )", "[ ]", "{ }", "< >"))

_FORMS = {"(": "( )", "[": "[ ]", "{": "{ }", "<": "< >"}


@lru_cache(maxsize=2048)
def _find(tree: Tree, words: str) -> tuple[Use, ...]:
    uses: list[Use] = []
    for step in every_step(tree.steps):
        if isinstance(step, Group) and step.place is not None and step.times is None and step.mark in _FORMS:
            start = words.find(step.mark, step.at.start, step.at.end)
            end = words.find(_FORMS[step.mark][-1], start + 1, step.at.end)
            if start >= 0 and end >= 0:
                uses.append(Use(_FORMS[step.mark], start, end + 1))
    return tuple(uses)


def check(subject: Subject) -> Iterator[Finding]:
    for departure in departures(subject, MARK, in_trees(_find)):
        yield plainly(subject, RULE.name, departure, lambda printed, wanted=departure.wanted: rebracketed(printed, wanted))


def _sample(last: str) -> str:
    shells = "".join(f"Row {n}: Ch 3, 4 dc in same st, *sk 4 sts, (3 dc, ch 1, 3 dc) in next st; rep from * across, turn.\n" for n in range(2, 8))
    return "Ch 22.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (21 sc)\n" + shells + last


RULE = Rule(
    name="group-mark",
    severity=Severity.STYLE,
    title="A group in other brackets",
    why="The same brackets for stitches that go into one place, and others for what is repeated, tell a maker the one from the other.",
    looks_like=_sample("Row 8: Ch 3, 4 dc in same st, *sk 4 sts, [3 dc, ch 1, 3 dc] in next st; rep from * across, turn.\n"),
    better=_sample("Row 8: Ch 3, 4 dc in same st, *sk 4 sts, (3 dc, ch 1, 3 dc) in next st; rep from * across, turn.\n"),
    let_stand="When the group stands inside another and needs brackets of its own.",
    check=check,
    settings=(MARK,),
)
