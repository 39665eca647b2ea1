"""What rows and rounds are called in their labels, and a label's word put another way."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from ...lint import regex
from ...lint.rule import Subject
from ...lint.style import Choice
from ...lint.vocabulary_use import Row
from .habit import Departure, Find, Use, departures, in_labels

_WORD = regex.compile(r"\b(?:rows?|rnds?|rounds?|rds?)\b\s*|\br(?=\d)")
_FORMS = {"row": "Row", "rnd": "Rnd", "round": "Round", "rd": "Rd", "r": "R"}


_EITHER = ("R", "")


@lru_cache(maxsize=2)
def _words_of(kind: str) -> Find:
    """Finds the words of labels of one kind, Row or Rnd; R, and a number alone, may be of either."""

    @lru_cache(maxsize=2048)
    def find(label: str, printed: str) -> tuple[Use, ...]:
        match = _WORD.search(label)
        if match is None:
            return (Use("", 0, len(label)),) if regex.match(r"\W*\d", label) else ()
        form = _FORMS[match[0].strip().removesuffix("s")]
        return (Use(form, match.start(), match.end()),) if form in _EITHER or (form == "Row") == (kind == "Row") else ()

    return find


def called(subject: Subject, setting: Choice, kind: str) -> Iterator[Departure]:
    """Labels of one kind, Row or Rnd, that have another word than the standard one."""
    kinds: dict[int, str] = {}

    def keep(row: Row, use: Use) -> bool:
        if use.form in _EITHER and not kinds:
            kinds.update({work.label_span.start: work.label.partition(" ")[0] for work in subject.work.rows()})
        return use.form not in _EITHER or kinds.get(row.label_origin) == kind

    yield from departures(subject, setting, in_labels(_words_of(kind)), keep=keep)


def renamed(printed: str, wanted: str) -> str | None:
    """“Rounds ” as “Rnds ”, in the case it is printed in; None for a label without a word."""
    word = printed.strip()
    if word.lower().removesuffix("s") not in _FORMS:
        return None
    gap = printed[len(word) :]
    if wanted == "R":
        return "R" if gap and word[:1].isupper() else None
    plural = "s" if word.lower().endswith("s") else ""
    new = wanted + plural
    if word.islower():
        new = new.lower()
    elif word.isupper() and len(word) > 1:
        new = new.upper()
    return new + (gap if len(word) > 1 else " ")
