"""How chains are told: ch 3, ch3, 3 ch."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from ...lint import regex
from ...lint.finding import Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.style import Choice
from ...lint.syntax.tree import Chain, Tree
from .habit import Use, departures, every_step, in_trees, plainly, sample

FORM = Choice("chain-form", "how a number of chains is told", ("ch 3", "ch3", "3 ch", "3ch", "chain 3"))

_CHAINS = regex.compile(r"(?P<word>ch|chain)(?P<gap>[ -]?)(?P<n>\d+)\b|(?P<first>\d+)(?P<then>[ -]?)(?P<last>ch|chain)s?\b", regex.IGNORECASE)


@lru_cache(maxsize=2048)
def _find(tree: Tree, words: str) -> tuple[Use, ...]:
    uses: list[Use] = []
    for step in every_step(tree.steps):
        match = _CHAINS.match(words, step.at.start, step.at.end) if isinstance(step, Chain) else None
        if match is not None:
            form = f"{match['word']}{match['gap']}3" if match["word"] else f"3{match['then']}{match['last']}"
            uses.append(Use(form, match.start(), match.end()))
    return tuple(uses)


def _changed(printed: str, wanted: str) -> str | None:
    match = _CHAINS.fullmatch(printed)
    if match is None or wanted not in FORM.values:
        return None
    words = wanted.replace("3", match["n"] or match["first"])
    return words.capitalize() if printed[:1].isupper() and words[:1].isalpha() else words


def check(subject: Subject) -> Iterator[Finding]:
    for departure in departures(subject, FORM, in_trees(_find)):
        yield plainly(subject, RULE.name, departure, lambda printed, wanted=departure.wanted: _changed(printed, wanted))


RULE = Rule(
    name="chain-form",
    severity=Severity.STYLE,
    title="Chains told in another form",
    why="“Ch 3” is something to do and “ch-3” something to work into. The difference helps only where it is kept.",
    looks_like=sample("Row 8: Ch1, sc in each sc across, turn. (10 sc)"),
    better=sample("Row 8: Ch 1, sc in each sc across, turn. (10 sc)"),
    let_stand="When the chain is named and not worked.",
    check=check,
    settings=(FORM,),
)
