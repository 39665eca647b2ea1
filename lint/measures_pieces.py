"""The stitches and rows of a piece as its measurements: how wide its rows are, whether it is a tube, how many rows tell its length."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from .fabric.work import PieceWork, RowWork
from .pattern.pattern import Pattern

_OPEN = frozenset({"until", "open", "schedule"})
_TUBE = 0.5
"""A piece in rounds is a tube, and has a width when it is laid flat, if so many of its rounds are as wide as the widest."""


def in_rounds(piece: PieceWork) -> bool:
    return any(r.joined or r.label.startswith("Rnd") for r in piece.rows)


def is_tube(rows: Iterable[RowWork]) -> bool:
    """Whether rounds stand on each other, instead of growing from a centre."""
    known = [s.made for r in rows for s in r.sizes[:1] if s.made]
    return bool(known) and sum(n == max(known) for n in known) >= _TUBE * len(known)


def stitches_of(row: RowWork, size: str | None, index: int) -> int | None:
    """What a row leaves in a size: the stated number where there is one."""
    work = next((s for s in row.sizes if s.size == size), row.sizes[index] if len(row.sizes) > index and size is None else None)
    return None if work is None else work.made if work.stated is None else work.stated


def numbered_rows(pattern: Pattern, piece: PieceWork) -> Sequence[RowWork] | None:
    """The rows that tell how long a piece is; None where some are told by a length and not by a number."""
    entries = next((p.entries for p in pattern.pieces if p.span == piece.span), ())
    return None if any(e.kind in _OPEN for e in entries) else [r for r in piece.rows if r.number is not None]


def rows_in(rows: Iterable[RowWork], size: str | None) -> int:
    """How many of these rows are worked in a size."""
    return sum(r.times for r in rows if not r.sizes or any(s.size == size for s in r.sizes))


def share_in(piece: PieceWork, stitch: str) -> float:
    """How much of a piece is made in one stitch, by its US name: 0 for none of it, 1 for all."""
    kinds: dict[str, int] = {}
    for row in piece.rows:
        for kind, n in row.sizes[0].kinds.items() if row.sizes else ():
            kinds[kind] = kinds.get(kind, 0) + n * row.times
    total = sum(kinds.values())
    return kinds.get(stitch, 0) / total if total else 0.0
