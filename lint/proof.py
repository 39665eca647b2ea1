"""The pipeline: one manuscript in, its work and findings out.

``Manuscript → Layout → Pattern → Work → findings``. Every stage is a pure function of immutable inputs.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import lru_cache
from importlib.metadata import entry_points

from .fabric.solve import work
from .fabric.work import Work
from .finding import Finding, Severity
from .pattern.pattern import Pattern
from .pattern.resolve import resolve
from .rule import Rule, Subject
from .style import Style
from .syntax.layout import Layout
from .syntax.sections import read_layout
from .text import Span, Text


@dataclass(frozen=True)
class Proof:
    """What came of proofing one manuscript."""

    text: Text
    layout: Layout
    pattern: Pattern
    work: Work
    findings: tuple[Finding, ...]

    def loud(self, threshold: Severity = Severity.QUERY) -> tuple[Finding, ...]:
        return tuple(f for f in self.findings if f.severity.at_least(threshold))


@lru_cache(maxsize=1)
def installed_rules() -> tuple[Rule, ...]:
    """Every rule of every package that offers the entry-point group ``tenterhook.rules``."""
    return tuple(rule for entry in entry_points(group="tenterhook.rules") for rule in entry.load()())


def proof(text: Text, style: Style | None = None, rules: Iterable[Rule] | None = None) -> Proof:
    """Read, work and check one manuscript. Never raises, whatever the text."""
    style = style or Style()
    layout, sizes = read_layout(text)
    pattern = resolve(text, layout, sizes)
    done = work(pattern)
    subject = Subject(text, layout, pattern, done, style)
    found = run_rules(subject, installed_rules() if rules is None else rules)
    return Proof(text, layout, pattern, done, tuple(found))


def run_rules(subject: Subject, rules: Iterable[Rule]) -> list[Finding]:
    """Every rule's findings in the order of the text. A rule that raises becomes one finding; the others go on."""
    found: list[Finding] = []
    for rule in rules:
        if rule.name in subject.style.off:
            continue
        try:
            found.extend(rule.check(subject))
        except Exception as error:
            if subject.style.strict:
                raise
            found.append(
                Finding(rule.name, Severity.SUGGESTION, f"The check {rule.name} could not finish on this manuscript ({type(error).__name__}).", Span(0, 0))
            )
    return hang_followers(subject, found)


def hang_followers(subject: Subject, found: list[Finding]) -> list[Finding]:
    """Findings in text order, each that stems from an earlier slip hung under it."""
    order = sorted(range(len(found)), key=lambda i: (found[i].span.start, found[i].severity.rank, found[i].span.end))
    ordered = [found[i] for i in order]
    arithmetic = {"row-total", "base-short", "base-left", "repeat-fit", "count-by-kind"}
    roots: dict[Span, int] = {}
    for i, f in enumerate(ordered):
        if f.rule in arithmetic:
            for row in subject.work.rows():
                if f.span.touches(row.span) and row.span not in roots:
                    roots[row.span] = i
    out: list[Finding] = []
    for i, f in enumerate(ordered):
        parent: int | None = None
        if f.rule in arithmetic:
            for piece in subject.work.pieces:
                for row in piece.rows:
                    if row.span.touches(f.span) and row.label == f.place:
                        if row.follows is not None:
                            cause = next((r for r in piece.rows if r.index == row.follows), None)
                            if cause is not None and cause.span != row.span:
                                parent = roots.get(cause.span)
        if parent is not None and parent != i and ordered[parent].follows is None and parent < i:
            f = replace(f, follows=parent)
        out.append(f)
    return out
