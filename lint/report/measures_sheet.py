"""The sheet of measurements against the gauge, and the sheet of steps between sizes.

Each piece is measured by its first, its widest and its last row and by its number of rows, in every gauge that may be
its own. What the size should be is filled in where an editor has given it beside the manuscript, and left open for a
person elsewhere: the program does not guess which printed size is whose.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from ..fabric.work import PieceWork, RowWork, Status
from ..measures_gauge import Gauge, gauges
from ..measures_pieces import in_rounds, is_tube, numbered_rows, rows_in, share_in, stitches_of
from ..syntax.layout import SectionKind
from ..unprinted import GivenMeasure
from ..words import one_line
from . import size_steps
from .sheets import Cell, Column, Desk, Manuscript, Sheet, Sum, less, letters, table, words

MEASURES, STEPS = "Measurements", "Steps between sizes"
CM_IN = 2.54
"""Centimetres in an inch, by definition."""

_MAIN = 0.5
"""A gauge that names a stitch is used for a piece if so much of it is made in that stitch."""

_COLUMNS = (
    Column("Piece", 16),
    Column("Place", 24, wraps=True),
    Column("Size", 10),
    Column("Stitches or rows", 9),
    Column("Gauge", 34, wraps=True),
    Column("Gauge counts", 8),
    Column("Gauge over, cm", 9),
    Column("Computed, cm", 10),
    Column("Computed, in", 10),
    Column("Stated, cm", 9),
    Column("Where it is stated", 24, wraps=True),
    Column("Difference, cm", 10, differs=True),
    Column("Schematic, cm", 10),
    Column("Schematic difference, cm", 10, differs=True),
    Column("Tolerance, per cent", 10),
    Column("Within it", 8),
    Column("Note", 30, wraps=True),
)


@dataclass(frozen=True, slots=True)
class _By:
    """A gauge for stitches or for rows: so many over so many cm, and its words."""

    many: float
    over: float
    words: str


@dataclass(frozen=True, slots=True)
class _Measure:
    """So many stitches or rows of a piece in one size, and where; ``folded`` is 2 for a tube laid flat."""

    place: str
    size: str
    number: int
    by: _By
    stated: float | None = None
    source: str = ""
    folded: int = 1


def measurements(desk: Desk) -> Sheet:
    """One line a piece, size, place and gauge. Nothing where no gauge is printed or given."""
    return table(MEASURES, desk, _COLUMNS, _lines(desk))


def _lines(desk: Desk) -> Iterator[tuple[str, Sequence[Cell]]]:
    shift, n = int(desk.several), 1
    for manuscript in desk.manuscripts:
        for piece in manuscript.proof.work.pieces:
            for measure in _of_piece(manuscript, piece):
                n += 1
                yield manuscript.path, _line(piece, measure, manuscript.off, shift, n)


def _line(piece: PieceWork, m: _Measure, off: float, shift: int, n: int) -> Sequence[Cell]:
    number, many, over, computed, stated, difference, schematic, allowed = (f"{letters(shift + at)}{n}" for at in (3, 5, 6, 7, 9, 11, 12, 14))
    cm = m.number / m.by.many * m.by.over / m.folded
    apart = None if m.stated is None else cm - m.stated
    within = "" if m.stated is None or apart is None else "yes" if abs(apart) <= off * m.stated else "no"
    return (
        words(piece.name),
        words(m.place),
        words(m.size),
        m.number,
        words(m.by.words),
        m.by.many,
        m.by.over,
        Sum(f"={number}/{many}*{over}" + (f"/{m.folded}" if m.folded > 1 else ""), cm),
        Sum(f"={computed}/{CM_IN}", cm / CM_IN),
        m.stated,
        words(m.source),
        less(computed, stated, apart),
        None,
        less(computed, schematic, None),
        round(100 * off, 2),
        Sum(f'=IF({stated}="","",IF(ABS({difference})<={allowed}/100*{stated},"yes","no"))', within),
        "",
    )


def _of_piece(manuscript: Manuscript, piece: PieceWork) -> Iterator[_Measure]:
    rows = [r for r in piece.rows if r.status is not Status.UNREAD and r.sizes]
    if not rows:
        return
    given = [g for g in manuscript.unprinted.measures if g.piece.lower() == piece.name.lower() or (not g.piece and len(manuscript.proof.work.pieces) == 1)]
    measure = given[0] if len(given) == 1 else None
    for i, size in enumerate(manuscript.proof.work.sizes or (None,)):
        for by in _stitch_gauges(manuscript, piece):
            yield from _across(piece, rows, size, i, by, measure)
        for by in _row_gauges(manuscript, piece):
            yield from _along(manuscript, piece, size, i, by, measure)


def _across(piece: PieceWork, rows: Sequence[RowWork], size: str | None, index: int, by: _By, given: GivenMeasure | None) -> Iterator[_Measure]:
    """The first, the widest and the last row that is known in this size. Rounds that grow from a centre have no width."""
    around = in_rounds(piece)
    if around and not is_tube(rows):
        return
    known = [(row, n) for row in rows if (n := stitches_of(row, size, index))]
    if not known:
        return
    widest = max(known, key=lambda pair: pair[1])
    shown = {"first": known[0], "widest": widest, "last": known[-1]}
    seen: set[int] = set()
    for what, (row, n) in shown.items():
        if n in seen:
            continue
        seen.add(n)
        at = n == widest[1]
        # A body that is given is its way round; the width of a tube is that of the tube laid flat.
        folded = 2 if around and not (given is not None and given.wide) else 1
        stated = _value(given.width, index) if given is not None and at else None
        place = f"{what} {'round' if around else 'row'}, {one_line(row.label)}{', laid flat' if folded == 2 else ', around' if around else ''}"
        yield _Measure(place, size or "", n, by, stated, _source(given, given.wide if given else (), index) if stated else "", folded)


def _along(manuscript: Manuscript, piece: PieceWork, size: str | None, index: int, by: _By, given: GivenMeasure | None) -> Iterator[_Measure]:
    rows = numbered_rows(manuscript.proof.pattern, piece)
    if not rows or (in_rounds(piece) and not is_tube(rows)):
        return
    number = rows_in(rows, size)
    if number:
        stated = _value(given.length, index) if given is not None else None
        yield _Measure(f"length, {number} rows", size or "", number, by, stated, _source(given, (), index) if stated else "")


def _value(values: Sequence[float], index: int) -> float | None:
    """The value of a size, in cm: one that is given alone is for all of them."""
    own = values if len(values) == 1 else values[index : index + 1]
    return round(own[0], 2) if own else None


def _source(given: GivenMeasure | None, said: Sequence[str], index: int) -> str:
    if given is None:
        return ""
    own = said if len(said) == 1 else said[index : index + 1]
    return ": ".join(("given beside the manuscript", *own))


def _stitch_gauges(manuscript: Manuscript, piece: PieceWork) -> list[_By]:
    given = [g for g in manuscript.unprinted.gauges if g.is_for(piece.name) and g.stitches]
    if given:
        return [_By(g.stitches or 1, g.width, f"{g.pattern}, given beside the manuscript") for g in given]
    terms = manuscript.proof.pattern.terms
    return [_By(g.across, g.width, _printed(manuscript, g)) for g in _gauges(manuscript) if g.counts_stitches and _fits(piece, g, terms)]


def _row_gauges(manuscript: Manuscript, piece: PieceWork) -> list[_By]:
    given = [g for g in manuscript.unprinted.gauges if g.is_for(piece.name) and g.rows]
    if given:
        return [_By(g.rows or 1, g.height, f"{g.pattern}, given beside the manuscript") for g in given]
    terms = manuscript.proof.pattern.terms
    return [_By(g.rows, g.height, _printed(manuscript, g)) for g in _gauges(manuscript) if g.rows and _fits(piece, g, terms)]


def _fits(piece: PieceWork, gauge: Gauge, terms: str | None) -> bool:
    stitch = gauge.us_stitch(terms)
    return gauge.pattern or not stitch or share_in(piece, stitch) >= _MAIN


def _gauges(manuscript: Manuscript) -> list[Gauge]:
    proof = manuscript.proof
    return list(gauges(proof.text.source, [s.span for s in proof.layout.of(SectionKind.GAUGE)]))


def _printed(manuscript: Manuscript, gauge: Gauge) -> str:
    text = manuscript.proof.text
    return f"{one_line(text[gauge.span]).strip()} ({text.where(gauge.span.start)})"


def steps(desk: Desk) -> Sheet:
    """Every list of sizes with its steps from size to size; no lines for manuscripts in one size."""
    most = max((len(m.proof.pattern.sizes) for m in desk.manuscripts), default=0)
    lists = {m.proof.pattern.sizes for m in desk.manuscripts}
    names = [words(n) for n in next(iter(lists))] if len(lists) == 1 else [f"Size {n}" for n in range(1, most + 1)]
    if most < 2:
        names = []
    columns = (
        Column("What", 34, wraps=True), *(Column(name, 9) for name in names),
        *(Column(f"step to {name}", 9) for name in names[1:]), Column("Even", 9),
    )  # fmt: skip
    return table(STEPS, desk, columns, _step_lines(desk, len(names)))


def _step_lines(desk: Desk, sizes: int) -> Iterator[tuple[str, Sequence[Cell]]]:
    shift, n = int(desk.several) + 1, 1
    for manuscript in desk.manuscripts:
        for found in size_steps.steps(manuscript.proof):
            n += 1
            between: list[Cell] = [less(f"{letters(shift + i + 1)}{n}", f"{letters(shift + i)}{n}", step) for i, step in enumerate(found.steps)]
            values = [*found.values, *[None] * (sizes - len(found.values))]
            yield manuscript.path, (words(found.name), *values, *between, *[None] * (sizes - 1 - len(between)), "uneven" if found.uneven else "")
