"""Another name for an abbreviation, a special stitch or a yarn; another number for a row."""

from __future__ import annotations

from typing import TYPE_CHECKING

from lsprotocol import types as t
from pygls.exceptions import JsonRpcException

from ...lint import editing
from ...lint.finding import Edit
from ...lint.text import Span
from ..analysis import Proofed
from ..language_server import Server

if TYPE_CHECKING:
    from ...lint.proof import Proof


class Refused(JsonRpcException):
    """What cannot be renamed, in words the editor shows."""

    CODE = int(t.LSPErrorCodes.RequestFailed)
    MESSAGE = "this cannot be renamed"


def edits(proof: Proof, on: Proofed, offset: int, new: str) -> tuple[Edit, ...]:
    """The edits that give the thing at an offset another name. Raises ``Refused``."""
    try:
        if row := editing.mentions.named_at(proof, offset):
            return editing.renaming.renumber(proof, row[1][0], new) if len(row[1]) == 1 else ()
        if found := on.names.at(offset):
            return editing.renaming.rename(proof.text, on.names, found[0], new)
    except editing.renaming.NotRenamed as reason:
        raise Refused(str(reason)) from None
    raise Refused("There is no stitch, abbreviation, yarn or row here that could be renamed.")


def here(proof: Proof, on: Proofed, offset: int) -> tuple[Span, str] | None:
    """What would be renamed at an offset, and what to begin from."""
    if row := editing.mentions.named_at(proof, offset):
        place = row[1][0]
        number = place.rows[0].number
        return (row[0], str(number)) if len(row[1]) == len(place.rows) == 1 and number is not None else None
    found = on.names.at(offset)
    return (found[1], proof.text[found[1]]) if found else None


def register(server: Server) -> None:
    workspace = server.client_capabilities.workspace
    versioned = bool(workspace and workspace.workspace_edit and workspace.workspace_edit.document_changes)

    @server.feature(t.TEXT_DOCUMENT_PREPARE_RENAME)
    async def prepare(params: t.PrepareRenameParams) -> t.PrepareRenamePlaceholder | None:
        def make(proof: Proof, on: Proofed) -> t.PrepareRenamePlaceholder | None:
            found = here(proof, on, on.page.offset(params.position))
            return t.PrepareRenamePlaceholder(on.page.range(found[0]), found[1]) if found else None

        return await server.answer(params.text_document.uri, make)

    @server.feature(t.TEXT_DOCUMENT_RENAME)
    async def renamed(params: t.RenameParams) -> t.WorkspaceEdit | None:
        def make(proof: Proof, on: Proofed) -> t.WorkspaceEdit | None:
            return on.edit(edits(proof, on, on.page.offset(params.position), params.new_name), versioned)

        return await server.answer(params.text_document.uri, make)
