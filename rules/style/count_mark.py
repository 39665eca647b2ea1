"""The marks that set a row's stitch count apart: (12), [12], – 12."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from ...lint import regex
from ...lint.finding import Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.style import Choice
from ...lint.syntax.tree import Tree
from .habit import Use, closing_count, departures, in_trees, quoted, sample, told

MARK = Choice("count-mark", "the marks of a stitch count", ("(12)", "[12]", "{12}", "<12>", "– 12", "= 12", "12"))

_BRACKETED = {"(": "(12)", "[": "[12]", "{": "{12}", "<": "<12>"}
_BEFORE = {"-": "– 12", "—": "– 12", "~": "– 12", "=": "= 12"}
_CLOSING = {"(12)": ")", "[12]": "]", "{12}": "}", "<12>": ">"}


@lru_cache(maxsize=2048)
def _find(tree: Tree, words: str) -> tuple[Use, ...]:
    count = closing_count(tree, words)
    if count is None or count.at.start == 0:
        return ()
    before = words[: count.at.start].rstrip()[-1:]
    form = _BRACKETED.get(words[count.at.start]) or _BEFORE.get(before) or "12"
    return (Use(form, count.at.start, count.at.end),)


def check(subject: Subject) -> Iterator[Finding]:
    for departure in departures(subject, MARK, in_trees(_find)):

        def change(printed: str, wanted: str = departure.wanted) -> str | None:
            if wanted not in _CLOSING or not regex.fullmatch(r"([(\[{<])[^()\[\]{}<>]*[)\]}>]", printed):
                return None
            return wanted[0] + printed[1:-1] + wanted[-1]

        wanted = quoted(subject, departure.first) if departure.basis and departure.first else f"“{departure.wanted}”"
        message = f"The count here is written {quoted(subject, departure.places[0][0])}; {departure.standard(wanted)}."
        yield told(subject, RULE.name, departure, message, change)


RULE = Rule(
    name="count-mark",
    severity=Severity.STYLE,
    title="A stitch count in other marks",
    why="Round brackets may hold a count, a size, a repeat or a group. Where counts always have the same marks, a maker knows one when it comes.",
    looks_like=sample("Row 8: Ch 1, sc in each sc across, turn. [10 sc]"),
    better=sample("Row 8: Ch 1, sc in each sc across, turn. (10 sc)"),
    let_stand="When the other marks are taken for something else in the row.",
    check=check,
    settings=(MARK,),
)
