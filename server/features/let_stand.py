"""The command that lets a finding stand: put down beside the manuscript, where the terminal finds it too."""

from __future__ import annotations

from typing import TYPE_CHECKING

from lsprotocol import types as t

from ..language_server import Server

if TYPE_CHECKING:
    from ...lint.proof import Proof

COMMAND = "tenterhook.letStand"
REASON = "accepted while editing"  # where the user is not asked for one


def put_down(proof: Proof, handle: str, because: str) -> str | None:
    """Put a finding down as let stand; the reason why it could not be, or None."""
    from ...lint.beside.desk import let_stand
    from ...lint.manuscript.read import Unreadable

    try:
        let_stand(proof, [handle], because)
    except Unreadable as unreadable:
        return unreadable.reason
    except OSError as error:
        return error.strerror or str(error)
    return None


def register(server: Server) -> None:
    @server.command(COMMAND)
    async def let_stand(uri: str, handle: str, because: str) -> bool:
        failed = await server.answer(uri, lambda proof, on: (put_down(proof, handle, because),))
        if failed is None:
            return False
        if failed[0] is not None:
            words = f"This could not be let stand: {failed[0]}."
            server.window_show_message(t.ShowMessageParams(t.MessageType.Error, words))
            return False
        server.analysis.again()
        return True
