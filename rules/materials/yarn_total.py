"""The amount of yarn: balls against the length wanted, parts against the whole, colours listed against colours used."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise

from ...lint import regex
from ...lint.finding import Because, Finding, Severity
from ...lint.measures import Amount, amounts
from ...lint.measures_yarn import Yarn, yarn_of
from ...lint.rule import Rule, Subject
from ...lint.syntax.layout import SectionKind
from ...lint.text import Span
from ...lint.trade.units import convert
from ...lint.wording import count_of, listed, sizes_in_words

_SHORT = 0.97
"""Balls may fall short of a rounded total by so much."""

_FAR = 1.33

_INCHES = {"sc": 1.1, "hdc": 1.6, "dc": 2.0, "tr": 2.6}
"""Inches of worsted (weight 4) that no stitch does with: about two thirds of what swatches use."""

_BY_WEIGHT = {0: 0.3, 1: 0.45, 2: 0.6, 3: 0.75, 4: 1.0, 5: 1.3, 6: 1.7, 7: 2.4}

_LISTED = regex.compile(
    r"\((?P<a>MC|CC\d?|C\d|[A-H])\)|\b(?:[Cc]olou?r|[Yy]arn|[Cc]ontrast|[Ss]hade)\s+(?P<b>[A-H])\b|^[ \t]*(?:[-•*·|][ \t]*)?(?:\*\*)?(?P<c>[A-H])(?:\*\*)?(?:\s*[:=–|]|\s+-\s|\s+(?=[A-Z][a-z]+[^\n]*(?:\bx\s?\d|\bballs?\b|\bskeins?\b)))|\b(?P<d>MC|CC\d?)\s*[:=–-]",
    regex.MULTILINE,
)
_WORKED_WITH = regex.compile(
    r"(?i:\b(?:with|using|join(?:ing)?|chang(?:e|ing)\s+to|change\s+colou?r\s+to|switch\s+to|drop|cut|carry)\s+(?:yarn\s+|colou?r\s+)?)([A-H])\b(?![-\w'’(/])(?!\s*\d)(?!\s+(?i:(?:or\s+\S+\s+)?(?:size\s+|crochet\s+)*hook))"
)
_NAMES = r"(?i:\b(?:square|motif|block|piece|panel|strip|chart|section|part|edge|corner|side|point|marker|seam|row|flower|hook|size)s?)\s+(?:[A-H]\s*(?:,|and|&|to|with)\s*)*"
"""What else may be called by a letter."""

_RANGE = regex.compile(r"\b([A-H]|MC|CC\d?|C\d)(?:\s*[-–—]\s*|\s+(?:to|through|thru)\s+)([A-H]|CC\d?|C\d)\b")
_NOT_BY_NAME = regex.compile(
    r"\b(?:as\s+(?:desired|you\s+like)|any\s+colou?r|each\s+colou?r|colou?rs?\s+in\s+order|stripe\s+(?:sequence|pattern)|random|chart|alternat\w+|next\s+colou?r)\b",
    regex.IGNORECASE,
)


def check(subject: Subject) -> Iterator[Finding]:
    yarn = yarn_of(subject)
    yield from _sum_of_balls(subject.text.source, yarn)
    yield from _length(subject, yarn)
    if len(subject.work.sizes) > 2:
        yield from _by_size(subject, yarn)
    yield from _gross(subject, yarn)
    yield from _colours(subject, yarn)


def _sum_of_balls(source: str, yarn: Yarn) -> Iterator[Finding]:
    totals = [c for c in yarn.counts if c.total]
    parts = [c for c in yarn.counts if not c.total]
    if len(totals) != 1 or len(parts) < 2 or any(c.each for c in yarn.counts) or len(yarn.places) > 2:
        return
    if any(regex.search(r"\bor\b", source[a.span.end : b.span.start]) for a, b in pairwise(parts)):
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


def _by_size(subject: Subject, yarn: Yarn) -> Iterator[Finding]:
    """The balls of each size: enough for its length, no fewer than for the size before, and not the same for all."""
    sizes = subject.work.sizes
    told = [c for c in yarn.lists if len(c.values) == len(sizes)]
    if len(told) != len(yarn.lists) or not told:
        return
    each = {round(m, 1) for m, _ in yarn.per_ball}
    wanted = [a for a in _lists_of_length(subject, yarn) if len(a.figures) == len(sizes)]
    if len(told) == len(each) == len(wanted) == 1:
        metres = [convert(v, wanted[0].symbol, "m") for v in wanted[0].values]
        short = [i for i, n in enumerate(told[0].values) if n * min(each) < metres[i] * _SHORT]
        for i in short[:1]:
            have = convert(told[0].values[i] * min(each), "m", wanted[0].symbol)
            yield Finding(
                RULE.name,
                Severity.QUERY,
                f"{sizes_in_words([sizes[j] for j in short]).capitalize()}: {count_of(told[0].values[i], 'ball')} {'is' if told[0].values[i] == 1 else 'are'} {have:.0f} {wanted[0].symbol}, but {wanted[0].values[i]:g} are wanted. Is a ball more needed?",
                told[0].span,
                sizes=tuple(sizes[j] for j in short),
                because=(Because(wanted[0].span, "the length wanted"),),
            )
    for counts in told:
        dips = [i for i in range(1, len(sizes)) if counts.values[i] < counts.values[i - 1]]
        if len(dips) == 1 and max(counts.values) != counts.values[0]:
            i = dips[0]
            yield Finding(
                RULE.name,
                Severity.QUERY if len(told) == 1 else Severity.SUGGESTION,
                f"Size {sizes[i]} takes {count_of(counts.values[i], 'ball')} and the smaller size {sizes[i - 1]} {counts.values[i - 1]}. Is that meant?",
                counts.span,
                sizes=(sizes[i],),
            )
    if len(told) == 1 and len(set(told[0].values)) == 1 and told[0].values[0] > 2 and _sizes_far_apart(subject):
        yield Finding(
            RULE.name,
            Severity.SUGGESTION,
            f"The amount of yarn is the same for every size, {count_of(told[0].values[0], 'ball')}. Does the largest size take no more than the smallest?",
            told[0].span,
        )


def _lists_of_length(subject: Subject, yarn: Yarn) -> list[Amount]:
    """Lists of yards or metres in the materials, each once, in the unit printed first."""
    found = [a for a in amounts(subject.text.source) if a.symbol in ("yd", "m") and len(a.figures) > 1 and any(a.span.start in p for p in yarn.places)]
    return [a for i, a in enumerate(found) if i == 0 or found[i - 1].symbol == a.symbol]


def _sizes_far_apart(subject: Subject) -> bool:
    """Whether a list of measurements grows by a third from the first size to the last."""
    lists = [a.values for a in amounts(subject.text.source) if a.is_length and len(a.figures) == len(subject.work.sizes) and not a.times]
    return any(v[-1] >= v[0] * _FAR for v in lists if v[0])


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
            group = match.lastgroup or "a"
            at.setdefault(match[group], Span(match.start(group), match.end(group)))
    if len(at) < 2:
        return
    skipped = {SectionKind.MATERIALS, SectionKind.ABBREVIATIONS}
    # "A" is a word of its own; it counts as used wherever it stands.
    body = " ".join(text[s.span] for s in subject.layout.sections if s.kind not in skipped)
    if _NOT_BY_NAME.search(body):
        return
    used = {c for c in at if re.search(rf"(?<![\w-]){c}(?![\w-])", body)} | _in_ranges(list(at), body)
    unused = [c for c in at if c not in used and not _by_its_name(text.source, at[c], body)]
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
    yield from _not_listed(subject, at)


def _in_ranges(colours: Sequence[str], body: str) -> set[str]:
    """The colours a text takes together: B to E, CC1-CC3."""
    out: set[str] = set()
    for match in _RANGE.finditer(body):
        if match[1] in colours and match[2] in colours:
            first, last = sorted((colours.index(match[1]), colours.index(match[2])))
            out.update(colours[first : last + 1])
    return out


def _by_its_name(source: str, at: Span, body: str) -> bool:
    """Whether the text speaks of a colour by the name beside its letter."""
    start = max(source.rfind(c, 0, at.start) for c in "\n,;") + 1
    ends = [found for c in "\n,;" if (found := source.find(c, at.end)) >= 0]
    names = regex.findall(r"\b[A-Z][a-z]{2,}\b", source[start : min(ends, default=len(source))])
    return any(re.search(rf"\b{name}\b", body, re.IGNORECASE) for name in names)


def _not_listed(subject: Subject, at: Mapping[str, Span]) -> Iterator[Finding]:
    """A letter worked with that the list of yarns, which goes from A on, does not have."""
    letters = sorted(c for c in at if len(c) == 1)
    if len(letters) < 2 or letters != [chr(65 + i) for i in range(len(letters))]:
        return
    for section in subject.layout.of(SectionKind.PIECE):
        for match in _WORKED_WITH.finditer(subject.text.source, section.span.start, section.span.end):
            if match[1] not in at and not re.search(rf"{_NAMES}{match[1]}\b", subject.text.source):
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
