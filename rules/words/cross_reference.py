"""A reference to a section, a chart, a page or a part that the manuscript does not have."""

from __future__ import annotations

import re
from collections.abc import Iterator

from ...lint import regex
from ...lint.finding import Because, Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.syntax.layout import SectionKind
from ...lint.text import Span

_STEMS = ("see ", "refer", "chart", "diagram", "fig", "photo", "page", "as for", "as given", "same as", "work as", "to match")
_SECTION = regex.compile(
    r"\b(?<!will )(?<!to )(?<!can )(?<!you )(?:see|refer\s+to|as\s+(?:described|explained)\s+(?:in|under))\s+(?:the\s+)?['\"]?(?P<what>special\s+stitch(?:es)?|stitch\s+(?:guide|glossary|key)|(?:pattern\s+)?notes|abbreviations|gauge\s+section|finishing(?:\s+section)?|size\s+(?:table|chart)|techniques?)\b(?!\s+(?:at|on|inside|overleaf|opposite|in\s+the\s+back|in\s+our)\b)"
)
_HEADED = {
    "special": SectionKind.SPECIAL,
    "stitch": SectionKind.SPECIAL,
    "note": SectionKind.NOTES,
    "pattern": SectionKind.NOTES,
    "abbreviation": SectionKind.ABBREVIATIONS,
    "gauge": SectionKind.GAUGE,
    "finishing": SectionKind.FINISHING,
    "size": SectionKind.SIZES,
}
_NUMBERED = regex.compile(
    r"(?<![a-z])(?P<kind>charts?|diagrams?|fig(?:ure|\.)?s?|photos?)\s+(?P<which>[a-h]|\d{1,2})(?![\w.]\w|\w)"
    r"(?P<more>(?:\s*(?:,\s*(?:and\s+)?|&|-|\band\b|\bto\b|\bthrough\b)\s*(?:[a-h]|\d{1,2})(?!\w))*)"
)
_PAGES = regex.compile(r"\bpage\s+(\d{1,3})\s+of\s+(\d{1,3})\b")
_TO_PAGE = regex.compile(r"\b(?:see|on|refer\s+to)\s+(?:page|p\.)\s*(\d{1,3})\b(?!\s+(?:of|in|on)\b)")
_PART = regex.compile(
    r"\b(?:work|made|make|worked|same|complete|finish|shape)?\s*\b(?:as\s+(?:given\s+)?for|same\s+as|to\s+match|as\s+on)\s+(?:the\s+)?(?:(?:first|second|left|right|other|1st|2nd|lower|upper)\s+)?(?P<part>back|front|sleeve|yoke|body|leg|arm|ear|head|hat|panel|pocket|collar|cuff|hood|thumb|hand|foot|heel|wing|petal|brim|crown|sole|mitten|sock|bootee|bootie)s?\b(?!\s*[-']|\s+(?:posts?|loops?|st(?:s|itch(?:es)?)?|size|length|width|circumference|measurements?|edge|colou?r)\b)"
)
_CALLED = {"hand": ("mitt", "glove"), "thumb": ("mitt", "glove"), "foot": ("sock", "slipper", "boot", "shoe"), "leg": ("trouser", "pant"), "head": ("hat", "bonnet")}
"""What a part may be called by the thing it is of: as for left hand, of a pair of mittens."""



def check(subject: Subject) -> Iterator[Finding]:
    folded = subject.layout.folded
    if subject.pattern.antique or not any(stem in folded for stem in _STEMS):
        return
    yield from _sections(subject)
    yield from _captions(subject)
    yield from _pages(subject)
    yield from _parts(subject)


def _said(span: Span, words: str, because: tuple[Because, ...] = ()) -> Finding:
    return Finding(RULE.name, Severity.QUERY, words, span, because=because)


def _sections(subject: Subject) -> Iterator[Finding]:
    folded, layout = subject.layout.folded, subject.layout
    for match in _SECTION.finditer(folded):
        what = match["what"]
        first = what.split()[0].rstrip("s").removesuffix("es")
        kind = _HEADED.get("stitch" if what.startswith("stitch") else first)
        if kind is not None and layout.of(kind):
            continue
        if any(e.special for e in layout.key) and kind is SectionKind.SPECIAL:
            continue
        # the same words elsewhere may be what is meant: a heading this program does not know, a line that begins with them
        if _stands_at_a_line(folded, what, match.start("what")) or (kind is SectionKind.NOTES and regex.search(r"\bnote\s*[:.]", folded)):
            continue
        span = Span(match.start(), match.end())
        yield _said(span, f'"{subject.text[span]}" points to a part of the manuscript that was not found. Is it still to come, or has it another name?')


def _stands_at_a_line(folded: str, words: str, but_not: int) -> bool:
    """Whether a line begins with the words, or with their first, in another place."""
    stem = re.escape(words.split()[0].rstrip("s").removesuffix("e"))
    return any(not m.start() <= but_not < m.end() for m in re.finditer(rf"(?m)^[\s*_#>|=~.-]*(?:\w+\s+)?{stem}", folded))


def _captions(subject: Subject) -> Iterator[Finding]:
    """A chart or figure by its letter or number, where others of its kind have a line of their own and it has none."""
    folded = subject.layout.folded
    captions: dict[str, set[str]] = {}
    uses: list[tuple[str, str, Span]] = []
    for match in _NUMBERED.finditer(folded):
        kind = match["kind"].rstrip("s.")
        kind = "fig" if kind.startswith("fig") else kind
        line = folded.rfind("\n", 0, match.start()) + 1
        at_start = not folded[line : match.start()].strip(" \t*_#>|-([")
        if at_start and (match["more"] or not regex.match(r"\s+(?:shows?|on|over|once|twice|across)\b", folded[match.end() : match.end() + 10])):
            captions.setdefault(kind, set()).update(_together(match["which"], match["more"]))
        else:
            uses.append((kind, match["which"], Span(match.start(), match.end("which"))))
    seen: set[tuple[str, str]] = set()
    for kind, which, span in uses:
        have = captions.get(kind, set())
        if have and which not in have and which.isdigit() == next(iter(have)).isdigit() and (kind, which) not in seen:
            seen.add((kind, which))
            yield _said(span, f'"{subject.text[span]}" was not found; the manuscript has {", ".join(sorted(w.upper() for w in have))}. Which is meant?')


def _together(first: str, more: str) -> Iterator[str]:
    """The letters or numbers of one caption: 1, 2 and 4; A-C."""
    last = first
    for sign, which in regex.findall(r"(,|&|-|\band\b|\bto\b|\bthrough\b)\s*(?:and\s+)?([a-h]|\d{1,2})", more):
        if sign in ("-", "to", "through") and which.isdigit() == last.isdigit():
            number = int if which.isdigit() else ord
            yield from (str(n) if which.isdigit() else chr(n) for n in range(number(last), number(which)))
        yield last
        last = which
    yield last


def _pages(subject: Subject) -> Iterator[Finding]:
    folded = subject.text.source.lower()
    totals = {int(m[2]) for m in _PAGES.finditer(folded)}
    if len(totals) != 1:
        return
    last = totals.pop()
    for match in _TO_PAGE.finditer(folded):
        if int(match[1]) > last:
            span = Span(match.start(), match.end())
            yield _said(span, f'"{subject.text[span]}" points past the last page; there are {last}. Which page is meant?')


def _parts(subject: Subject) -> Iterator[Finding]:
    """A part worked "as for" another that has no heading and is made nowhere."""
    folded = subject.layout.folded
    named = [(s.name or subject.text[s.heading]).lower() for s in subject.layout.of(SectionKind.PIECE)]
    if sum(bool(n.strip()) for n in named) < 2:
        return  # no headings to go by
    for match in _PART.finditer(folded):
        part = match["part"]
        if any(called in name for name in named for called in (part[:4], *_CALLED.get(part, ()))) or _stands_at_a_line(folded, part, match.start("part")):
            continue
        span = Span(match.start("part"), match.end())
        yield _said(span, f'No part of the manuscript is called "{subject.text[span]}"; its parts are {", ".join(dict.fromkeys(n.title() for n in named if n.strip()))}. Which is meant?')


RULE = Rule(
    name="cross-reference",
    severity=Severity.QUERY,
    title="A reference to something that is not there",
    why="A section is renamed, a chart taken out or a page moved, and the words that point to it stay. The maker looks for it and finds nothing.",
    looks_like="US terms.\nCh 11.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (10 sc)\nRow 2: Ch 1, popcorn in first st (see Special Stitches), sc in each st across. (10 sts)\n",
    better="US terms.\nSpecial Stitches\nPopcorn: 5 dc in same st, drop loop, insert hook in first dc, pull loop through.\n\nSquare\nCh 11.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (10 sc)\nRow 2: Ch 1, popcorn in first st (see Special Stitches), sc in each st across. (10 sts)\n",
    let_stand="When what is pointed to is printed on another sheet, or is a drawing.",
    check=check,
)
