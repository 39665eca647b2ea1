"""Where a text names rows ("Rep Rows 3 and 4", "as Rows 1-9 of Back"), and which rows of which piece are meant."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from .. import regex
from ..fabric.work import PieceWork
from ..same import Same
from ..text import Span
from . import rows

if TYPE_CHECKING:
    from ..proof import Proof

MOST = 1_000  # rows one mention can stand for

_ITEM = r"\d+(?:\s*(?:-|–|to|through)\s*\d+)?"
_MENTION = regex.compile(rf"\b(?:row|rnd|round)s?\.?\s+({_ITEM}(?:\s*(?:,\s*and|,|and|&)\s*{_ITEM})*)", regex.IGNORECASE)
_NUMBERS = regex.compile(r"\d+")
_OF = regex.compile(r",?\s*(?:incl(?:usive|\.)?,?\s*)?(?:of|on|from)\s+(?:the\s+)?", regex.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Mention:
    """Some rows named in passing, ``first`` to ``last`` of ``piece``; ``span`` covers the numbers alone."""

    span: Span
    first: int
    last: int
    piece: PieceWork

    def names(self, place: rows.Written) -> bool:
        """Whether a place of its piece is among the rows named."""
        return any(self.first <= number <= self.last for number in _numbers(place))

    @property
    def places(self) -> tuple[rows.Written, ...]:
        """The places of the rows named, in the order of the text."""
        return tuple(place for place in rows.written(self.piece) if self.names(place))


def mentions(proof: Proof, piece: PieceWork) -> tuple[Mention, ...]:
    """Every row named in a piece's text, labels left out."""
    return _mentions(Same(proof), Same(piece))


@lru_cache(maxsize=32)
def _mentions(whole: Same[Proof], part: Same[PieceWork]) -> tuple[Mention, ...]:
    proof, piece = whole.value, part.value
    return tuple(_found(proof, piece, rows.reach(piece)))


def _found(proof: Proof, piece: PieceWork, span: Span) -> Iterator[Mention]:
    labels = sorted((place.label_span.start, place.label_span.end) for place in rows.written(piece))
    for match in _MENTION.finditer(proof.text.source, span.start, span.end):
        target = _of(proof, match.end(), piece)
        for item in regex.finditer(_ITEM, match[1]):
            numbers = [int(digits) for digits in _NUMBERS.findall(item[0]) if len(digits) < 7]
            if not numbers or not 0 <= numbers[-1] - numbers[0] < MOST:
                continue
            named = Span(match.start(1) + item.start(), match.start(1) + item.end())
            before = bisect_right(labels, (named.start, named.end))
            if before and named.start < labels[before - 1][1]:
                continue
            yield Mention(named, numbers[0], numbers[-1], target)


def _of(proof: Proof, end: int, piece: PieceWork) -> PieceWork:
    """The piece that the words after a mention name, else the one it stands in."""
    of = _OF.match(proof.text.source, end)
    if of is not None:
        said = proof.layout.folded[of.end() : of.end() + 40]
        named = [p for p in proof.work.pieces if p.name.strip() and re.match(rf"{re.escape(p.name.lower())}\b", said)]
        return max(named, key=lambda p: len(p.name), default=piece)
    return piece


def piece_at(proof: Proof, offset: int) -> PieceWork | None:
    """The piece an offset stands in: the shortest, where one lies inside another."""
    reaches = [(rows.reach(piece), piece) for piece in proof.work.pieces]
    around = [(span, piece) for span, piece in reaches if span.start <= offset <= span.end]
    return min(around, key=lambda each: len(each[0]), default=(None, None))[1]


def named_at(proof: Proof, offset: int) -> tuple[Span, tuple[rows.Written, ...]] | None:
    """The rows named at an offset, by a mention or by their own label, and the place that names them."""
    piece = piece_at(proof, offset)
    if piece is None:
        return None
    for place in rows.written(piece):
        if place.label_span.start <= offset <= place.label_span.end:
            return place.label_span, (place,)
    line = proof.text.line_span(proof.text.line_number(offset))
    for mention in _found(proof, piece, line):
        if mention.span.start <= offset <= mention.span.end:
            return (mention.span, mention.places) if mention.places else None
    return None


def naming(proof: Proof, place: rows.Written) -> Iterator[Mention]:
    """Every mention of a row, in its own piece and in others."""
    home = piece_at(proof, place.span.start)
    for piece in proof.work.pieces:
        for mention in mentions(proof, piece):
            if mention.piece is home and mention.names(place):
                yield mention


def _numbers(place: rows.Written) -> Iterator[int]:
    return (row.number for row in place.rows if row.number is not None)
