"""Which of inches and centimetres comes first."""

from __future__ import annotations

from collections.abc import Iterator

from ...lint import regex
from ...lint.finding import Finding, Severity
from ...lint.measures import IMPERIAL, pairs
from ...lint.rule import Rule, Subject
from ...lint.style import Choice
from ...lint.text import Span
from .habit import Found, Use, departures_among, quoted, told

FIRST = Choice("unit-first", "whether inches or centimetres come first", ("in", "cm"))

_CLOSING = regex.compile(r"\s*[)\]]")
_WORDS = {"in": "inches first", "cm": "centimetres first"}


def check(subject: Subject) -> Iterator[Finding]:
    swapped: dict[Span, str] = {}

    def find() -> Iterator[Found]:
        source = subject.text.source
        for pair in pairs(source):
            first, second = pair.first, pair.second
            if not first.is_length or "yd" in (first.symbol, second.symbol) or first.in_foot_marks or second.in_foot_marks:
                continue
            between = source[first.span.end : second.span.start]
            closing = _CLOSING.match(source, second.span.end) if regex.search(r"[(\[]", between) else None
            span = Span(first.span.start, closing.end() if closing else second.span.end)
            swapped[span] = f"{subject.text[second.span]}{between}{subject.text[first.span]}{closing[0] if closing else ''}"
            yield Found(0, (Use("in" if first.symbol in IMPERIAL else "cm", span.start, span.end),))

    for departure in departures_among(subject, FIRST, find):
        words = quoted(subject, departure.places[0][0])
        message = f"{words} puts {_WORDS[departure.form]}; {departure.standard(_WORDS[departure.wanted])}."
        changes = {subject.text[span]: swapped[span] for span, _ in departure.places}
        yield told(subject, RULE.name, departure, message, changes.get)


RULE = Rule(
    name="unit-first",
    severity=Severity.STYLE,
    title="Inches and centimetres the other way about",
    why="A reader who works in one of the two looks in the same place for it every time.",
    looks_like="Finished size\n"
    + "".join(f"{part}: {n} in ({n * 2.54:.1f} cm)\n" for n, part in enumerate(("Width", "Length", "Depth", "Handle", "Flap", "Strap", "Gusset"), 10))
    + "Tab: 10 cm (4 in)\n\nCh 11.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (10 sc)\n",
    better="Finished size\n"
    + "".join(f"{part}: {n} in ({n * 2.54:.1f} cm)\n" for n, part in enumerate(("Width", "Length", "Depth", "Handle", "Flap", "Strap", "Gusset"), 10))
    + "Tab: 4 in (10 cm)\n\nCh 11.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (10 sc)\n",
    let_stand="When the thing is sold in the other unit, as ribbon or buttons are.",
    check=check,
    settings=(FIRST,),
)
