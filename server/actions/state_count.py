"""State a row's count where the text does not: worked out, and written as the other rows' are."""

from __future__ import annotations

from collections.abc import Iterator

from lsprotocol import types as t

from ...lint import editing
from ..ask import Ask

KIND = t.CodeActionKind.RefactorRewrite.value
PLACE = 20


def actions(ask: Ask) -> Iterator[t.CodeAction]:
    for correction in editing.rewrites.stated(ask.proof, ask.span.start):
        if editing.rewrites.holds(ask.proof, ask.corrected(correction)):
            yield t.CodeAction(title=correction.title, edit=ask.edit(correction))
