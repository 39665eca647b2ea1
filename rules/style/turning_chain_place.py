"""Where a turning chain is told: at the start of its row, or at the end of the row before."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from ...lint.finding import Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.style import Choice
from ...lint.syntax.tree import Chain, Count, Counts, Make, Mark, Step, Tree
from .habit import Use, departures, every_step, in_trees, quoted, sample, told

PLACE = Choice("turning-chain-place", "where a turning chain is told", ("start", "end"))

_WORDS = {"start": "at the start of the row", "end": "at the end of the row before"}
_TALLEST = 6


@lru_cache(maxsize=2048)
def _find(tree: Tree, words: str) -> tuple[Use, ...]:
    steps = [s for s in tree.steps if not isinstance(s, Count | Counts)]
    if not any(_is_turn(s) for s in steps) or not any(isinstance(s, Make) for s in every_step(steps)):
        return ()
    first = next((s for s in steps if not isinstance(s, Mark)), None)
    places: list[tuple[str, Step]] = []
    if _is_turning_chain(first) and first is not None:
        places.append(("start", first))
    if len(steps) > 2 and {_is_turn(steps[-1]), _is_turn(steps[-2])} == {True, False}:
        last = steps[-2] if _is_turn(steps[-1]) else steps[-1]
        if last is not first and _is_turning_chain(last):
            places.append(("end", last))
    return tuple(Use(form, step.at.start, step.at.end) for form, step in places) if len(places) == 1 else ()


def _is_turn(step: Step) -> bool:
    return isinstance(step, Mark) and step.what == "turn"


def _is_turning_chain(step: Step | None) -> bool:
    return isinstance(step, Chain) and step.place is None and step.times is None and (step.count or (1,))[0] in range(1, _TALLEST + 1)


def check(subject: Subject) -> Iterator[Finding]:
    for departure in departures(subject, PLACE, in_trees(_find)):
        words = quoted(subject, departure.places[0][0])
        where = "at the start of this row" if departure.form == "start" else "at the end of this row, for the next"
        yield told(subject, RULE.name, departure, f"{words} stands {where}; {departure.standard(_WORDS[departure.wanted])}.")


RULE = Rule(
    name="turning-chain-place",
    severity=Severity.STYLE,
    title="A turning chain in another place than the others",
    why="A turning chain belongs to the row it starts. Where it is told at the end of one row and again at the start of another, some makers work it twice.",
    looks_like="Ch 11.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (10 sc)\n"
    + "".join(f"Row {n}: Ch 1, sc in each sc across, turn. (10 sc)\n" for n in range(2, 8))
    + "Row 8: Sc in each sc across, ch 1, turn. (10 sc)\n",
    better=sample("Row 8: Ch 1, sc in each sc across, turn. (10 sc)"),
    let_stand="When the next part starts from the live chain.",
    check=check,
    settings=(PLACE,),
)
