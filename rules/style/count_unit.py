"""What a row's stitch count counts: a bare number, stitches, or stitches of a kind."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from ...lint.finding import Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.style import AS_MOSTLY, Choice
from ...lint.syntax.tree import Tree
from ...lint.wording import is_stitch
from .habit import Use, closing_count, departures, in_trees, quoted, sample, told

UNIT = Choice("count-unit", "what a stitch count names", ("12", "12 sts", "12 sc"))

_WORDS = {"12": "a bare number", "12 sts": "a number of sts", "12 sc": "a number of stitches by name"}


@lru_cache(maxsize=2048)
def _find(tree: Tree, words: str) -> tuple[Use, ...]:
    """The form of a count of one kind of stitch."""
    count = closing_count(tree, words)
    if count is None or len(count.parts) != 1:
        return ()
    noun = count.parts[0].noun
    if noun not in ("", "st") and not is_stitch(noun):
        return ()  # spaces and groups are named by everyone
    form = "12" if not noun else "12 sts" if noun == "st" else "12 sc"
    return (Use(form, count.at.start, count.at.end),)


@lru_cache(maxsize=2048)
def _bare_or_not(tree: Tree, words: str) -> tuple[Use, ...]:
    # A manuscript may well count sts in one row and dc in the next; what stands out is a number without a name.
    return tuple(use if use.form == "12" else use._replace(form="12 sc") for use in _find(tree, words))


def check(subject: Subject) -> Iterator[Finding]:
    habit = subject.style.choice(UNIT) == AS_MOSTLY
    for departure in departures(subject, UNIT, in_trees(_bare_or_not if habit else _find)):
        wanted = quoted(subject, departure.first) if departure.basis and departure.first else _WORDS[departure.wanted]
        message = f"{quoted(subject, departure.places[0][0])} gives {_WORDS[departure.form]}; {departure.standard(wanted)}."
        yield told(subject, RULE.name, departure, message)


RULE = Rule(
    name="count-unit",
    severity=Severity.STYLE,
    title="A stitch count that names its stitches another way",
    why="A bare number after many that name their stitches makes a maker wonder what else it may count: spaces, chains, repeats.",
    looks_like=sample("Row 8: Ch 1, sc in each sc across, turn. (10)"),
    better=sample("Row 8: Ch 1, sc in each sc across, turn. (10 sc)"),
    let_stand="When the stitches of the row have no one name.",
    check=check,
    settings=(UNIT,),
)
