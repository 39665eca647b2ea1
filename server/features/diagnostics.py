"""Findings as they come: pushed with the version they belong to, or handed out on request.

A client shows pushed and pulled diagnostics side by side, so only one of the two is used: pushing, unless the user
asks for pulling and the client can.
"""

from __future__ import annotations

import asyncio
from dataclasses import dataclass

from lsprotocol import types as t

from ..analysis import Proofed
from ..calm import Key, held, key, typed_line
from ..language_server import Server


@dataclass(eq=False)
class _Showing:
    """What the client sees of one document at the moment."""

    proofed: Proofed | None = None
    shown: frozenset[Key] = frozenset()
    held: frozenset[int] = frozenset()
    typed: int | None = None  # the line that was last typed in
    timer: asyncio.TimerHandle | None = None
    rested: int = -1  # the edition at which typing rested

    def wake(self) -> None:
        if self.timer:
            self.timer.cancel()
            self.timer = None

    def diagnostics(self) -> list[t.Diagnostic]:
        if self.proofed is None:
            return []
        return self.proofed.told(self.held)


class _Shower:
    def __init__(self, server: Server) -> None:
        self.server = server
        self.showing: dict[str, _Showing] = {}
        document = server.client_capabilities.text_document
        workspace = server.client_capabilities.workspace
        self.pulls = server.settings.common.pull and bool(document and document.diagnostic)
        self.refreshes = bool(workspace and workspace.diagnostics and workspace.diagnostics.refresh_support)

    def open(self, uri: str) -> None:
        self.close(uri)
        self.server.look_again()
        if document := self.server.document(uri):
            self.showing[document.uri] = _Showing()
            self.server.analysis.open(document)

    def change(self, uri: str, typed: int | None) -> None:
        document = self.server.document(uri)
        showing = document and self.showing.get(document.uri)
        if document is None or showing is None:
            return
        showing.wake()
        settings = self.server.settings.of(document.uri)
        showing.typed = typed if settings.calm else None
        self.server.analysis.change(document.uri, showing.typed)
        if showing.typed is not None:
            showing.timer = asyncio.get_running_loop().call_later(settings.rest, self.settle, document.uri)

    def close(self, uri: str) -> None:
        if showing := self.showing.pop(uri, None):
            showing.wake()
        if self.server.analysis.close(uri) and not self.pulls:
            self._push(t.PublishDiagnosticsParams(uri=uri, diagnostics=[]))
            for take in self.server.left:
                take(uri)

    def moved(self, uri: str, line: int) -> None:
        """The user has gone to a line; when it is another than the one typed in, that one has been left."""
        showing = self.showing.get(uri)
        if showing is not None and showing.timer is not None and showing.typed != line:
            self.settle(uri)

    def settle(self, uri: str) -> None:
        """Typing rests, or has moved on: show what was held back."""
        showing = self.showing.get(uri)
        if showing is None:
            return
        showing.wake()
        showing.rested = self.server.analysis.edition(uri)
        if showing.proofed and showing.held:
            self._show(showing, showing.proofed)
            if self.pulls and self.refreshes:
                self.server.workspace_diagnostic_refresh(None)

    def arrived(self, proofed: Proofed) -> None:
        if showing := self.showing.get(proofed.uri):
            self._show(showing, proofed)

    def _show(self, showing: _Showing, proofed: Proofed) -> None:
        showing.proofed, showing.held = proofed, frozenset()
        if proofed.proof is not None:
            if proofed.typed is not None and showing.rested < proofed.edition:
                showing.held = held(proofed.proof, proofed.typed, showing.shown)
            findings = proofed.proof.findings
            showing.shown = frozenset(key(f) for index, f in enumerate(findings) if index not in showing.held)
        if not self.pulls:
            self._push(
                t.PublishDiagnosticsParams(uri=proofed.uri, version=proofed.version, diagnostics=showing.diagnostics())
            )

    def _push(self, params: t.PublishDiagnosticsParams) -> None:
        self.server.text_document_publish_diagnostics(params)

    async def pull(self, params: t.DocumentDiagnosticParams) -> t.DocumentDiagnosticReport:
        proofed = await self.server.proofed(params.text_document.uri)
        showing = proofed and self.showing.get(proofed.uri)
        if proofed is None or showing is None:
            return t.RelatedFullDocumentDiagnosticReport(items=[])
        result_id = f"{proofed.serial}-{len(showing.held)}"
        if result_id == params.previous_result_id:
            return t.RelatedUnchangedDocumentDiagnosticReport(result_id=result_id)
        return t.RelatedFullDocumentDiagnosticReport(items=showing.diagnostics(), result_id=result_id)


def register(server: Server) -> None:
    shower = _Shower(server)
    server.arrived.append(shower.arrived)
    server.moved.append(shower.moved)

    @server.feature(t.TEXT_DOCUMENT_DID_OPEN)
    def opened(params: t.DidOpenTextDocumentParams) -> None:
        shower.open(params.text_document.uri)

    @server.feature(t.TEXT_DOCUMENT_DID_CHANGE)
    def changed(params: t.DidChangeTextDocumentParams) -> None:
        shower.change(params.text_document.uri, typed_line(params.content_changes))

    @server.feature(t.TEXT_DOCUMENT_DID_SAVE)
    def saved(params: t.DidSaveTextDocumentParams) -> None:
        shower.settle(params.text_document.uri)

    @server.feature(t.TEXT_DOCUMENT_DID_CLOSE)
    def closed(params: t.DidCloseTextDocumentParams) -> None:
        shower.close(params.text_document.uri)

    if shower.pulls:

        @server.feature(
            t.TEXT_DOCUMENT_DIAGNOSTIC,
            t.DiagnosticOptions(
                inter_file_dependencies=False,
                workspace_diagnostics=server.settings.common.folder,
                identifier="tenterhook",
            ),
        )
        async def pulled(params: t.DocumentDiagnosticParams) -> t.DocumentDiagnosticReport:
            return await shower.pull(params)
