"""Where a text names rows ("Rep Rows 3 and 4"), and which rows of the same piece are meant."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ..lint.fabric.work import PieceWork
from ..lint.text import Span
from . import rows

if TYPE_CHECKING:
    from ..lint.proof import Proof

MOST = 1_000  # rows one mention can stand for

_ITEM = r"\d+(?:\s*(?:-|–|to|through)\s*\d+)?"
_MENTION = re.compile(rf"\b(?:row|rnd|round)s?\.?\s+({_ITEM}(?:\s*(?:,\s*and|,|and|&)\s*{_ITEM})*)", re.IGNORECASE)
_NUMBERS = re.compile(r"\d+")


@dataclass(frozen=True, slots=True)
class Mention:
    """Some rows named in passing, ``first`` to ``last``; ``span`` covers the numbers alone."""

    span: Span
    first: int
    last: int


def mentions(proof: Proof, piece: PieceWork) -> Iterator[Mention]:
    """Every row named in a piece, labels left out."""
    labels = sorted(place.label_span for place in rows.written(piece))
    span = rows.reach(piece)
    for match in _MENTION.finditer(proof.text.source, span.start, span.end):
        for item in re.finditer(_ITEM, match[1]):
            numbers = [int(digits) for digits in _NUMBERS.findall(item[0]) if len(digits) < 7]
            if not numbers or not 0 <= numbers[-1] - numbers[0] < MOST:
                continue
            named = Span(match.start(1) + item.start(), match.start(1) + item.end())
            before = bisect_right(labels, named)
            if before and named.start < labels[before - 1].end:
                continue
            yield Mention(named, numbers[0], numbers[-1])


def piece_at(proof: Proof, offset: int) -> PieceWork | None:
    """The piece an offset stands in: the shortest, where one lies inside another."""
    reaches = [(rows.reach(piece), piece) for piece in proof.work.pieces]
    around = [(span, piece) for span, piece in reaches if span.start <= offset <= span.end]
    return min(around, key=lambda each: len(each[0]), default=(None, None))[1]


def named_at(proof: Proof, piece: PieceWork, offset: int) -> tuple[rows.Written, ...]:
    """The rows named at an offset, by a mention or by their own label."""
    places = rows.written(piece)
    for place in places:
        if place.label_span.start <= offset <= place.label_span.end:
            return (place,)
    for mention in mentions(proof, piece):
        if mention.span.start <= offset <= mention.span.end:
            return tuple(p for p in places if any(mention.first <= n <= mention.last for n in _numbers(p)))
    return ()


def naming(proof: Proof, piece: PieceWork, places: tuple[rows.Written, ...]) -> Iterator[Mention]:
    """Every mention of some rows in their piece."""
    numbers = {number for place in places for number in _numbers(place)}
    for mention in mentions(proof, piece):
        if any(mention.first <= number <= mention.last for number in numbers):
            yield mention


def _numbers(place: rows.Written) -> Iterator[int]:
    return (row.number for row in place.rows if row.number is not None)
