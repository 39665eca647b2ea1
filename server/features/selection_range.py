"""Selecting more, step by step: word, step, repeat, row, piece, the whole text."""

from __future__ import annotations

from typing import TYPE_CHECKING

from lsprotocol import types as t

from ...lint import editing
from ..analysis import Proofed
from ..language_server import Server

if TYPE_CHECKING:
    from ...lint.proof import Proof


def selection(proof: Proof, on: Proofed, position: t.Position) -> t.SelectionRange:
    """The stretches around a position, each inside the next."""
    outer: t.SelectionRange | None = None
    for span in reversed(editing.nesting.around(proof, on.page.offset(position))):
        outer = t.SelectionRange(on.page.range(span), outer)
    return outer or t.SelectionRange(t.Range(position, position))


def register(server: Server) -> None:
    @server.feature(t.TEXT_DOCUMENT_SELECTION_RANGE)
    async def selection_range(params: t.SelectionRangeParams) -> list[t.SelectionRange] | None:
        return await server.answer(
            params.text_document.uri,
            lambda proof, on: [selection(proof, on, position) for position in params.positions],
        )
