"""Every correction that is certain, in the whole manuscript at once."""

from __future__ import annotations

from collections.abc import Iterator

from lsprotocol import types as t

from ...lint.corrections import certain_together
from ...lint.text import Text
from ..ask import Ask

KIND = f"{t.CodeActionKind.SourceFixAll.value}.tenterhook"
PLACE = 80


def actions(ask: Ask) -> Iterator[t.CodeAction]:
    if not any(finding.corrections for finding in ask.proof.findings):
        return
    title = "Make every certain correction in this manuscript"
    if ask.resolves:
        yield t.CodeAction(title=title, data={"uri": ask.on.uri, "kind": KIND})
    elif ask.named and (edit := resolve(ask)):
        yield t.CodeAction(title=title, edit=edit)


def resolve(ask: Ask) -> t.WorkspaceEdit | None:
    """The edit: worked out only when chosen, as it takes a proof for each correction."""
    text = ask.proof.text
    together = certain_together(
        text.source, ask.proof.findings, lambda changed: ask.again(Text(changed, text.name)).findings
    )
    return ask.edit(together) if together else None
