"""Which words a manuscript's rows use, and where: what the rules about words stand on.

Only row statements are looked at, never prose: a blog may say "crochet a treat" as often as it likes.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from .rule import Subject
from .syntax.layout import SectionKind, Statement
from .syntax.lexer import Token, Vocabulary, lexer_for
from .text import Span


@dataclass(frozen=True, slots=True)
class Use:
    """One token of a row: its lexer type, its words in the reading copy and as printed, and the row it stands in."""

    type: str
    word: str
    printed: str
    span: Span
    row: str
    value: object = None


def row_statements(subject: Subject) -> Iterator[Statement]:
    """Every labelled statement of every piece, in the order of the text."""
    for section in subject.layout.sections:
        if section.kind is SectionKind.PIECE:
            for statement in section.statements:
                if statement.label is not None:
                    yield statement


def row_name(statement: Statement) -> str:
    """The row a statement is, as findings name it; "" where it has no number."""
    label = statement.label
    if label is None:
        return ""
    word = "Rnd" if label.word in ("Rnd", "R") else "Row"
    if not label.numbers:
        return ""
    first, last = label.numbers[0], label.numbers[-1]
    return f"{word} {first}" if first == last else f"{word}s {first}–{last}"


@lru_cache(maxsize=8192)
def _tokens(folded: str, source: str, vocabulary: Vocabulary) -> tuple[Token, ...]:
    return tuple(t for t in lexer_for(vocabulary).tokens(folded, source) if t.type != "_")


def vocabulary_of(subject: Subject) -> Vocabulary:
    """The words the rows of a manuscript are read with."""
    pattern = subject.pattern
    stitches = tuple(sorted(((d.name, d.stitch) for d in pattern.definitions), key=lambda pair: pair[0]))
    return Vocabulary(pattern.terms, max(1, len(pattern.sizes)), stitches, frozenset[str]())


def uses(subject: Subject) -> Iterator[Use]:
    """Every token of every labelled row that carries meaning, and every word nobody knows (type ``WORD``)."""
    vocabulary = vocabulary_of(subject)
    for statement in row_statements(subject):
        yield from uses_in(subject, statement, vocabulary)


def uses_in(subject: Subject, statement: Statement, vocabulary: Vocabulary | None = None) -> Iterator[Use]:
    """The tokens of one statement."""
    vocabulary = vocabulary or vocabulary_of(subject)
    folded = subject.layout.folded
    body, name = statement.body, row_name(statement)
    for token in _tokens(folded[body.start : body.end], subject.text[body], vocabulary):
        span = Span(body.start + token.start, body.start + token.end)
        yield Use(token.type, folded[span.start : span.end], subject.text[span], span, name, token.value)
