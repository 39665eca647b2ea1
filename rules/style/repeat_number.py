"""How often a repeat is worked: 3 times, three times, x 3."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from ...lint import regex
from ...lint.finding import Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.style import Choice
from ...lint.syntax.lexer import NUMBER_WORDS
from .habit import Use, departures, in_words, plainly, sample

NUMBER = Choice("repeat-number", "how the number of repeats is written", ("3 times", "three times", "x 3"))

_TIMES = regex.compile(
    rf"\b(?:(?P<figure>\d+)|(?P<word>{'|'.join(NUMBER_WORDS)}))\s+(?P<more>more\s+)?times\b|(?<=[)\]}}\s*])x\s?(?P<x>\d+)\b"
)
_WORDS = {n: word for word, n in NUMBER_WORDS.items()}


@lru_cache(maxsize=2048)
def _find(folded: str, printed: str) -> tuple[Use, ...]:
    if "times" not in folded and "x" not in folded:
        return ()
    return tuple(
        Use("3 times" if m["figure"] else "three times" if m["word"] else "x 3", m.start(), m.end())
        for m in _TIMES.finditer(folded)
        if not regex.match(r"\s*\(", folded[m.end() :])  # a list of sizes goes on
    )


def _changed(printed: str, wanted: str) -> str | None:
    match = _TIMES.search(f" {printed.lower()}")
    if match is None:
        return None
    n = NUMBER_WORDS[match["word"]] if match["word"] else int(match["figure"] or match["x"])
    more = "more " if match["more"] else ""
    if wanted == "x 3":
        return None if more else f"x {n}"
    if wanted == "3 times":
        return f"{n} {more}times"
    return f"{_WORDS[n]} {more}times" if n in _WORDS else None


def check(subject: Subject) -> Iterator[Finding]:
    for departure in departures(subject, NUMBER, in_words(_find)):
        yield plainly(subject, RULE.name, departure, lambda printed, wanted=departure.wanted: _changed(printed, wanted))


RULE = Rule(
    name="repeat-number",
    severity=Severity.STYLE,
    title="The number of repeats in another form",
    why="Figures are found at a glance. A number in words among figures is easily read over.",
    looks_like=sample("Row 8: Ch 1, [sc in next sc] ten times, turn. (10 sc)", "Row {}: Ch 1, [sc in next sc] 10 times, turn. (10 sc)"),
    better=sample("Row 8: Ch 1, [sc in next sc] 10 times, turn. (10 sc)", "Row {}: Ch 1, [sc in next sc] 10 times, turn. (10 sc)"),
    let_stand="When two numbers would stand side by side.",
    check=check,
    settings=(NUMBER,),
)
