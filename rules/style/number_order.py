"""Whether the number comes before the stitch: 3 dc or dc 3."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from ...lint import regex
from ...lint.finding import Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.style import OFF, Choice
from ...lint.syntax.tree import Make, Tree
from .habit import Use, departures, every_step, in_trees, plainly

# Off unless a house asks: many designers use both on purpose, "2 sc" for two in one stitch and "sc 2" for one in each.
ORDER = Choice("number-order", "whether the number comes before the stitch", ("3 dc", "dc 3"), OFF)

_BOTH = regex.compile(r"(?P<n>\d+)\s?(?P<stitch>[A-Za-z]+)|(?P<first>[A-Za-z]+)\s?(?P<then>\d+)")


@lru_cache(maxsize=2048)
def _find(tree: Tree, words: str) -> tuple[Use, ...]:
    """Stitches along the row that are counted and have no place named."""
    return tuple(
        Use("3 dc" if step.order == "NS" else "dc 3", step.at.start, step.at.end)
        for step in every_step(tree.steps, in_places=False)
        if isinstance(step, Make)
        and step.order in ("NS", "SN")
        and step.count
        and step.place is None
        and not step.word
        and _BOTH.fullmatch(words[step.at.start : step.at.end])
    )


def _changed(printed: str) -> str | None:
    match = _BOTH.fullmatch(printed)
    if match is None:
        return None
    return f"{match['stitch']} {match['n']}" if match["n"] else f"{match['then']} {match['first'].lower()}"


def check(subject: Subject) -> Iterator[Finding]:
    for departure in departures(subject, ORDER, in_trees(_find)):
        yield plainly(subject, RULE.name, departure, _changed)


RULE = Rule(
    name="number-order",
    severity=Severity.STYLE,
    title="A number on the other side of its stitch",
    why="“Sc 2” is one in each of two stitches to some and two in one to others. A house that keeps to one order can say once what it means.",
    looks_like="Rnd 1: 6 sc in magic ring. (6 sc)\nRnd 2: [2 sc in next st] 6 times. (12 sc)\nRnd 3: *Sc 1, 2 sc in next st; rep from * around. (18 sc)\n",
    better="Rnd 1: 6 sc in magic ring. (6 sc)\nRnd 2: [2 sc in next st] 6 times. (12 sc)\nRnd 3: *1 sc, 2 sc in next st; rep from * around. (18 sc)\n",
    let_stand="When the two orders are told apart in the notes.",
    check=check,
    settings=(ORDER,),
)
