"""What a row is called in its label: Row or R."""

from __future__ import annotations

from collections.abc import Iterator

from ...lint.finding import Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.style import Choice
from .habit import plainly, sample
from .label_words import called, renamed

WORD = Choice("row-word", "what a row is called in its label", ("Row", "R"))


def check(subject: Subject) -> Iterator[Finding]:
    for departure in called(subject, WORD, "Row"):
        yield plainly(subject, RULE.name, departure, lambda printed, wanted=departure.wanted: renamed(printed, wanted))


RULE = Rule(
    name="row-word",
    severity=Severity.STYLE,
    title="A row that goes by another word in its label",
    why="A label that changes its word looks like the label of something else.",
    looks_like=sample("R8: Ch 1, sc in each sc across, turn. (10 sc)"),
    better=sample("Row 8: Ch 1, sc in each sc across, turn. (10 sc)"),
    let_stand="When a part from another leaflet is quoted as it is printed there.",
    check=check,
    settings=(WORD,),
)
