"""A whole series: every manuscript of the folders that are open, where the user has asked for that.

Findings of files that are not open are handed out on request to clients that pull; to others they are pushed. The
command ``tenterhook.proofFolder`` proofs them once, whatever the settings.
"""

from __future__ import annotations

import asyncio
from typing import TYPE_CHECKING

from lsprotocol import types as t
from pygls.uris import to_fs_path

from ..language_server import Server
from ..progress import progress, token_for
from ..series import Series, Sheet

if TYPE_CHECKING:
    from collections.abc import Coroutine

COMMAND = "tenterhook.proofFolder"
TITLE = "Proofing the series"


class _Folder:
    def __init__(self, server: Server) -> None:
        self.server = server
        self.series: Series = server.series
        document = server.client_capabilities.text_document
        self.pulls = server.settings.common.pull and bool(document and document.diagnostic)
        self._tasks: set[asyncio.Task[object]] = set()

    @property
    def wanted(self) -> bool:
        return self.server.settings.common.folder

    def later(self, work: Coroutine[object, object, object]) -> None:
        task: asyncio.Task[object] = asyncio.get_running_loop().create_task(work)  # type: ignore[arg-type]
        self._tasks.add(task)
        task.add_done_callback(self._tasks.discard)

    async def proof(self) -> int:
        """Proof every manuscript and push what is found; how many there were."""
        number = 0
        with progress(self.server, TITLE, await token_for(self.server)) as tell:
            async for place, among, sheet in self.series.sheets():
                number = among
                self.push(sheet)
                tell(place, among)
        return number

    def push(self, sheet: Sheet) -> None:
        if self.server.document(sheet.uri) is None:
            self.server.text_document_publish_diagnostics(
                t.PublishDiagnosticsParams(uri=sheet.uri, diagnostics=sheet.diagnostics)
            )

    async def again(self, uri: str) -> None:
        """A file has changed on the disk, or is open no longer."""
        path = to_fs_path(uri)
        if not path or not self.wanted or self.pulls:
            return
        sheet = await self.series.sheet(path)
        if sheet:
            self.push(sheet)
        else:
            self.server.text_document_publish_diagnostics(t.PublishDiagnosticsParams(uri=uri, diagnostics=[]))

    async def started(self) -> None:
        if self.wanted and not self.pulls:
            self.later(self.proof())

    async def pull(self, params: t.WorkspaceDiagnosticParams) -> t.WorkspaceDiagnosticReport:
        known = {each.uri: each.value for each in params.previous_result_ids}
        items: list[t.WorkspaceDocumentDiagnosticReport] = []
        with progress(self.server, TITLE, params.work_done_token) as tell:
            async for place, among, sheet in self.series.sheets():
                if known.get(sheet.uri) == sheet.stamp:
                    items.append(t.WorkspaceUnchangedDocumentDiagnosticReport(uri=sheet.uri, result_id=sheet.stamp))
                else:
                    found = sheet.diagnostics
                    items.append(
                        t.WorkspaceFullDocumentDiagnosticReport(uri=sheet.uri, items=found, result_id=sheet.stamp)
                    )
                tell(place, among)
        return t.WorkspaceDiagnosticReport(items)


def register(server: Server) -> None:
    folder = _Folder(server)
    server.started.append(folder.started)
    server.left.append(lambda uri: folder.later(folder.again(uri)) if folder.wanted else None)
    server.changed_on_disk.append(lambda uri: folder.later(folder.again(uri)))

    @server.command(COMMAND)
    async def proof_folder() -> int:
        return await folder.proof()

    if folder.pulls and folder.wanted:

        @server.feature(t.WORKSPACE_DIAGNOSTIC)
        async def pulled(params: t.WorkspaceDiagnosticParams) -> t.WorkspaceDiagnosticReport:
            return await folder.pull(params)
