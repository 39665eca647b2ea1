"""The outline: sections, pieces and their rows."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from lsprotocol import types as t

from ...lint import editing
from ...lint.fabric.work import PieceWork
from ...lint.syntax.layout import SectionKind
from ...lint.text import Span
from ..analysis import Proofed
from ..columns import Page
from ..language_server import Server

if TYPE_CHECKING:
    from ...lint.proof import Proof


def _row(place: editing.rows.Written, page: Page) -> t.DocumentSymbol:
    row = place.rows[0]
    made = [size.made for size in row.sizes]
    count = editing.stated.by_size([n or 0 for n in made]) if made and None not in made else ""
    detail = ", ".join([*([f"makes {count}"] if count else []), *editing.rows.facts(row)])
    span = editing.rows.trimmed(place.span, page.text)
    label = _inside(place.label_span, span)
    return t.DocumentSymbol(
        name=place.label or "Row",
        detail=detail,
        kind=t.SymbolKind.Field,
        range=page.range(span),
        selection_range=page.range(label),
    )


def _inside(span: Span, outer: Span) -> Span:
    start = min(max(span.start, outer.start), outer.end)
    return Span(start, min(max(span.end, start), outer.end))


def _piece(piece: PieceWork, page: Page) -> t.DocumentSymbol:
    span = editing.rows.trimmed(editing.rows.reach(piece), page.text)
    heading = page.text.line_span(page.text.line_number(span.start))
    return t.DocumentSymbol(
        name=piece.name.strip() or "Pattern",
        detail=f"{sum(row.times for row in piece.rows)} rows",
        kind=t.SymbolKind.Class,
        range=page.range(span),
        selection_range=page.range(_inside(heading, span)),
        children=[_row(place, page) for place in editing.rows.written(piece)],
    )


def outline(proof: Proof, page: Page) -> list[t.DocumentSymbol]:
    """Pieces with their rows, and the sections of prose between them, in the order of the text."""
    found = [(piece.span, _piece(piece, page)) for piece in proof.work.pieces]
    for section in proof.layout.sections:
        if section.kind is SectionKind.PIECE or not section.name.strip():
            continue
        span = editing.rows.trimmed(section.span, page.text)
        symbol = t.DocumentSymbol(
            name=section.name.strip(),
            kind=t.SymbolKind.String,
            range=page.range(span),
            selection_range=page.range(_inside(section.heading, span)),
        )
        found.append((section.span, symbol))
    return [symbol for _, symbol in sorted(found, key=lambda item: item[0])]


def flat(symbols: list[t.DocumentSymbol], uri: str, container: str | None = None) -> Iterator[t.SymbolInformation]:
    """The same for a client that knows no hierarchy."""
    for symbol in symbols:
        yield t.SymbolInformation(
            location=t.Location(uri, symbol.range), name=symbol.name, kind=symbol.kind, container_name=container
        )
        yield from flat(list(symbol.children or ()), uri, symbol.name)


def register(server: Server) -> None:
    document = server.client_capabilities.text_document
    symbols = document.document_symbol if document else None
    hierarchical = bool(symbols and symbols.hierarchical_document_symbol_support)

    @server.feature(t.TEXT_DOCUMENT_DOCUMENT_SYMBOL)
    async def document_symbol(
        params: t.DocumentSymbolParams,
    ) -> list[t.DocumentSymbol] | list[t.SymbolInformation] | None:
        def make(proof: Proof, on: Proofed) -> list[t.DocumentSymbol] | list[t.SymbolInformation]:
            found = outline(proof, on.page)
            return found if hierarchical else list(flat(found, on.uri))

        return await server.answer(params.text_document.uri, make)
