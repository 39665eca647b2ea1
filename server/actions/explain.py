"""Explain a finding: why its rule is there, what is better, and when to let it stand."""

from __future__ import annotations

from collections.abc import Iterator

from lsprotocol import types as t

from ..ask import Ask
from ..features.explain import COMMAND

KIND = ""  # no fix, and nothing that a tool should apply by itself
PLACE = 90


def actions(ask: Ask) -> Iterator[t.CodeAction]:
    told: set[str] = set()
    for finding, diagnostic in ask.here:
        if finding.rule not in told:
            told.add(finding.rule)
            yield t.CodeAction(
                title=f"Explain {finding.rule}",
                diagnostics=[diagnostic],
                command=t.Command(f"Explain {finding.rule}", COMMAND, arguments=[finding.rule]),
            )
