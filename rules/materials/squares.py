"""Squares laid out in rows against the size they are to make."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ...lint import regex
from ...lint.finding import Because, Finding, Severity
from ...lint.measures import Amount
from ...lint.rule import Subject
from ...lint.syntax.layout import SectionKind
from ...lint.trade.units import convert
from .made_and_used import laid_out

_EACH = regex.compile(r"\b(?:square|block|tile|motif)s?\s*(?:=|:|\bmeasures?\b|\bis\b|\bto\s+measure\b)\s*(?:about|approx(?:imately)?\.?)?\s*$")
_EDGED = regex.compile(r"\b(?:border|edging|trim|frill|fringe|hexagon|triangle|join(?:ing)?\s+(?:row|rnd|round)|sashing)s?\b")
_OFF = 0.12
"""Seams and blocking take or give so much."""


def squares(subject: Subject, lengths: Sequence[Amount], rule: str) -> Iterator[Finding]:
    """The size of so many squares each way, where nothing is worked around them; the findings carry the rule's name."""
    folded = subject.layout.folded
    layout = laid_out(subject)
    if layout is None or _EDGED.search(folded):
        return
    rows, each, where = layout
    places = [s.span for kind in (SectionKind.GAUGE, SectionKind.SIZES) for s in subject.layout.of(kind)]
    sides = [a for a in lengths if a.is_length and any(a.span.start in p for p in places) and _EACH.search(folded[max(0, a.span.start - 40) : a.span.start])]
    sizes = [a for a in lengths if a.is_length and a.times and len(a.figures) == 2 and a not in sides and any(a.span.start in s.span for s in subject.layout.of(SectionKind.SIZES))]
    if len(sides) != 1 or not sizes or len(set(sides[0].values)) != 1 or len(subject.work.sizes) > 1:
        return
    size = sizes[0]
    side = convert(sides[0].values[0], sides[0].symbol, size.symbol)
    made = sorted((rows * side, each * side))
    if any(abs(a / b - 1) > _OFF for a, b in zip(made, sorted(size.values), strict=True)):
        yield Finding(
            rule,
            Severity.QUERY,
            f"{rows} rows of {each} squares of {side:g} {size.symbol} are {each * side:g} x {rows * side:g} {size.symbol}, but the text says {size.values[0]:g} x {size.values[1]:g}. Which is right?",
            size.span,
            because=(Because(sides[0].span, "one square"), Because(where, "how they are laid out")),
        )
