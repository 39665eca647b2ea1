"""Sizes an editor has given beside the manuscript, against the stitches and rows of each piece, in every size.

The gauge is the one given for the piece; where none is, the one the manuscript prints. A message says which it was.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from ...lint.fabric.work import PieceWork, Status
from ...lint.finding import Because, Finding, Severity
from ...lint.measures_gauge import Gauge
from ...lint.measures_pieces import in_rounds, is_tube, numbered_rows, rows_in, stitches_of
from ...lint.rule import Subject
from ...lint.text import Span
from ...lint.trade.units import convert
from ...lint.unprinted import GivenGauge, GivenMeasure
from ...lint.wording import capital, count_of, listed


@dataclass(frozen=True)
class _By:
    """A gauge in the terms of its sum: ``each`` cm a stitch or a row, and the words for it."""

    each: float
    words: str


def given_gauge(subject: Subject, piece: PieceWork) -> Gauge | None:
    """The one stitch gauge given for a piece beside the manuscript."""
    found = [g for g in subject.unprinted.gauges if g.is_for(piece.name) and g.stitches]
    if len(found) != 1:
        return None
    gauge = found[0]
    return Gauge(gauge.stitches or 0, "sts", gauge.width, gauge.rows, gauge.height, "", True, Span(0, 0), given=gauge.pattern)


def by_given(subject: Subject, printed: Sequence[Gauge], off: float, rule: str) -> Iterator[Finding]:
    """Every given measure that stitches and rows do not come to, by more than ``off`` as a ratio."""
    for measure in subject.unprinted.measures:
        piece = _piece(subject, measure)
        if piece is None:
            yield _unused(subject, measure, rule, f"is for “{measure.piece}”, and {_no_such(subject, measure)}" if measure.piece else "names no piece, and there are several")
            continue
        sizes = len(subject.work.sizes) or 1
        for values, what in ((measure.width, "wide"), (measure.length, "long")):
            if not values:
                continue
            if len(values) not in (1, sizes):
                yield _unused(subject, measure, rule, f"has {len(values)} values, and there {'is' if sizes == 1 else 'are'} {count_of(sizes, 'size')}")
                continue
            found = _wide(subject, piece, measure, printed) if what == "wide" else _long(subject, piece, printed)
            if isinstance(found, str):
                yield _unused(subject, measure, rule, f"could not be checked: {found}")
            else:
                sums, by, counts, at = found
                yield from _compared(subject, piece, measure, what, sums, by, counts, at, off, rule)


_Sums = tuple[list[float | None], _By, list[str], Span]


def _wide(subject: Subject, piece: PieceWork, measure: GivenMeasure, printed: Sequence[Gauge]) -> _Sums | str:
    """The width of each size in cm by its widest row, or why there is none."""
    by = _stitch_gauge(subject, piece, printed)
    if by is None:
        return "no one gauge is given or printed for its stitches"
    rows = [r for r in piece.rows if r.status is not Status.UNREAD and r.sizes]
    if not rows or len(rows) < len(piece.rows) / 2:
        return "too few of its rows were read"
    flat = in_rounds(piece) and not measure.wide
    if flat and not is_tube(rows):
        return "it is worked in rounds and is no tube"
    sums: list[float | None] = []
    counts: list[str] = []
    widest = rows[0]
    for i, size in enumerate(subject.work.sizes or (None,)):
        known = [(n, r) for r in rows if (n := stitches_of(r, size, i)) is not None]
        if not known:
            sums.append(None)
            counts.append("")
            continue
        n, row = max(known, key=lambda pair: pair[0])
        widest = row if i == 0 else widest
        sums.append(n * by.each / (2 if flat else 1))
        counts.append(f"{count_of(n, 'stitch', 'stitches')} in {row.label}{', laid flat' if flat else ''}")
    return sums, by, counts, widest.label_span


def _long(subject: Subject, piece: PieceWork, printed: Sequence[Gauge]) -> _Sums | str:
    """The length of each size in cm by its number of rows, or why there is none."""
    by = _row_gauge(subject, piece, printed)
    if by is None:
        return "no one gauge is given or printed for its rows"
    rows = numbered_rows(subject.pattern, piece)
    if rows is None:
        return "some of its rows are told by length and not by number"
    if not rows:
        return "it has no numbered rows"
    sums: list[float | None] = []
    counts: list[str] = []
    for size in subject.work.sizes or (None,):
        n = rows_in(rows, size)
        sums.append(n * by.each)
        counts.append(count_of(n, rows[0].label.split()[0].lower().replace("rnd", "round")))
    return sums, by, counts, rows[0].label_span


def _stitch_gauge(subject: Subject, piece: PieceWork, printed: Sequence[Gauge]) -> _By | None:
    given = [g for g in subject.unprinted.gauges if g.is_for(piece.name) and g.stitches]
    if given:
        return _By(given[0].width / (given[0].stitches or 1), _of_given(given[0])) if len(given) == 1 else None
    if len(printed) == 1 and printed[0].counts_stitches:
        return _By(1 / printed[0].per_cm, _of_printed(subject, printed[0]))
    return None


def _row_gauge(subject: Subject, piece: PieceWork, printed: Sequence[Gauge]) -> _By | None:
    given = [g for g in subject.unprinted.gauges if g.is_for(piece.name) and g.rows]
    if given:
        return _By(given[0].height / (given[0].rows or 1), _of_given(given[0])) if len(given) == 1 else None
    if len(printed) == 1 and printed[0].rows:
        return _By(printed[0].height / printed[0].rows, _of_printed(subject, printed[0]))
    return None


def _of_given(gauge: GivenGauge) -> str:
    return f"the gauge given for {gauge.pattern} beside the manuscript"


def _of_printed(subject: Subject, gauge: Gauge) -> str:
    return f"the printed gauge (line {subject.text.line_number(gauge.span.start)})"


def _compared(
    subject: Subject, piece: PieceWork, measure: GivenMeasure, what: str, sums: Sequence[float | None], by: _By, counts: Sequence[str], at: Span, off: float, rule: str
) -> Iterator[Finding]:
    values = measure.width if what == "wide" else measure.length
    sizes = subject.work.sizes
    parts: list[str] = []
    odd: list[str] = []
    for i, cm in enumerate(sums):
        wanted = values[i if len(values) > 1 else 0]
        if cm is None or 1 / off <= cm / wanted <= off:
            continue
        come_by = f", {measure.wide[i if len(measure.wide) > 1 else 0]}" if what == "wide" and measure.wide else ""
        size = f" in size {sizes[i]}" if len(sizes) > 1 else ""
        parts.append(f"{counts[i]} come to {_length(cm, measure.unit)}{size}, and {_length(wanted, measure.unit)} is given{come_by}")
        odd += [sizes[i]] if len(sizes) > 1 else []
    if parts:
        more = f"; and {len(parts) - 4} more sizes likewise" if len(parts) > 4 else ""
        name = piece.name or "this piece"
        yield Finding(
            rule,
            Severity.QUERY,
            capital(f"by {by.words}, {name} is not as {what} as it is to be: {'; '.join(parts[:4])}{more}. Is it the gauge, the count or the size that is right?"),
            at,
            "",
            tuple(odd),
            because=(Because(piece.rows[0].label_span, f"{capital(name)} begins here"),),
        )


def _length(cm: float, unit: str) -> str:
    return f"{round(convert(cm, 'cm', unit), 1):g} {unit}"


def _piece(subject: Subject, measure: GivenMeasure) -> PieceWork | None:
    pieces = [p for p in subject.work.pieces if p.rows]
    if not measure.piece:
        return pieces[0] if len(pieces) == 1 else None
    return next((p for p in pieces if p.name.lower() == measure.piece.lower()), None)


def _no_such(subject: Subject, measure: GivenMeasure) -> str:
    from difflib import get_close_matches  # wanted only where something is at fault

    names = [p.name for p in subject.work.pieces if p.name]
    close = get_close_matches(measure.piece.lower(), [n.lower() for n in names], n=1)
    near = next((n for n in names if close and n.lower() == close[0]), None)
    if near:
        return f"there is no such piece; is {near} meant?"
    return f"the pieces are {listed(names)}" if names else "no piece has a name"


def _unused(subject: Subject, measure: GivenMeasure, rule: str, words: str) -> Finding:
    """A given measure that nothing came of, so that it is no silent gap."""
    line = f" on line {measure.line}" if measure.line else ""
    return Finding(rule, Severity.SUGGESTION, f"The measure{line} of the side file {words.rstrip('.?')}{'?' if words.endswith('?') else '.'}", subject.text.line_span(1))
