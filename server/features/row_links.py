"""Jumps from "Rep Rows 3 and 4" to those rows, and from a row to every place that names it."""

from __future__ import annotations

from lsprotocol import types as t

from ..language_server import Server
from ..mentions import named_at, naming, piece_at


def register(server: Server) -> None:
    @server.feature(t.TEXT_DOCUMENT_DEFINITION)
    async def definition(params: t.DefinitionParams) -> list[t.Location] | None:
        proofed = await server.proofed(params.text_document.uri)
        if proofed is None or proofed.proof is None:
            return None
        offset = proofed.page.offset(params.position)
        piece = piece_at(proofed.proof, offset)
        places = named_at(proofed.proof, piece, offset) if piece else ()
        return [t.Location(proofed.uri, proofed.page.range(place.label_span)) for place in places]

    @server.feature(t.TEXT_DOCUMENT_REFERENCES)
    async def references(params: t.ReferenceParams) -> list[t.Location] | None:
        proofed = await server.proofed(params.text_document.uri)
        if proofed is None or proofed.proof is None:
            return None
        offset = proofed.page.offset(params.position)
        piece = piece_at(proofed.proof, offset)
        places = named_at(proofed.proof, piece, offset) if piece else ()
        if piece is None or not places:
            return []
        spans = [mention.span for mention in naming(proofed.proof, piece, places)]
        if params.context.include_declaration:
            spans += [place.label_span for place in places]
        return [t.Location(proofed.uri, proofed.page.range(span)) for span in sorted(spans)]
