"""The amount of yarn: balls against the length wanted, parts against the whole, colours listed against colours used."""

from __future__ import annotations

import re
from collections.abc import Iterator

from ...lint.finding import Because, Finding, Severity
from ...lint.measures_yarn import Yarn, yarn_of
from ...lint.rule import Rule, Subject
from ...lint.syntax.layout import SectionKind
from ...lint.text import Span
from ...lint.trade.units import convert
from ...lint.wording import count_of, listed

_SHORT = 0.97
"""Balls may fall short of a rounded total by so much."""

_INCHES = {"sc": 1.1, "hdc": 1.6, "dc": 2.0, "tr": 2.6}
"""Inches of worsted (weight 4) that no stitch does with: about two thirds of what swatches use."""

_BY_WEIGHT = {0: 0.3, 1: 0.45, 2: 0.6, 3: 0.75, 4: 1.0, 5: 1.3, 6: 1.7, 7: 2.4}

_LISTED = re.compile(r"\((MC|CC\d?|C\d|[A-H])\)|\b(?:[Cc]olou?r|[Yy]arn|[Cc]ontrast)\s+([A-H])\b|^\s*(?:[-•*·]\s*)?([A-H])\s*[:=–-]", re.MULTILINE)
_WORKED_WITH = re.compile(
    r"(?i:\b(?:with|using|join(?:ing)?|chang(?:e|ing)\s+to|change\s+colou?r\s+to|switch\s+to|drop|cut|carry)\s+(?:yarn\s+|colou?r\s+)?)([A-H])\b(?![-\w'’(])(?!\s*\d)"
)
_NOT_BY_NAME = re.compile(
    r"\b(?:as\s+(?:desired|you\s+like)|any\s+colou?r|each\s+colou?r|colou?rs?\s+in\s+order|stripe\s+(?:sequence|pattern)|random|chart|alternat\w+|next\s+colou?r)\b",
    re.IGNORECASE,
)


def check(subject: Subject) -> Iterator[Finding]:
    yarn = yarn_of(subject)
    yield from _sum_of_balls(yarn)
    yield from _length(subject, yarn)
    yield from _gross(subject, yarn)
    yield from _colours(subject, yarn)


def _sum_of_balls(yarn: Yarn) -> Iterator[Finding]:
    totals = [c for c in yarn.counts if c.total]
    parts = [c for c in yarn.counts if not c.total]
    if len(totals) != 1 or len(parts) < 2 or any(c.each for c in yarn.counts) or len(yarn.places) > 2:
        return
    told, made = totals[0], sum(c.n for c in parts)
    if told.n != made:
        yield Finding(
            RULE.name,
            Severity.QUERY,
            f"{' + '.join(str(c.n) for c in parts)} are {made} balls, but the text says {told.n} in all. Which is right?",
            told.span,
            because=tuple(Because(c.span, "counted here") for c in parts),
        )


def _length(subject: Subject, yarn: Yarn) -> Iterator[Finding]:
    bought = yarn.bought
    if bought is None or len(yarn.totals) != 1:
        return
    wanted, amount = yarn.totals[0]
    if bought >= wanted * _SHORT:
        return
    n = sum(c.n for c in yarn.counts if c.total) or sum(c.n for c in yarn.counts)
    unit = amount.symbol
    have, each = convert(bought, "m", unit), convert(yarn.per_ball[0][0], "m", unit)
    yield Finding(
        RULE.name,
        Severity.QUERY,
        f"{count_of(n, 'ball')} of {each:.0f} {unit} {'is' if n == 1 else 'are'} {have:.0f} {unit}, but {subject.text[amount.span]} are wanted. Is a ball more needed?",
        amount.span,
        because=tuple(Because(c.span, "the balls") for c in yarn.counts),
    )


def _gross(subject: Subject, yarn: Yarn) -> Iterator[Finding]:
    """Less yarn than the stitches can be made of, by a wide margin."""
    if len(yarn.weights) != 1 or len(subject.work.sizes) > 1:
        return
    told = yarn.totals[0][0] if len(yarn.totals) == 1 and not yarn.per_ball else yarn.bought
    if told is None or not told:
        return
    factor = _BY_WEIGHT[yarn.weights[0]]
    stitches, least = 0, 0.0
    for row in subject.work.rows():
        for kind, n in row.sizes[0].kinds.items() if row.sizes else ():
            stitches += n * row.times
            least += n * row.times * _INCHES.get(kind, 0.0) * factor
    have = convert(told, "m", "in")
    if least <= have or stitches < 500:
        return
    where = yarn.totals[0][1].span if yarn.totals else yarn.per_ball[0][1].span
    yield Finding(
        RULE.name,
        Severity.QUERY,
        f"The rows come to some {stitches} stitches, and {convert(told, 'm', 'yd'):.0f} yd leave {have / stitches:.1f} in of yarn for each. Is that enough?",
        where,
    )


def _colours(subject: Subject, yarn: Yarn) -> Iterator[Finding]:
    text = subject.text
    at: dict[str, Span] = {}
    for place in yarn.places:
        for match in _LISTED.finditer(text.source, place.start, place.end):
            group = match.lastindex or 1
            at.setdefault(match[group], Span(match.start(group), match.end(group)))
    if len(at) < 2:
        return
    skipped = {SectionKind.MATERIALS, SectionKind.ABBREVIATIONS}
    # "A" is a word of its own; it counts as used wherever it stands.
    body = " ".join(text[s.span] for s in subject.layout.sections if s.kind not in skipped)
    if _NOT_BY_NAME.search(body):
        return
    used = {c for c in at if re.search(rf"(?<![\w-]){c}(?![\w-])", body)}
    unused = [c for c in at if c not in used]
    if unused and len(used) >= 2:
        word = "Colour" if subject.pattern.terms == "UK" else "Color"
        if len(unused) == 1:
            words = f"{word} {unused[0]} is in the list of yarns and nothing is worked in it. Where does it come in?"
        else:
            words = f"{word}s {listed(unused)} are in the list of yarns and nothing is worked in them. Where do they come in?"
        yield Finding(
            RULE.name,
            Severity.QUERY,
            words,
            at[unused[0]],
        )
    letters = [c for c in at if len(c) == 1]
    if len(letters) < 2 or letters != [chr(65 + i) for i in range(len(letters))]:
        return
    for section in subject.layout.of(SectionKind.PIECE):
        for match in _WORKED_WITH.finditer(text.source, section.span.start, section.span.end):
            if match[1] not in at:
                yield Finding(
                    RULE.name,
                    Severity.QUERY,
                    f"{match[1]} is worked with here, and the list of yarns has {listed(letters)} only. Is one missing from the list?",
                    Span(match.start(1), match.end(1)),
                    because=(Because(at[letters[-1]], "the last one listed"),),
                )
                return


RULE = Rule(
    name="yarn-total",
    severity=Severity.QUERY,
    title="The amount of yarn does not add up",
    why="Yarn is bought once, from one dye lot. A maker who was told one ball too few, or the wrong colours, may not get another.",
    looks_like="US terms.\nMaterials: about 450 yd of worsted weight yarn (the sample took 2 balls of 200 yd each); 5 mm hook\n\nCh 13.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (12 sc)\n",
    better="US terms.\nMaterials: about 450 yd of worsted weight yarn (the sample took 3 balls of 200 yd each); 5 mm hook\n\nCh 13.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (12 sc)\n",
    let_stand="When part of the yarn is left over from something else, or the amount was weighed.",
    check=check,
    source="Balls are the length needed divided by the length of a ball, rounded up; the least length of a stitch is an allowance of this project.",
)
