"""Which words a manuscript's rows use, and where: what the rules about words stand on.

Only row statements are looked at, never prose: a blog may say "crochet a treat" as often as it likes.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from functools import lru_cache
from typing import NamedTuple

from . import regex
from .rule import Subject
from .same import Same
from .syntax.layout import KeyEntry, Section, SectionKind, Statement
from .syntax.lexer import Token, Vocabulary, lexer_for
from .syntax.statement import too_long
from .syntax.tree import Tree
from .text import Span
from .trade.abbreviations import folded as fold_word

_KEPT = frozenset({"STITCH", "SL", "GROUPNAME", "LOOPS", "WORD"})


class Use(NamedTuple):
    """One word of a row: its lexer type, its words in the reading copy and as printed, and the row it stands in."""

    type: str
    word: str
    printed: str
    span: Span
    statement: Statement

    @property
    def row(self) -> str:
        return row_name(self.statement)


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


@lru_cache(maxsize=16)
def _words_with(vocabulary: Vocabulary) -> Callable[[str, str], tuple[Token, ...]]:
    """Reads the words of a statement, each text once; one reader a vocabulary, so that looking up is cheap."""
    lexer = lexer_for(vocabulary)

    @lru_cache(maxsize=8192)
    def words(folded: str, source: str) -> tuple[Token, ...]:
        if too_long(folded):
            return ()
        return tuple(t for t in lexer.tokens(folded, source) if t.type in _KEPT)

    return words


class Row(NamedTuple):
    """A labelled row: its label and its words, in the reading copy and as printed, and where each begins.

    ``tree`` is None where its words are read with another row's or not at all.
    """

    statement: Statement
    label: str
    printed_label: str
    label_origin: int
    words: str
    printed: str
    origin: int
    tree: Tree | None


def uses(subject: Subject) -> tuple[Use, ...]:
    """Every stitch, group and loop named in the labelled rows, and every word nobody knows (type ``WORD``)."""
    return _uses(Same(subject))


@lru_cache(maxsize=2)
def _uses(same: Same[Subject]) -> tuple[Use, ...]:
    return tuple(_read(same.value, ((s, s.body) for s in row_statements(same.value))))


def _read(subject: Subject, places: Iterable[tuple[Statement, Span]]) -> Iterator[Use]:
    read = _words_with(subject.pattern.vocabulary)
    folded, source = subject.layout.folded, subject.text.source
    for statement, place in places:
        for token in read(folded[place.start : place.end], source[place.start : place.end]):
            a, b = place.start + token.start, place.start + token.end
            yield Use(token.type, folded[a:b], source[a:b], Span(a, b), statement)


def rows_of(subject: Subject) -> tuple[Row, ...]:
    """Every labelled row of every piece, in the order of the text."""
    return _rows(Same(subject))


@lru_cache(maxsize=1)
def _rows(same: Same[Subject]) -> tuple[Row, ...]:
    subject = same.value
    folded, source = subject.layout.folded, subject.text.source
    trees = {e.origin: e.tree for piece in subject.pattern.pieces for e in piece.entries if e.tree is not None and e.origin >= e.span.start}
    out: list[Row] = []
    for statement in row_statements(subject):
        assert statement.label is not None
        a, b, start, end = statement.label.span.start, statement.label.span.end, statement.body.start, statement.body.end
        out.append(Row(statement, folded[a:b], source[a:b], a, folded[start:end], source[start:end], start, trees.get(start)))
    return tuple(out)


def unknown_words(subject: Subject) -> dict[str, list[Use]]:
    """The words of the rows that nobody knows, each with every place it stands in."""
    found: dict[str, list[Use]] = {}
    for use in uses(subject):
        if use.type == "WORD":
            found.setdefault(use.word, []).append(use)
    return found


def uses_in_recipes(subject: Subject) -> tuple[Use, ...]:
    """The stitches that the definitions of special stitches are made of."""
    recipes = [e for e in subject.layout.key if e.special]
    return tuple(_read(subject, ((Statement(None, e.span), Span(e.words_span.end, e.span.end)) for e in recipes)))


def uses_in_foundations(subject: Subject) -> tuple[Use, ...]:
    """The words of the foundations that stand before the rows without a label: “Ch 4, join with sl st to form a ring.”"""
    spans = dict.fromkeys(e.span for piece in subject.pattern.pieces for e in piece.entries if e.kind == "foundation" and e.written and len(e.span))
    labelled = {s.span.start for s in row_statements(subject)}
    return tuple(_read(subject, ((Statement(None, span), span) for span in spans if span.start not in labelled)))


def in_rows(subject: Subject, pattern: regex.Pattern[str], *, printed: bool = False) -> Iterator[tuple[Statement, Span]]:
    """Where a pattern stands in the rows, in their reading copy or as printed."""
    words = subject.text.source if printed else subject.layout.folded
    for statement in row_statements(subject):
        at = statement.body.start
        for start, end in _matches(pattern, words[at : statement.body.end]):
            yield statement, Span(at + start, at + end)


@lru_cache(maxsize=24576)
def _matches(pattern: regex.Pattern[str], words: str) -> tuple[tuple[int, int], ...]:
    return tuple(m.span() for m in pattern.finditer(words))


def key_sections(subject: Subject) -> tuple[Section, ...]:
    """The abbreviation keys a manuscript prints."""
    return tuple(s for s in subject.layout.of(SectionKind.ABBREVIATIONS) if len(s.body) > 0)


def key_entries(subject: Subject) -> tuple[KeyEntry, ...]:
    """The entries of its keys, without the recipes of special stitches."""
    bodies = [s.body for s in key_sections(subject)]
    return tuple(e for e in subject.layout.key if not e.special and any(e.span.start in body for body in bodies))


def spelled(word: str) -> str:
    """A pattern for a word under each of its spellings, its plural left out: "sc", "s.c.", "s c"."""
    plain = fold_word(word).lower()
    if len(plain) <= 8 and plain.isalnum():
        return r"[ .\-]?".join(re.escape(c) for c in plain)
    return r"[\s\-]+".join(re.escape(part) for part in re.split(r"[\s\-]+", word.lower().strip()))


@lru_cache(maxsize=2048)
def spelling(word: str) -> regex.Pattern[str]:
    """Finds a word in a reading copy under each of its spellings; its plural too."""
    return re.compile(rf"(?<![a-z]){spelled(word)}(?:'?s|es)?(?![a-z])")


_EXPLAINS = regex.compile(r"\s*(?:=|:|–|—|-{1,2}\s|\)\s*[:=–—-]|\(|,?\s(?:means|stands for|is worked|is made)\b)")
_EXPLAINED_BY = regex.compile(r"[(\[=]\s*$")
# The same inside a row, where a bracket or a colon may be part of the working.
_EXPLAINS_IN_ROW = regex.compile(r"\s+(?:st\s+)?(?:made|formed|completed)\b|\s*\((?:yo|insert|work|over|draw|pull|see|=)")
_EXPLAINED_BY_IN_ROW = regex.compile(r"(?:=\s*|is\s)$")


def explained(subject: Subject, word: str) -> bool:
    """Whether a manuscript says anywhere what a word means, in its key or out of it. Says yes when in doubt."""
    plain = fold_word(word).lower()
    for entry in subject.layout.key:
        if any(_same(plain, fold_word(w).lower()) for w in entry.words):
            return True
    pattern, folded = spelling(word), subject.layout.folded
    for section in key_sections(subject):
        if pattern.search(folded, section.body.start, section.body.end):
            return True
    rows = [s.body for s in row_statements(subject)]
    for match in pattern.finditer(folded):
        before, after = folded[max(0, match.start() - 3) : match.start()], folded[match.end() : match.end() + 16]
        in_row = any(match.start() in row for row in rows)
        then, first = (_EXPLAINS_IN_ROW, _EXPLAINED_BY_IN_ROW) if in_row else (_EXPLAINS, _EXPLAINED_BY)
        if then.match(after) or first.search(before):
            return True
    return False


def _same(one: str, other: str) -> bool:
    return one == other or one == other + "s" or other == one + "s" or one == other + "es"


def one_slip_apart(one: str, other: str) -> bool:
    """Whether two words differ by one letter put in, left out or changed, or by two neighbours changed about."""
    if one == other or abs(len(one) - len(other)) > 1:
        return False
    start = next((i for i, (a, b) in enumerate(zip(one, other, strict=False)) if a != b), min(len(one), len(other)))
    a, b = one[start:], other[start:]
    return a[1:] == b[1:] or a[1:] == b or a == b[1:] or (a[:2] == b[:2][::-1] and len(a) > 1 and a[2:] == b[2:])
