"""A value out of step with its neighbours in a list of sizes."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import pairwise

from ...lint.fabric.work import Status
from ...lint.finding import Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.syntax.layout import SectionKind
from ...lint.text import Span
from ...lint.wording import words_at

_LIST = re.compile(
    r"(?<![\d.,/])\d+(?:\.\d+)?\s?[(\[]\s*\d+(?:\.\d+)?(?:\s*,\s*\d+(?:\.\d+)?)*\s*[)\]](?:\s*[(\[]\s*\d+(?:\.\d+)?(?:\s*,\s*\d+(?:\.\d+)?)*\s*[)\]])?(?![\d.])"
)
_LEAST = 10
"""Smaller numbers (repeats, edge stitches) go up and down between sizes for good reasons."""


def odd_one(values: Sequence[float]) -> int | None:
    """The index of the one value clearly out of step in a list that otherwise rises or falls; None where there is none.

    Clearly: without it the list rises (or falls) at every step, and it lies outside its neighbours by more than the
    largest of those steps.
    """
    if len(values) < 3 or min(values) < _LEAST:
        return None
    if all(a <= b for a, b in pairwise(values)) or all(a >= b for a, b in pairwise(values)):
        return None
    found: list[int] = []
    for i in range(len(values)):
        rest = [*values[:i], *values[i + 1 :]]
        steps = [b - a for a, b in pairwise(rest)]
        if not (all(s > 0 for s in steps) or all(s < 0 for s in steps)):
            continue
        near = [values[j] for j in (i - 1, i + 1) if 0 <= j < len(values)]
        away = max(values[i] - max(near), min(near) - values[i])
        if away > max(abs(s) for s in steps):
            found.append(i)
    return found[0] if len(found) == 1 else None


def _parts(subject: Subject) -> Iterator[Span]:
    """The stretches of the manuscript in which lists of sizes are looked at."""
    for section in subject.layout.sections:
        if section.kind is SectionKind.PIECE:
            for statement in section.statements:
                yield statement.body
        elif section.kind in (SectionKind.MATERIALS, SectionKind.SIZES, SectionKind.FINISHING):
            yield section.body


@lru_cache(maxsize=8192)
def _odd_lists(folded: str, sizes: int) -> tuple[tuple[int, int, int, tuple[float, ...]], ...]:
    """Lists with one value out of step: where they stand, which value, and all of them."""
    found: list[tuple[int, int, int, tuple[float, ...]]] = []
    for match in _LIST.finditer(folded):
        values = tuple(float(n) for n in re.findall(r"\d+(?:\.\d+)?", match.group()))
        i = odd_one(values) if len(values) == sizes else None
        if i is not None:
            found.append((*match.span(), i, values))
    return tuple(found)


def check(subject: Subject) -> Iterator[Finding]:
    sizes = subject.pattern.sizes
    if len(sizes) < 3:
        return
    # Where the arithmetic speaks, it has spoken already: for the row, or against it.
    settled = [r.span for r in subject.work.rows() if r.status in (Status.PROVED, Status.DIFFERS)]
    for part in _parts(subject):
        for start, end, i, values in _odd_lists(subject.layout.folded[part.start : part.end], len(sizes)):
            span = Span(part.start + start, part.start + end)
            if any(span.touches(s) for s in settled):
                continue
            falls = values[0] > values[-1] if i not in (0, len(values) - 1) else values[1] > values[-2]
            words = words_at(subject, span)
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
