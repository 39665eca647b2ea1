"""The sheet of counts, one line a row and size, and the sheet of sizes beside rows that takes its numbers from it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ..fabric.row import SPACE
from ..fabric.trace import TracedRow, trace
from ..fabric.work import PieceWork, RowWork, SizeWork
from ..proof import Proof
from ..trade.terms import in_terms
from .counted import NOTHING, label, state
from .sheets import Cell, Column, Desk, Sheet, Sum, less, letters, table, where, words

COUNTS, SIZES = "Counts", "Sizes by row"

_BEFORE = (
    Column("Piece", 16),
    Column("Row", 10),
    Column("Line", 6),
    Column("Side", 6),
    Column("Size", 10),
    Column("Worked into", 9),
    Column("Used", 8),
    Column("Left over", 9, differs=True),
    Column("Skipped", 8),
    Column("Starting chain", 26, wraps=True),
)
_AFTER = (
    Column("Spaces", 8),
    Column("Joined", 8),
    Column("Made", 8),
    Column("Stated", 8),
    Column("Difference", 10, differs=True),
    Column("State", 10),
    Column("How it was worked out", 60, wraps=True),
    Column("How it was read", 40, wraps=True),
    Column("Note", 30, wraps=True),
)
_BASE, _USED, _FIRST_KIND = 5, 6, len(_BEFORE)


def counts(desk: Desk) -> Sheet:
    """One line for every row in every size. Left over is worked into less used, the difference made less stated."""
    kinds = tuple(dict.fromkeys(k for m in desk.manuscripts for r in m.proof.work.rows() for s in r.sizes for k in s.kinds))
    places = _Places(len(kinds), int(desk.several))
    terms = {m.proof.work.terms for m in desk.manuscripts}
    # Manuscripts in other terms mean another stitch by the same name: side by side their stitches have US names, and it is said.
    heads = [in_terms(kind, next(iter(terms))) if len(terms) == 1 else f"{kind} (US)" for kind in kinds]
    columns = (*_BEFORE, *(Column(words(head), 8) for head in heads), *_AFTER)
    return table(COUNTS, desk, columns, _lines(desk, kinds, places))


class _Places:
    """The names of the cells that formulas speak of."""

    def __init__(self, kinds: int, shift: int) -> None:
        self.base, self.used, self.kind = (letters(shift + n) for n in (_BASE, _USED, _FIRST_KIND))
        self.last_kind = letters(shift + _FIRST_KIND + max(0, kinds - 1))
        self.spaces, _, self.made, self.stated, self.difference = (letters(shift + _FIRST_KIND + kinds + n) for n in range(5))


def _lines(desk: Desk, kinds: Sequence[str], at: _Places) -> Iterator[tuple[str, Sequence[Cell]]]:
    number = 1
    for manuscript in desk.manuscripts:
        proof = manuscript.proof
        traced = {id(row): t for piece in trace(proof.pattern) for row, t in _traced(proof, piece.work, piece.rows)}
        for piece in proof.work.pieces:
            for row in piece.rows:
                follows = traced.get(id(row))
                for size in row.sizes or (NOTHING,):
                    number += 1
                    first = size is (row.sizes or (NOTHING,))[0]
                    yield manuscript.path, _line(proof, piece, row, size, kinds, at, number, follows, first)


def _line(
    proof: Proof, piece: PieceWork, row: RowWork, size: SizeWork, kinds: Sequence[str], at: _Places, n: int, follows: TracedRow | None, first: bool
) -> Sequence[Cell]:
    left = None if size.base is None or size.used is None else size.base - size.used
    off = None if size.made is None or size.stated is None else size.made - size.stated
    readings = dict.fromkeys((*piece.readings, *row.readings))
    return (
        words(piece.name),
        words(label(row)),
        where(proof.text, row.label_span.start),
        row.side or "",
        words(size.size or ""),
        size.base,
        size.used,
        less(f"{at.base}{n}", f"{at.used}{n}", left),
        _skipped(follows) if follows is not None and first else None,
        in_terms(_starting_chain(follows), proof.work.terms) if follows is not None else "",
        *(size.kinds.get(kind) for kind in kinds),
        size.spaces,
        "yes" if row.joined else "",
        _made(size, at, n),
        size.stated,
        less(f"{at.made}{n}", f"{at.stated}{n}", off),
        state(row),
        words(in_terms(size.working, proof.work.terms)),
        words("; ".join(readings)),
        "",
    )


def _made(size: SizeWork, at: _Places, n: int) -> Cell:
    """What the row makes: a sum of its kinds, and of its spaces where those are counted, or else the number."""
    made, total = size.made, sum(size.kinds.values())
    if made is None or not size.kinds:
        return made
    if made == total:
        return Sum(f"=SUM({at.kind}{n}:{at.last_kind}{n})", made)
    if size.spaces and made == total + size.spaces:
        return Sum(f"=SUM({at.kind}{n}:{at.last_kind}{n})+{at.spaces}{n}", made)
    return made


def _traced(proof: Proof, traced: PieceWork, rows: Sequence[TracedRow]) -> Iterator[tuple[RowWork, TracedRow]]:
    """Each traced row with the row of the proof it is: the trace works the pieces again and leaves out rows of other sizes."""
    piece = next((p for p in proof.work.pieces if p.span == traced.span and p.name == traced.name), None)
    left = iter(piece.rows if piece is not None else ())
    for t in rows:
        row = next((r for r in left if (r.label, r.span, r.index) == (t.work.label, t.work.span, t.work.index)), None)
        if row is not None:
            yield row, t


def _skipped(row: TracedRow) -> int | None:
    """Stitches of the row below that nothing was worked into, in the first size; None where that was not followed."""
    if row.base is None or row.stitches is None or not row.known_base or row.ring or row.foundation is not None or row.both_sides:
        return None
    spots = [cell.spot for cell in row.stitches if cell.spot is not None]
    if any(spot.below or spot.beyond for spot in spots):
        return None
    worked = {base for spot in spots for base in spot.bases}
    return sum(cell.kind != SPACE and i not in worked for i, cell in enumerate(row.base))


def _starting_chain(row: TracedRow) -> str:
    """Whether the chain a row starts with counts, and as what."""
    counted = next((cell for cell in row.stitches or () if cell.tch), None)
    if counted is not None:
        return f"ch {counted.tch} counts as {counted.kind}"
    return f"ch {row.turning_chain} does not count" if row.turning_chain else ""


def sizes_by_row(desk: Desk, sheet: Sheet) -> Sheet:
    """One line a row, its sizes side by side: what each makes and by how much it differs, taken from the sheet of counts."""
    names = _size_names(desk)
    columns = (
        Column("Piece", 16), Column("Row", 10), Column("State", 10),
        *(Column(name, 9) for name in names), *(Column(f"{name}: difference", 12, differs=True) for name in names),
    )  # fmt: skip
    return table(SIZES, desk, columns, _size_lines(desk, sheet, names))


def _size_names(desk: Desk) -> list[str]:
    """The names of the sizes, or their numbers where the manuscripts have different ones."""
    lists = {m.proof.pattern.sizes for m in desk.manuscripts}
    most = max((len(names) for names in lists), default=0)
    if most < 2:
        return ["Made"]
    return [words(name) for name in next(iter(lists))] if len(lists) == 1 else [f"Size {n}" for n in range(1, most + 1)]


def _size_lines(desk: Desk, sheet: Sheet, names: Sequence[str]) -> Iterator[tuple[str, Sequence[Cell]]]:
    heads = [column.head for column in sheet.columns]
    end = len(heads) - 1 - heads[::-1].index("Made")
    made, difference = end, end + 2
    number = 1
    for manuscript in desk.manuscripts:
        order = {name: i for i, name in enumerate(manuscript.proof.pattern.sizes)}
        for piece in manuscript.proof.work.pieces:
            for row in piece.rows:
                cells: list[list[Cell]] = [[None] * len(names), [None] * len(names)]
                for size in row.sizes or (NOTHING,):
                    number += 1
                    for into, column in zip(cells, (made, difference), strict=True):
                        value = _value(sheet.rows[number - 2][column])
                        if value is not None:
                            into[order.get(size.size or "", 0)] = Sum(f"={COUNTS}!{letters(column)}{number}", value)
                yield manuscript.path, (words(piece.name), words(label(row)), state(row), *cells[0], *cells[1])


def _value(cell: Cell) -> float | None:
    value = cell.value if isinstance(cell, Sum) else cell
    return value if isinstance(value, (int, float)) else None
