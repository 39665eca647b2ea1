"""Corrections as quick fixes: those that hold when tried on the text as it stands, preferred where there is just one."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from lsprotocol import types as t

from ...lint.finding import Correction, Finding
from ...lint.text import Span
from ..analysis import Proofed
from ..language_server import Server


def wanted(only: Sequence[t.CodeActionKind | str] | None) -> bool:
    """Whether a client that asks for these kinds of action asks for quick fixes."""
    if only is None:
        return True
    names = [kind.value if isinstance(kind, t.CodeActionKind) else kind for kind in only]
    return any(name in ("", t.CodeActionKind.QuickFix.value) for name in names)


def edit(correction: Correction, proofed: Proofed, versioned: bool) -> t.WorkspaceEdit:
    """A correction as an edit; one that names the version is refused by the client if the text has moved on."""
    edits = [t.TextEdit(proofed.page.range(each.span), each.text) for each in correction.edits]
    if versioned:
        document = t.OptionalVersionedTextDocumentIdentifier(proofed.uri, proofed.version)
        return t.WorkspaceEdit(document_changes=[t.TextDocumentEdit(document, edits)])
    return t.WorkspaceEdit(changes={proofed.uri: edits})


def standing(findings: Sequence[Finding], span: Span) -> frozenset[int]:
    """The findings, by index, that stand in a span or right beside it."""
    return frozenset(
        index
        for index, finding in enumerate(findings)
        if finding.span.touches(span) or span.start == finding.span.end or span.end == finding.span.start
    )


def actions(findings: Sequence[Finding], proofed: Proofed, versioned: bool) -> Iterator[t.CodeAction]:
    """Every correction as an action; ``findings`` are those of ``proofed``, in the same order."""
    for finding, diagnostic in zip(findings, proofed.diagnostics, strict=True):
        for correction in finding.corrections:
            yield t.CodeAction(
                title=correction.title,
                kind=t.CodeActionKind.QuickFix,
                diagnostics=[diagnostic],
                is_preferred=len(finding.corrections) == 1,
                edit=edit(correction, proofed, versioned),
            )


def register(server: Server) -> None:
    workspace = server.client_capabilities.workspace
    versioned = bool(workspace and workspace.workspace_edit and workspace.workspace_edit.document_changes)

    @server.feature(t.TEXT_DOCUMENT_CODE_ACTION, t.CodeActionOptions(code_action_kinds=[t.CodeActionKind.QuickFix]))
    async def code_action(params: t.CodeActionParams) -> list[t.CodeAction]:
        if not wanted(params.context.only):
            return []
        on = await server.proofed(params.text_document.uri)
        if on is None or on.proof is None:
            return []
        asked = standing(on.proof.findings, on.page.span(params.range))
        return list(actions(await server.analysis.tried(on.proof, asked), on, versioned))
