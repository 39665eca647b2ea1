"""A step told twice where nothing is left for the second: once across is all across."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from ...lint.finding import Because, Correction, Edit, Finding, Severity
from ...lint.pattern.pattern import Entry
from ...lint.rule import Rule, Subject
from ...lint.syntax.tree import Extent, Group, Make, Mark, Skip, Star, Step
from ...lint.text import Span
from ...lint.wording import name_of, words_at


def check(subject: Subject) -> Iterator[Finding]:
    seen: set[Span] = set()
    for piece in subject.pattern.pieces:
        for entry in piece.entries:
            if entry.kind == "row" and entry.tree is not None and entry.written and entry.source is None and entry.span not in seen:
                seen.add(entry.span)
                for first, second in _pairs(entry.tree.steps):
                    if _twice(subject, entry, first, second):
                        yield _finding(subject, entry, first.at, second.at)
                for first, second in _runs(entry.tree.steps):
                    if all(_twice(subject, entry, a, b) and _words(subject, entry, a) == _words(subject, entry, b) for a, b in zip(first, second, strict=True)):
                        yield _finding(subject, entry, first[0].at.to(first[1].at), second[0].at.to(second[1].at))


def _pairs(steps: Sequence[Step]) -> Iterator[tuple[Step, Step]]:
    """Every two steps that follow one another, in the row and in its brackets."""
    for step in steps:
        if isinstance(step, Group | Star):
            yield from _pairs(step.items)
    yield from pairwise(s for s in steps if not (isinstance(s, Mark) and s.what != "other-side"))


def _runs(steps: Sequence[Step]) -> Iterator[tuple[tuple[Make, Make], tuple[Make, Make]]]:
    """Two steps to one end, “sc in each dc and 2 sc in each ch-1 sp around”, that are followed by two more such."""
    plain = [s for s in steps if not isinstance(s, Mark)]
    for a, b, c, d in zip(plain, plain[1:], plain[2:], plain[3:], strict=False):
        if _to_one_end(a, b) and _to_one_end(c, d):
            assert isinstance(a, Make) and isinstance(b, Make) and isinstance(c, Make) and isinstance(d, Make)
            yield (a, b), (c, d)


def _to_one_end(one: Step, other: Step) -> bool:
    if not (isinstance(one, Make) and isinstance(other, Make)) or one.place is None or other.place is None:
        return False
    return one.place.how == other.place.how == "each" and one.place.noun != other.place.noun and not one.place.scope and other.place.scope


def _twice(subject: Subject, entry: Entry, first: Step, second: Step) -> bool:
    """Whether both go to the same end, or both begin or end the row in the same words."""
    if not ((isinstance(first, Make) and isinstance(second, Make)) or (isinstance(first, Skip) and isinstance(second, Skip))):
        return False
    one, other = first.place, second.place
    if one is None or other is None:
        return False
    if one.how != other.how or one.noun != other.noun or one.below or other.below or one.of or other.of:
        return False
    if any(p.how == "each" and p.n is None for p in one.also):
        return _words(subject, entry, first) == _words(subject, entry, second)  # "dc in next dc and in each dc across"
    if one.how == "each":
        return one.n is None and other.n is None and one.last == other.last and one.size == other.size
    return one.how in ("first", "last") and _words(subject, entry, first) == _words(subject, entry, second)


def _words(subject: Subject, entry: Entry, step: Step) -> str:
    return words_at(subject, step.at.span(entry.origin)).lower()


def _finding(subject: Subject, entry: Entry, first: Extent, second: Extent) -> Finding:
    before, again = first.span(entry.origin), second.span(entry.origin)
    words, same = words_at(subject, before), words_at(subject, again)
    then = "the same again" if words.lower() == same.lower() else f"“{same}”"
    message = f"{name_of(entry.label)} says “{words}” and then {then}, when that has been worked already. Is one of them too many?"
    drop = Correction(f"Leave out the second “{same}”", (Edit(Span(before.end, again.end), ""),))
    return Finding(RULE.name, RULE.severity, message, again, entry.label, (), (Because(before, "told here first"),), None, (drop,))


RULE = Rule(
    name="step-doubled",
    severity=Severity.QUERY,
    title="A step told twice, with nothing left for the second",
    why=(
        "A line copied once too often is easily read over, for the sum comes out: when every stitch of a row is worked, working “each” of them "
        "again works none. The maker wonders what she has missed."
    ),
    looks_like=(
        "Ch 13.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (12 sc)\n"
        "Row 2: Ch 1, sc in each sc across, sc in each sc across, turn. (12 sc)\n"
    ),
    better="Ch 13.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (12 sc)\nRow 2: Ch 1, sc in each sc across, turn. (12 sc)\n",
    let_stand="When the two are worked on two layers, or on two sides, and the text says so elsewhere.",
    check=check,
)
