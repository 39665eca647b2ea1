"""The command that explains a rule: its page is opened in the editor, or told in a message where it cannot be."""

from __future__ import annotations

from lsprotocol import types as t

from ..language_server import Server
from ..pages import page_line, rule_named

COMMAND = "tenterhook.explain"


def register(server: Server) -> None:
    window = server.client_capabilities.window
    shows = bool(window and window.show_document and window.show_document.support)

    @server.command(COMMAND)
    def explain(name: str) -> str | None:
        rule = rule_named(name)
        if rule is None:
            return None
        page = page_line(name)
        if shows and page:
            start = t.Position(page[1], 0)
            # Whether the client could is for the client to say; nothing here waits for it.
            server.window_show_document(
                t.ShowDocumentParams(page[0], take_focus=True, selection=t.Range(start, start))
            )
        else:
            words = f"{rule.name}: {rule.title}. {rule.why} Let it stand: {rule.let_stand}"
            server.window_show_message(t.ShowMessageParams(t.MessageType.Info, words))
        return rule.why
