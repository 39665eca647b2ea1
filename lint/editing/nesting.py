"""What stands around a place in the text, from the word to the whole: for selecting more, step by step."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from ..syntax.lexer import lexer_for
from ..syntax.statement import too_long
from ..text import Span
from .parts import every_step

if TYPE_CHECKING:
    from ..proof import Proof


def around(proof: Proof, offset: int) -> tuple[Span, ...]:
    """The stretches around an offset, the smallest first: word, step, repeat, row, section, the whole text."""
    found = {proof.text.whole, proof.text.line_span(proof.text.line_number(offset))}
    for section in proof.layout.sections:
        found |= {section.span, section.body}
        for statement in section.statements:
            if _holds(statement.span, offset):
                found |= {statement.span, statement.body, *_words(proof, statement.body, offset)}
    for entry in proof.layout.key:
        if _holds(entry.span, offset):
            found |= {entry.span, entry.words_span}
    for piece in proof.pattern.pieces:
        for entry in piece.entries:
            if entry.tree is not None and entry.written and _holds(entry.span, offset):
                found |= {step.at.span(entry.origin) for step in every_step(entry.tree.steps)}
    return _nested(span for span in found if _holds(span, offset) and span.end <= len(proof.text))


def _holds(span: Span, offset: int) -> bool:
    return span.start <= offset <= span.end and len(span) > 0


def _words(proof: Proof, body: Span, offset: int) -> set[Span]:
    folded = proof.layout.folded[body.start : body.end]
    if too_long(folded) or not _holds(body, offset):
        return set()
    tokens = lexer_for(proof.pattern.vocabulary).tokens(folded, proof.text[body])
    spans = [Span(body.start + t.start, body.start + t.end) for t in tokens if t.type != "_"]
    here = [span for span in spans if offset in span] or [span for span in spans if _holds(span, offset)]
    return set(here[:1])


def _nested(spans: Iterable[Span]) -> tuple[Span, ...]:
    """Of some spans around one place, a chain in which each lies inside the next."""
    out: list[Span] = []
    for span in sorted(spans, key=len):
        if not out or (span.start <= out[-1].start and out[-1].end <= span.end and span != out[-1]):
            out.append(span)
    return tuple(out)
