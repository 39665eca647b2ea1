"""The server spoken to by a client library with the capabilities of three real editors.

A reply that a client has not said it supports is a warning of the library, and warnings are errors here.
"""

from __future__ import annotations

import asyncio
import sys
from collections.abc import Sequence
from pathlib import Path

import pytest
import pytest_lsp
from lsprotocol import types as t
from pytest_lsp import ClientServerConfig, LanguageClient, client_capabilities

HERE = Path(__file__).parent
DOCUMENT = t.TextDocumentIdentifier("untitled:cowl.txt")
EDITORS = ["neovim", "visual-studio-code", "emacs"]
TEXT = """# Notes
teh \U0001f9f6 teh
# Cowl
Row 1: makes 11
Row 2: makes 12 (11 sc)
Row 3: hard to read, as Row 1
"""


@pytest_lsp.fixture(
    params=EDITORS,
    config=ClientServerConfig(server_command=[sys.executable, str(HERE / "fake_server.py")]),
)
async def client(request: pytest.FixtureRequest, lsp_client: LanguageClient):
    @lsp_client.feature(t.CLIENT_REGISTER_CAPABILITY)
    def registered(params: t.RegistrationParams) -> None:
        lsp_client.watched = params.registrations

    ready = await lsp_client.initialize_session(
        t.InitializeParams(capabilities=client_capabilities(request.param), root_uri=HERE.as_uri())
    )
    lsp_client.editor = request.param
    lsp_client.offered = ready.capabilities
    yield
    await lsp_client.shutdown_session()


async def published(client: LanguageClient, send) -> t.PublishDiagnosticsParams:
    seen = client.protocol.wait_for_notification_async(t.TEXT_DOCUMENT_PUBLISH_DIAGNOSTICS)
    send()
    return await asyncio.wait_for(seen, 10)


async def opened(client: LanguageClient, text: str = TEXT) -> t.PublishDiagnosticsParams:
    item = t.TextDocumentItem(DOCUMENT.uri, "plaintext", 1, text)
    return await published(client, lambda: client.text_document_did_open(t.DidOpenTextDocumentParams(item)))


@pytest.mark.asyncio
async def test_every_feature_suits_the_editor(client: LanguageClient):
    # One session for all: starting a server costs far more than asking it.
    found = await opened(client)
    await a_correction_is_offered_where_its_finding_stands(client, found)
    encoding = getattr(client.offered.position_encoding, "value", client.offered.position_encoding)
    column = {"utf-8": 9, "utf-16": 7, "utf-32": 6}
    assert encoding == {"neovim": "utf-8", "visual-studio-code": "utf-16", "emacs": "utf-32"}[client.editor]
    assert [d.range.start for d in found.diagnostics] == [t.Position(1, 0), t.Position(1, column[encoding])]
    assert found.version == 1
    assert client.offered.diagnostic_provider is None, "pushed and pulled findings would both be shown"
    related = [bool(d.related_information) for d in found.diagnostics]
    assert related == [False, client.editor != "emacs"]

    hover = await client.text_document_hover_async(t.HoverParams(DOCUMENT, t.Position(4, 3)))
    assert hover and isinstance(hover.contents, t.MarkupContent)
    assert hover.contents.kind is t.MarkupKind.Markdown
    assert hover.contents.value.startswith("**Row 2**, RS, differs: it does not come out as written\n- Worked on 11, ")
    assert await client.text_document_hover_async(t.HoverParams(DOCUMENT, t.Position(0, 0))) is None

    symbols = await client.text_document_document_symbol_async(t.DocumentSymbolParams(DOCUMENT))
    assert symbols
    assert [s.name for s in symbols] == ["Notes", "Cowl", "Cowl"]
    piece = symbols[2]
    assert isinstance(piece, t.DocumentSymbol) and piece.children
    assert [(row.name, row.detail) for row in piece.children] == [
        ("Row 1", "makes 11, RS, proved"),
        ("Row 2", "makes 12, RS, differs"),
        ("Row 3", "RS, unread"),
    ]

    folds = await client.text_document_folding_range_async(t.FoldingRangeParams(DOCUMENT))
    assert [(f.start_line, f.end_line) for f in folds or ()] == [(0, 1), (2, 5), (3, 5)]

    everything = t.Range(t.Position(0, 0), t.Position(99, 0))
    hints = await client.text_document_inlay_hint_async(t.InlayHintParams(DOCUMENT, everything))
    assert [(h.label, h.position) for h in hints or ()] == [("makes 11 sc", t.Position(3, 15))]

    label = t.Location(DOCUMENT.uri, t.Range(t.Position(3, 0), t.Position(3, 5)))
    mention = t.Location(DOCUMENT.uri, t.Range(t.Position(5, 28), t.Position(5, 29)))
    named = t.Position(5, 28)
    found_there = await client.text_document_definition_async(t.DefinitionParams(DOCUMENT, named))
    assert isinstance(found_there, Sequence) and list(found_there) == [label]
    context = t.ReferenceContext(include_declaration=True)
    asked = t.ReferenceParams(context, DOCUMENT, t.Position(3, 2))
    assert list(await client.text_document_references_async(asked) or ()) == [label, mention]

    lenses = await client.text_document_code_lens_async(t.CodeLensParams(DOCUMENT))
    assert [lens.command.title for lens in lenses or () if lens.command] == ["proved 1 of 3 rows, 1 differs, 1 unread"]


async def a_correction_is_offered_where_its_finding_stands(
    client: LanguageClient, found: t.PublishDiagnosticsParams
) -> None:
    second = found.diagnostics[1].range
    here = t.Range(second.end, second.end)

    async def asked(only: list[t.CodeActionKind] | None, where: t.Range = here):
        context = t.CodeActionContext(diagnostics=[], only=only)
        return await client.text_document_code_action_async(t.CodeActionParams(DOCUMENT, where, context)) or []

    titles = [action.title for action in await asked(None)]
    whole = [] if client.editor == "emacs" else ["Make every certain correction in this manuscript"]
    assert titles == ["Write “the”", *whole, "Explain word-mixed"], "what takes a while is for clients that can wait"
    (action,) = await asked([t.CodeActionKind.QuickFix])
    assert isinstance(action, t.CodeAction) and action.edit
    assert (action.title, action.kind, action.is_preferred) == ("Write “the”", t.CodeActionKind.QuickFix, True)
    assert action.diagnostics and action.diagnostics[0].range == second
    if action.edit.document_changes:
        (change,) = action.edit.document_changes
        assert isinstance(change, t.TextDocumentEdit)
        assert change.text_document == t.OptionalVersionedTextDocumentIdentifier(DOCUMENT.uri, 1)
        edits = change.edits
    else:
        edits = (action.edit.changes or {})[DOCUMENT.uri]
    assert list(edits) == [t.TextEdit(second, "the")]
    (everything,) = await asked([t.CodeActionKind.SourceFixAll])
    assert isinstance(everything, t.CodeAction)
    if everything.edit is None:
        everything = await client.code_action_resolve_async(everything)
    edit = everything.edit
    assert edit
    changes = edit.document_changes[0].edits if edit.document_changes else (edit.changes or {})[DOCUMENT.uri]
    assert [change.new_text for change in changes] == ["the", "the"]
    assert await asked([t.CodeActionKind.Refactor]) == []
    elsewhere = t.Range(t.Position(3, 0), t.Position(3, 0))
    assert await asked([t.CodeActionKind.QuickFix], elsewhere) == []
    (stated,) = await asked([t.CodeActionKind.Refactor], elsewhere)
    assert (stated.title, stated.kind) == ("State the count: (11 sc)", t.CodeActionKind.RefactorRewrite)


@pytest_lsp.fixture(
    config=ClientServerConfig(server_command=[sys.executable, str(HERE / "fake_server.py")]),
)
async def plain(lsp_client: LanguageClient):
    """A client that can do next to nothing."""
    await lsp_client.initialize_session(
        t.InitializeParams(
            capabilities=t.ClientCapabilities(
                text_document=t.TextDocumentClientCapabilities(
                    hover=t.HoverClientCapabilities(content_format=[t.MarkupKind.PlainText]),
                    folding_range=t.FoldingRangeClientCapabilities(range_limit=1),
                )
            )
        )
    )
    yield
    await lsp_client.shutdown_session()


@pytest.mark.asyncio
async def test_a_modest_client_gets_what_it_can_take(plain: LanguageClient):
    found = await opened(plain)
    assert all(d.related_information is None for d in found.diagnostics)
    hover = await plain.text_document_hover_async(t.HoverParams(DOCUMENT, t.Position(3, 3)))
    assert hover and isinstance(hover.contents, t.MarkupContent)
    assert hover.contents.kind is t.MarkupKind.PlainText
    assert "*" not in hover.contents.value
    symbols = await plain.text_document_document_symbol_async(t.DocumentSymbolParams(DOCUMENT))
    assert symbols and all(isinstance(s, t.SymbolInformation) for s in symbols)
    assert len(await plain.text_document_folding_range_async(t.FoldingRangeParams(DOCUMENT)) or ()) == 1


@pytest_lsp.fixture(
    config=ClientServerConfig(server_command=[sys.executable, str(HERE / "fake_server.py")]),
)
async def puller(lsp_client: LanguageClient):
    """An editor whose user has asked for pulling."""
    ready = await lsp_client.initialize_session(
        t.InitializeParams(
            capabilities=client_capabilities("neovim@v0.11.0"), initialization_options={"pull": True, "calm": False}
        )
    )
    assert ready.capabilities.diagnostic_provider
    yield
    await lsp_client.shutdown_session()


@pytest.mark.asyncio
async def test_findings_can_be_pulled(puller: LanguageClient):
    item = t.TextDocumentItem(DOCUMENT.uri, "plaintext", 1, TEXT)
    puller.text_document_did_open(t.DidOpenTextDocumentParams(item))
    first = await puller.text_document_diagnostic_async(t.DocumentDiagnosticParams(DOCUMENT))
    assert isinstance(first, t.RelatedFullDocumentDiagnosticReport)
    assert len(first.items) == 2
    asked = t.DocumentDiagnosticParams(DOCUMENT, previous_result_id=first.result_id)
    assert isinstance(await puller.text_document_diagnostic_async(asked), t.RelatedUnchangedDocumentDiagnosticReport)
    where = t.Range(t.Position(1, 0), t.Position(1, 3))
    change = t.TextDocumentContentChangePartial(where, "the")
    puller.text_document_did_change(
        t.DidChangeTextDocumentParams(t.VersionedTextDocumentIdentifier(2, DOCUMENT.uri), [change])
    )
    second = await puller.text_document_diagnostic_async(asked)
    assert isinstance(second, t.RelatedFullDocumentDiagnosticReport)
    assert len(second.items) == 1
    assert DOCUMENT.uri not in puller.diagnostics, "nothing is pushed to a client that pulls"


@pytest.mark.asyncio
@pytest.mark.parametrize("client", ["neovim"], indirect=True)
async def test_settings_are_asked_for(client: LanguageClient):
    client.set_configuration({"tenterhook": {"calm": False}})
    client.workspace_did_change_configuration(t.DidChangeConfigurationParams(settings=None))
    await opened(client, "te")
    change = t.TextDocumentContentChangePartial(t.Range(t.Position(0, 2), t.Position(0, 2)), "h")
    document = t.VersionedTextDocumentIdentifier(2, DOCUMENT.uri)
    found = await published(
        client, lambda: client.text_document_did_change(t.DidChangeTextDocumentParams(document, [change]))
    )
    assert (found.version, len(found.diagnostics)) == (2, 1)
