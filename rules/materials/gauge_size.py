"""Stitches and rows by the gauge against the size the text states.

Speaks only where the sum is plain: a flat piece of even width whose stitches were worked out, a gauge in its stitch, and
a stated size that can only be this piece's. A fabric that is folded, seamed into a ring or stretched has many widths;
a sum that meets the stated size once, twice or by half is left alone.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from ...lint import regex
from ...lint.fabric.work import PieceWork, Status
from ...lint.finding import Because, Finding, Severity
from ...lint.measures import Amount, amounts
from ...lint.measures_gauge import Gauge, gauges_of
from ...lint.measures_pieces import in_rounds, share_in
from ...lint.rule import Rule, Subject
from ...lint.style import Allowance
from ...lint.syntax.layout import SectionKind
from ...lint.text import Span
from ...lint.trade.units import convert
from .gauge_given import by_given, given_gauge
from .sizes_by_gauge import FOLDS, by_size
from .squares import squares

WITHIN = Allowance("gauge-size", "how far a size may part from what the gauge gives", "per cent", 100, 10)
"""A tenth is for makers' hands."""

_OTHER_STITCH = 1.15
"""Where the gauge is in another stitch than the piece, both directions must be out by more than this."""

_ANOTHER = 1.6
"""Further apart than this the size is another thing's: the blanket's, where the piece is one square of it."""

_MAIN = 0.6
"""A gauge in one stitch is for a piece if so much of it is made in that stitch."""

_STRETCH = regex.compile(r"\bstretch|\bunstretched|\brelaxed\b|\bgather|\bfolded\b|\bbefore\s+(?:felting|washing)|\bfelt(?:ed|ing)\b", regex.IGNORECASE)
_EDGED = regex.compile(
    r"\b(?:border|edging|trim|frill|ruffle|ribbing|brim|fringe|band|tassel|pom-?\s?pom|gusset|pleat)s?\b|\bties\b|\b(?:overlap|gather|elastic|felt)(?:s|ped|ping|ed|ing)?\b",
    regex.IGNORECASE,
)
"""What adds to a piece, or takes from it, after its last row."""

_WIDTH = regex.compile(r"\bwid(?:th|e)\b", regex.IGNORECASE)


@dataclass(frozen=True)
class _Stated:
    """A length the text states for a piece, in cm and as printed; ``several`` where it is one of two dimensions."""

    cm: float
    words: str
    symbol: str
    span: Span
    several: bool


def check(subject: Subject) -> Iterator[Finding]:
    found = gauges_of(subject)
    measured = amounts(subject.text.source)
    off = 1 + (subject.style.allowance(WITHIN) or 0) / 100
    yield from by_given(subject, found, off, RULE.name)
    yield from _motifs(subject, found, measured, off)
    yield from squares(subject, measured, RULE.name)
    if found and len(subject.work.sizes) > 2 and not subject.unprinted.gauges:
        yield from by_size(subject, found, measured, RULE.name)
    if len(subject.work.sizes) < 2:
        for piece in subject.work.pieces:
            gauge = given_gauge(subject, piece) or (found[0] if len(found) == 1 else None)
            if gauge is not None:
                yield from _piece(subject, piece, gauge, measured, off)


def _motifs(subject: Subject, found: Sequence[Gauge], measured: Sequence[Amount], off: float) -> Iterator[Finding]:
    """A width on one line with a number of what the gauge counts: 28 shells, 21 in wide."""
    text = subject.text
    for gauge in found:
        stem = gauge.noun.rstrip("s")
        if gauge.counts_stitches or len(stem) < 4 or sum(g.noun.rstrip("s") == stem for g in found) > 1:
            continue
        for line in text.lines():
            if line.touches(gauge.span):
                continue
            words = text[line]
            numbers = re.findall(rf"(?<![\w.,-])(\d+)\s+{re.escape(stem)}s?\b", words, re.IGNORECASE)
            inside = [a for a in measured if a.span.start in line and len(a.figures) == 1]
            wide = [a for a in inside if _says_width(words, a, line)]
            if len(numbers) != 1 or len(wide) != 1:
                continue
            amount = wide[0]
            if not amount.is_length:
                continue
            sum_cm = int(numbers[0]) / gauge.per_cm
            stated = convert(amount.values[0], amount.symbol, "cm")
            if not _meets(sum_cm, stated, off):
                yield Finding(
                    RULE.name,
                    Severity.QUERY,
                    f"{numbers[0]} {gauge.noun} at {_number(gauge.across)} to {_length(gauge.width, amount.symbol)} are {_length(sum_cm, amount.symbol)} wide, "
                    f"but the text says {_length(stated, amount.symbol)}. Is it the gauge or the width that is right?",
                    amount.span,
                    because=(Because(gauge.span, "the gauge"),),
                )


def _says_width(words: str, amount: Amount, line: Span) -> bool:
    start, end = amount.span.start - line.start, amount.span.end - line.start
    before, after = words[max(0, start - 25) : start], words[end : end + 8]
    return bool(_WIDTH.search(before) and not regex.search(r"\d", before[-12:])) or bool(regex.match(r"\s*wide\b", after, regex.IGNORECASE))


def _piece(subject: Subject, piece: PieceWork, gauge: Gauge, measured: Sequence[Amount], off: float) -> Iterator[Finding]:
    rows = piece.rows
    first = rows[0] if rows else None
    if first is None or not gauge.counts_stitches or in_rounds(piece):
        return
    width = first.sizes[0].made if len(first.sizes) == 1 and first.status is Status.PROVED else None
    if not width or width < 6 or not any(r.turned for r in rows):
        return
    stated = _stated(subject, piece, measured)
    if not stated or any((s.make or 1) > 1 for s in subject.layout.sections if s.span.touches(piece.span)):
        return
    even = _even(piece, width)
    across = width / gauge.per_cm
    worked = sum(r.times for r in rows)
    tall = worked / (gauge.rows / gauge.height) if gauge.rows else None
    if even and (gauge.pattern or _mostly(piece, gauge.us_stitch(subject.pattern.terms))):
        if not any(_meets(across, s.cm, off) for s in stated) and any(1 / _ANOTHER < across / s.cm < _ANOTHER for s in stated):
            yield _told(gauge, width, across, stated, tall, worked)
    elif tall is not None and len(stated) == 2 and all(s.several for s in stated) and _both_out(across, tall, stated, off):
        yield _told(gauge, width, across, stated, tall, worked)


def _even(piece: PieceWork, width: int) -> bool:
    """Whether the piece ends about as wide as it began and is nowhere wider. A row with a slip is taken at its count."""
    proved = sum(r.status is Status.PROVED for r in piece.rows)
    known = [n for n in (s.made if s.stated is None else s.stated for r in piece.rows for s in r.sizes) if n]
    if proved < 2 or 2 * proved < len(piece.rows) or len(known) < 2:
        return False
    return width * 0.9 <= known[-1] and max(known) <= width * 1.1


def _mostly(piece: PieceWork, stitch: str) -> bool:
    """Whether the piece is made in that stitch, or the gauge names none."""
    return not stitch or share_in(piece, stitch) >= _MAIN


def _both_out(across: float, tall: float, stated: Sequence[_Stated], off: float) -> bool:
    """Width and length out by the same sense whichever way the piece is turned."""
    one, two = stated[0].cm, stated[1].cm
    for a, b in ((one, two), (two, one)):
        ratios = (across / a, tall / b)
        if not (min(ratios) > _OTHER_STITCH or max(ratios) < 1 / _OTHER_STITCH):
            return False
        if any(_meets(across, s.cm, off) for s in stated):
            return False
    return True


def _meets(sum_cm: float, stated: float, off: float) -> bool:
    return any(1 / off <= sum_cm * fold / stated <= off for fold in FOLDS)


def _stated(subject: Subject, piece: PieceWork, measured: Sequence[Amount]) -> list[_Stated]:
    """The lengths stated for this piece: on a line that names it, or on any line of sizes if there is no other piece."""
    text = subject.text
    alone = len(subject.work.pieces) == 1
    out: list[_Stated] = []
    for section in subject.layout.of(SectionKind.SIZES):
        if _STRETCH.search(text[section.span]):
            return []
        last_end = -1
        for amount in measured:
            if amount.span.start not in section.span:
                continue
            if not amount.is_length or amount.in_foot_marks:
                continue
            line = text[text.line_span(text.line_number(amount.span.start))]
            named = bool(piece.name) and re.search(rf"\b{re.escape(piece.name)}\b", line, re.IGNORECASE) is not None
            if not (alone or named) or len(amount.figures) > 2 or (len(amount.figures) == 2 and not amount.times):
                if alone:
                    return []  # a list or a range: not one size
                continue
            if regex.fullmatch(r"[^.;,\n]{0,12}[(/\[=]\s*(?:about\s*)?", text.source[last_end : amount.span.start]) and last_end >= 0:
                continue  # the same again in the other unit
            last_end = amount.span.end
            for figure in amount.figures:
                cm = convert(figure.value, amount.symbol, "cm")
                out.append(_Stated(cm, f"{_number(figure.value)} {amount.symbol}", amount.symbol, amount.span, len(amount.figures) == 2))
    finishing = [text[s.span] for s in subject.layout.of(SectionKind.FINISHING)]
    others = " ".join([*(p.name for p in subject.work.pieces if p is not piece), text[piece.span], *finishing])
    own = re.sub(re.escape(piece.name), "", others, flags=re.IGNORECASE) if piece.name else others
    return [] if _EDGED.search(own) else out


def _told(gauge: Gauge, width: int, across: float, stated: Sequence[_Stated], tall: float | None, rows: int) -> Finding:
    near = min(stated, key=lambda s: abs(across / s.cm - 1))
    symbol = near.symbol
    words = f"{width} stitches at {_number(gauge.across)} {gauge.noun} to {_length(gauge.width, symbol)} are {_length(across, symbol)}"
    if tall is not None and near.several:
        words += f" and {rows} rows are {_length(tall, symbol)}"
    said = (" x " if near.several else " and ").join(s.words for s in stated if s.symbol == symbol and (near.several or 1 / _ANOTHER < across / s.cm < _ANOTHER))
    return Finding(
        RULE.name,
        Severity.QUERY,
        f"By the gauge {f'given for {gauge.given} beside the manuscript ' if gauge.given else ''}{words}, but the text says {said}. Is it the gauge or the size that is right?",
        near.span,
        because=() if gauge.given else (Because(gauge.span, "the gauge"),),
    )


def _length(cm: float, symbol: str) -> str:
    unit = symbol if symbol in ("in", "cm") else "cm"
    return f"{round(convert(cm, 'cm', unit), 1):g} {unit}"


def _number(value: float) -> str:
    return f"{value:g}"


RULE = Rule(
    name="gauge-size",
    severity=Severity.QUERY,
    title="The stitches at this gauge do not give the size stated",
    why="Stitches divided by gauge are the width. Where the stated width is another, one of three numbers is wrong, and a maker who meets the gauge will not meet the size.",
    looks_like="US terms.\nFinished size: 10 in wide and 12 in long\nGauge: 16 sc and 18 rows = 4 in\n\nPanel\nCh 61.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (60 sc)\nRows 2-54: Ch 1, sc in each sc across, turn. (60 sc)\n",
    better="US terms.\nFinished size: 15 in wide and 12 in long\nGauge: 16 sc and 18 rows = 4 in\n\nPanel\nCh 61.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (60 sc)\nRows 2-54: Ch 1, sc in each sc across, turn. (60 sc)\n",
    let_stand="When the piece is stretched, felted or gathered to the size stated.",
    check=check,
    settings=(WITHIN,),
    source="Width is stitches divided by the stitches of the gauge, times its span; a tenth is allowed for hands.",
)
