"""Symbols of all manuscripts at hand: pieces, rows, special stitches, abbreviations and yarns."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from lsprotocol import types as t

from ...lint import editing
from ...lint.editing.kinds import NameKind
from ..analysis import Proofed
from ..language_server import Server

if TYPE_CHECKING:
    from ...lint.proof import Proof

MOST = 256  # symbols in one answer

KINDS = {
    NameKind.ABBREVIATION: t.SymbolKind.Constant,
    NameKind.STITCH: t.SymbolKind.Function,
    NameKind.COLOUR: t.SymbolKind.Variable,
}


def symbols(proof: Proof, on: Proofed) -> Iterator[t.WorkspaceSymbol]:
    """Every symbol of one manuscript: pieces with their rows, then what is explained."""
    for piece in proof.work.pieces:
        name = piece.name.strip() or "Pattern"
        here = t.Location(on.uri, on.page.range(editing.rows.trimmed(editing.rows.reach(piece), proof.text)))
        yield t.WorkspaceSymbol(here, name, t.SymbolKind.Class)
        for place in editing.rows.written(piece):
            if place.label:
                at = t.Location(on.uri, on.page.range(place.label_span))
                yield t.WorkspaceSymbol(at, place.label, t.SymbolKind.Field, container_name=name)
    for each in on.names.all:
        if each.defined:
            at = t.Location(on.uri, on.page.range(each.defined[0]))
            yield t.WorkspaceSymbol(at, each.word, KINDS[each.kind])


def matches(query: str, name: str) -> bool:
    """Whether the letters of a query stand in a name in their order, as editors match."""
    rest = iter(name.lower())
    return all(letter in rest for letter in query.lower().replace(" ", ""))


def register(server: Server) -> None:
    @server.feature(t.WORKSPACE_SYMBOL)
    async def workspace_symbol(params: t.WorkspaceSymbolParams) -> list[t.WorkspaceSymbol]:
        if server.settings.common.folder:
            sheets = [sheet.proofed async for _, _, sheet in server.series.sheets()]
        else:
            sheets = []
        manuscripts = [*server.analysis.latest(), *sheets]

        def make() -> list[t.WorkspaceSymbol]:
            found: list[t.WorkspaceSymbol] = []
            for on in manuscripts:
                if on.proof is not None:
                    found += (s for s in symbols(on.proof, on) if matches(params.query, s.name))
            return found[:MOST]

        return await server.answers.run(make)
