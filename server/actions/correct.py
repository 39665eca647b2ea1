"""A finding's corrections as quick fixes; preferred where there is just one."""

from __future__ import annotations

from collections.abc import Iterator

from lsprotocol import types as t

from ..ask import Ask

KIND = t.CodeActionKind.QuickFix.value
PLACE = 0


def actions(ask: Ask) -> Iterator[t.CodeAction]:
    for finding, diagnostic in ask.here:
        for correction in finding.corrections:
            yield t.CodeAction(
                title=correction.title,
                diagnostics=[diagnostic],
                is_preferred=len(finding.corrections) == 1,
                edit=ask.edit(correction),
            )
