"""The running count: at the end of a row that states none, what it makes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from lsprotocol import types as t

from ...lint.fabric.work import Status
from ...lint.text import Span
from .. import rows
from ..columns import Page
from ..language_server import Server

if TYPE_CHECKING:
    from ...lint.proof import Proof


def hint(place: rows.Written) -> str | None:
    """The count to show for a row; None where the text states one, or it is not surely known."""
    counts: set[str | None] = set()
    for row in place.rows:
        if row.status not in (Status.PROVED, Status.ASSUMED) or any(size.stated is not None for size in row.sizes):
            return None
        counts.add(rows.made(row.sizes))
    count = counts.pop() if len(counts) == 1 else None
    return f"makes {count}" if count else None


def hints(proof: Proof, page: Page, within: Span) -> list[t.InlayHint]:
    found: list[t.InlayHint] = []
    for piece in proof.work.pieces:
        for place in rows.written(piece):
            if not place.span.touches(within):
                continue
            if label := hint(place):
                end = rows.trimmed(place.span, proof.text).end
                sums = "\n".join(dict.fromkeys(size.working for size in place.rows[-1].sizes if size.working))
                found.append(t.InlayHint(page.position(end), label, padding_left=True, tooltip=sums or None))
    return found


def register(server: Server) -> None:
    @server.feature(t.TEXT_DOCUMENT_INLAY_HINT)
    async def inlay_hint(params: t.InlayHintParams) -> list[t.InlayHint] | None:
        return await server.answer(
            params.text_document.uri, lambda proof, on: hints(proof, on.page, on.page.span(params.range))
        )
