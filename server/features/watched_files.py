"""Files that others change: what lies beside manuscripts, after which everything is proofed anew, and manuscripts."""

from __future__ import annotations

import logging

from lsprotocol import types as t
from pygls.uris import to_fs_path

from ...lint.manuscript.read import TEXT_SUFFIXES
from ..language_server import Server

BESIDE = ".toml"  # the end of a house style's name and of a side file's

_log = logging.getLogger(__name__)


def register(server: Server) -> None:
    workspace = server.client_capabilities.workspace
    can = workspace.did_change_watched_files if workspace else None

    async def watch() -> None:
        """Ask the client to watch; a client that cannot be asked may watch by its own settings."""
        if not (can and can.dynamic_registration):
            return
        globs = [f"**/*{BESIDE}"]
        if server.settings.common.folder:
            globs += [f"**/*{suffix}" for suffix in sorted(TEXT_SUFFIXES)]
        watchers = [t.FileSystemWatcher(glob_pattern=glob) for glob in globs]
        options = t.DidChangeWatchedFilesRegistrationOptions(watchers=watchers)
        registration = t.Registration("tenterhook-files", t.WORKSPACE_DID_CHANGE_WATCHED_FILES, options)
        try:
            await server.client_register_capability_async(t.RegistrationParams([registration]))
        except Exception:
            _log.warning("the client does not watch files after all", exc_info=True)

    server.started.append(watch)

    @server.feature(t.WORKSPACE_DID_CHANGE_WATCHED_FILES)
    def changed(params: t.DidChangeWatchedFilesParams) -> None:
        for change in params.changes:
            path = to_fs_path(change.uri) or ""
            if path.endswith(BESIDE):
                server.look_again()
                server.series.forget_all()
                server.analysis.again()
            elif server.document(change.uri) is None:
                for take in server.changed_on_disk:
                    take(change.uri)
