"""How a chain space is written: ch-3 sp, ch 3 sp, 3-ch sp."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from ...lint import regex
from ...lint.finding import Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.style import AS_MOSTLY, Choice
from .habit import Use, departures, in_words, plainly

FORM = Choice("space-form", "how a chain space is written", ("ch-3 sp", "ch 3 sp", "ch3 sp", "ch3-sp", "3-ch sp", "3 ch sp", "3ch sp", "ch-3 space"))

_SPACE = regex.compile(
    r"(?<![\w-])(?:(?P<word>ch|chain)(?P<joint>[ -]?)(?P<n>\d+)|(?P<first>\d+)(?P<then>[ -]?)(?P<last>ch|chain))(?P<gap>[ -]?)(?P<noun>sp|space)(?P<many>s?)\b",
    regex.IGNORECASE,
)


@lru_cache(maxsize=2048)
def _find(folded: str, printed: str) -> tuple[Use, ...]:
    if "sp" not in folded:
        return ()
    uses: list[Use] = []
    for m in _SPACE.finditer(folded):
        name = f"{m['word']}{m['joint']}3" if m["word"] else f"3{m['then']}{m['last']}"
        # Which word it is, and on which side the number stands, is the business of word-mixed.
        kin = f"{'ch 3' if m['word'] else '3 ch'} {m['noun']}"
        uses.append(Use(f"{name}{m['gap']}{m['noun']}", m.start(), m.end(), kin))
    return tuple(uses)


@lru_cache(maxsize=2048)
def _find_alike(folded: str, printed: str) -> tuple[Use, ...]:
    return tuple(use._replace(kin="") for use in _find(folded, printed))


def _changed(printed: str, wanted: str) -> str | None:
    match = _SPACE.fullmatch(printed)
    if match is None or wanted not in FORM.values:
        return None
    return wanted.replace("3", match["n"] or match["first"]) + match["many"]


def check(subject: Subject) -> Iterator[Finding]:
    find = _find if subject.style.choice(FORM) == AS_MOSTLY else _find_alike
    for departure in departures(subject, FORM, in_words(find)):
        yield plainly(subject, RULE.name, departure, lambda printed, wanted=departure.wanted: _changed(printed, wanted))


def _sample(last: str) -> str:
    mesh = "".join(f"Row {n}: Ch 1, sc in first st, *ch 2, sc in next ch-2 sp; rep from * across, turn.\n" for n in range(2, 8))
    return "Ch 22.\nRow 1: Sc in 2nd ch from hook, *ch 2, sk 2 ch, sc in next ch; rep from * across to last 2 ch, turn.\n" + mesh + last


RULE = Rule(
    name="space-form",
    severity=Severity.STYLE,
    title="A chain space written another way",
    why="With the hyphen, a ch-3 sp is one thing to work into; without it the words can be read as an order to chain.",
    looks_like=_sample("Row 8: Ch 1, sc in first st, *ch 2, sc in next ch 2 sp; rep from * across, turn.\n"),
    better=_sample("Row 8: Ch 1, sc in first st, *ch 2, sc in next ch-2 sp; rep from * across, turn.\n"),
    let_stand="When the words are a quotation.",
    check=check,
    settings=(FORM,),
)
