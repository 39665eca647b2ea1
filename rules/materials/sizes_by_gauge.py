"""Stitches by the gauge against stated widths, where a manuscript has several sizes.

A piece may be a front, a whole body or half a sleeve, so its width is tried against every stated list once, twice and by
half. One size that parts from a sum the others keep is asked about; so is a body piece whose sums meet no stated length
in any size.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from ...lint import regex
from ...lint.fabric.work import PieceWork, Status
from ...lint.finding import Because, Finding, Severity
from ...lint.measures import Amount
from ...lint.measures_gauge import Gauge
from ...lint.measures_pieces import share_in
from ...lint.measures_tables import measured
from ...lint.rule import Subject
from ...lint.syntax.layout import SectionKind
from ...lint.text import Span
from ...lint.trade.units import convert

FOLDS = (1.0, 2.0, 0.5)
_CLOSE = 0.06
_ODD = 0.12
"""Where the other sizes keep to so much of the sum, one that is out by twice that is odd."""

_ALL_OUT = 0.15
_ALIKE = 1.12
_ANOTHER = 1.6
"""All sizes out alike, by more than the first and by less than the last: further apart, another thing is measured."""

_ACROSS = regex.compile(r"\b(?:bust|chest|hips?|width|wide|circumference|around|hem|across)\b")
_NOT_ACROSS = regex.compile(r"\b(?:to\s+fit|fits?|body\s+measure|actual\s+body|head|foot|length|long|sleeve|arm|neck|ease)\b")
_OTHERWISE = regex.compile(
    r"\b(?:sideways|lengthwise|vertical(?:ly)?|(?:side|seam|cuff|front)\s+to\s+(?:side|seam|cuff|front)|gather\w*|pleat\w*|smock\w*|gussets?|godets?"
    r"|(?:side|centre|center|underarm)\s+(?:panels?|strips?|pieces?|bands?|inserts?|sections?)|stretch\w*|draw-?strings?|overlap\w*|negative\s+ease|felt(?:ed|ing)|blo|back\s+loops?)\b"
)
"""Words of a body whose first row is not its width, or not all of it."""

_BODY = regex.compile(r"\b(?:back|front|body|panel)s?\b")


@dataclass(frozen=True, slots=True)
class _Stated:
    """A length of each size, in cm; ``across`` where its own words say that it is a width."""

    cm: tuple[float, ...]
    amount: Amount
    words: str
    across: bool


def by_size(subject: Subject, found: Sequence[Gauge], lengths: Sequence[Amount], rule: str) -> Iterator[Finding]:
    """What the stitches of each size come to against what is stated; the findings carry the rule's name."""
    stated = list(_stated(subject, lengths))
    if not any(s.across for s in stated):
        return
    for piece in subject.work.pieces:
        widths = _widths(piece, len(subject.work.sizes))
        gauge = _of_piece(subject, piece, found)
        if widths is None or gauge is None:
            continue
        sums = [w / gauge.per_cm for w in widths]
        told = _one_odd(subject, sums, widths, gauge, stated) or _all_out(subject, piece, sums, widths, gauge, stated)
        if told is not None:
            message, span, sizes = told
            yield Finding(rule, Severity.QUERY, message, span, sizes=sizes, because=(Because(gauge.span, "the gauge"), Because(piece.rows[0].span, "the stitches")))
            return


def _stated(subject: Subject, lengths: Sequence[Amount]) -> Iterator[_Stated]:
    """The lengths stated for every size, once for each unit."""
    text, folded = subject.text, subject.layout.folded
    places = [s.span for s in subject.layout.of(SectionKind.SIZES)]
    sizes = len(subject.work.sizes)
    tables = [m.amount for m in measured(text.source)]
    for amount in (*lengths, *tables):
        if not amount.is_length or amount.times or amount.in_foot_marks or len(amount.figures) not in (1, sizes):
            continue
        place = next((p for p in places if amount.span.start in p), None)
        if place is None:
            continue
        line = text.line_span(text.line_number(amount.span.start))
        before = folded[line.start : amount.span.start]
        if not regex.search(r"[a-z]{3}", before):
            before = folded[place.start : line.start].rstrip().rpartition("\n")[2] + before
        values = amount.values if len(amount.figures) == sizes else amount.values * sizes
        across = bool(_ACROSS.search(before)) and not _NOT_ACROSS.search(before) and len(amount.figures) == sizes
        yield _Stated(tuple(convert(v, amount.symbol, "cm") for v in values), amount, before, across)


def _widths(piece: PieceWork, sizes: int) -> list[int] | None:
    """The stitches of the first row, size by size; None where they were not proved for every one."""
    row = piece.rows[0] if piece.rows else None
    if row is None or row.status is not Status.PROVED or len(row.sizes) != sizes:
        return None
    made = [s.made for s in row.sizes if s.made]
    return made if len(made) == sizes and min(made) > 5 else None


def _of_piece(subject: Subject, piece: PieceWork, found: Sequence[Gauge]) -> Gauge | None:
    """The one gauge that counts stitches of the kind the piece is made of."""
    fitting = [
        g
        for g in found
        if g.counts_stitches
        and not g.pattern
        and (not g.stitch or share_in(piece, g.us_stitch(subject.pattern.terms)) > 0.6)
    ]
    return fitting[0] if len(fitting) == 1 else None


def _one_odd(subject: Subject, sums: Sequence[float], widths: Sequence[int], gauge: Gauge, stated: Sequence[_Stated]) -> tuple[str, Span, tuple[str, ...]] | None:
    for s in stated:
        if not s.across or any(all(abs(a * fold / b - 1) <= _ODD for a, b in zip(sums, s.cm, strict=True)) for fold in FOLDS):
            continue
        for fold in FOLDS:
            off = [abs(a * fold / b - 1) for a, b in zip(sums, s.cm, strict=True)]
            odd = [i for i, o in enumerate(off) if o > _ODD]
            if len(odd) != 1 or any(o > _CLOSE for i, o in enumerate(off) if i != odd[0]):
                continue
            i = odd[0]
            size, figure = subject.work.sizes[i], s.amount.figures[i]
            words = (
                f"In size {size}, {_sum(widths[i], gauge, s)} {_length(sums[i], s)}"
                f"{_folded(fold)}, but the text says {figure.value:g} {s.amount.symbol}; the other sizes agree. Which is right?"
            )
            return words, figure.span, (size,)
    return None


def _all_out(subject: Subject, piece: PieceWork, sums: Sequence[float], widths: Sequence[int], gauge: Gauge, stated: Sequence[_Stated]) -> tuple[str, Span, tuple[str, ...]] | None:
    if not _BODY.search(piece.name.lower()) or not _even(piece, widths) or _OTHERWISE.search(subject.layout.folded):
        return None
    across = [s for s in stated if s.across]
    for s in stated:
        for fold in FOLDS:
            if 2 * sum(abs(a * fold / b - 1) <= _ALL_OUT for a, b in zip(sums, s.cm, strict=True)) >= len(sums):
                return None
    fold = 1.0 if any(r.joined for r in piece.rows) else 2.0
    s = across[0]
    ratios = [a * fold / b for a, b in zip(sums, s.cm, strict=True)]
    if max(ratios) / min(ratios) > _ALIKE or not 1 / _ANOTHER < ratios[0] < _ANOTHER:
        return None
    words = f"By the gauge {_sum(widths[0], gauge, s)} {_length(sums[0], s)}{_folded(fold)} in size {subject.work.sizes[0]}, but the text says {s.amount.values[0]:g} {s.amount.symbol}, and the other sizes part alike. Is it the gauge or the sizes that are right?"
    return words, s.amount.span, ()


def _even(piece: PieceWork, widths: Sequence[int]) -> bool:
    """Whether every row is about as wide as the first, in every size."""
    rows = [r for r in piece.rows if r.status is Status.PROVED and len(r.sizes) == len(widths)]
    return len(rows) > 1 and len(rows) * 2 > len(piece.rows) and all(
        w * 0.95 <= (size.made or 0) <= w * 1.05 for row in rows for size, w in zip(row.sizes, widths, strict=True)
    )  # fmt: skip


def _sum(width: int, gauge: Gauge, s: _Stated) -> str:
    return f"{width} stitches at {gauge.across:g} {gauge.noun} to {_length(gauge.width, s)} are"


def _length(cm: float, s: _Stated) -> str:
    return f"{round(convert(cm, 'cm', s.amount.symbol), 1):g} {s.amount.symbol}"


def _folded(fold: float) -> str:
    return {2.0: ", twice that around", 0.5: ", half of it across"}.get(fold, "")
