"""What the cautions look at: whom and what a pattern is for, and the sentences that already warn.

Nothing here judges an object. Words are looked for where a pattern says what it is: title, first lines, headings, sizes.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from ...lint import regex
from ...lint.rule import Subject
from ...lint.syntax.layout import SectionKind
from ...lint.text import Span
from ...lint.wording import words_at

ASK = "Check the rules where it is sold or ask a qualified person."

_NO_YARN = r"(?!\s+(?:yarn|wool|alpaca|merino|camel|llama|cashmere|weight|dk|cotton|4|soft|acrylic|cord|pink|blue|mint|green|yellow))(?!'s\s+breath)"
_BABY = rf"\b(?:bab(?:y|ies)|newborns?|infants?|preemies?|premature|toddlers?){_NO_YARN}\b|\b\d{{1,2}}\s*(?:[-/]|to)\s*\d{{1,2}}\s*(?:months|mths?|mos?)\b|\b(?:bootees|booties|pram|layette)\b"
BABY = regex.compile(_BABY)
CHILD = regex.compile(
    rf"{_BABY}|\b(?:child|child's|children|children's|childrens|kids|kid's|girls?|boys?)\b|\b\d{{1,2}}\s*(?:[-/]|to)\s*\d{{1,2}}\s*(?:years|yrs?)\b|\bages?\s+\d"
)
TOY = regex.compile(
    r"\b(?:amigurumi|softies?|teddy(?!\s+(?:boucl\w*|yarn|fleece|fur|fabric|coat|jacket))|teddies|plushies?|rag\s*dolls?|dolls?|rattles?|lovey|stuffed\s+(?:animals?|toys?)"
    r"|(?<!cat )(?<!dog )(?<!pet )toys?(?!\s*(?:stuffing|filling|fill|eyes?|fiber|fibre|safety)|\s+(?:basket|box|bag|bin|chest|storage|tidy|hammock|net|sack|shelf)|\s+for\s+(?:\w+\s+)?(?:cats?|dogs?|pets?)\b))\b"
)
"""Not a thing for toys, nor a pet's, nor the yarn of that name."""

_BETWEEN_SENTENCES = regex.compile(r"(?<=[.!?;:])\s+|\n\s*\n")
_TITLE_LINES = 5
_FRONT = (SectionKind.MATERIALS, SectionKind.GAUGE, SectionKind.ABBREVIATIONS, SectionKind.PIECE, SectionKind.SPECIAL)


@dataclass(frozen=True)
class Front:
    """Where a pattern says what it is. ``sure`` are its first lines, headings and sizes; ``chat`` is what else is said first."""

    sure: list[Span]
    chat: list[Span]

    @property
    def all(self) -> list[Span]:
        return [*self.sure, *self.chat]


def front(subject: Subject) -> Front:
    """The places of a manuscript that say what it makes, and for whom."""
    sections, text = subject.layout.sections, subject.text
    begin = min((s.heading.start for s in sections if s.kind in _FRONT and (s.statements or s.kind is not SectionKind.PIECE)), default=len(text))
    lines = [line for line in text.lines() if line.start < begin and text[line].strip()]
    end = lines[:_TITLE_LINES][-1].end if lines else 0
    headings = [s.heading for s in sections if s.heading.start >= end]
    sizes = [s.span for s in sections if s.kind is SectionKind.SIZES and s.heading.start >= end]
    return Front([Span(0, min(end, begin)), *headings, *sizes], [Span(end, begin)] if end < begin else [])


def worked(subject: Subject) -> list[Span]:
    """The places that say what is made and of what."""
    return [s.span for kind in (SectionKind.MATERIALS, SectionKind.PIECE, SectionKind.FINISHING) for s in subject.layout.of(kind)]


def first(subject: Subject, pattern: regex.Pattern[str], places: Iterable[Span]) -> Span | None:
    """Where the words first stand, in the order of the places. The pattern is for the reading copy: all in small letters."""
    matches = (pattern.search(subject.layout.folded, place.start, place.end) for place in places)
    return next((Span(*m.span()) for m in matches if m), None)


def named(subject: Subject, span: Span) -> str:
    """A thing as a sentence names it."""
    return words_at(subject, span).lower()


def warned(subject: Subject, of: regex.Pattern[str], by: regex.Pattern[str]) -> bool:
    """Whether one sentence of the text names the thing and warns of it."""
    folded = subject.layout.folded
    if of.search(folded) is None or by.search(folded) is None:
        return False
    return any(of.search(s) and by.search(s) for s in _BETWEEN_SENTENCES.split(folded))
