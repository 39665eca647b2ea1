"""Lengths and weights in a text: every amount with its unit, and the amounts printed to say one thing in two units.

An amount is a figure or a whole list of them, "36 (40, 44) in", "50 x 60 in", "8 in wide x 12 in long". Two amounts are
a pair only where print says so: the second in brackets, behind a stroke or an equals sign, or on a line of its own
under the first. Positions are code points of the text that was given.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise

from . import regex
from .text import Span
from .trade.units import Unit, tolerances, unit

FRACTIONS = {"½": 0.5, "¼": 0.25, "¾": 0.75, "⅓": 1 / 3, "⅔": 2 / 3, "⅛": 0.125, "⅜": 0.375, "⅝": 0.625, "⅞": 0.875}
_GLYPH = "[" + "".join(FRACTIONS) + "]"
NUMBER = (
    rf"\d{{1,3}}(?:,\d{{3}})+(?:\.\d+)?(?![\d,])|\d+[ \t]?{_GLYPH}|{_GLYPH}|\d+(?:[ \t]+|[-–])\d{{1,2}}[/⁄]\d{{1,2}}(?![\d/])"
    r"|[1-9]{1,2}[/⁄](?:16|[2348])(?![\d/.])|\d+\.\d+|\.\d+|\d+,\d{1,2}(?![\d,])|\d+"
)
"""A printed number: 7, 7.5, 7½, 7 1/2, 7-1/2, ½, 1,244 and, with a decimal comma, 8,0."""

_UNIT = (
    r"inch(?:es)?\b\.?|ins?\b\.?|''|[\"″”]|cms?\b\.?|centimet(?:re|er)s?\b|mm\b\.?|millimet(?:re|er)s?\b|mtrs?\b\.?|met(?:re|er)s?\b|m\b(?!\.?\w)"
    r"|yds?\b\.?|yards?\b|ozs?\b\.?|ounces?\b|g\b|gms?\b\.?|grs?\b\.?|gram(?:me)?s?\b|kgs?\b|kilo(?:gram)?s?\b|lbs?\b\.?|pounds?\b"
    r"|ft\b\.?|foot\b|feet\b|['′’](?![\w'′’])(?!\s?\d)"
)
_EXTENT = (
    r"(?:in\s+)?(?:diameter|circumference|width|length|height|depth)|wide|long|tall|high|deep|square|across|around|round|thick|each\s+way|each\s+side|[whl]"
)
_TOKEN = regex.compile(
    rf"(?P<number>(?<![\w.,#£$€])(?<![A-Za-z]-)(?:{NUMBER})(?!%))|(?P<unit>(?:(?<=\d)|(?<=\s)|(?<={_GLYPH})|(?<=[)\]\-]))(?:{_UNIT}))|(?P<extent>\b(?:{_EXTENT})\b)"
    r"|(?P<open>[(\[{])|(?P<close>[)\]}])|(?P<times>[x×X](?![A-Za-z])|\bby\b)|(?P<range>[-–]|\bto\b)|(?P<comma>,)|(?P<colon>:)|(?P<stroke>/)"
    r"|(?P<wide>[ ]*(?:\t|\||[ ]{2})[ \t|]*)|(?P<line>[ ]*\r?\n[ \t]*)|(?P<space>[ \t ])|(?P<other>\w+|.)",
    regex.IGNORECASE,
)
_NOT_INCHES = regex.compile(
    r"\s+(?:the|each|next|an?|same|this|that|these|every|any|both|all|your|rings?|magic|first|last|back|front|top|ch|chs|st|sts|sp|sps|sc|hdc|dc|tr|row|rows|rnd|rnds|rounds?|total|one|color|colour|[A-Z]\b)",
)  # "3 in next st": a place, not a length
_FIGURE_OF_UNIT = regex.compile(rf"(?:\d|{_GLYPH})(?:[)\]}}\s–-]|to\b){{0,24}}(?P<unit>{_UNIT})", regex.IGNORECASE)
_FIGURES_ONLY = regex.compile(r"[^A-Za-z]*\Z")
_LINES_BEFORE, _LINES_AFTER = 3, 1  # how far a list of figures is followed from the line that has its unit
_ABOUT = regex.compile(
    r"(?:\babout|\bapprox(?:imately)?\.?|\broughly|\baround|\bcirca|\bca?\.|[~≈]|\bnearly|\balmost|\bjust\s+(?:over|under)|\bat\s+least|\bup\s+to|\bmax\.?|\bmin\.?)\s*$", regex.IGNORECASE
)
_NEW_MEASURE = regex.compile(r"\bunit\b.*\bline\b.*\bextent\b")
"""Between two numbers, by kinds of token: "44 in", and on the next line "Length: 20"."""

_JOIN = regex.compile(
    rf"(?:\s*(?:{_EXTENT}))*\s*(?P<join>[(\[{{]|[/|=]|\bor\b|\bi\.e\.)\s*(?P<about>(?:(?:about|approx(?:imately)?\.?|roughly|around|circa|ca\.|[~≈])\s*)?)",
    regex.IGNORECASE,
)
_LOOSE_JOIN = regex.compile(rf"(?:\s*(?:{_EXTENT}))*\s*[,;]\s*|\s+[-–—]\s+|[ \t]+", regex.IGNORECASE)
_CLOSES = regex.compile(rf"(?:\s*(?:{_EXTENT}|approx(?:imately)?\.?))*(?:\s*[)\]}}/;,=|:.]|\s*$|[ \t]*[\r\n])", regex.IGNORECASE)
_LONG_CM = 12
_NEARLY = 1.3
"""Two lengths side by side with no mark of a pair are one if they are longer than so many cm and part by less than this."""
IMPERIAL = frozenset({"in", "ft", "yd", "oz", "lb"})
_FOOT_MARKS = ("'", "′", "’")


@dataclass(frozen=True, slots=True)
class Figure:
    """One number and where it stands."""

    value: float
    span: Span


@dataclass(frozen=True, slots=True)
class Amount:
    """Figures of one unit that belong together. ``symbol`` is the unit's, ``mark`` how it was printed the first time.

    ``loose`` figures from the left were joined by nothing but a comma and may belong to what stands before. ``times``
    is true for dimensions (50 x 60).
    """

    figures: tuple[Figure, ...]
    symbol: str
    mark: str
    span: Span
    about: bool = False
    loose: int = 0
    times: bool = False

    @property
    def values(self) -> tuple[float, ...]:
        return tuple(f.value for f in self.figures)

    @property
    def is_length(self) -> bool:
        here = unit_of(self.symbol)
        return here is not None and here.measure == "length"

    @property
    def in_foot_marks(self) -> bool:
        """Whether its unit is a single stroke."""
        return is_foot_mark(self.mark)

    def last(self, n: int) -> Amount:
        """The last ``n`` figures alone."""
        return Amount(self.figures[-n:], self.symbol, self.mark, self.figures[-n].span.to(Span(self.span.end, self.span.end)), self.about, 0, self.times)


@dataclass(frozen=True, slots=True)
class Pair:
    """Two amounts that print gives for the same thing, figure by figure. ``about`` where either is approximate."""

    first: Amount
    second: Amount
    about: bool

    @property
    def figures(self) -> tuple[tuple[Figure, Figure], ...]:
        return tuple(zip(self.first.figures, self.second.figures, strict=True))


@dataclass(frozen=True, slots=True)
class _Token:
    kind: str
    text: str
    start: int
    end: int


def number(words: str) -> float | None:
    """The value of a printed number ("7½", "7-1/2", "8,0", "1,244"); None where it is none."""
    words = words.strip()
    if regex.fullmatch(r"\d{1,3}(?:,\d{3})+(?:\.\d+)?", words):
        return float(words.replace(",", ""))
    parts = regex.fullmatch(rf"(?:(?P<whole>\d+)[ \t–-]*)?(?:(?P<glyph>{_GLYPH})|(?P<top>\d{{1,2}})[/⁄](?P<under>\d{{1,2}}))", words)
    if parts:
        whole = float(parts["whole"] or 0)
        if parts["glyph"]:
            return whole + FRACTIONS[parts["glyph"]]
        under = int(parts["under"])
        return whole + int(parts["top"]) / under if under else None
    try:
        return float(words.replace(",", "."))
    except ValueError:
        return None


def is_foot_mark(words: str) -> bool:
    return words in _FOOT_MARKS


def unit_of(mark: str) -> Unit | None:
    """The unit of a printed mark; two single strokes are inches."""
    return unit("in") if mark == "''" else unit(mark)


@lru_cache(maxsize=4)
def amounts(source: str) -> tuple[Amount, ...]:
    """Every amount of the text that carries a unit, in order."""
    return tuple(_moved(amount, at.start) for at in _stretches(source) for amount in _amounts_in(source[at.start : at.end]))


def _stretches(source: str) -> Iterator[Span]:
    """The lines that can hold an amount, with those around them: nearly all of a pattern is rows, which hold none."""
    hits = (
        hit.span()
        for hit in _FIGURE_OF_UNIT.finditer(source)
        if hit["unit"].lower() != "in" or not _NOT_INCHES.match(source, hit.end())
    )
    return _lines_round(source, hits, _LINES_BEFORE, _LINES_AFTER, _FIGURES_ONLY)


def _lines_round(
    source: str, hits: Iterable[tuple[int, int]], before: int, after: int, further: regex.Pattern[str] | None = None
) -> Iterator[Span]:
    """The lines of every hit, with so many ``before`` and ``after`` it; lines that touch make one span.

    Lines above those belong to them too, for as long as each matches ``further``.
    """
    whole = Span(0, 0)
    for hit_start, hit_end in hits:
        if hit_end <= whole.end:
            continue
        start, above = source.rfind("\n", 0, hit_start) + 1, 0
        while start > whole.end:
            higher = source.rfind("\n", 0, start - 1) + 1
            if above >= before and not (further and further.match(source[higher:start])):
                break
            start, above = higher, above + 1
        end = hit_end
        for _ in range(1 + after):
            end = source.find("\n", end) + 1 or len(source)
        if start > whole.end:
            if whole.end:
                yield whole
            whole = Span(start, end)
        else:
            whole = Span(whole.start, end)
    if whole.end:
        yield whole


def _moved(amount: Amount, by: int) -> Amount:
    if not by:
        return amount
    figures = tuple(Figure(f.value, Span(f.span.start + by, f.span.end + by)) for f in amount.figures)
    return replace(amount, figures=figures, span=Span(amount.span.start + by, amount.span.end + by))


@lru_cache(maxsize=4096)
def _amounts_in(source: str) -> tuple[Amount, ...]:
    tokens = [_Token(m.lastgroup or "", m.group(), m.start(), m.end()) for m in _TOKEN.finditer(source)]
    tokens.append(_Token("end", "", len(source), len(source)))
    out: list[Amount] = []
    i = 0
    while i < len(tokens):
        if tokens[i].kind == "number":
            got = _amount(source, tokens, i)
            if got is not None:
                out.append(got[0])
                i = got[1]
                continue
        i += 1
    return tuple(out)


def _amount(source: str, tokens: Sequence[_Token], i: int) -> tuple[Amount, int] | None:
    start = tokens[i]
    if is_foot_mark(source[max(0, start.start - 1) : start.start]):
        return None  # the inches of 5'6"
    sure: list[Figure] = []
    waiting: list[Figure] = []
    found: Unit | None = None
    mark, end, after = "", 0, i + 1
    depth, loose, sure_loose, times = 0, 0, 0, False
    j = i
    while tokens[j].kind == "number":
        value = number(tokens[j].text)
        if value is None:
            break
        waiting.append(Figure(value, Span(tokens[j].start, tokens[j].end)))
        j += 1
        k, kinds = j, ""
        while True:
            kind = tokens[k].kind
            if kind == "unit" and not (set(kinds.split()) - {"close", "space", "line", "range"}):
                here = unit_of(tokens[k].text)
                if here is None or (found is not None and here is not found) or _a_place(source, tokens[k]):
                    k = -1
                    break
                found, mark = here, mark or tokens[k].text
                sure += waiting
                waiting, end, after, sure_loose = [], tokens[k].end, k + 1, loose
                kinds += " unit"
            elif kind in ("open", "close", "times", "range", "comma", "colon", "stroke", "wide", "line", "space", "extent"):
                depth += (kind == "open") - (kind == "close")
                kinds += " " + kind
            else:
                break
            k += 1
            if k - j > 14:
                break
        if k < 0 or tokens[k].kind != "number" or not _goes_on(kinds, depth):
            break
        # Lengths one after another, each with its unit, are so many amounts: 400 m, 274 m.
        if depth < 0 or (depth == 0 and {"unit", "comma"} <= set(kinds.split())):
            break
        if depth <= 0 and regex.search(r"comma|colon", kinds):
            loose = len(sure) + len(waiting)
        times = times or "times" in kinds
        j = k
    if found is None or not sure:
        return None
    about = bool(_ABOUT.search(source, max(0, start.start - 24), start.start))
    return Amount(tuple(sure), found.symbol, mark, Span(start.start, end), about, min(sure_loose, len(sure) - 1), times), after


def _a_place(source: str, token: _Token) -> bool:
    return token.text.lower() == "in" and _NOT_INCHES.match(source, token.end) is not None


def _goes_on(kinds: str, depth: int) -> bool:
    """Whether what stands between two numbers joins them into one list."""
    if depth <= 0 and _NEW_MEASURE.search(kinds):
        return False
    words = set(kinds.split())
    if words & {"open", "close", "times"}:
        return True
    if "comma" in words:
        return True
    if words & {"range", "stroke"}:
        return "line" not in words
    if "colon" in words:
        return depth > 0
    return "wide" in words and "unit" in words and "line" not in words


def pairs(source: str) -> Iterator[Pair]:
    """Every pair of amounts, one metric and one not, that the text gives for the same thing."""
    found = amounts(source)
    taken: set[int] = set()
    for i in range(len(found) - 3):
        for got in _crossed(source, *found[i : i + 4]):
            taken.update(range(i, i + 4))
            yield got
    for i, (first, second) in enumerate(pairwise(found)):
        if i in taken or not _may_pair(first, second):
            continue
        got = _beside(source, first, second) or _below(source, first, second)
        if got is not None:
            taken.add(i + 1)
            yield got


def _crossed(source: str, a: Amount, b: Amount, c: Amount, d: Amount) -> Iterator[Pair]:
    """50 g / 125 m (1.75 oz / 137 yd): the first with the third, the second with the fourth."""
    if not (_may_pair(a, c) and _may_pair(b, d)) or _may_pair(a, b) or _may_pair(b, c):
        return
    gaps = [source[x.span.end : y.span.start] for x, y in ((a, b), (b, c), (c, d))]
    if regex.fullmatch(r"\s*[/,=]\s*", gaps[0]) and regex.fullmatch(r"\s*[(\[]\s*", gaps[1]) and regex.fullmatch(r"\s*[/,=]\s*", gaps[2]):
        for first, second in ((a, c), (b, d)):
            got = _matched(first, second, first.about or second.about)
            if got is not None:
                yield got


def _may_pair(first: Amount, second: Amount) -> bool:
    return (first.symbol, second.symbol) in _paired_units()


@lru_cache(maxsize=1)
def _paired_units() -> frozenset[tuple[str, str]]:
    """The units the trade prints side by side, in either order."""
    pairs_of = [t.units for t in tolerances()]
    return frozenset([*pairs_of, *((b, a) for a, b in pairs_of)])


def _beside(source: str, first: Amount, second: Amount) -> Pair | None:
    between = source[first.span.end : second.span.start].replace("*", "").replace("_", "")
    join = _JOIN.fullmatch(between)
    if join is None:
        return _loosely(source, first, second, between)
    if between.count("\n") > 1:
        return None
    if join["join"] in "([{" and not _CLOSES.match(source, second.span.end):
        return None
    return _matched(first, second, first.about or second.about or bool(join["about"].strip()))


def _loosely(source: str, first: Amount, second: Amount, between: str) -> Pair | None:
    """Two figures with a comma, a dash or nothing between them: one measure only where they are nearly the same length."""
    if len(first.figures) != 1 or len(second.figures) != 1 or not _LOOSE_JOIN.fullmatch(between) or not _CLOSES.match(source, second.span.end):
        return None
    value, other = (a.values[0] * u.base for a in (first, second) if (u := unit_of(a.symbol)))
    if first.is_length and min(value, other) < _LONG_CM:
        return None
    return Pair(first, second, first.about or second.about) if 1 / _NEARLY < value / other < _NEARLY else None


def _below(source: str, first: Amount, second: Amount) -> Pair | None:
    """The same list in another unit on a line of its own under the first."""
    between = source[first.span.end : second.span.start]
    if not regex.fullmatch(r"[ \t|),\]]*\r?\n[ \t|]*(?:\([ \t]*)?", between):
        return None
    rest = source[second.span.end :].split("\n", 1)[0]
    if regex.sub(r"[\s|)\]}.,;]+", "", rest) or len(first.figures) != len(second.figures):
        return None
    return _matched(first, second, first.about or second.about)


def _matched(first: Amount, second: Amount, about: bool) -> Pair | None:
    a, b = first, second
    if len(a.figures) > len(b.figures) and len(a.figures) - a.loose == len(b.figures):
        a = a.last(len(b.figures))
    if len(a.figures) > 1 and len(b.figures) == 1 and len(set(a.values)) == 1:
        a = a.last(1)
    if len(b.figures) > 1 and len(a.figures) == 1 and len(set(b.values)) == 1:
        b = b.last(1)
    return Pair(a, b, about) if len(a.figures) == len(b.figures) else None


def printed(value: float, like: str) -> str:
    """``value`` as a manuscript prints numbers: with ½ or 1/2 where ``like`` has such a fraction, else in decimals."""
    whole = int(value)
    rest = value - whole
    if regex.search(_GLYPH, like):
        glyph = next((g for g, worth in FRACTIONS.items() if abs(worth - rest) < 0.005), None)
        if glyph:
            return f"{whole or ''}{glyph}"
    elif regex.search(r"\d[/⁄]\d", like):
        top = {0.5: "1/2", 0.25: "1/4", 0.75: "3/4"}.get(round(rest, 3))
        if top:
            return f"{whole} {top}" if whole else top
    return f"{value:g}" if value < 100_000 else f"{value:.0f}"
