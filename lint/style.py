"""House style and settings. Every setting has a default that stays out of an author's way."""

from __future__ import annotations

from dataclasses import dataclass, field

from .finding import Severity


@dataclass(frozen=True)
class Style:
    """Settings of one run."""

    threshold: Severity = Severity.QUERY
    off: frozenset[str] = field(default_factory=frozenset[str])
    strict: bool = False  # a rule that raises fails the run instead of becoming a finding
