"""Colours for the parts of a row: labels, stitches, numbers, places, repeats, counts, yarns.

The legend has the protocol's own token types, so that every colour scheme knows them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from lsprotocol import types as t

from ...lint import editing
from ...lint.editing.kinds import Role
from ...lint.text import Span, Text
from ..columns import Page
from ..language_server import Server

if TYPE_CHECKING:
    from ...lint.editing.parts import Part
    from ...lint.proof import Proof

TYPES = {
    Role.LABEL: t.SemanticTokenTypes.Class,
    Role.STITCH: t.SemanticTokenTypes.Function,
    Role.NUMBER: t.SemanticTokenTypes.Number,
    Role.PLACE: t.SemanticTokenTypes.Parameter,
    Role.REPEAT: t.SemanticTokenTypes.Keyword,
    Role.COUNT: t.SemanticTokenTypes.String,
    Role.COLOUR: t.SemanticTokenTypes.Variable,
    Role.ACTION: t.SemanticTokenTypes.Macro,
    Role.REMARK: t.SemanticTokenTypes.Comment,
    Role.DEFINED: t.SemanticTokenTypes.Function,
}
LEGEND = t.SemanticTokensLegend(
    token_types=[kind.value for kind in dict.fromkeys(TYPES.values())],
    token_modifiers=[t.SemanticTokenModifiers.Definition.value],
)


def _by_line(span: Span, text: Text) -> Iterator[Span]:
    """A span cut at line ends: a token lies on one line."""
    for line in range(text.line_number(span.start), text.line_number(span.end) + 1):
        on = text.line_span(line)
        start, end = max(span.start, on.start), min(span.end, on.end)
        if start < end:
            yield Span(start, end)


def encoded(found: Iterable[Part], page: Page) -> list[int]:
    """Parts as the protocol sends them: five numbers each, places relative to the part before."""
    data: list[int] = []
    line = column = 0
    for part in found:
        for span in _by_line(part.span, page.text):
            start, end = page.position(span.start), page.position(span.end)
            data += (
                start.line - line,
                start.character - (column if start.line == line else 0),
                end.character - start.character,
                LEGEND.token_types.index(TYPES[part.role].value),
                1 if part.role is Role.DEFINED else 0,
            )
            line, column = start.line, start.character
    return data


def register(server: Server) -> None:
    document = server.client_capabilities.text_document
    if not (document and document.semantic_tokens):
        return

    def tokens(proof: Proof, page: Page, within: Span | None = None) -> t.SemanticTokens:
        return t.SemanticTokens(encoded(editing.parts.parts(proof, within), page))

    @server.feature(t.TEXT_DOCUMENT_SEMANTIC_TOKENS_FULL, LEGEND)
    async def full(params: t.SemanticTokensParams) -> t.SemanticTokens | None:
        return await server.answer(params.text_document.uri, lambda proof, on: tokens(proof, on.page))

    @server.feature(t.TEXT_DOCUMENT_SEMANTIC_TOKENS_RANGE, LEGEND)
    async def ranged(params: t.SemanticTokensRangeParams) -> t.SemanticTokens | None:
        return await server.answer(
            params.text_document.uri, lambda proof, on: tokens(proof, on.page, on.page.span(params.range))
        )
