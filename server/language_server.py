"""The server put together: the library's machinery, the open documents, their proofs and the features."""

from __future__ import annotations

import importlib
import json
import logging
import pkgutil
from collections.abc import Awaitable, Callable
from functools import partial
from typing import TYPE_CHECKING, TypeVar
from urllib.parse import unquote

from lsprotocol import types as t
from pygls.lsp.server import LanguageServer

from . import features
from .analysis import Analysis, Proofed, Prove
from .convert import Dialect
from .documents import Document, Documents
from .parent import follow
from .protocol import PARSE_ERROR, Protocol
from .series import Series
from .settings import SECTION, Settings, SettingsByFolder
from .worker import Worker

if TYPE_CHECKING:
    from ..lint.proof import Proof

T = TypeVar("T")

_log = logging.getLogger(__name__)


class Server(LanguageServer):
    """One session with one client."""

    protocol: Protocol  # pyright: ignore[reportIncompatibleVariableOverride]

    def __init__(self, version: str, prove: Prove, look_again: Callable[[], None] = lambda: None) -> None:
        """``look_again`` is told when the styles of houses may have changed."""
        super().__init__("tenterhook", version, protocol_cls=Protocol)
        self.settings = SettingsByFolder(Settings(), {})
        self.look_again = look_again
        self.dialect = Dialect()
        self.arrived: list[Callable[[Proofed], None]] = []
        self.settled: list[Callable[[SettingsByFolder], object]] = []
        self.moved: list[Callable[[str, int], None]] = []
        self.started: list[Callable[[], Awaitable[None]]] = []
        self.left: list[Callable[[str], object]] = []
        self.changed_on_disk: list[Callable[[str], object]] = []
        self.answers = Worker("answers")
        self.analysis = Analysis(prove, lambda: self.dialect, self._arrived)
        self.series = Series(self)

        @self.feature(t.INITIALIZE)
        def opening(params: t.InitializeParams) -> None:
            self._open_session(params)

        @self.feature(t.INITIALIZED)
        async def opened(params: t.InitializedParams) -> None:
            self.analysis.warm_up()
            await self._ask_for_settings()
            for begin in self.started:
                await begin()

        @self.feature(t.WORKSPACE_DID_CHANGE_CONFIGURATION)
        async def settings_changed(params: t.DidChangeConfigurationParams) -> None:
            if params.settings:
                before = self.settings.copy()
                self.settings.change(params.settings)
                self._settle(before)
            else:
                await self._ask_for_settings()

        @self.feature(t.WORKSPACE_DID_CHANGE_WORKSPACE_FOLDERS)
        async def folders_changed(params: t.DidChangeWorkspaceFoldersParams) -> None:
            for folder in params.event.removed:
                self.settings.own.pop(unquote(folder.uri), None)
            await self._ask_for_settings()

    @property
    def documents(self) -> Documents:
        workspace = self.workspace
        assert isinstance(workspace, Documents)
        return workspace

    def document(self, uri: str) -> Document | None:
        """The document if it is open."""
        return self.documents.opened(uri)

    async def proofed(self, uri: str) -> Proofed | None:
        """The proof of an open document's present text; None if it is not open."""
        document = self.document(uri)
        return await self.analysis.current(document.uri) if document else None

    async def answer(self, uri: str, make: Callable[[Proof, Proofed], T]) -> T | None:
        """What ``make`` makes, off the event loop, of the proof of a document's present text; None if there is none."""
        proofed = await self.proofed(uri)
        if proofed is None or proofed.proof is None:
            return None
        return await self.answers.run(partial(make, proofed.proof, proofed))

    def at_work_on(self, uri: str, position: t.Position) -> None:
        """Take note of where in a document the user is, as a request has told."""
        for take in self.moved:
            take(uri, position.line)

    def report_server_error(self, error: Exception, source: type[Exception]) -> None:  # type: ignore[override]
        """To the log alone: a message to the client would fail again on a pipe that is closed, and again."""
        _log.error("%s", error)
        if isinstance(error, (json.JSONDecodeError, UnicodeDecodeError, RecursionError)):
            self.protocol.refuse(None, PARSE_ERROR, "the message is not JSON")

    def _arrived(self, proofed: Proofed) -> None:
        for take in self.arrived:
            take(proofed)

    def _settle(self, before: SettingsByFolder) -> None:
        if self.settings != before:
            for take in self.settled:
                take(before)

    def _open_session(self, params: t.InitializeParams) -> None:
        # The library fills in its own workspace first; its lines also end at form feeds and U+2028.
        given = self.workspace
        self.protocol._workspace = Documents(
            given.root_uri, t.TextDocumentSyncKind.Incremental, list(given.folders.values()), given.position_encoding
        )
        self.settings.change(params.initialization_options)
        self.dialect = Dialect.of(self.client_capabilities)
        if params.process_id:
            follow(params.process_id)
        for module in sorted(pkgutil.iter_modules(features.__path__), key=lambda m: m.name):
            importlib.import_module(f"{features.__name__}.{module.name}").register(self)

    async def _ask_for_settings(self) -> None:
        """Ask for the settings of the session and of each of its folders."""
        workspace = self.client_capabilities.workspace
        if not (workspace and workspace.configuration):
            return
        before = self.settings.copy()
        folders = [folder.uri for folder in self.workspace.folders.values()]
        items = [t.ConfigurationItem(section=SECTION, scope_uri=folder) for folder in (None, *folders)]
        try:
            answer = await self.workspace_configuration_async(t.ConfigurationParams(items))
        except Exception:
            _log.warning("the client did not give its settings", exc_info=True)
            return
        for folder, values in zip((None, *folders), answer or (), strict=False):
            if folder is None:
                self.settings.change(values)
            else:
                place = unquote(folder)
                self.settings.own[place] = self.settings.own.get(place, self.settings.common).changed(values)
        self._settle(before)
