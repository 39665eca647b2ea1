"""The query list that travels between editor and author: which of its queries a finding is, and what became of the others.

A query keeps its number and the round it was first asked in. It is found again as a finding let stand is, by its rule,
its place and the words there and around (``stet``), never by a line number.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from .finding import Asked
from .proof import Proof
from .stet import Stet, found_again, let_stand

NO_REASON = "let stand in the query list"

SHOWN = ("Number", "Place", "Words", "Question", "Reason", "Proposed wording", "Kind", "Round", "Answer", "State")
"""The headings of what an editor and an author read and fill in."""

KEPT = ("Check", "Exact words", "Manuscript", "Piece", "Row", "Before", "After", "Which", "Of", "List of round")
"""The headings of what queries are found again by."""

HEADS = (*SHOWN, *KEPT)


class State(StrEnum):
    """What may stand in the column of states."""

    OPEN = "open"
    ANSWERED = "answered"
    STANDS = "stands"
    CLOSED = "closed"


@dataclass(frozen=True, slots=True)
class Query:
    """One query. The words are those of its line in the list; ``entry`` is what its finding is known by."""

    asked: Asked
    entry: Stet
    place: str
    words: str
    question: str
    reason: str = ""
    proposal: str = ""
    manuscript: str = ""


@dataclass(frozen=True, slots=True)
class QueryList:
    """The queries of one round and all before it.

    ``alone`` tells that one manuscript is proofed: a list for one manuscript is then for it, however the file is called now.
    """

    queries: tuple[Query, ...] = ()
    round: int = 0
    alone: bool = False

    def of(self, manuscript: str) -> tuple[Query, ...]:
        """The queries of a manuscript."""
        names = dict.fromkeys(q.manuscript for q in self.queries)
        if self.alone and len(names) == 1:
            return self.queries
        named = [name for name in names if name == manuscript] or [n for n in names if os.path.basename(n) == os.path.basename(manuscript)]
        return tuple(q for q in self.queries if named and q.manuscript == named[0])

    @property
    def next_number(self) -> int:
        return max((q.asked.number for q in self.queries), default=0) + 1


def answered(proof: Proof, queries: Sequence[Query]) -> Proof:
    """The proof with each finding's query, those that stand standing, and the queries whose finding is gone."""
    if not queries:
        return proof
    standing = [replace(q.entry, because=q.asked.answer or NO_REASON) for q in queries if q.asked.state == State.STANDS]
    findings, _ = let_stand(proof.text, proof.work, proof.findings, standing)
    same = found_again(proof.text, proof.work, findings, [q.entry for q in queries], graver=True)
    for index, query in same.items():
        findings[index] = replace(findings[index], asked=_now(queries[query].asked, stands=bool(findings[index].stands)))
    gone = (query.asked for i, query in enumerate(queries) if i not in same.values())
    return replace(proof, findings=tuple(findings), closed=tuple(_closed(asked) for asked in gone))


def _now(asked: Asked, *, stands: bool) -> Asked:
    """A query whose finding is there: what was closed, or stood when it was less grave, is open again."""
    if stands:
        return replace(asked, state=State.STANDS.value)
    if asked.state in (State.CLOSED, State.STANDS):
        return replace(asked, state=State.OPEN.value, again=True)
    return asked


def _closed(asked: Asked) -> Asked:
    return replace(asked, state=State.CLOSED.value, again=False)


def in_order(queries: Iterable[Query]) -> tuple[Query, ...]:
    return tuple(sorted(queries, key=lambda query: query.asked.number))


_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
"""What a spreadsheet takes for the beginning of a formula; the full-width forms where East Asian languages are set."""


def guarded(words: str) -> str:
    """Words for a file of comma-separated values, none of which a spreadsheet may take for a formula."""
    return f"'{words}" if _begins_a_formula(words) else words


def unguarded(words: str) -> str:
    """What ``guarded`` was given."""
    return words[1:] if words.startswith("'") and _begins_a_formula(words[1:]) else words


def _begins_a_formula(words: str) -> bool:
    return words.lstrip("' \u00a0").startswith(_FORMULA)
