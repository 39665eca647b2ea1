"""A counted repeat written another way: in brackets, or from a mark. What it makes stays the same."""

from __future__ import annotations

from collections.abc import Iterator

from lsprotocol import types as t

from ...lint import editing
from ..ask import Ask

KIND = t.CodeActionKind.RefactorRewrite.value
PLACE = 40


def actions(ask: Ask) -> Iterator[t.CodeAction]:
    for correction in editing.rewrites.repeated(ask.proof, ask.span.start):
        if editing.rewrites.holds(ask.proof, ask.corrected(correction)):
            yield t.CodeAction(title=correction.title, edit=ask.edit(correction))
