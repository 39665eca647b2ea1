"""The manuscripts of the folders that are open: read from the disk and proofed when asked for, kept while they last.

What the editor has open is left to the editor: its text may differ from the file's.
"""

from __future__ import annotations

import asyncio
import logging
import os
from collections.abc import AsyncIterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from lsprotocol import types as t
from pygls.uris import to_fs_path

from ..lint.manuscript.find import manuscripts
from ..lint.manuscript.read import TEXT_SUFFIXES, Manuscript, Unreadable, read_manuscript
from ..lint.text import Text
from .analysis import Proofed
from .columns import Page

if TYPE_CHECKING:
    from .language_server import Server

_log = logging.getLogger(__name__)

MOST = 1_000  # manuscripts looked at in one session


@dataclass(frozen=True, slots=True)
class Sheet:
    """One manuscript of a folder. ``stamp`` changes whenever the file does."""

    uri: str
    stamp: str
    proofed: Proofed

    @property
    def diagnostics(self) -> list[t.Diagnostic]:
        """What to show of it: nothing for a text that holds no rows, such as a folder's own notes."""
        proof = self.proofed.proof
        if proof is not None and not any(True for _ in proof.work.rows()):
            return []
        return self.proofed.told()


class Series:
    """All manuscripts below the session's folders, in order."""

    def __init__(self, server: Server) -> None:
        self._server = server
        self._sheets: dict[str, Sheet] = {}

    async def paths(self) -> list[str]:
        """The files, without those that are open in the editor. Documents have no lines that an editor could show."""
        folders = [to_fs_path(folder.uri) for folder in self._server.workspace.folders.values()]
        root = self._server.workspace.root_path
        given = [folder for folder in folders or [root] if folder]
        found = await self._server.answers.run(lambda: manuscripts(given, TEXT_SUFFIXES))
        files = [path for path in found if isinstance(path, str)]
        if len(files) > MOST:
            _log.warning("%d manuscripts in the folders; only the first %d are looked at", len(files), MOST)
        opened = {os.path.realpath(d.path) for d in self._server.workspace.text_documents.values() if d.path}
        return [path for path in files[:MOST] if os.path.realpath(path) not in opened]

    def known(self) -> list[Sheet]:
        """The manuscripts proofed so far."""
        return list(self._sheets.values())

    def forget(self, path: str) -> None:
        self._sheets.pop(path, None)

    def forget_all(self) -> None:
        self._sheets.clear()

    async def sheets(self) -> AsyncIterator[tuple[int, int, Sheet]]:
        """Every manuscript with its place in the list, from 1, and the length of the list."""
        paths = await self.paths()
        for gone in self._sheets.keys() - set(paths):
            self.forget(gone)
        for place, path in enumerate(paths, 1):
            if sheet := await self.sheet(path):
                yield place, len(paths), sheet
            await asyncio.sleep(0)

    async def sheet(self, path: str) -> Sheet | None:
        """One manuscript, proofed anew only if its file has changed; None where it is gone."""
        try:
            status = os.stat(path)
        except OSError:
            self.forget(path)
            return None
        stamp = f"{status.st_mtime_ns}-{status.st_size}"
        sheet = self._sheets.get(path)
        if sheet is None or sheet.stamp != stamp:
            sheet = self._sheets[path] = Sheet(Path(path).as_uri(), stamp, await self._proofed(path))
        return sheet

    async def _proofed(self, path: str) -> Proofed:
        uri = Path(path).as_uri()
        read = await self._server.answers.run(lambda: _read(path))
        if isinstance(read, Unreadable):
            page = Page(Text(""), self._server.workspace.position_encoding)
            remark = self._server.dialect.remark(f"This file is not proofed: {read.reason}.")
            return Proofed(uri, None, 0, page, None, (remark,))
        return await self._server.analysis.prove(uri, Page(read.text, self._server.workspace.position_encoding))


def _read(path: str) -> Manuscript | Unreadable:
    try:
        return read_manuscript(path)
    except Unreadable as unreadable:
        return unreadable
