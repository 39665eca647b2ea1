"""What the server leans on inside its protocol library: loud when a new version takes it away."""

from __future__ import annotations

import inspect
import json
import subprocess
import sys

import pytest
from lsprotocol import types as t
from pygls.lsp.server import LanguageServer
from pygls.protocol import LanguageServerProtocol
from pygls.workspace import PositionCodec, TextDocument, Workspace
from tenterhook.server.language_server import Server

from .fake_proof import fake


@pytest.fixture
def protocol() -> LanguageServerProtocol:
    return LanguageServer("probe", "0").protocol


def test_the_protocol_keeps_its_private_state(protocol: LanguageServerProtocol):
    assert protocol._workspace is None
    assert protocol._shutdown is False
    assert set(inspect.signature(protocol._send_response).parameters) == {"msg_id", "result", "error"}
    assert {t.INITIALIZE, t.SHUTDOWN, t.EXIT} <= set(protocol.fm.builtin_features)
    assert isinstance(protocol.fm.features, dict)


def test_the_protocol_passes_messages_through_the_methods_overridden():
    for name in ("handle_message", "structure_message", "_send_response"):
        assert callable(getattr(LanguageServerProtocol, name))
    assert "report_server_error" in vars(LanguageServer)


def test_the_workspace_makes_its_documents_in_one_place():
    workspace = Workspace(None)
    assert workspace._sync_kind == t.TextDocumentSyncKind.Incremental
    assert list(inspect.signature(workspace._create_text_document).parameters) == [
        "doc_uri",
        "source",
        "version",
        "language_id",
    ]
    workspace.put_text_document(t.TextDocumentItem("untitled:a%20b", "", 1, "x"))
    assert list(workspace.text_documents) == ["untitled:a b"]


def test_a_document_keeps_its_text_where_the_server_writes_it():
    document = TextDocument("untitled:a", "one\n", position_codec=PositionCodec("utf-8"))
    document._source = "two\n"
    assert document.source == "two\n"
    assert document.position_codec.encoding == "utf-8"
    assert isinstance(inspect.getattr_static(TextDocument, "lines"), property)
    assert callable(document.apply_change)


def test_an_answer_carries_neither_traceback_nor_path():
    sent: list[bytes] = []

    class Writer:
        def write(self, data: bytes) -> None:
            sent.append(data)

        def close(self) -> None: ...

    protocol = Server("0", fake).protocol
    protocol.set_writer(Writer(), include_headers=False)
    error = t.ResponseError(-32603, "FileNotFoundError: /home/someone/cowl.txt", data={"traceback": ["line 1"]})
    protocol._send_response(1, error=error)
    answer = json.loads(sent[0])
    assert answer["id"] == 1
    assert answer["error"] == {
        "code": -32603,
        "message": "this request could not be answered; the server's log says why",
    }


@pytest.mark.parametrize("module", ["tenterhook.lint.cli", "tenterhook.lint.proof", "tenterhook.server.main"])
def test_importing_without_serving_does_not_pay_for_the_protocol(module: str):
    check = f"import sys, {module}; sys.exit(any(m.split('.')[0] in ('pygls', 'lsprotocol') for m in sys.modules))"
    assert subprocess.run([sys.executable, "-c", check], check=False).returncode == 0
