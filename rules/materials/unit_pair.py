"""Two figures printed for one measure that are not the same measure; foot marks where inches are meant."""

from __future__ import annotations

from collections.abc import Iterator

from ...lint.finding import Because, Correction, Edit, Finding, Severity
from ...lint.measures import IMPERIAL, Amount, Figure, Pair, amounts, is_foot_mark, pairs, printed
from ...lint.measures_tables import table_pairs
from ...lint.rule import Rule, Subject
from ...lint.style import Allowance
from ...lint.syntax.layout import SectionKind
from ...lint.text import Span
from ...lint.trade.units import convert, pair_agrees, rounded, tolerances
from ...lint.wording import words_at

_ABOUT_FACTOR = 2
"""How much further a pair may part where either figure is called approximate."""

_WITHIN = {
    ("in", "cm"): Allowance("in-cm", "how far inches and centimetres may part", "cm", 50),
    ("yd", "m"): Allowance("yd-m", "how far yards and metres may part", "m", 50),
    ("oz", "g"): Allowance("oz-g", "how far ounces and grams may part", "g", 50),
}

_TALL = 12
"""From so many feet a size is past any blanket: a rug of 6 by 9 feet stays possible."""


def check(subject: Subject) -> Iterator[Finding]:
    source = subject.text.source
    for pair in (*pairs(source), *table_pairs(source)):
        yield from _judged(subject, pair)
    yield from _foot_marks(subject)


def _judged(subject: Subject, pair: Pair) -> Iterator[Finding]:
    first, second = pair.first, pair.second
    # A foot mark beside centimetres that fit inches is the other slip.
    if first.in_foot_marks or second.in_foot_marks:
        return
    for i, (one, two) in enumerate(pair.figures):
        strict = _beyond_house(subject, pair, one, two)
        if pair_agrees(one.value, first.symbol, two.value, second.symbol) is not False:
            if strict and not pair.about:
                yield _too_coarse(subject, pair, one, two)
            continue
        if strict is False:
            continue
        if pair.about and _near(one.value, first.symbol, two.value, second.symbol):
            continue
        if _rounded(one.value, first.symbol, second.symbol) == two.value or _rounded(two.value, second.symbol, first.symbol) == one.value:
            continue  # the nearest quarter inch: 5 mm (¼ in)
        sizes = subject.pattern.sizes
        size = (sizes[i],) if len(sizes) > 1 and len(sizes) == len(pair.figures) else ()
        right = _rounded(one.value, first.symbol, second.symbol)
        other = _rounded(two.value, second.symbol, first.symbol)
        words = f"{words_at(subject, one.span)} {first.symbol} is {_number(right, second.symbol)} {second.symbol}, but the text says {words_at(subject, two.span)} {second.symbol}"
        if size:
            words = f"In size {size[0]}, {words}"
        yield Finding(
            RULE.name,
            Severity.WRONG,
            f"{words}, which is {_number(other, first.symbol)} {first.symbol}. Which of the two is meant?",
            one.span.to(two.span),
            sizes=size,
            corrections=(
                _put(subject, two, right, second),
                _put(subject, one, other, first),
            ),
        )


def _allowance(pair: Pair) -> Allowance | None:
    one, other = pair.first.symbol, pair.second.symbol
    return _WITHIN.get((one, other)) or _WITHIN.get((other, one))


def _beyond_house(subject: Subject, pair: Pair, one: Figure, two: Figure) -> bool | None:
    """Whether two figures part by more than the house allows; None where it has set nothing for them."""
    setting = _allowance(pair)
    within = subject.style.allowance(setting) if setting else None
    if setting is None or within is None:
        return None
    exact = (convert(figure.value, amount.symbol, setting.unit) for figure, amount in ((one, pair.first), (two, pair.second)))
    # A hair's breadth for figures that lie on the limit and were read from decimals.
    return abs(next(exact) - next(exact)) > within + 1e-9 and rounded(one.value, pair.first.symbol, pair.second.symbol) != two.value


def _too_coarse(subject: Subject, pair: Pair, one: Figure, two: Figure) -> Finding:
    """Two figures that agree as the trade rounds, but not as the house does."""
    first, second, setting = pair.first, pair.second, _allowance(pair)
    right = _rounded(one.value, first.symbol, second.symbol)
    within = subject.style.allowance(setting) if setting else None
    return Finding(
        RULE.name,
        Severity.STYLE,
        f"{words_at(subject, one.span)} {first.symbol} is {_number(right, second.symbol)} {second.symbol}, and the text says {words_at(subject, two.span)} {second.symbol}; "
        f"the house allows {within:g} {setting.unit if setting else ''} between them.",
        one.span.to(two.span),
        corrections=(_put(subject, two, right, second),),
    )


def _near(value: float, symbol: str, other: float, other_symbol: str) -> bool:
    """Within the wider allowance of an approximate pair."""
    if symbol not in IMPERIAL:
        return _near(other, other_symbol, value, symbol)
    exact = convert(value, symbol, other_symbol)
    limits = [t.at(exact) for t in tolerances() if t.units == (symbol, other_symbol)]
    return bool(limits) and abs(other - exact) <= _ABOUT_FACTOR * max(limits)


def _rounded(value: float, symbol: str, other: str) -> float:
    """In the other unit, to a step a reader uses: quarter inches, whole yards, tenths of an ounce."""
    if other not in IMPERIAL:
        return rounded(value, symbol, other)
    exact = convert(value, symbol, other)
    step = {"in": 0.25 if exact < 24 else 0.5, "oz": 0.05 if exact < 10 else 0.5, "lb": 0.1, "ft": 0.5}.get(other, 1.0)
    return max(step, round(round(exact / step) * step, 4))


def _number(value: float, symbol: str) -> str:
    return printed(value, "½" if symbol == "in" else "")


def _put(subject: Subject, figure: Figure, value: float, amount: Amount) -> Correction:
    around = subject.text[amount.span]
    words = printed(value, around if amount.symbol in IMPERIAL else "")
    return Correction(f"Make it {words} {amount.symbol}", (Edit(figure.span, words),))


def _foot_marks(subject: Subject) -> Iterator[Finding]:
    kinds = (SectionKind.SIZES, SectionKind.GAUGE)
    places = [(s.kind, s.span) for s in subject.layout.sections if s.kind in kinds]
    found: list[tuple[Amount, SectionKind]] = []
    for amount in amounts(subject.text.source):
        if not amount.in_foot_marks:
            continue
        kind = next((k for k, span in places if amount.span.start in span), None)
        if kind is None or not (kind is SectionKind.GAUGE or max(amount.values) >= _TALL):
            continue
        found.append((amount, kind))
    if not found:
        return
    first = found[0][0]
    feet = max(first.values)
    yield Finding(
        RULE.name,
        Severity.QUERY,
        f"“{words_at(subject, first.span)}” has foot marks: {feet:g} ft is {convert(feet, 'ft', 'in'):g} in. Are inches meant?",
        first.span,
        because=tuple(Because(a.span, "a foot mark here as well") for a, _ in found[1:]),
        corrections=(Correction("Put inch marks", tuple(_inch_marks(subject, [a for a, _ in found]))),),
    )


def _inch_marks(subject: Subject, found: list[Amount]) -> Iterator[Edit]:
    source = subject.text.source
    for amount in found:
        for figure in amount.figures:
            at = figure.span.end
            if is_foot_mark(source[at : at + 1]):
                yield Edit(Span(at, at + 1), "″" if source[at] == "′" else '"')


RULE = Rule(
    name="unit-pair",
    severity=Severity.WRONG,
    title="Two figures for one measure that do not agree",
    why="Some makers read inches and some centimetres. Where the two are not the same length, half of the readers make another thing than the one in the photograph, or buy too little yarn.",
    looks_like="US terms.\nFinished size: 16 in (36 cm) square\n\nCh 13.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (12 sc)\n",
    better="US terms.\nFinished size: 16 in (40.5 cm) square\n\nCh 13.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (12 sc)\n",
    let_stand="When the two figures are not meant for the same thing, or the house rounds more coarsely than print usually does.",
    check=check,
    settings=tuple(_WITHIN.values()),
    source="1 in = 2.54 cm, 1 yd = 0.9144 m, 1 oz = 28.35 g; allowances as measured on yarn companies' leaflets (units.toml).",
)

