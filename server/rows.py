"""Rows as an author sees them: the places in the text, each with the rows it stands for."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ..lint.fabric.work import PieceWork, RowWork, SizeWork
from ..lint.text import Span, Text

if TYPE_CHECKING:
    from ..lint.proof import Proof


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
    by_span: dict[Span, list[RowWork]] = {}
    for row in piece.rows:
        by_span.setdefault(row.span, []).append(row)
    return tuple(
        Written(span, rows[0].label_span, tuple(rows))
        for span, rows in sorted(by_span.items(), key=lambda item: item[0])
    )


def reach(piece: PieceWork) -> Span:
    """What a piece covers of the text, every one of its rows included."""
    span = piece.span
    for row in piece.rows:
        span = span.to(row.span)
    return span


def at(proof: Proof, offset: int) -> Written | None:
    """The row whose text an offset stands in: the shortest, where one lies inside another."""
    candidates = [
        place for piece in proof.work.pieces for place in written(piece) if place.span.start <= offset <= place.span.end
    ]
    return min(candidates, key=lambda place: len(place.span), default=None)


def trimmed(span: Span, text: Text) -> Span:
    """A span without the white space at its end."""
    return Span(span.start, span.start + len(text[span].rstrip()))


def made(sizes: Iterable[SizeWork]) -> str | None:
    """What a row leaves, size by size, written as patterns write it: "26 (30, 34)"; None where any is unknown."""
    numbers = [size.made for size in sizes]
    if not numbers or any(number is None for number in numbers):
        return None
    if len(set(numbers)) == 1:
        return str(numbers[0])
    return f"{numbers[0]} ({', '.join(str(number) for number in numbers[1:])})"


def facts(row: RowWork) -> Iterator[str]:
    """What can be said of a row in a few words each: its side, how far it was followed."""
    if row.side:
        yield row.side
    yield row.status.value
