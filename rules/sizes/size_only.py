"""Lines for one size only that name a size the manuscript does not have."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from itertools import pairwise

from ...lint import regex
from ...lint.finding import Because, Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.syntax.layout import SectionKind
from ...lint.text import Span
from ...lint.wording import sizes_in_words

_ONLY = regex.compile(
    r"(?<![a-z])(?:for\s+)?(?:sizes?\s+(?P<a>[a-z0-9][a-z0-9 ,/&-]{0,40}?)\s+only|(?P<b>[a-z0-9][a-z0-9,/& -]{0,30}?)\s+sizes?\s+only|(?<=\()(?P<c>[a-z0-9]{1,3})\s+only(?=\)))\b"
)
_SIZE = regex.compile(
    r"x{0,4}[sl]|m|\d{1,2}x{1,2}l?|\d{1,2}x?|x-?(?:small|large)|small|medium|large|extra[ -](?:small|large)"
)
_SHORT = {
    "small": "s",
    "medium": "m",
    "large": "l",
    "extra small": "xs",
    "extra large": "xl",
    "extra-small": "xs",
    "extra-large": "xl",
    "x-small": "xs",
    "x-large": "xl",
    "xsmall": "xs",
    "xlarge": "xl",
}


def plain(name: str) -> str:
    """A size's name in its shortest spelling: "xs", "m", "2x", "6"."""
    name = " ".join(name.lower().split())
    name = _SHORT.get(name, name)
    name = regex.sub(r"\s*(?:years?|yrs?|months?|mths?|mo)$", "", name)
    if regex.fullmatch(r"x{2,5}l", name):
        return f"{name.count('x')}x"
    return regex.sub(r"^(\d)xl$", r"\1x", name)


def _lines_for_one(folded: str, span: Span) -> Iterator[regex.Match[str]]:
    """The places that speak of some sizes only; looked for around the word, since most lines have none."""
    for only in regex.finditer(r"\bonly\b", folded[span.start : span.end]):
        end = span.start + only.end()
        start = max(span.start, folded.rfind("\n", span.start, end) + 1, end - 70)
        match = _ONLY.search(folded, start, end)
        if match:
            yield match


def check(subject: Subject) -> Iterator[Finding]:
    sizes = subject.pattern.sizes
    yield from _twice(subject)
    have = {plain(s) for s in sizes}
    if len(sizes) < 2 or not all(_SIZE.fullmatch(s) or s.isdigit() for s in have):
        return
    because = named_in(subject, sizes)
    if not because:
        return
    folded = subject.layout.folded
    for section in subject.layout.sections:
        if section.kind is not SectionKind.PIECE:
            continue
        for match in _lines_for_one(folded, section.span):
            group = next(g for g in ("a", "b", "c") if match[g])
            names = [n.strip() for n in regex.split(r"\s*(?:,|/|&|\band\b|\bor\b)\s*", match[group]) if n.strip()]
            if not names or not all(_SIZE.fullmatch(n) or n in have for n in map(plain, names)):
                continue
            strange = [n for n in names if plain(n) not in have]
            if not strange or (group == "c" and plain(strange[0]).isdigit()):
                continue
            start = match.start(group)
            printed = subject.text.source[start : match.end(group)]
            word = printed[printed.lower().find(strange[0]) :][: len(strange[0])]
            yield Finding(
                RULE.name,
                Severity.QUERY,
                f"This is for size {word}, and the manuscript has only {', '.join(sizes)}. Which size is meant?",
                Span(match.start(), match.end()),
                because=because,
            )


def _twice(subject: Subject) -> Iterator[Finding]:
    """One row given to a size twice, in two paths for some of the sizes."""
    sizes = len(subject.work.sizes)
    for piece in subject.work.pieces:
        for one, other in pairwise(piece.rows):
            both = [s.size for s in one.sizes if s.size is not None and any(o.size == s.size for o in other.sizes)]
            partial = len(one.sizes) < sizes and len(other.sizes) < sizes
            if both and partial and one.number is not None and one.label == other.label and one.label_span != other.label_span:
                yield Finding(
                    RULE.name,
                    Severity.QUERY,
                    f"{one.label} is given twice for {sizes_in_words(both)}, in two paths. Which of the two is meant?",
                    other.label_span,
                    place=other.label,
                    sizes=tuple(both),
                    because=(Because(one.label_span, f"{one.label} for {sizes_in_words([str(s.size) for s in one.sizes])}"),),
                )


def named_in(subject: Subject, sizes: Sequence[str]) -> tuple[Because, ...]:
    """The line that names the sizes; () where they were only counted in lists."""
    before = ""
    for line in subject.text.lines():
        words = subject.text[line]
        headed, before = f"{before} {words}", words
        if regex.search(r"\b(?:sizes?|ages?|to fit)\b", headed.lower()) and all(
            re.search(rf"(?<!\w){re.escape(s)}(?!\w)", words) for s in sizes
        ):
            return (Because(line, "the sizes are named here"),)
    return ()


RULE = Rule(
    name="size-only",
    severity=Severity.QUERY,
    title="A line for a size there is not",
    why='A line such as "Size XL only" that names no size of the manuscript is left over from another grading or means another size; either way somebody works it who should not, or nobody does.',
    looks_like="US terms.\nSizes: S (M, L)\nCh 13.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. 12 sc.\nSize XL only:\nRow 2: Ch 1, sc in each st across, turn. 12 sc.\n",
    better="US terms.\nSizes: S (M, L)\nCh 13.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. 12 sc.\nSize L only:\nRow 2: Ch 1, sc in each st across, turn. 12 sc.\n",
    let_stand="The size is described elsewhere, as an add-on sheet may do.",
    check=check,
)
