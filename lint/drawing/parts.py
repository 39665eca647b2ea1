"""What of a piece is drawn: runs of rows worked one on the other, with what only repeats left out."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass

from ..fabric.trace import TracedPiece, TracedRow
from ..fabric.work import RowWork, Status

MOST_ROWS = 30
"""Rows in one drawing; what comes after is left out, and said to be."""

MOST_CELLS = 3_000
"""Stitches and spaces in one drawing."""

_FEW = 12  # rows that are all drawn, even where they repeat
_SEPARATE = 3  # rows that differ, drawn by themselves where they lie beyond the drawing
_AROUND = 2  # rows shown below such a row


@dataclass(frozen=True)
class Omission:
    """Rows that are not drawn: ``like`` are the drawn rows they repeat, () where they are left out for want of room."""

    rows: tuple[RowWork, ...]
    like: tuple[RowWork, ...] = ()


@dataclass(frozen=True)
class Part:
    """Rows drawn together. ``unread`` come right after the last of them and could not be drawn, with the reason."""

    rows: tuple[TracedRow, ...]
    left_out: tuple[Omission, ...] = ()
    unread: tuple[tuple[RowWork, str], ...] = ()
    starts_later: bool = False  # the piece has rows below these


def parts(piece: TracedPiece) -> tuple[Part, ...]:
    """The drawings that a piece needs, each a run of rows that stand on one another."""
    out: list[Part] = []
    run: list[TracedRow] = []
    unread: list[tuple[RowWork, str]] = []

    def close() -> None:
        if run or unread:
            out.extend(_bounded(tuple(run), tuple(unread), later=bool(out)))
        run.clear()
        unread.clear()

    for row in piece.rows:
        if row.stitches is None:
            if row.reason:
                unread.append((row.work, row.reason))
            continue
        if unread or (run and not row.goes_on):
            close()
        run.append(row)
    close()
    return tuple(out)


def _bounded(rows: tuple[TracedRow, ...], unread: tuple[tuple[RowWork, str], ...], *, later: bool) -> list[Part]:
    kept, left_out = _without_repeats(rows) if len(rows) > _FEW else (rows, ())
    room = MOST_CELLS
    many = 0
    for row in kept[:MOST_ROWS]:
        room -= len(row.stitches or ())
        if room < 0 and many:
            break
        many += 1
    drawn, beyond = kept[:many], kept[many:]
    if not beyond:
        return [Part(drawn, left_out, unread, later)]
    last = drawn[-1].work.index
    whole = tuple(r.work for r in rows if r.work.index > last)
    first = Part(drawn, (*(o for o in left_out if o.rows[0].index < last), Omission(whole)), (), later)
    return [first, *_that_differ(beyond), *([Part((), (), unread)] if unread else [])]


def _that_differ(rows: Sequence[TracedRow]) -> list[Part]:
    """Rows beyond the drawing that differ, each with the rows it stands on."""
    out: list[Part] = []
    for at, row in enumerate(rows):
        if row.work.status is Status.DIFFERS and len(out) < _SEPARATE:
            out.append(Part(tuple(rows[max(0, at - _AROUND) : at + 1]), starts_later=True))
    return out


def _without_repeats(rows: Sequence[TracedRow]) -> tuple[tuple[TracedRow, ...], tuple[Omission, ...]]:
    """Rows with every run left out that repeats rows already drawn and ends as the last of them does."""
    drawn: list[TracedRow] = []
    left_out: list[Omission] = []
    known: dict[Hashable, RowWork] = {}
    at = 0
    while at < len(rows):
        end = at
        last_like = at
        while drawn and end < len(rows) and rows[end].same_as in known:
            end += 1
            if rows[end - 1].same_as == drawn[-1].same_as:
                last_like = end
        if last_like > at:
            gone = tuple(r.work for r in rows[at:last_like])
            like = tuple(dict.fromkeys(r.same_as for r in rows[at:last_like]))
            left_out.append(Omission(gone, tuple(sorted((known[m] for m in like), key=lambda r: r.index))))
            at = last_like
            continue
        known.setdefault(rows[at].same_as, rows[at].work)
        drawn.append(rows[at])
        at += 1
    return tuple(drawn), tuple(left_out)



def split(part: Part, at: int) -> tuple[Part, Part]:
    """The rows of a part up to the one at ``at``, and the rest."""
    edge = part.rows[at].work.index
    before = tuple(o for o in part.left_out if o.rows[0].index < edge)
    after = tuple(o for o in part.left_out if o.rows[0].index >= edge)
    return (
        Part(part.rows[:at], before, (), part.starts_later),
        Part(part.rows[at:], after, part.unread, starts_later=True),
    )
