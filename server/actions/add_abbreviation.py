"""Add a stitch that the rows use to the key that leaves it out."""

from __future__ import annotations

from collections.abc import Iterator

from lsprotocol import types as t

from ...lint import editing
from ..ask import Ask

KIND = t.CodeActionKind.QuickFix.value
PLACE = 30


def actions(ask: Ask) -> Iterator[t.CodeAction]:
    for correction in editing.rewrites.explained(ask.on.subject, ask.on.names, ask.span.start):
        if editing.rewrites.holds(ask.proof, ask.corrected(correction)):
            about = [diagnostic for finding, diagnostic in ask.here if finding.rule == "abbreviation-undefined"]
            yield t.CodeAction(title=correction.title, diagnostics=about or None, edit=ask.edit(correction))
