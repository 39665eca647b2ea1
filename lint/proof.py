"""The pipeline: one manuscript in, its work and findings out.

``Manuscript → Layout → Pattern → Work → findings``. Every stage is a pure function of immutable inputs.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from importlib.metadata import entry_points

from .fabric.work import Work
from .finding import Finding, Severity
from .pattern.pattern import Pattern
from .rule import Rule, Subject
from .style import Style
from .syntax.layout import Layout
from .text import Text


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
    raise NotImplementedError
