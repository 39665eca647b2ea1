"""Jumps from "Rep Rows 3 and 4" to those rows, and from a row to every place that names it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from lsprotocol import types as t

from ..analysis import Proofed
from ..language_server import Server
from ..mentions import named_at, naming, piece_at

if TYPE_CHECKING:
    from ...lint.proof import Proof


def rows_named(proof: Proof, on: Proofed, position: t.Position) -> list[t.Location]:
    """The labels of the rows named at a position."""
    offset = on.page.offset(position)
    piece = piece_at(proof, offset)
    places = named_at(proof, piece, offset) if piece else ()
    return [t.Location(on.uri, on.page.range(place.label_span)) for place in places]


def places_naming(proof: Proof, on: Proofed, position: t.Position, with_labels: bool) -> list[t.Location]:
    """Every place that names the rows named at a position."""
    offset = on.page.offset(position)
    piece = piece_at(proof, offset)
    places = named_at(proof, piece, offset) if piece else ()
    if piece is None or not places:
        return []
    spans = [mention.span for mention in naming(proof, piece, places)]
    if with_labels:
        spans += [place.label_span for place in places]
    return [t.Location(on.uri, on.page.range(span)) for span in sorted(spans)]


def register(server: Server) -> None:
    @server.feature(t.TEXT_DOCUMENT_DEFINITION)
    async def definition(params: t.DefinitionParams) -> list[t.Location] | None:
        return await server.answer(params.text_document.uri, lambda proof, on: rows_named(proof, on, params.position))

    @server.feature(t.TEXT_DOCUMENT_REFERENCES)
    async def references(params: t.ReferenceParams) -> list[t.Location] | None:
        labels = params.context.include_declaration
        return await server.answer(
            params.text_document.uri, lambda proof, on: places_naming(proof, on, params.position, labels)
        )
