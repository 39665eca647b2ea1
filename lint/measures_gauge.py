"""Gauge lines: so many stitches, and rows, over so much.

Read are the usual forms, "13 sts and 14 rows = 4 in (10 cm) in sc", "8 squares and 8 rows to 10cm", "4 shells = 3 in"
and "10 cm = 24 dc". What a gauge is measured in is told by its own words; a gauge that names no stitch has none.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

from .measures import NUMBER, Amount, amounts, number
from .rule import Subject
from .syntax.layout import SectionKind
from .text import Span
from .trade.terms import to_us
from .trade.units import convert

_ROWS = r"(?:rows?|rnds?|rounds?)\b"
_COUNT = rf"(?<![\w.,/])(?P<n>{NUMBER}|\bone\b)\s?(?P<noun>[a-z][a-z-]*)\b(?P<more>[^=\n.;:\d]{{0,30}}?(?:\([^)\n]*\))?)"
_AND_ROWS = rf"(?:\s*(?:and|x|×|by|,|&|/)\s*(?P<m>{NUMBER})\s*{_ROWS})?"
_FORM = re.compile(
    rf"{_COUNT}{_AND_ROWS}(?P<of>[^=\n.;\d]{{0,40}}?)\s*(?:=|\bto\b|\bover\b|\bmeasures?\b|\bper\b|\bin\b(?=\s*\d))\s*(?:about\s+|approx\.?\s+|every\s+|a\s+)?(?=[\d½¼¾.])",
    re.IGNORECASE,
)
_TURNED = re.compile(rf"\s*(?:[(/\[][^)\]\n]*[)\]]?)?\s*=\s*{_COUNT}{_AND_ROWS}", re.IGNORECASE)
_STITCH = re.compile(
    r"\b(?:single crochet|half[- ]double crochet|half[- ]treble(?: crochet)?|double crochet|treble(?: crochet)?|sc|hdc|dc|htr|tr)\b", re.IGNORECASE
)
_SHORT = {"single crochet": "sc", "half double crochet": "hdc", "half treble": "htr", "half treble crochet": "htr", "double crochet": "dc", "treble": "tr", "treble crochet": "tr"}
_END = re.compile(r"[.;](?:\s|$)|\n")
_PATTERN = re.compile(
    r"\bpatt(?:ern)?\b|\bstitch pattern\b|\b(?:in|over)\s+(?!the\b|single|double|half|treble|sc\b|hdc\b|dc\b|tr\b|htr\b)[a-z]{5,}", re.IGNORECASE
)
_PLAIN = frozenset({"st", "sts", "stitch", "stitches"})
_NO_NOUN = frozenset({"row", "rows", "rnd", "rnds", "round", "rounds", "in", "inch", "inches", "cm", "mm", "to", "and", "x", "by", "of", "ch", "chs"})


@dataclass(frozen=True, slots=True)
class Gauge:
    """``across`` of ``noun`` over ``width`` cm, ``rows`` over ``height`` cm.

    ``stitch`` is the one stitch it names, in the manuscript's own terms, "" for none or several; ``pattern`` says that
    it was measured in a stitch pattern.
    """

    across: float
    noun: str
    width: float
    rows: float | None
    height: float
    stitch: str
    pattern: bool
    span: Span

    @property
    def per_cm(self) -> float:
        return self.across / self.width

    @property
    def counts_stitches(self) -> bool:
        return self.noun in _PLAIN or self.noun == self.stitch

    def us_stitch(self, terms: str | None) -> str:
        """The stitch by its US name."""
        return (to_us(self.stitch) or self.stitch) if terms == "UK" and self.stitch else self.stitch


def gauges_of(subject: Subject) -> tuple[Gauge, ...]:
    """The gauges of a manuscript, from the sections that state them."""
    return _gauges_in(subject.text.source, tuple(s.span for s in subject.layout.of(SectionKind.GAUGE)))


@lru_cache(maxsize=4)
def _gauges_in(source: str, places: tuple[Span, ...]) -> tuple[Gauge, ...]:
    return tuple(gauges(source, places))


def gauges(source: str, places: Sequence[Span]) -> Iterator[Gauge]:
    """Every gauge in these places of the text."""
    found = amounts(source)
    for place in places:
        at = place.start
        while at < place.end:
            match = _FORM.search(source, at, place.end)
            if match is None:
                break
            amount = next((a for a in found if a.span.start == match.end()), None)
            if amount is None or match["noun"].lower() in _NO_NOUN:
                at = match.start() + max(1, len(match["n"]))
                continue
            got = _gauge(source, match, amount, place)
            if got is not None:
                yield got
            at = amount.span.end
        yield from _turned(source, found, place)


def _turned(source: str, found: Sequence[Amount], place: Span) -> Iterator[Gauge]:
    for amount in found:
        if amount.span.start in place:
            match = _TURNED.match(source, amount.span.end, place.end)
            if match and match["noun"].lower() not in _NO_NOUN:
                got = _gauge(source, match, amount, place)
                if got is not None:
                    yield got


def _gauge(source: str, match: re.Match[str], amount: Amount, place: Span) -> Gauge | None:
    across = 1.0 if match["n"].lower() == "one" else number(match["n"])
    rows = number(match["m"]) if match["m"] else None
    if not across or not amount.is_length:
        return None
    sides = [convert(v, amount.symbol, "cm") for v in amount.values]
    if not sides or min(sides) <= 0 or (len(sides) > 1 and not amount.times):
        return None
    end = _END.search(source, max(match.end(), amount.span.end), place.end)
    span = Span(min(match.start(), amount.span.start), end.start() if end else place.end)
    words = source[span.start : span.end].rstrip()
    named = {_short(m.group()) for m in _STITCH.finditer(words)}
    return Gauge(
        across,
        match["noun"].lower(),
        sides[0],
        rows,
        sides[-1],
        named.pop() if len(named) == 1 else "",
        _PATTERN.search(words) is not None,
        Span(span.start, span.start + len(words)),
    )


def _short(word: str) -> str:
    plain = re.sub(r"[\s-]+", " ", word.lower())
    return _SHORT.get(plain, plain)
