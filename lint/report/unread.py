"""What was not read, for a person's eyes: phrases of rows, and what a rule says of words outside them."""

from __future__ import annotations

from bisect import bisect_left

from ..finding import Finding, Severity
from ..proof import Proof
from ..text import Span

NOT_READ = "not-read"
"""The rule that points at words that were not read; its findings are listed together instead of one by one."""


def is_plain_unread(finding: Finding) -> bool:
    """Whether a finding only points at words that were not read."""
    return finding.rule == NOT_READ and finding.severity is Severity.SUGGESTION and finding.follows is None


def phrases_unread(proof: Proof) -> list[tuple[Span, str, str]]:
    """Every phrase that was not read, once: its span, where it stands, and what a rule said of it.

    The span is empty for something of a document that is not in its text at all.
    """
    phrases: dict[tuple[int, int, str], tuple[Span, str, str]] = {}
    for row in proof.work.rows():
        for span in row.unread:
            phrases.setdefault((span.start, span.end, ""), (span, row.label, ""))
    covered = sorted((span for span, _, _ in phrases.values()), key=lambda span: span.start)
    for finding in proof.findings:
        span = finding.span
        if is_plain_unread(finding) and not (span and _touches_any(span, covered)):
            phrases.setdefault((span.start, span.end, finding.message), (span, finding.place, finding.message))
    return sorted(phrases.values())


def _touches_any(span: Span, covered: list[Span]) -> bool:
    index = bisect_left(covered, span.end, key=lambda other: other.start)
    return any(other.touches(span) for other in covered[max(0, index - 2) : index])
