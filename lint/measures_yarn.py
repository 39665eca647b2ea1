"""Yarn in a list of materials: its weight, the length of a ball, how many balls, and a total length where one is given."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

from . import regex
from .measures import Amount, amounts
from .rule import Subject
from .syntax.layout import SectionKind
from .syntax.lexer import number_of
from .text import Span
from .trade.units import convert
from .trade.yarns import named, weights

BALL = r"(?:balls?|skeins?|hanks?|cakes?|cones?|bobbins?|spools?)"
_SMALL = r"(?:\d{1,2}|one|two|three|four|five|six|seven|eight|nine|ten|twelve)"
_COUNT = regex.compile(
    rf"(?<![\w.,/\[-])(?<!\d\()(?<!\d \()(?P<n>{_SMALL})\s*(?:[x×]\s*|(?<=\s))(?:(?:\d+\s?-?g|\d[\d.]*\s?-?oz|\(?\d+\s?g\)|(?!g\b|gr?ms?\b|oz\b|grams?\b|ounces?\b)[a-z]+)\s+)?(?P<ball>{BALL})\b(?!\s*=)(?P<each>(?:\s+of)?\s+each\b)?",
    regex.IGNORECASE,
)
_LETTERED = regex.compile(r"(?:^|(?<=[,;]))[ \t]*(?:[-•*·][ \t]*)?\(?(?:[A-H]|MC|CC\d?)\)?[ \t:=–-][^,;\n\d]{0,40}?[x×]\s?(?P<n>\d{1,2})(?=\s*(?:[,;.)]|$))", regex.MULTILINE)
_LIST = r"\d{1,2}\s?(?:[\[(]\s*\d{1,2}(?:\s*[,:]\s*\d{1,2})*\s*[\])]\s?)+"
_COUNTS = regex.compile(rf"(?<![\w.,/(\[-])(?P<list>{_LIST})\s*(?:[x×]\s*)?(?:(?:\d+\s?-?g|[a-z]+)\s+)?{BALL}\b", regex.IGNORECASE)
_ALL_TOLD = regex.compile(r"(?:[^.;:\n()\d]|\([^)\n]*\)|\d[\w./%]*){0,60}?\b(?:all\s?together|altogether|in\s+all|in\s+total|total)\b", regex.IGNORECASE)
_TOTAL_BEFORE = regex.compile(r"\b(?:total(?:\s+of)?|in\s+all|altogether|all\s?together):?\s*$", regex.IGNORECASE)
_NUMBERED = regex.compile(r"(?:#|\bCYC\s*|\bweight\s+|\bcategory\s+)([0-7])\b(?!\s?(?:/|[-–]\s?\d|\.\d))(?!\d)", regex.IGNORECASE)
_BRACKETED = regex.compile(r"\b(?:weight|worsted|medium|light|fine|bulky|chunky|dk|lace|yarn|cotton|wool|acrylic)\b[^()\n]{0,24}[(\[]\s*#?([0-7])\s*[)\]]", regex.IGNORECASE)
_PER = regex.compile(rf"[^.;\n]{{0,24}}?(?:\bper\b|\beach\b|/\s?{BALL}\b|\ba\s+{BALL}\b|\b(?:to|in)\s+(?:the|each|a)\s+{BALL}\b|^\s*{BALL}\b)", regex.IGNORECASE)
_TOTAL_AFTER = regex.compile(r"[^.;,\n(\[\d]{0,14}?\b(?:in\s+all|in\s+total|total|altogether|all\s?together|needed|required)\b", regex.IGNORECASE)
_OF_A_BALL = regex.compile(rf"(?:=|\b{BALL}\s+(?:of|\())\s*(?:about\s+|approx\.?\s+)?[(\[]?$", regex.IGNORECASE)
_NO_YARN = regex.compile(r"\s*[)\]]?\s*(?:\([^)]*\)\s*)?(?:\w+\s+)?(?:of\s+)?(?:narrow\s+|\w+\s+)?(?:ribbon|elastic|cord|string|wire|thread|lace|tape)\b", regex.IGNORECASE)
# Names that stand for too much else in a list of materials.
_EVERYDAY = frozenset({"Light", "Fine", "Medium", "Lace", "baby", "craft", "rug", "roving", "sock"})
_ABOUT = regex.compile(r"(?:^|[\n:•*·–-])\s*(?:(?:about|approx(?:imately)?\.?|approx|roughly|around|some|at\s+least|uses?|you(?:'ll|\s+will)?\s+need|total(?:\s+of)?:?|~)\s*)*$|\bor\s+(?:about\s+)?$|,\s*(?:about|approx(?:imately)?\.?)\s+$", regex.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Count:
    """A number of balls. ``each`` where it is for every one of several colours, ``total`` where it is said to be all."""

    n: int
    span: Span
    each: bool
    total: bool


@dataclass(frozen=True, slots=True)
class Counts:
    """A number of balls for each size."""

    values: tuple[int, ...]
    span: Span


@dataclass(frozen=True)
class Yarn:
    """What the materials say about yarn. Lengths are in metres, with the amount they were read from."""

    weights: tuple[int, ...]
    per_ball: tuple[tuple[float, Amount], ...]
    totals: tuple[tuple[float, Amount], ...]
    counts: tuple[Count, ...]
    lists: tuple[Counts, ...]
    places: tuple[Span, ...]

    @property
    def bought(self) -> float | None:
        """Metres in all the balls listed, where there is one kind of ball and no doubt how many."""
        told = [c for c in self.counts if c.total] or list(self.counts)
        lengths = {round(m, 1) for m, _ in self.per_ball}
        if len(lengths) != 1 or not told or any(c.each for c in told) or (len(told) > 1 and any(c.total for c in told)):
            return None
        return sum(c.n for c in told) * self.per_ball[0][0]


def yarn_of(subject: Subject) -> Yarn:
    """The yarn of a manuscript's materials."""
    text = subject.text
    return _yarn_in(
        text.source,
        tuple(s.span for s in subject.layout.of(SectionKind.MATERIALS) if not regex.match(r"\W*hooks?\b", text[s.heading], regex.IGNORECASE)),
    )


@lru_cache(maxsize=4)
def _yarn_in(source: str, places: tuple[Span, ...]) -> Yarn:
    per_ball: dict[Span, tuple[float, Amount]] = {}
    totals: dict[Span, tuple[float, Amount]] = {}
    for place in places:
        for amount, is_ball in _lengths(source, place):
            metres = convert(amount.values[0], amount.symbol, "m")
            (per_ball if is_ball else totals)[amount.span] = (metres, amount)
    counts = tuple(c for place in places for c in _counts(source, place))
    lists = tuple(
        Counts(tuple(int(n) for n in regex.findall(r"\d+", m["list"])), Span(*m.span()))
        for place in places
        for m in _COUNTS.finditer(source, place.start, place.end)
    )
    return Yarn(_weights(" \n".join(source[p.start : p.end] for p in places)), tuple(per_ball.values()), tuple(totals.values()), counts, lists, places)


def _weights(words: str) -> tuple[int, ...]:
    numbers = {int(n) for pattern in (_NUMBERED, _BRACKETED) for n in pattern.findall(words)}
    if numbers:
        return tuple(sorted(numbers))
    return tuple(sorted({n for name, meant in _named_weights() if name.search(words) for n in meant}))


@lru_cache(maxsize=1)
def _named_weights() -> tuple[tuple[regex.Pattern[str], tuple[int, ...]], ...]:
    """What finds each name of a weight, and the categories it is used for."""
    names = sorted({n for w in weights() for n in (*w.types, *w.uk, *w.au, w.name)} - _EVERYDAY)
    return tuple((regex.compile(rf"(?<![\w-]){re.escape(n)}(?![\w-])", regex.IGNORECASE), tuple(w.number for w in named(n))) for n in names)


def _lengths(source: str, place: Span) -> Iterator[tuple[Amount, bool]]:
    """Every length of yarn once, in the first unit printed, and whether it is a ball's (else a total)."""
    found = [a for a in amounts(source) if a.span.start in place]
    before: Amount | None = None
    for i, amount in enumerate(found):
        if amount.symbol not in ("yd", "m") or len(amount.figures) != 1:
            continue
        if before is not None and before.symbol != amount.symbol and regex.fullmatch(r"\s*(?:/|\(|\[|=|or)\s*(?:about\s+)?", source[before.span.end : amount.span.start]):
            continue  # the same in the other unit
        before = amount
        second = found[i + 1] if i + 1 < len(found) else None
        paired = second is not None and second.symbol in ("yd", "m") and second.symbol != amount.symbol and second.span.start - amount.span.end < 6
        end = second.span.end if paired and second else amount.span.end
        if _NO_YARN.match(source[end : end + 40]):
            continue
        after = source[end : min(end + 40, place.end)]
        weighed = _beside_weight(source, found, i)
        head = source[max(place.start, amount.span.start - 40) : amount.span.start]
        if _TOTAL_AFTER.match(after):
            yield amount, False
        elif weighed or _PER.match(after) or _OF_A_BALL.search(head):
            yield amount, True
        elif _ABOUT.search(head) or amount.about:
            yield amount, False
        else:
            yield amount, True


def _beside_weight(source: str, found: Sequence[Amount], i: int) -> bool:
    """Whether a weight stands with it: 100 g / 200 m, (3.5 oz/100 g; 200 yd/183 m)."""
    for j in (i - 1, i + 1, i + 2):
        if 0 <= j < len(found) and found[j].symbol in ("g", "oz"):
            one, two = sorted((found[i].span, found[j].span))
            between = source[one.end : two.start]
            if not regex.search(r"[.:]\s|\n\s*\n", between) and len(between) < 24:
                return True
    return False


def _counts(source: str, place: Span) -> Iterator[Count]:
    found = [m for pattern in (_COUNT, _LETTERED) for m in pattern.finditer(source, place.start, place.end)]
    found.sort(key=lambda m: m.start("n"))
    told = False
    for i, match in enumerate(found):
        n = number_of(match["n"])
        if not n or regex.match(r"\s*[(\[,]\s*\d+\s*[,)\]]", source[match.end("n") : match.end("n") + 8]):
            continue
        until = found[i + 1].start() if i + 1 < len(found) else place.end
        before, told = told, bool(_ALL_TOLD.match(source, match.end(), until))
        total = told or (not before and bool(_TOTAL_BEFORE.search(source, place.start, match.start())))
        each = ("each" in match.groupdict() and bool(match["each"])) or bool(regex.match(r"[^.;\n\d]{0,20}\beach\b", source[match.end() : match.end() + 30], regex.IGNORECASE))
        yield Count(n, Span(match.start("n"), match.end()), each, total)
