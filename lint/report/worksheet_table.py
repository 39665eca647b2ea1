"""The count worksheet on a terminal: one line a row and size, with the sum beside or under it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ..fabric.work import PieceWork, RowWork
from ..proof import Proof
from ..trade.terms import in_terms
from ..words import count_of, one_line
from . import size_steps
from .counted import NOTHING, UNKNOWN, difference, shown, state
from .page import Cell, Page, cells, width_of, wrapped

WORKING_BESIDE = 100
"""From this width on, in cells, the sum stands beside its row; on narrower pages under it."""

_HEADS = ("Row", "Side", "Size", "Worked", "Used", "Made", "Stated", "Differ-", "Status")
_HEADS_BELOW = ("", "", "", "into", "", "", "", "ence", "")
_WORKING = "How it was worked out"
_RIGHT = frozenset({3, 4, 5, 6, 7})
_MAX_LABEL = 20


@dataclass(frozen=True, slots=True)
class _Line:
    columns: tuple[str, ...]
    working: str


def manuscript(path: str, proof: Proof, page: Page, remark: str = "") -> None:
    """One manuscript's worksheet, written on ``page``: every piece, and the readings taken for it."""
    page.heading(path)
    if remark:
        page.paragraph(f"Note: {remark}.")
    if not any(piece.rows for piece in proof.work.pieces):
        page.paragraph("No rows were found, so there is nothing to work.")
    for piece in proof.work.pieces:
        if piece.rows:
            page.gap()
            _piece(piece, proof.pattern.sizes, proof.work.terms, page)
    size_steps.write(proof, page)


def _piece(piece: PieceWork, sizes: tuple[str, ...], terms: str | None, page: Page) -> None:
    if piece.name:
        page.paragraph((piece.name, "heading"), f" · {count_of(sum(row.times for row in piece.rows), 'row')}")
    lines = [line for row in piece.rows for line in _lines(row, terms)]
    # One size needs no column for it.
    shown = [column for column in range(len(_HEADS)) if column != 2 or len(sizes) > 1]
    widths = {
        column: max(width_of(text) for text in (_HEADS[column], *(line.columns[column] for line in lines)))
        for column in shown
    }
    beside = page.width >= WORKING_BESIDE
    gap = "  " if sum(widths.values()) + 2 * len(widths) <= page.width else " "

    def laid_out(columns: tuple[str, ...], look: str = "") -> list[Cell]:
        run: list[Cell] = []
        for column in shown:
            space = " " * (widths[column] - width_of(columns[column]))
            words = cells(columns[column], look or _look(columns, column))
            run += [*cells(space), *words] if column in _RIGHT else [*words, *cells(space)]
            run += cells(gap)
        return run

    page.line([*laid_out(_HEADS, "heading"), *cells(_WORKING if beside else "", "heading")])
    page.line(laid_out(_HEADS_BELOW, "heading"))
    for line in lines:
        run = laid_out(line.columns)
        if beside:
            left = sum(cell.width for cell in run)
            sums = list(wrapped(cells(line.working), page.width - left)) or [[]]
            page.line([*run, *sums[0]])
            for more in sums[1:]:
                page.line([*cells(" " * left), *more])
        else:
            page.line(run)
            if line.working:
                page.paragraph((line.working, "aside"), first="    ")
    for reading in dict.fromkeys((*piece.readings, *_row_readings(piece))):
        page.paragraph(f"Read so: {reading}", first="  ")


def _lines(row: RowWork, terms: str | None) -> Iterator[_Line]:
    label = one_line(row.label)
    if width_of(label) > _MAX_LABEL:
        label = label[: _MAX_LABEL - 1] + "…"
    if row.times > 1:
        label += f" ×{row.times}"
    for number, size in enumerate(row.sizes or (NOTHING,)):
        numbers = tuple(map(shown, (size.base, size.used, size.made, size.stated)))
        yield _Line(
            (
                label if number == 0 else "",
                (row.side or UNKNOWN) if number == 0 else "",
                one_line(size.size or ""),
                *numbers,
                difference(size),
                state(row) if number == 0 else "",
            ),
            one_line(in_terms(size.working, terms)),
        )


def _look(columns: tuple[str, ...], column: int) -> str:
    if column == 8:
        return "unread" if columns[8] == "not read" else columns[8]
    if column == 7 and columns[7] not in ("", "0"):
        return "differs"
    if column == 4 and UNKNOWN not in columns[3:5] and columns[3] != columns[4]:
        return "differs"
    return ""


def _row_readings(piece: PieceWork) -> Iterator[str]:
    for row in piece.rows:
        for reading in row.readings:
            yield f"{row.label}: {reading}"
