"""What a rule reports: plain, immutable data that every report and the server read."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from .text import Span


class Severity(StrEnum):
    """How an editor sorts what is found, gravest first."""

    WRONG = "wrong"  # cannot come out as written
    QUERY = "query"  # two readings, or intent unknown: a question to the author
    STYLE = "style"  # differs from the chosen house style, or from the manuscript's own habit
    SUGGESTION = "suggestion"  # reader comfort, and what was not read

    @property
    def rank(self) -> int:
        """0 for the gravest."""
        return list(Severity).index(self)

    def at_least(self, threshold: Severity) -> bool:
        return self.rank <= threshold.rank


@dataclass(frozen=True, slots=True)
class Because:
    """A place in the text that backs a finding, with the words to say about it."""

    span: Span
    message: str


@dataclass(frozen=True, slots=True)
class Edit:
    """Put ``text`` in the place of ``span``."""

    span: Span
    text: str


@dataclass(frozen=True, slots=True)
class Correction:
    """A change that removes its finding and adds none; only offered when that has been tried."""

    title: str
    edits: tuple[Edit, ...]

    def apply(self, source: str) -> str:
        for edit in sorted(self.edits, key=lambda e: e.span, reverse=True):
            source = source[: edit.span.start] + edit.text + source[edit.span.end :]
        return source


@dataclass(frozen=True, slots=True)
class Asked:
    """What is known of a finding from the query list that went to its author: number and round of the query, and the answer.

    ``again`` tells that the query had been closed, or let stand when it was less grave.
    """

    number: int
    round: int
    state: str = "open"
    answer: str = ""
    again: bool = False

    @property
    def name(self) -> str:
        return f"query {self.number}, round {self.round}"

    def __str__(self) -> str:
        again = " again" if self.again else ""
        answer = f": “{self.answer}”" if self.answer else ""
        return f"Query {self.number}, round {self.round}, {self.state}{again}{answer}"


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing reported. ``follows`` is the index, in the same list, of the finding that caused this one.

    ``stands`` is the reason for which an editor has let it stand, "" where nobody has. ``asked`` is its query, where a
    query list that has it came back.
    """

    rule: str
    severity: Severity
    message: str
    span: Span
    place: str = ""
    sizes: tuple[str, ...] = ()
    because: tuple[Because, ...] = ()
    follows: int | None = None
    corrections: tuple[Correction, ...] = ()
    stands: str = ""
    asked: Asked | None = None

    def with_corrections(self, corrections: Sequence[Correction]) -> Finding:
        return replace(self, corrections=tuple(corrections))
