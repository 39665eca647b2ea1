"""Where in the work a span of the manuscript stands: which row, which piece."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable
from functools import cached_property

from ..fabric.work import PieceWork, RowWork, Work
from ..finding import Finding
from ..proof import Proof
from ..text import Span
from ..words import sizes_in_words


def once(rows: Iterable[RowWork]) -> tuple[RowWork, ...]:
    """Rows that have words of their own, in the order given: of those that one text stands for, the first."""
    first: dict[int, RowWork] = {}
    for row in rows:
        first.setdefault(row.span.start, row)
    return tuple(first.values())


class Places:
    """Looks up rows and pieces by the words they were read from."""

    def __init__(self, work: Work) -> None:
        self._work = work

    def row(self, span: Span) -> RowWork | None:
        """The row whose words hold the span; the first of those that one text stands for."""
        rows = self._rows
        index = bisect_right(rows, span.start, key=lambda row: row.span.start) - 1
        if index >= 0 and span.end <= rows[index].span.end:
            return rows[index]
        return None

    def piece_name(self, span: Span) -> str:
        """The name of the piece the span stands in, where the manuscript has more than one."""
        if len(self._work.pieces) < 2:
            return ""
        return next((p.name for p in self._pieces if p.span.start <= span.start < p.span.end), "")

    def in_words(self, proof: Proof, finding: Finding) -> str:
        """“Sleeve, Row 4, line 12, sizes M and L”."""
        parts = [self.piece_name(finding.span), finding.place, proof.text.where(finding.span.start)]
        if finding.sizes:
            every = 1 < len(finding.sizes) == len(proof.pattern.sizes)
            parts.append("all sizes" if every else sizes_in_words(finding.sizes))
        return ", ".join(part for part in parts if part)

    @cached_property
    def _rows(self) -> list[RowWork]:
        return sorted(once(self._work.rows()), key=lambda row: row.span.start)

    @cached_property
    def _pieces(self) -> tuple[PieceWork, ...]:
        return tuple(sorted(self._work.pieces, key=lambda piece: piece.span.start, reverse=True))
