"""Code actions: gathered from ``server/actions``, each tried on the text as it stands before it is offered."""

from __future__ import annotations

import importlib
import logging
import pkgutil
from collections.abc import Iterable, Iterator
from typing import Any, Protocol, cast

from lsprotocol import types as t

from .. import actions
from ..analysis import Again
from ..ask import Ask, wanted
from ..language_server import Server

_log = logging.getLogger(__name__)


class Actions(Protocol):
    """What a module of ``server/actions`` defines. ``KIND`` is the kind of what ``actions`` gives.

    ``actions`` runs where proofs are made. A module whose actions take a while to work out also defines ``resolve``,
    which fills in the edit of one that the user has chosen.
    """

    KIND: str

    def actions(self, ask: Ask) -> Iterable[t.CodeAction]: ...


def found() -> list[Actions]:
    """Every module of actions, in the order in which the editor shows them."""
    modules = [importlib.import_module(f"{actions.__name__}.{m.name}") for m in pkgutil.iter_modules(actions.__path__)]
    return sorted((cast("Actions", m) for m in modules), key=lambda m: getattr(m, "PLACE", 50))


def register(server: Server) -> None:
    modules = found()
    workspace = server.client_capabilities.workspace
    document = server.client_capabilities.text_document
    can = document.code_action if document else None
    versioned = bool(workspace and workspace.workspace_edit and workspace.workspace_edit.document_changes)
    resolves = bool(can and can.data_support and can.resolve_support and "edit" in can.resolve_support.properties)
    kinds = list(dict.fromkeys(module.KIND for module in modules if module.KIND))

    @server.feature(
        t.TEXT_DOCUMENT_CODE_ACTION, t.CodeActionOptions(code_action_kinds=kinds, resolve_provider=resolves)
    )
    async def code_action(params: t.CodeActionParams) -> list[t.CodeAction]:
        server.at_work_on(params.text_document.uri, params.range.start)
        only = params.context.only
        asked = [module for module in modules if wanted(module.KIND, only)]
        on = await server.proofed(params.text_document.uri)
        if not asked or on is None or on.proof is None:
            return []
        span = on.page.span(params.range)
        proof, findings = on.proof, await server.analysis.tried(on, on.standing(span))
        named = bool(only)

        def gather(again: Again) -> list[t.CodeAction]:
            ask = Ask(on, proof, findings, span, again, versioned, resolves, named)
            return [action for module in asked for action in _with_kind(module, ask)]

        return await server.analysis.run(on.uri, gather)

    if resolves:

        @server.feature(t.CODE_ACTION_RESOLVE)
        async def resolve(action: t.CodeAction) -> t.CodeAction:
            data = action.data if isinstance(action.data, dict) else {}
            on = await server.proofed(str(data.get("uri", "")))
            module = next((m for m in modules if data.get("kind") == m.KIND and hasattr(m, "resolve")), None)
            if on is None or on.proof is None or module is None:
                return action
            proof = on.proof
            everything = proof.text.whole

            def fill(again: Again) -> t.WorkspaceEdit | None:
                return cast("Any", module).resolve(
                    Ask(on, proof, proof.findings, everything, again, versioned, resolves, True)
                )

            action.edit = await server.analysis.run(on.uri, fill)
            return action


def _with_kind(module: Actions, ask: Ask) -> Iterator[t.CodeAction]:
    try:
        for action in module.actions(ask):
            action.kind = module.KIND
            yield action
    except Exception:  # the others are still of use
        _log.exception("no actions of kind %r could be worked out", module.KIND)
