"""What stands between a row's label and its words: "Row 1:", "Row 1.", "1st row:"."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from ...lint import regex
from ...lint.finding import Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.style import Choice
from ...lint.syntax.lexer import ORDINAL_WORDS
from .habit import Use, departures, in_labels, plainly, sample

FORM = Choice("row-form", "the form of a row label", ("Row 1:", "Row 1.", "Row 1 –", "Row 1", "1st row:", "1st row –"))

_REMARK = regex.compile(r"[(\[][^)\]]*[)\]]")
_BY_SIZE = regex.compile(r"[(\[][^)\]]*\d")
_ORDINAL = regex.compile(rf"\W*(?:\d+(?:st|nd|rd|th|d)\b|(?:first|{'|'.join(ORDINAL_WORDS)})\b)")
_NUMBERED = regex.compile(rf"\d|{_ORDINAL.pattern}")
_TAIL = regex.compile(r"[:.)=;~,—-]*$")
_TAILS = {":": ":", ".": ".", ")": ")", "-": " –", "—": " –", "~": " –"}
_PLAIN = regex.compile(r"(?P<head>[^*_]*?\w\)?)\s*[:.;~–—-]*")


@lru_cache(maxsize=2048)
def _find(label: str, printed: str) -> tuple[Use, ...]:
    if _BY_SIZE.search(label) or not _NUMBERED.search(label):
        return ()
    bare = " ".join(_REMARK.sub(" ", label).split())
    tail = _TAIL.search(bare)
    mark = _TAILS.get(tail[0][:1], tail[0][:1]) if tail else ""
    return (Use(("1st row" if _ORDINAL.match(bare) else "Row 1") + mark, 0, len(label)),)


def _changed(wanted: str, form: str) -> str:
    return wanted.removeprefix("1st row" if form.startswith("1st") else "Row 1")


def check(subject: Subject) -> Iterator[Finding]:
    for departure in departures(subject, FORM, in_labels(_find)):

        def change(printed: str, form: str = departure.form, wanted: str = departure.wanted) -> str | None:
            plain = _PLAIN.fullmatch(printed)
            if plain is None or form.startswith("1st") != wanted.startswith("1st"):
                return None
            return plain["head"] + _changed(wanted, form)

        yield plainly(subject, RULE.name, departure, change)


RULE = Rule(
    name="row-form",
    severity=Severity.STYLE,
    title="A row label that is written another way",
    why="Makers find their row by its label. Labels that are all written alike can be run down with a finger.",
    looks_like=sample("Row 8. Ch 1, sc in each sc across, turn. (10 sc)"),
    better=sample("Row 8: Ch 1, sc in each sc across, turn. (10 sc)"),
    let_stand="When the label is set apart on purpose, as for a row of its own kind.",
    check=check,
    settings=(FORM,),
)
