"""Where it is said what a turning chain counts as: in each row, at first use for all of them, or in the notes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

from ...lint.finding import Because, Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.style import AS_FIRST, AS_MOSTLY, OFF, Choice
from ...lint.syntax.tree import Chain, Counts, Make, Mark, Tree, any_place
from ...lint.text import Span
from ...lint.vocabulary_use import row_name, rows_of
from ...lint.wording import count_of, words_at
from .habit import every_step, is_odd

STATEMENT = Choice("turning-chain-statement", "where it is said what a turning chain counts as", ("in each row", "at first use", "in the notes"))


@dataclass(frozen=True)
class _Start:
    """A row that starts with a chain: how many, where, and the statement beside it with whether it is for all rows."""

    chains: int
    span: Span
    place: str
    said: Span | None
    throughout: bool


@lru_cache(maxsize=2048)
def _find(tree: Tree) -> tuple[Chain, Counts | None] | None:
    """The chain a row starts with, where it is as tall as a stitch that may be counted, and what is said of it."""
    steps = [s for s in tree.steps if not isinstance(s, Mark)]
    first = steps[0] if steps else None
    if not isinstance(first, Chain) or first.place is not None or not first.count or first.count[0] not in (2, 3, 4, 5):
        return None
    if any_place(steps, lambda place: place.how == "hook") or not any(isinstance(s, Make) for s in every_step(steps)):
        return None  # a foundation, or a ring
    then = steps[1] if len(steps) > 1 else None
    return first, then if isinstance(then, Counts) else None


def _starts(subject: Subject) -> Iterator[_Start]:
    for row in rows_of(subject):
        found = _find(row.tree) if row.tree is not None else None
        if found is None:
            continue
        chain, said = found
        yield _Start(
            (chain.count or (0,))[0] or 0,
            chain.at.span(row.origin),
            row_name(row.statement),
            said.at.span(row.origin) if said else None,
            said is not None and said.throughout,
        )


def check(subject: Subject) -> Iterator[Finding]:
    chosen = subject.style.choice(STATEMENT)
    if chosen == OFF:
        return
    starts = list(_starts(subject))
    said = [s for s in starts if s.said]
    silent = [s for s in starts if not s.said]
    if chosen == AS_MOSTLY:
        # Only the habit of saying it in each row can be broken within a manuscript.
        each = [s for s in said if not s.throughout]
        odd = [s for s in silent if s.chains in {e.chains for e in each}]
        if odd and is_odd(len(odd), len(each)):
            yield _told(subject, odd, f"does not say what it counts as; the other rows say so ({count_of(len(each), 'time')})", each)
        return
    basis = "the house says so"
    if chosen == AS_FIRST:
        noted = bool(subject.pattern.conventions and subject.pattern.conventions.chains)
        if not said and not noted:
            return
        chosen = "in the notes" if noted else "at first use" if said[0].throughout else "in each row"
        basis = "here it is first said"
    if chosen == "in each row":
        if silent:
            yield _told(subject, silent, f"does not say what it counts as; {basis} in each row", said)
    elif chosen == "in the notes":
        if said:
            yield _told(subject, said, f"says here what it counts as; {basis} in the notes", [])
        elif starts and not (subject.pattern.conventions and subject.pattern.conventions.chains):
            yield _told(subject, starts, f"has no note of what it counts as; {basis} in the notes", [])
    else:
        yield from _at_first_use(subject, starts, basis)


def _at_first_use(subject: Subject, starts: Sequence[_Start], basis: str) -> Iterator[Finding]:
    """Each length of chain is explained where it first stands, for all rows, and not again."""
    seen: set[int] = set()
    first: list[_Start] = []
    again: list[_Start] = []
    for start in starts:
        if start.chains not in seen and not start.throughout:
            first.append(start)
        elif start.chains in seen and start.said:
            again.append(start)
        seen.add(start.chains)
    if first:
        yield _told(subject, first, f"does not say here what it counts as throughout; {basis} at first use", [])
    if again:
        yield _told(subject, again, f"says again what it counts as; {basis} once, at first use", [])


def _told(subject: Subject, starts: Sequence[_Start], words: str, others: Sequence[_Start]) -> Finding:
    first, rest = starts[0], starts[1:]
    more = f" It is so in {count_of(len(rest), 'more row')}." if rest else ""
    because = [Because(o.said, f"“{words_at(subject, o.said)}” here") for o in others[:1] if o.said]
    because += [Because(s.span, f"{s.place or 'here'} as well") for s in rest[:5]]
    return Finding(
        RULE.name, Severity.STYLE, f"“{words_at(subject, first.span)}” {words}.{more}", first.said or first.span, first.place, because=tuple(because)
    )


_SAID = "".join(f"Row {n}: Ch 3 (counts as dc), dc in next dc and in each dc across, turn. (10 dc)\n" for n in range(2, 8))

RULE = Rule(
    name="turning-chain-statement",
    severity=Severity.STYLE,
    title="What a turning chain counts as is said in another place, or not at all",
    why="Whether the chain counts is among the questions makers ask most. A house that always answers it in one place is asked no more.",
    looks_like="Ch 12.\nRow 1: Dc in 4th ch from hook (skipped chs count as dc) and in each ch across, turn. (10 dc)\n" + _SAID + "Row 8: Ch 3, dc in next dc and in each dc across, turn. (10 dc)\n",
    better="Ch 12.\nRow 1: Dc in 4th ch from hook (skipped chs count as dc) and in each ch across, turn. (10 dc)\n" + _SAID + "Row 8: Ch 3 (counts as dc), dc in next dc and in each dc across, turn. (10 dc)\n",
    let_stand="When another length of chain is meant on purpose.",
    check=check,
    settings=(STATEMENT,),
)
