"""Rows as an author sees them: the places in the text, each with the rows it stands for."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from ..fabric.work import PieceWork, RowWork
from ..same import Same
from ..text import Span, Text

if TYPE_CHECKING:
    from ..proof import Proof


@dataclass(frozen=True)
class Written:
    """One stretch of text and the rows it stands for: one for "Row 4", eight for "Rows 5-12"."""

    span: Span
    label_span: Span
    rows: tuple[RowWork, ...]

    @property
    def label(self) -> str:
        first, last = self.rows[0].label, self.rows[-1].label
        return first if first == last else f"{first} to {last}"


def written(piece: PieceWork) -> tuple[Written, ...]:
    """A piece's rows gathered by the text they stand in, in the order of the text."""
    return _written(Same(piece))


@lru_cache(maxsize=32)
def _written(same: Same[PieceWork]) -> tuple[Written, ...]:
    by_span: dict[tuple[int, int], list[RowWork]] = {}
    for row in same.value.rows:
        by_span.setdefault((row.span.start, row.span.end), []).append(row)
    return tuple(Written(Span(*span), rows[0].label_span, tuple(rows)) for span, rows in sorted(by_span.items()))


def reach(piece: PieceWork) -> Span:
    """What a piece covers of the text, every one of its rows included."""
    return _reach(Same(piece))


@lru_cache(maxsize=32)
def _reach(same: Same[PieceWork]) -> Span:
    piece = same.value
    starts, ends = [row.span.start for row in piece.rows], [row.span.end for row in piece.rows]
    return Span(min([piece.span.start, *starts]), max([piece.span.end, *ends]))


def at(proof: Proof, offset: int) -> Written | None:
    """The row whose text an offset stands in: the shortest, where one lies inside another."""
    candidates = [
        place for piece in proof.work.pieces for place in written(piece) if place.span.start <= offset <= place.span.end
    ]
    return min(candidates, key=lambda place: len(place.span), default=None)


def trimmed(span: Span, text: Text) -> Span:
    """A span without the white space at its end."""
    return Span(span.start, span.start + len(text[span].rstrip()))


def facts(row: RowWork) -> Iterator[str]:
    """What can be said of a row in a few words each: its side, how far it was followed."""
    if row.side:
        yield row.side
    yield row.status.value
