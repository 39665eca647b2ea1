"""What a round is called in its label: Rnd, Round, R or Rd."""

from __future__ import annotations

from collections.abc import Iterator

from ...lint.finding import Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.style import OFF, Choice
from .habit import plainly
from .label_words import called, renamed

# A manuscript's own habit is the business of word-mixed, as with every other word of the trade.
WORD = Choice("round-word", "what a round is called in its label", ("Rnd", "Round", "R", "Rd"), OFF)


def check(subject: Subject) -> Iterator[Finding]:
    for departure in called(subject, WORD, "Rnd"):
        yield plainly(subject, RULE.name, departure, lambda printed, wanted=departure.wanted: renamed(printed, wanted))


RULE = Rule(
    name="round-word",
    severity=Severity.STYLE,
    title="A round that goes by another word in its label",
    why="A house that writes Rnd in one leaflet and Round in the next has two keys to print. Within one manuscript word-mixed looks after it.",
    looks_like="Rnd 1: 6 sc in magic ring. (6)\nRound 2: 2 sc in each st around. (12)\n",
    better="Rnd 1: 6 sc in magic ring. (6)\nRnd 2: 2 sc in each st around. (12)\n",
    let_stand="When a part from another leaflet is quoted as it is printed there.",
    check=check,
    settings=(WORD,),
)
