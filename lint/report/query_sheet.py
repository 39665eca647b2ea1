"""The sheet of findings, and the query list: it goes to the author to be filled in, and is read back in the next round."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from ..corrections import as_changed
from ..finding import Asked, Correction, Finding
from ..proof import Proof
from ..queries import HEADS, KEPT, Query, QueryList, State, in_order
from ..rule_sets import installed_rules
from ..stet import Stet, entries
from ..words import one_line
from .followers import Followers
from .places import Places
from .sheets import Cell, Column, Desk, Sheet, table, where, words
from .unread import is_plain_unread

FINDINGS, QUERIES = "Findings", "Queries"
_LONGEST_PROPOSAL = 400
_ENOUGH = 12  # characters by which an author finds the words of a query
_WIDTHS = {"Number": 8, "Place": 22, "Words": 34, "Question": 60, "Reason": 44, "Proposed wording": 44, "Answer": 40, "State": 11}

_FINDING_COLUMNS = (
    Column("Query", 7),
    Column("Name", 26),
    Column("Kind", 11),
    Column("Check", 16),
    Column("Piece", 16),
    Column("Place", 12),
    Column("Line", 6),
    Column("Sizes", 12, wraps=True),
    Column("Words", 34, wraps=True),
    Column("Finding", 60, wraps=True),
    Column("Because", 44, wraps=True),
    Column("Proposed wording", 44, wraps=True),
    Column("Follows from", 26),
    Column("Stands because", 30, wraps=True),
)


def query_list(desk: Desk) -> QueryList:
    """The list of this round: queries that came back with the number and round they had, new ones after them."""
    queries: list[Query] = []
    taken: set[int] = set()
    number = desk.asked.next_number
    round_ = desk.asked.round + 1
    for manuscript in desk.manuscripts:
        proof = manuscript.proof
        known = entries(proof.text, proof.work, proof.findings)
        families, places = Followers(proof.findings), Places(proof.work)
        for index, finding in enumerate(proof.findings):
            if not _asks(index, finding, families):
                continue
            asked = finding.asked
            if asked is None:
                state = State.STANDS if finding.stands else State.OPEN
                asked, number = Asked(number, round_, state.value, finding.stands), number + 1
            taken.add(asked.number)
            queries.append(
                Query(
                    asked, known[index], places.in_words(proof, finding), _shown(proof, finding, known[index]), finding.message, _reason(proof, index, families),
                    _proposal(proof, finding.corrections), manuscript.path,
                )
            )  # fmt: skip
    closed = {asked.number: asked for m in desk.manuscripts for asked in m.proof.closed}
    called = {q.asked.number: m.path for m in desk.manuscripts for q in desk.asked.of(m.path)}
    for query in desk.asked.queries:
        number = query.asked.number
        if number not in taken:
            queries.append(replace(query, asked=closed.get(number, query.asked), manuscript=called.get(number, query.manuscript)))
    return QueryList(in_order(queries), round_)


def _asks(index: int, finding: Finding, families: Followers) -> bool:
    """Whether a finding is a query: it stands by itself, or was asked before. What was not read is for the editor's eyes."""
    return finding.asked is not None or (index in families.causes and not is_plain_unread(finding))


def queries(desk: Desk) -> Sheet:
    """The list as a sheet. The columns that are kept are for finding the queries again."""
    listed = query_list(desk)
    columns = tuple(
        Column(
            head, _WIDTHS.get(head, 10), wraps=_WIDTHS.get(head, 0) > 20, choices=tuple(State) if head == "State" else (),
            kept=head in KEPT and not (head == "Manuscript" and desk.several),
        )
        for head in HEADS
    )  # fmt: skip
    return Sheet(QUERIES, columns, tuple(_query(query, listed.round) for query in listed.queries))


def _query(query: Query, round_: int) -> tuple[Cell, ...]:
    asked, entry = query.asked, query.entry
    cells: dict[str, Cell] = {
        "Number": asked.number, "Place": words(query.place), "Words": words(query.words), "Question": words(query.question),
        "Reason": words(query.reason), "Proposed wording": words(query.proposal), "Kind": entry.severity.value, "Round": asked.round,
        "Answer": words(asked.answer), "State": asked.state, "Check": entry.rule, "Exact words": words(entry.words), "Manuscript": words(query.manuscript), "Piece": words(entry.piece),
        "Row": words(entry.place), "Before": words(entry.before), "After": words(entry.after), "Which": entry.which, "Of": entry.of, "List of round": round_,
    }  # fmt: skip
    return tuple(cells[head] for head in HEADS)


def findings(desk: Desk) -> Sheet:
    """Every finding, with those that follow from another and those that stand."""
    return table(FINDINGS, desk, _FINDING_COLUMNS, _finding_lines(desk))


def _finding_lines(desk: Desk) -> Iterator[tuple[str, Sequence[Cell]]]:
    numbers = {(q.manuscript, q.entry): q.asked.number for q in query_list(desk).queries}
    for manuscript in desk.manuscripts:
        proof = manuscript.proof
        places = Places(proof.work)
        for finding, entry, handle in zip(proof.findings, entries(proof.text, proof.work, proof.findings), proof.handles, strict=True):
            yield manuscript.path, (
                numbers.get((manuscript.path, entry)),
                words(handle),
                finding.severity.value,
                finding.rule,
                words(places.piece_name(finding.span)),
                words(finding.place),
                where(proof.text, finding.span.start),
                words(", ".join(finding.sizes)),
                words(_shown(proof, finding, entry)),
                words(finding.message),
                words(_because(proof, finding)),
                words(_proposal(proof, finding.corrections)),
                words(proof.handles[finding.follows]) if finding.follows is not None else "",
                words(finding.stands),
            )


def _shown(proof: Proof, finding: Finding, entry: Stet) -> str:
    """The words of a finding, or where they are too few to be known by, the line they stand in."""
    if len(entry.words) >= _ENOUGH:
        return entry.words
    line = proof.text.line_span(proof.text.line_number(finding.span.start))
    return " ".join(one_line(proof.text[line]).split())[:_LONGEST_PROPOSAL] or entry.words


def _reason(proof: Proof, index: int, families: Followers) -> str:
    """What backs a query, what follows from it, and why such a thing matters."""
    finding = proof.findings[index]
    below = [proof.findings[i].place for i in families.below(index)] if index in families.causes else []
    follows = f"From this follow: {', '.join(dict.fromkeys(p for p in below if p))}." if any(below) else ""
    why = next((rule.why for rule in installed_rules() if rule.name == finding.rule), "")
    return " ".join(part for part in (_because(proof, finding), follows, why) if part)


def _because(proof: Proof, finding: Finding) -> str:
    said = (f"{b.message.rstrip('.')} ({proof.text.where(b.span.start)})." for b in finding.because)
    return " ".join(part[:1].upper() + part[1:] for part in said)


def _proposal(proof: Proof, corrections: Sequence[Correction]) -> str:
    """What the author may write: each correction, and the lines it changes as they would read."""
    return " Or: ".join(f"{c.title.rstrip('.')}: {one_line(as_changed(proof.text, c))}" for c in corrections)
