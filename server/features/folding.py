"""Folding: sections, pieces, and rows written over several lines."""

from __future__ import annotations

from typing import TYPE_CHECKING

from lsprotocol import types as t

from ...lint import editing
from ..language_server import Server

if TYPE_CHECKING:
    from ...lint.proof import Proof


def folds(proof: Proof) -> list[t.FoldingRange]:
    """What spans more than one line, from its first line to its last that is not blank."""
    spans = [section.span for section in proof.layout.sections]
    for piece in proof.work.pieces:
        spans.append(piece.span)
        spans.extend(place.span for place in editing.rows.written(piece))
    lines: set[tuple[int, int]] = set()
    for span in spans:
        kept = editing.rows.trimmed(span, proof.text)
        lines.add((proof.text.line_number(kept.start) - 1, proof.text.line_number(kept.end) - 1))
    return [t.FoldingRange(first, last) for first, last in sorted(lines) if last > first]


def register(server: Server) -> None:
    document = server.client_capabilities.text_document
    limit = document.folding_range.range_limit if document and document.folding_range else None

    @server.feature(t.TEXT_DOCUMENT_FOLDING_RANGE)
    async def folding_range(params: t.FoldingRangeParams) -> list[t.FoldingRange] | None:
        return await server.answer(params.text_document.uri, lambda proof, on: folds(proof)[: limit or None])
