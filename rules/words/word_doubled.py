"""A small word set twice."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from ...lint import regex
from ...lint.finding import Correction, Edit, Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.text import Span
from ...lint.vocabulary_use import row_name, row_statements

_DOUBLED = regex.compile(
    r"(?<![\w'-])(?P<word>the|a|an|in|into|from|of|to|and|next|each|every|around|across|with|then|on|at|for|is|are|as|rep|repeat|until|last|first|same|turn|join|work|skip|sk|sts?|stitch(?:es)?|sps?|spaces?|times?|rows?|rnds?)(?P<gap>\s+)(?P=word)(?![\w'-])"
)


@lru_cache(maxsize=8192)
def _doubled(folded: str) -> tuple[tuple[int, int, int], ...]:
    """Where a word stands twice: the start, the end of the first, the end of the second."""
    return tuple((m.start(), m.end("word"), m.end()) for m in _DOUBLED.finditer(folded))


def check(subject: Subject) -> Iterator[Finding]:
    for statement in row_statements(subject):
        at = statement.body.start
        for start, middle, end in _doubled(subject.layout.folded[at : statement.body.end]):
            span, first = Span(at + start, at + end), Span(at + start, at + middle)
            word = subject.text[first]
            if subject.text[Span(span.end - len(first), span.end)][0].isupper() and not word[0].isupper():
                continue  # a new sentence after a lost stop
            yield Finding(
                RULE.name,
                Severity.STYLE,
                f'"{word}" stands here twice.',
                span,
                place=row_name(statement),
                corrections=(Correction(f'Leave out the second "{word}"', (Edit(Span(first.end, span.end), ""),)),),
            )


RULE = Rule(
    name="word-doubled",
    severity=Severity.STYLE,
    title="A word set twice",
    why="A small word repeated at a line end or after an edit is easily overlooked by the person who wrote it, and makes the reader stop.",
    looks_like="Ch 11.\nRow 1: Sc in 2nd ch from hook and in in each ch across, turn. (10 sc)\n",
    better="Ch 11.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (10 sc)\n",
    let_stand="The word is meant twice, which a comma would make plain.",
    check=check,
)
