"""Findings as the protocol's diagnostics."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from lsprotocol import types as t

from ..lint.finding import Finding, Severity
from ..lint.text import Span, Text
from .columns import Page
from .pages import rule_page

SOURCE = "tenterhook"

SEVERITIES = {
    Severity.WRONG: t.DiagnosticSeverity.Error,
    Severity.QUERY: t.DiagnosticSeverity.Warning,
    Severity.STYLE: t.DiagnosticSeverity.Information,
    Severity.SUGGESTION: t.DiagnosticSeverity.Hint,
}

TAGS = {"abbreviation-unused": t.DiagnosticTag.Unnecessary}


@dataclass(frozen=True)
class Dialect:
    """What of a diagnostic the client can take."""

    related: bool = False
    pages: bool = False
    tags: frozenset[t.DiagnosticTag] = frozenset()

    @classmethod
    def of(cls, client: t.ClientCapabilities) -> Dialect:
        document = client.text_document
        publish = document.publish_diagnostics if document else None
        if publish is None:
            return cls()
        return cls(
            related=bool(publish.related_information),
            pages=bool(publish.code_description_support),
            tags=frozenset(publish.tag_support.value_set) if publish.tag_support else frozenset(),
        )

    def remark(self, words: str) -> t.Diagnostic:
        """What stands in the place of findings where a text was not proofed: a gap is never silent."""
        start = t.Position(0, 0)
        severity = t.DiagnosticSeverity.Warning
        return t.Diagnostic(range=t.Range(start, start), severity=severity, source=SOURCE, message=words)


def visible(span: Span, text: Text) -> Span:
    """A span an editor can underline: an empty one takes in the character after it, or before it at a line's end."""
    if span.start != span.end or not len(text):
        return span
    line = text.line_span(text.line_number(span.start))
    start = min(span.start, line.end)
    if start < line.end:
        return Span(start, start + 1)
    return Span(max(line.start, start - 1), start)


def diagnostics(findings: Sequence[Finding], page: Page, uri: str, dialect: Dialect) -> tuple[t.Diagnostic, ...]:
    """One diagnostic for each finding, in the same order."""
    return tuple(diagnostic(finding, findings, page, uri, dialect) for finding in findings)


def diagnostic(finding: Finding, among: Sequence[Finding], page: Page, uri: str, dialect: Dialect) -> t.Diagnostic:
    related = [
        t.DiagnosticRelatedInformation(t.Location(uri, page.range(visible(span, page.text))), words)
        for span, words in (_because(finding, among) if dialect.related else ())
    ]
    tag = TAGS.get(finding.rule)
    href = rule_page(finding.rule) if dialect.pages else None
    return t.Diagnostic(
        range=page.range(visible(finding.span, page.text)),
        severity=SEVERITIES[finding.severity],
        code=finding.rule,
        source=SOURCE,
        message=finding.message,
        related_information=related or None,
        code_description=t.CodeDescription(href) if href else None,
        tags=[tag] if tag and tag in dialect.tags else None,
    )


def _because(finding: Finding, among: Sequence[Finding]) -> Iterable[tuple[Span, str]]:
    if finding.follows is not None and 0 <= finding.follows < len(among):
        cause = among[finding.follows]
        yield cause.span, f"Follows from this: {cause.message}"
    for because in finding.because:
        yield because.span, because.message
