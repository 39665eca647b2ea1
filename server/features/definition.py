"""From a stitch to its explanation, from "Rep Rows 3 and 4" to those rows; and back, to every place that names them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from lsprotocol import types as t

from ...lint import editing
from ..analysis import Proofed
from ..language_server import Server

if TYPE_CHECKING:
    from ...lint.proof import Proof


def explained(proof: Proof, on: Proofed, position: t.Position) -> list[t.Location]:
    """Where the thing at a position is explained or labelled."""
    target = editing.targets.target_at(proof, on.names, on.page.offset(position))
    return [t.Location(on.uri, on.page.range(span)) for span in (target.defined if target else ())]


def named(proof: Proof, on: Proofed, position: t.Position, with_definition: bool) -> list[t.Location]:
    """Every place that names the thing at a position."""
    target = editing.targets.target_at(proof, on.names, on.page.offset(position))
    if target is None:
        return []
    spans = sorted((*target.used, *target.defined) if with_definition else target.used)
    return [t.Location(on.uri, on.page.range(span)) for span in spans]


def highlights(proof: Proof, on: Proofed, position: t.Position) -> list[t.DocumentHighlight]:
    """The same places, to be shown in the text."""
    target = editing.targets.target_at(proof, on.names, on.page.offset(position))
    if target is None:
        return []
    kinds = dict.fromkeys(target.used, t.DocumentHighlightKind.Read)
    kinds |= dict.fromkeys(target.defined, t.DocumentHighlightKind.Write)
    return [t.DocumentHighlight(on.page.range(span), kind) for span, kind in sorted(kinds.items())]


def register(server: Server) -> None:
    @server.feature(t.TEXT_DOCUMENT_DEFINITION)
    async def definition(params: t.DefinitionParams) -> list[t.Location] | None:
        return await server.answer(params.text_document.uri, lambda proof, on: explained(proof, on, params.position))

    @server.feature(t.TEXT_DOCUMENT_REFERENCES)
    async def references(params: t.ReferenceParams) -> list[t.Location] | None:
        whole = params.context.include_declaration
        return await server.answer(params.text_document.uri, lambda proof, on: named(proof, on, params.position, whole))

    @server.feature(t.TEXT_DOCUMENT_DOCUMENT_HIGHLIGHT)
    async def highlight(params: t.DocumentHighlightParams) -> list[t.DocumentHighlight] | None:
        server.at_work_on(params.text_document.uri, params.position)
        return await server.answer(params.text_document.uri, lambda proof, on: highlights(proof, on, params.position))
