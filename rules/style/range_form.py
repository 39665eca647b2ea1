"""How a run of rows is written: Rows 3–6, Rows 3-6, Rows 3 to 6."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from ...lint import regex
from ...lint.finding import Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.style import Choice
from .habit import Use, departures, in_labels, in_words, plainly

FORM = Choice("range-form", "how a run of rows is written", ("Rows 3–6", "Rows 3-6", "Rows 3 to 6", "Rows 3 through 6"))

_RUN = regex.compile(r"\b(?:rows|rnds|rounds|r)\s*\d+(?P<join>\s*[–—-]\s*|\s+(?:to|through|thru)\s+)(?:r(?:ow|nd|ound)?\s*)?\d+", regex.IGNORECASE)
_FORMS = {"–": "Rows 3–6", "-": "Rows 3-6", "to": "Rows 3 to 6", "through": "Rows 3 through 6", "thru": "Rows 3 thru 6", "—": "Rows 3—6"}


@lru_cache(maxsize=2048)
def _find(folded: str, printed: str) -> tuple[Use, ...]:
    if "r" not in folded:
        return ()
    return tuple(Use(_FORMS[m["join"].strip().lower()], m.start(), m.end()) for m in _RUN.finditer(printed))


def check(subject: Subject) -> Iterator[Finding]:
    for departure in departures(subject, FORM, in_labels(_find), in_words(_find)):

        def change(printed: str, wanted: str = departure.wanted) -> str | None:
            match = _RUN.fullmatch(printed)
            if match is None:
                return None
            return printed[: match.start("join")] + wanted[6:-1] + printed[match.end("join") :]

        yield plainly(subject, RULE.name, departure, change)


_REST = "".join(f"Rows {n}-{n + 1}: Ch 1, sc in each sc across, turn. (10 sc)\n" for n in range(2, 14, 2))

RULE = Rule(
    name="range-form",
    severity=Severity.STYLE,
    title="A run of rows that is written another way",
    why="A dash between two numbers is read as a run when every run has one. Where most have a dash, a maker may take “3 to 6” for something else.",
    looks_like="Ch 11.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (10 sc)\n" + _REST + "Rows 14 to 15: Ch 1, sc in each sc across, turn. (10 sc)\n",
    better="Ch 11.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (10 sc)\n" + _REST + "Rows 14-15: Ch 1, sc in each sc across, turn. (10 sc)\n",
    let_stand="When the sentence would not read with a dash.",
    check=check,
    settings=(FORM,),
)
