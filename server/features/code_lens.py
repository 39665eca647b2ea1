"""Above each piece: how many of its rows are proved, and what became of the others."""

from __future__ import annotations

from typing import TYPE_CHECKING

from lsprotocol import types as t

from ...lint.fabric.work import PieceWork, Work
from ...lint.text import Span
from ..columns import Page
from ..language_server import Server

if TYPE_CHECKING:
    from ...lint.proof import Proof


def tally(piece: PieceWork) -> str | None:
    """ "proved 41 of 44 rows, 2 differ, 1 unread"; None for a piece without rows."""
    counts = Work((piece,)).tally()
    total = counts["total"]
    if not total:
        return None
    said = f"proved {counts['proved']} of {total} {'row' if total == 1 else 'rows'}"
    if differs := counts["differs"]:
        said += f", {differs} {'differs' if differs == 1 else 'differ'}"
    for status in ("assumed", "unread"):
        if counts[status]:
            said += f", {counts[status]} {status}"
    return said


def lenses(proof: Proof, page: Page) -> list[t.CodeLens]:
    found: list[t.CodeLens] = []
    for piece in proof.work.pieces:
        if said := tally(piece):
            start = page.range(Span(piece.span.start, piece.span.start))
            found.append(t.CodeLens(start, command=t.Command(said, "")))
    return found


def register(server: Server) -> None:
    @server.feature(t.TEXT_DOCUMENT_CODE_LENS)
    async def code_lens(params: t.CodeLensParams) -> list[t.CodeLens] | None:
        return await server.answer(params.text_document.uri, lambda proof, on: lenses(proof, on.page))
