"""Whether a row's instructions end with a full stop."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import lru_cache

from ...lint import regex
from ...lint.finding import Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.style import Choice
from ...lint.syntax.tree import Count, Tree
from ...lint.vocabulary_use import Row, rows_of
from .habit import Use, closing_count, departures, in_trees, quoted, sample, told

END = Choice("row-end", "how a row ends", ("stop", "no stop"))

_WORDS = {"stop": "a full stop", "no stop": "none"}
_LAST = regex.compile(r"\S+\s*$")
_NEXT_LINE = regex.compile(r"[^\S\n]*\n[^\S\n]*(?=\S)")


@lru_cache(maxsize=2048)
def _find(tree: Tree, words: str) -> tuple[Use, ...]:
    count = closing_count(tree, words)
    if count is None and any(isinstance(step, Count) for step in tree.steps):
        return ()  # something is said behind the count
    core = words[: count.at.start].rstrip() if count else words.rstrip()
    last = _LAST.search(core)
    if last is None or core[-1:] in ",;:—-=*":
        return ()
    stopped = core[-1:] in ".!?" or (count is not None and (words[count.at.end :].strip() == "." or words[: count.at.end].endswith((".)", ".]"))))
    return (Use("stop" if stopped else "no stop", last.start(), len(core)),)


def _is_an_end(subject: Subject) -> Callable[[Row, Use], bool]:
    """Tells ends of rows: one without a stop whose next line is more of the text may go on there."""
    begins = {row.label_origin for row in rows_of(subject)}

    def keep(row: Row, use: Use) -> bool:
        after = _NEXT_LINE.match(subject.text.source, row.statement.body.end)
        return use.form == "stop" or after is None or after.end() in begins

    return keep


def check(subject: Subject) -> Iterator[Finding]:
    for departure in departures(subject, END, in_trees(_find), keep=_is_an_end(subject)):
        words = quoted(subject, departure.places[0][0])
        has = "has no full stop after it" if departure.form == "no stop" else "has a full stop after it"
        message = f"The row ends in {words}, which {has}; {departure.standard(_WORDS[departure.wanted])}."
        yield told(subject, RULE.name, departure, message, _stopped if departure.wanted == "stop" else _unstopped)


def _stopped(word: str) -> str:
    return f"{word}."


def _unstopped(word: str) -> str | None:
    return word.removesuffix(".") if word.endswith(".") else None


RULE = Rule(
    name="row-end",
    severity=Severity.STYLE,
    title="A row that ends another way",
    why="A full stop says that the row is over. Where every row has one, a row without it may have lost its last words.",
    looks_like=sample("Row 8: Ch 1, sc in each sc across, turn (10 sc)"),
    better=sample("Row 8: Ch 1, sc in each sc across, turn. (10 sc)"),
    let_stand="When the sentence goes on below the row.",
    check=check,
    settings=(END,),
)
