"""A value out of step with its neighbours in a list of sizes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import pairwise

from ...lint.fabric.work import Status
from ...lint.finding import Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.syntax.layout import SectionKind
from ...lint.text import Span
from ...lint.wording import words_at
from .lists import lists_in

_LEAST = 10
"""Smaller numbers (repeats, edge stitches) go up and down between sizes for good reasons."""


def odd_one(values: Sequence[float]) -> int | None:
    """The index of the one value clearly out of step in a list that otherwise rises or falls; None where there is none.

    Clearly: without it the list rises (or falls) at every step, and it lies outside its neighbours by more than the
    largest of those steps. Of three values only the middle one can be told.
    """
    if len(values) < 3 or min(values) < _LEAST:
        return None
    if all(a <= b for a, b in pairwise(values)) or all(a >= b for a, b in pairwise(values)):
        return None
    found: list[int] = []
    for i in range(len(values)):
        rest = [*values[:i], *values[i + 1 :]]
        steps = [b - a for a, b in pairwise(rest)]
        if len(rest) == 2 and i != 1:
            continue  # two values have no direction that a third could keep to
        if not (all(s > 0 for s in steps) or all(s < 0 for s in steps)):
            continue
        near = [values[j] for j in (i - 1, i + 1) if 0 <= j < len(values)]
        away = max(values[i] - max(near), min(near) - values[i])
        if away > max(abs(s) for s in steps):
            found.append(i)
    return found[0] if len(found) == 1 else None


def changed_about(values: Sequence[float]) -> int | None:
    """The index of the first of two neighbours that, changed about, would make a list of equal steps; else None."""
    if len(values) < 4 or min(values) < _LEAST:
        return None
    for i in range(len(values) - 1):
        mended = [*values[:i], values[i + 1], values[i], *values[i + 2 :]]
        steps = [b - a for a, b in pairwise(mended)]
        if min(steps) > 0 and max(steps) <= 1.25 * min(steps) and values[i] > values[i + 1]:
            return i
    return None


def _parts(subject: Subject) -> Iterator[Span]:
    """The stretches of the manuscript in which lists of sizes are looked at."""
    for section in subject.layout.sections:
        if section.kind is SectionKind.PIECE:
            for statement in section.statements:
                yield statement.body
        elif section.kind in (SectionKind.MATERIALS, SectionKind.SIZES, SectionKind.FINISHING):
            yield section.body


@lru_cache(maxsize=8192)
def _odd_lists(folded: str, sizes: int) -> tuple[tuple[int, int, int, bool, tuple[float, ...]], ...]:
    """Lists out of step: where they stand, which value, whether it has changed places with the next, and all of them."""
    found: list[tuple[int, int, int, bool, tuple[float, ...]]] = []
    for start, end, listed, apart in lists_in(folded):
        values = tuple(v for v in listed if v is not None)
        if apart or not len(values) == len(listed) == sizes:
            continue
        odd = odd_one(values)
        i = odd if odd is not None else changed_about(values)
        if i is not None:
            found.append((start, end, i, odd is None, values))
    return tuple(found)


def check(subject: Subject) -> Iterator[Finding]:
    sizes = subject.pattern.sizes
    if len(sizes) < 3:
        return
    # Where the arithmetic speaks, it has spoken already: for the row, or against it.
    settled = [r.span for r in subject.work.rows() if r.status in (Status.PROVED, Status.DIFFERS)]
    for part in _parts(subject):
        for start, end, i, swapped, values in _odd_lists(subject.layout.folded[part.start : part.end], len(sizes)):
            span = Span(part.start + start, part.start + end)
            if any(span.touches(s) for s in settled):
                continue
            words = words_at(subject, span)
            if swapped:
                yield Finding(
                    RULE.name,
                    Severity.QUERY,
                    f'In "{words}" the values for sizes {sizes[i]} and {sizes[i + 1]}, {values[i]:g} and {values[i + 1]:g}, would rise with the others if they changed places. Are they right?',
                    span,
                    sizes=(sizes[i], sizes[i + 1]),
                )
                continue
            falls = values[0] > values[-1] if i not in (0, len(values) - 1) else values[1] > values[-2]
            yield Finding(
                RULE.name,
                Severity.QUERY,
                f'In "{words}" the value for size {sizes[i]}, {values[i]:g}, does not {"fall" if falls else "rise"} with the others. Is it right?',
                span,
                sizes=(sizes[i],),
            )


RULE = Rule(
    name="size-order",
    severity=Severity.QUERY,
    title="A value out of step with the other sizes",
    why="Measurements and stitch counts rise or fall from size to size. One value that jumps out of the row is mostly two figures changed about.",
    looks_like="US terms.\nSizes: S (M, L, XL)\nFinished bust: 80 (90, 10, 110) cm.\n\nBack\nCh 31 (37, 43, 49).\nRow 1: Sc in 2nd ch from hook and in each ch across. 30 (36, 42, 48) sc.\n",
    better="US terms.\nSizes: S (M, L, XL)\nFinished bust: 80 (90, 100, 110) cm.\n\nBack\nCh 31 (37, 43, 49).\nRow 1: Sc in 2nd ch from hook and in each ch across. 30 (36, 42, 48) sc.\n",
    let_stand="The size is graded on its own, as plus sizes sometimes are.",
    check=check,
)
