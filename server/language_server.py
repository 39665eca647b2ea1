"""The server put together: the library's machinery, the open documents, their proofs and the features."""

from __future__ import annotations

import importlib
import json
import logging
import pkgutil
from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, TypeVar

from lsprotocol import types as t
from pygls.lsp.server import LanguageServer

from . import features
from .analysis import Analysis, Proofed, Prove
from .calm import REST
from .convert import Dialect
from .documents import Document, Documents
from .parent import follow
from .protocol import PARSE_ERROR, Protocol
from .settings import SECTION, Settings
from .worker import Worker

if TYPE_CHECKING:
    from ..lint.proof import Proof

T = TypeVar("T")

_log = logging.getLogger(__name__)


class Server(LanguageServer):
    """One session with one client. ``rest`` is how long typing has to pause to count as rested, in seconds."""

    protocol: Protocol  # pyright: ignore[reportIncompatibleVariableOverride]

    def __init__(self, version: str, prove: Prove, rest: float = REST) -> None:
        super().__init__("tenterhook", version, protocol_cls=Protocol)
        self.rest = rest
        self.settings = Settings()
        self.dialect = Dialect()
        self.arrived: list[Callable[[Proofed], None]] = []
        self.answers = Worker("answers")
        self.analysis = Analysis(prove, lambda: self.dialect, self._arrived)

        @self.feature(t.INITIALIZE)
        def opening(params: t.InitializeParams) -> None:
            self._open_session(params)

        @self.feature(t.INITIALIZED)
        async def opened(params: t.InitializedParams) -> None:
            self.analysis.warm_up()
            await self._ask_for_settings()

        @self.feature(t.WORKSPACE_DID_CHANGE_CONFIGURATION)
        async def settings_changed(params: t.DidChangeConfigurationParams) -> None:
            if params.settings:
                self.settings = self.settings.changed(params.settings)
            else:
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

    def report_server_error(self, error: Exception, source: type[Exception]) -> None:  # type: ignore[override]
        """To the log alone: a message to the client would fail again on a pipe that is closed, and again."""
        _log.error("%s", error)
        if isinstance(error, (json.JSONDecodeError, UnicodeDecodeError, RecursionError)):
            self.protocol.refuse(None, PARSE_ERROR, "the message is not JSON")

    def _arrived(self, proofed: Proofed) -> None:
        for take in self.arrived:
            take(proofed)

    def _open_session(self, params: t.InitializeParams) -> None:
        # The library fills in its own workspace first; its lines also end at form feeds and U+2028.
        given = self.workspace
        self.protocol._workspace = Documents(
            given.root_uri, t.TextDocumentSyncKind.Incremental, list(given.folders.values()), given.position_encoding
        )
        self.settings = self.settings.changed(params.initialization_options)
        self.dialect = Dialect.of(self.client_capabilities)
        if params.process_id:
            follow(params.process_id)
        for module in sorted(pkgutil.iter_modules(features.__path__), key=lambda m: m.name):
            importlib.import_module(f"{features.__name__}.{module.name}").register(self)

    async def _ask_for_settings(self) -> None:
        workspace = self.client_capabilities.workspace
        if not (workspace and workspace.configuration):
            return
        try:
            answer = await self.workspace_configuration_async(
                t.ConfigurationParams([t.ConfigurationItem(section=SECTION)])
            )
        except Exception:
            _log.warning("the client did not give its settings", exc_info=True)
            return
        for values in answer or ():
            self.settings = self.settings.changed(values)
