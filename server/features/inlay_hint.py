"""The running count: at a row's end what it makes, where the text does not say; if asked for, what every row leaves."""

from __future__ import annotations

from typing import TYPE_CHECKING

from lsprotocol import types as t

from ...lint import editing
from ...lint.text import Span
from ..columns import Page
from ..language_server import Server
from ..settings import SettingsByFolder

if TYPE_CHECKING:
    from ...lint.proof import Proof


def hint(proof: Proof, place: editing.rows.Written, every: bool = False) -> str | None:
    """The words to show for a row; None where the text states its count, or it is not surely known.

    With ``every``, a row that states its count shows what it leaves for the next.
    """
    said = {editing.stated.count_words(proof, row) for row in place.rows}
    words = said.pop() if len(said) == 1 else None
    if words is None:
        return None
    if all(editing.stated.unstated(row.sizes) for row in place.rows):
        return f"makes {words}"
    return f"for the next: {words}" if every else None


def hints(proof: Proof, page: Page, within: Span, every: bool = False) -> list[t.InlayHint]:
    found: list[t.InlayHint] = []
    for piece in proof.work.pieces:
        for place in editing.rows.written(piece):
            if not place.span.touches(within):
                continue
            label = hint(proof, place, every)
            if label is None:
                continue
            end = editing.rows.trimmed(place.span, proof.text).end
            sums = "\n".join(dict.fromkeys(size.working for size in place.rows[-1].sizes if size.working))
            count = editing.stated.count_for(proof, place)
            found.append(
                t.InlayHint(
                    page.position(end),
                    label,
                    padding_left=True,
                    tooltip=sums or None,
                    text_edits=[t.TextEdit(page.range(count[0]), count[1])] if count else None,
                )
            )
    return found


def register(server: Server) -> None:
    workspace = server.client_capabilities.workspace
    if workspace and workspace.inlay_hint and workspace.inlay_hint.refresh_support:

        def settled(before: SettingsByFolder) -> None:
            opened = [on.uri for on in server.analysis.latest()]
            if any(before.of(uri).hints != server.settings.of(uri).hints for uri in opened):
                server.workspace_inlay_hint_refresh(None)

        server.settled.append(settled)

    @server.feature(t.TEXT_DOCUMENT_INLAY_HINT)
    async def inlay_hint(params: t.InlayHintParams) -> list[t.InlayHint] | None:
        wanted = server.settings.of(params.text_document.uri).hints
        if wanted == "off":
            return None
        return await server.answer(
            params.text_document.uri,
            lambda proof, on: hints(proof, on.page, on.page.span(params.range), wanted == "all"),
        )
