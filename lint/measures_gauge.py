"""Gauge lines: so many stitches, and rows, over so much.

Read are the usual forms, "13 sts and 14 rows = 4 in (10 cm) in sc", "8 squares and 8 rows to 10cm", "4 shells = 3 in"
and "10 cm = 24 dc". What a gauge is measured in is told by its own words; a gauge that names no stitch has none.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from . import regex
from .measures import NUMBER, Amount, Figure, amounts, number
from .rule import Subject
from .syntax.layout import SectionKind
from .text import Span
from .trade.terms import to_us
from .trade.units import convert

_ROWS = r"(?:rows?|rnds?|rounds?)\b"
_COUNT = rf"(?<![\w.,/])(?P<n>{NUMBER}|\bone\b)\s?(?P<noun>[a-z][a-z-]*)\b(?P<more>[^=\n.;:\d]{{0,30}}?(?:\([^)\n]*\))?)"
_AND_ROWS = rf"(?:\s*(?:and|x|×|by|,|&|/)\s*(?P<m>{NUMBER})\s*{_ROWS})?"
_FORM = regex.compile(
    rf"{_COUNT}{_AND_ROWS}(?P<of>[^=\n.;\d]{{0,40}}?)\s*(?:(?P<one>(?:\bper\s+|/\s?)(?P<unit>inch|in|cm)\b)|(?:=|/|\bto\b|\bover\b|\bmeasures?\b|\bmakes?\b|\bper\b|\bin\b(?=\s*\d))\s*(?:about\s+|approx\.?\s+|every\s+|an?\s+)?(?=[\d½¼¾.]))",
    regex.IGNORECASE,
)
_TURNED = regex.compile(rf"\s*(?:[(/\[][^)\]\n]{{0,16}}[)\]]?)?(?:\s+square)?(?:\s+in\s+\w+)?\s*[=:]\s*{_COUNT}{_AND_ROWS}", regex.IGNORECASE)
_ROWS_ALONE = regex.compile(rf"(?<![\w.,/])(?P<m>{NUMBER})\s*{_ROWS}\s*(?:=|to\b|over\b|measure)\s*(?=[\d½¼¾])", regex.IGNORECASE)
_STITCH = regex.compile(
    r"\b(?:single crochet|half[- ]double crochet|half[- ]treble(?: crochet)?|double crochet|trebles?(?: crochet)?|sc|hdc|dc|htr|tr)\b", regex.IGNORECASE
)
_SHORT = {"single crochet": "sc", "half double crochet": "hdc", "half treble": "htr", "half treble crochet": "htr", "double crochet": "dc", "treble": "tr", "trebles": "tr", "treble crochet": "tr"}
_END = regex.compile(r"[.;](?:\s|$)|\n")
_PATTERN = regex.compile(
    r"\bpatt(?:ern)?\b|\bstitch pattern\b|\b(?:in|over)\s+(?!the\b|single|double|half|treble|sc\b|hdc\b|dc\b|tr\b|htr\b)[a-z]{5,}", regex.IGNORECASE
)
_PLAIN = frozenset({"st", "sts", "stitch", "stitches"})
_NO_NOUN = frozenset({"row", "rows", "rnd", "rnds", "round", "rounds", "in", "inch", "inches", "cm", "mm", "to", "and", "x", "by", "of", "ch", "chs"})

_UNFINISHED = regex.compile(r"\b(?:before|prior\s+to)\s+(?:wet[\s-]?)?(?:block|wash|felt|full)ing\b|\bun(?:blocked|washed)\b", regex.IGNORECASE)
"""Of a swatch that will change; the size stated is the finished one."""


@dataclass(frozen=True, slots=True)
class Gauge:
    """``across`` of ``noun`` over ``width`` cm, ``rows`` over ``height`` cm.

    ``stitch`` is the one stitch it names, in the manuscript's own terms, "" for none or several; ``pattern`` says that
    it was measured in a stitch pattern. ``given`` names the pattern of one that is not printed and so has no place.
    """

    across: float
    noun: str
    width: float
    rows: float | None
    height: float
    stitch: str
    pattern: bool
    span: Span
    given: str = ""

    @property
    def per_cm(self) -> float:
        return self.across / self.width

    @property
    def counts_stitches(self) -> bool:
        return self.noun in _PLAIN or _short(self.noun) == self.stitch

    def us_stitch(self, terms: str | None) -> str:
        """The stitch by its US name."""
        return (to_us(self.stitch) or self.stitch) if terms == "UK" and self.stitch else self.stitch


def gauges_of(subject: Subject) -> tuple[Gauge, ...]:
    """The gauges of a manuscript, from the sections that state them."""
    return _gauges_in(subject.text.source, tuple(s.span for s in subject.layout.of(SectionKind.GAUGE)))


@lru_cache(maxsize=64)
def _gauges_in(source: str, places: tuple[Span, ...]) -> tuple[Gauge, ...]:
    return tuple(gauges(source, places))


def gauges(source: str, places: Sequence[Span]) -> Iterator[Gauge]:
    """Every gauge of the finished work in these places; one said twice, for inches and for centimetres, comes once."""
    found = amounts(source)
    for place in places:
        here = sorted([*_told(source, found, place), *_turned(source, found, place)], key=lambda g: g.span.start)
        for i, gauge in enumerate(here):
            if not any(_alike(gauge, other) for other in here[:i]) and not _UNFINISHED.search(source, gauge.span.start, gauge.span.end):
                yield _with_rows(source, found, place, gauge) if gauge.rows is None and len(here) == 1 else gauge


def _alike(one: Gauge, other: Gauge) -> bool:
    return (one.across, one.rows, one.noun) == (other.across, other.rows, other.noun) and abs(one.width / other.width - 1) < 0.05


def _with_rows(source: str, found: Sequence[Amount], place: Span, gauge: Gauge) -> Gauge:
    """The gauge with the rows that a statement of their own gives: 16 sc = 4 in; 18 rows = 4 in."""
    told = list(_ROWS_ALONE.finditer(source, place.start, place.end))
    amount = next((a for a in found if a.span.start == told[0].end()), None) if len(told) == 1 else None
    rows = number(told[0]["m"]) if amount is not None and amount.is_length else None
    return replace(gauge, rows=rows, height=convert(amount.values[-1], amount.symbol, "cm")) if amount is not None and rows else gauge


def _told(source: str, found: Sequence[Amount], place: Span) -> Iterator[Gauge]:
    at = place.start
    while at < place.end:
        match = _FORM.search(source, at, place.end)
        if match is None:
            return
        amount = _one(match) if match["one"] else next((a for a in found if a.span.start == match.end()), None)
        if amount is None or match["noun"].lower() in _NO_NOUN:
            at = match.start() + max(1, len(match["n"]))
            continue
        got = _gauge(source, match, amount, place)
        if got is not None:
            yield got
        at = max(amount.span.end, match.end())


def _one(match: regex.Match[str]) -> Amount:
    """The inch or centimetre of "sts per inch"."""
    span = Span(match.start("unit"), match.end("unit"))
    return Amount((Figure(1.0, span),), "cm" if match["unit"].lower() == "cm" else "in", match["unit"], span)


def _turned(source: str, found: Sequence[Amount], place: Span) -> Iterator[Gauge]:
    for amount in found:
        if amount.span.start in place:
            match = _TURNED.match(source, amount.span.end, place.end)
            if match and match["noun"].lower() not in _NO_NOUN:
                got = _gauge(source, match, amount, place)
                if got is not None:
                    yield got


def _gauge(source: str, match: regex.Match[str], amount: Amount, place: Span) -> Gauge | None:
    across = 1.0 if match["n"].lower() == "one" else number(match["n"])
    rows = number(match["m"]) if match["m"] else None
    if not across or not amount.is_length:
        return None
    sides = [convert(v, amount.symbol, "cm") for v in amount.values]
    if not sides or min(sides) <= 0 or (len(sides) > 1 and not amount.times):
        return None
    end = _END.search(source, max(match.end(), amount.span.end), place.end)
    span = Span(min(match.start(), amount.span.start), end.start() if end else place.end)
    begin = max(place.start, source.rfind("\n", 0, span.start) + 1)
    words = source[span.start : span.end].rstrip()
    named = {_short(m.group()) for m in _STITCH.finditer(words)}
    return Gauge(
        across,
        match["noun"].lower(),
        sides[0],
        rows,
        sides[-1],
        named.pop() if len(named) == 1 else "",
        _PATTERN.search(source, begin, span.start + len(words)) is not None,
        Span(span.start, span.start + len(words)),
    )


def _short(word: str) -> str:
    plain = regex.sub(r"[\s-]+", " ", word.lower())
    return _SHORT.get(plain, plain)
