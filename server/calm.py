"""Calm: which findings to hold back while a row is being typed.

A half-typed row is never accused, and neither is a later row whose trouble began with the half-typed one. Both come
out as soon as the typing moves elsewhere or rests.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING

from lsprotocol import types as t

from ..lint.finding import Finding
from ..lint.text import Span

if TYPE_CHECKING:
    from ..lint.proof import Proof

_BREAK = re.compile(r"\r\n|\r|\n")

Key = tuple[str, str, str]


def typed_line(changes: Sequence[t.TextDocumentContentChangeEvent]) -> int | None:
    """The line (from 0) that some changes left being typed, or None where they are no typing: a paste, a whole text."""
    lines: set[int] = set()
    for change in changes:
        if not isinstance(change, t.TextDocumentContentChangePartial):
            return None
        start, end = change.range.start, change.range.end
        if end.line != start.line and not (end.line == start.line + 1 and change.text == ""):
            return None
        if not change.text.strip("\r\n\t "):
            breaks = len(_BREAK.findall(change.text))
            lines.add(start.line + breaks if start.character else start.line)
        elif _BREAK.search(change.text):
            return None
        else:
            lines.add(start.line)
    return lines.pop() if len(lines) == 1 else None


def key(finding: Finding) -> Key:
    """What makes a finding the same one after the text around it has moved."""
    return finding.rule, finding.place, finding.message


def held(proof: Proof, line: int, shown: frozenset[Key]) -> frozenset[int]:
    """The findings, by index, to hold back while ``line`` (from 0) is typed; ``shown`` are those shown before."""
    typed = _typed_row(proof, line)
    back: set[int] = set()
    for index, finding in enumerate(proof.findings):
        accused = finding.span.touches(typed) or any(b.span.touches(typed) for b in finding.because)
        new_below = finding.span.start >= typed.end and key(finding) not in shown
        if accused or new_below:
            back.add(index)
    return frozenset(back | _followers(proof.findings, back))


def _typed_row(proof: Proof, line: int) -> Span:
    span = proof.text.line_span(min(line + 1, len(proof.text.line_starts)))
    for row in proof.work.rows():
        if row.span.touches(span):
            span = span.to(row.span)
    return span


def _followers(findings: Sequence[Finding], causes: set[int]) -> set[int]:
    followers: set[int] = set()
    for index, finding in enumerate(findings):
        seen: set[int] = set()
        cause = finding.follows
        while cause is not None and cause not in seen and 0 <= cause < len(findings):
            if cause in causes:
                followers.add(index)
                break
            seen.add(cause)
            cause = findings[cause].follows
    return followers
