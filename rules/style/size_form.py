"""How the numbers of several sizes are listed: 12 (14, 16), 12 [14, 16], 12/14/16."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache

from ...lint import regex
from ...lint.finding import Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.style import Choice
from .habit import Find, Use, departures, in_words, plainly

FORM = Choice("size-form", "how the numbers of several sizes are listed", ("12 (14, 16)", "12 [14, 16]", "12 (14) 16", "12 (14: 16)", "12/14/16"))

_N = r"(?:\d+|-)"
_LISTED = regex.compile(r"\d+|(?<=[(,:/ ])-(?=[),:/ ])")


@lru_cache(maxsize=16)
def _lists(sizes: int) -> regex.Pattern[str]:
    """Finds a number for each of so many sizes, as one group for each form."""
    brackets = (("round", r"\(", ",", r"\)"), ("square", r"\[", ",", r"\]"), ("colon", r"\(", ":", r"\)"))
    forms = [rf"(?P<{name}>\d+\s?{opening}{_N}(?:{mark}\s?{_N}){{{sizes - 2}}}{closing})" for name, opening, mark, closing in brackets]
    in_turn, odd_one = rf"(?:\s?\({_N}\)\s?{_N}){{{(sizes - 1) // 2}}}", rf"\s?\({_N}\)"
    forms += [rf"(?P<turns>\d+{in_turn}{odd_one if sizes % 2 == 0 else ''})", rf"(?P<slash>{_N}(?:/{_N}){{{sizes - 1}}})"]
    return re.compile(rf"(?<![\w/.,-])(?:{'|'.join(forms)})(?![\w/]|\s?[(\[]\s?\d)")


_FORMS = {"round": "12 (14, 16)", "square": "12 [14, 16]", "turns": "12 (14) 16", "colon": "12 (14: 16)", "slash": "12/14/16"}


@lru_cache(maxsize=16)
def _find(sizes: int) -> Find:
    """Finds the lists of so many sizes; the same reader for every manuscript with as many."""

    @lru_cache(maxsize=2048)
    def find(folded: str, printed: str) -> tuple[Use, ...]:
        return tuple(Use(_FORMS[m.lastgroup or ""], m.start(), m.end()) for m in _lists(sizes).finditer(folded))

    return find


def _changed(printed: str, wanted: str) -> str:
    first, *rest = _LISTED.findall(printed)
    if wanted == "12/14/16":
        return "/".join([first, *rest])
    if wanted == "12 (14) 16":
        return " ".join([first, *(f"({n})" if i % 2 == 0 else n for i, n in enumerate(rest))])
    separator = ": " if wanted == "12 (14: 16)" else ", "
    return f"{first} {wanted[3]}{separator.join(rest)}{wanted[-1]}"


def check(subject: Subject) -> Iterator[Finding]:
    sizes = len(subject.pattern.sizes)
    if sizes < 3:
        return  # “12 (14)” looks alike in most of the forms
    for departure in departures(subject, FORM, in_words(_find(sizes))):
        yield plainly(subject, RULE.name, departure, lambda printed, wanted=departure.wanted: _changed(printed, wanted))


def _sample(last: str) -> str:
    rows = "".join(f"Row {n}: Ch 1, sc in each st across, turn. 10 (12, 14) sc\n" for n in range(2, 8))
    return "Sizes: S (M, L)\n\nCh 11 (13, 15).\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. 10 (12, 14) sc\n" + rows + last


RULE = Rule(
    name="size-form",
    severity=Severity.STYLE,
    title="The numbers of the sizes listed another way",
    why="Makers find their size by its place in the list. A list in other brackets makes them count along again.",
    looks_like=_sample("Row 8: Ch 1, sc in each st across, turn. 10 [12, 14] sc\n"),
    better=_sample("Row 8: Ch 1, sc in each st across, turn. 10 (12, 14) sc\n"),
    let_stand="When the other brackets set two ranges of sizes apart.",
    check=check,
    settings=(FORM,),
)
