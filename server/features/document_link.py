"""Links: "Rep Rows 3 and 4" leads to Row 3 at a click."""

from __future__ import annotations

from typing import TYPE_CHECKING

from lsprotocol import types as t

from ...lint import editing
from ..analysis import Proofed
from ..language_server import Server

if TYPE_CHECKING:
    from ...lint.proof import Proof


def links(proof: Proof, on: Proofed, tooltips: bool) -> list[t.DocumentLink]:
    """A link for each place that names rows; its target is a line of the same document, counted from 1."""
    found: list[t.DocumentLink] = []
    for span, label, said in editing.targets.row_links(proof):
        place = on.page.text.place(label.start)
        found.append(
            t.DocumentLink(
                range=on.page.range(span),
                target=f"{on.uri}#L{place.line},{place.column}",
                tooltip=f"{said}, line {place.line}" if tooltips else None,
            )
        )
    return found


def register(server: Server) -> None:
    document = server.client_capabilities.text_document
    tooltips = bool(document and document.document_link and document.document_link.tooltip_support)

    @server.feature(t.TEXT_DOCUMENT_DOCUMENT_LINK)
    async def document_link(params: t.DocumentLinkParams) -> list[t.DocumentLink] | None:
        return await server.answer(params.text_document.uri, lambda proof, on: links(proof, on, tooltips))
