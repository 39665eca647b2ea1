"""The pipeline: one manuscript in, its work and findings out.

``Manuscript → Layout → Pattern → Work → findings``. Every stage is a pure function of immutable inputs.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from .corrections import sure_corrections
from .fabric.memory import Memory
from .fabric.solve import work
from .fabric.work import PieceWork, RowWork, Status, Work
from .finding import Asked, Finding, Severity
from .margin import Margin
from .pattern.pattern import Pattern
from .pattern.resolve import resolve
from .rule import Rule, Subject
from .rule_sets import installed_rules
from .stet import Stet, handles, let_stand
from .style import Style
from .syntax.layout import Layout
from .syntax.sections import read_layout
from .text import Span, Text

_ARITHMETIC = frozenset({"row-total", "base-short", "base-left", "repeat-fit", "count-by-kind"})


@dataclass(frozen=True)
class Proof:
    """What came of proofing one manuscript."""

    text: Text
    layout: Layout
    pattern: Pattern
    work: Work
    findings: tuple[Finding, ...]
    spent: tuple[Stet, ...] = ()  # entries of the margin whose finding is gone
    closed: tuple[Asked, ...] = ()  # queries of the list that came back whose finding is gone

    def loud(self, threshold: Severity = Severity.QUERY) -> tuple[Finding, ...]:
        """The findings at or above a threshold that nobody has let stand."""
        return tuple(f for f in self.findings if f.severity.at_least(threshold) and not f.stands)

    @property
    def stand(self) -> tuple[Finding, ...]:
        """The findings that an editor has let stand, and what follows from them."""
        return tuple(f for f in self.findings if f.stands)

    @cached_property
    def handles(self) -> tuple[str, ...]:
        """A short name for each finding, in their order."""
        return handles(self.work, self.findings)


def proof(
    text: Text,
    style: Style | None = None,
    rules: Iterable[Rule] | None = None,
    corrections: bool = True,
    memory: Memory | None = None,
    margin: Margin | None = None,
) -> Proof:
    """Read, work and check one manuscript. Never raises, whatever the text.

    ``corrections`` tries what the rules put forward as corrections, at the cost of a proof for each. ``memory`` is kept
    by a caller that proofs one text again and again while it is written; it changes nothing but the time taken.
    ``margin`` is what an editor has put down beside the manuscript.
    """
    style, margin = style or Style(), margin or Margin()
    chosen = installed_rules() if rules is None else tuple(rules)
    layout, sizes = read_layout(text)
    pattern = resolve(text, layout, sizes, style.terms)
    memory = memory or Memory()
    done = work(pattern, memory)
    subject = Subject(text, layout, pattern, done, style, margin.unprinted)
    found = run_rules(subject, chosen)
    if corrections and any(f.corrections for f in found):
        bare = Margin(unprinted=margin.unprinted)
        found = sure_corrections(text.source, found, lambda changed: proof(Text(changed, text.name), style, chosen, False, memory, bare).findings)
    found, spent = let_stand(text, done, found, margin.stets)
    return Proof(text, layout, pattern, done, tuple(found), tuple(spent))


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
    """Findings in text order, each that stems from an earlier slip hung under it.

    A slip of the arithmetic hangs under the row its base stems from, under the first slip of its own row, or under a
    stated multiple that the row fits with no number.
    """
    ordered = sorted(found, key=lambda f: (f.span.start, f.severity.rank, f.span.end))
    named: dict[str, list[tuple[PieceWork, RowWork]]] = {}
    for piece in subject.work.pieces:
        for row in piece.rows:
            named.setdefault(row.label, []).append((piece, row))
    homes = {
        i: next(((p, r) for p, r in named.get(f.place, ()) if r.span.touches(f.span)), None)
        for i, f in enumerate(ordered)
        if f.rule in _ARITHMETIC
    }
    roots: dict[Span, int] = {}
    for i, home in homes.items():
        if home is not None:
            roots.setdefault(home[1].span, i)
    multiples = {
        (piece.span, str(t.facts.get("row") or piece.rows[0].label)): i
        for i, f in enumerate(ordered)
        if f.rule == "multiple-fit"
        for piece in subject.work.pieces
        for t in piece.troubles
        if t.kind == "multiple-fit" and t.span == f.span and piece.rows
    }
    out: list[Finding] = []
    for i, f in enumerate(ordered):
        home = homes.get(i)
        if home is not None:
            parent = _cause(*home, roots, multiples)
            if parent is not None and parent < i:
                above = out[parent].follows
                f = replace(f, follows=parent if above is None else above)
        out.append(f)
    return out


def _cause(piece: PieceWork, row: RowWork, roots: Mapping[Span, int], multiples: Mapping[tuple[Span, str], int]) -> int | None:
    multiple = multiples.get((piece.span, row.label))
    if multiple is not None and row.status is Status.DIFFERS:
        return multiple
    if row.follows is not None:
        cause = next((r for r in piece.rows if r.index == row.follows), None)
        if cause is not None and cause.span != row.span and cause.span in roots and _gap(row) * _gap(cause) >= 0:
            return roots[cause.span]
    return roots.get(row.span)


def _gap(row: RowWork) -> int:
    """By how much a row differs in the first size that does; above 0 for too many, 0 where that is not known."""
    for s in row.sizes:
        if s.made is not None and s.stated is not None and s.made != s.stated:
            return s.made - s.stated
        if s.used is not None and s.base is not None and s.used != s.base:
            return s.used - s.base
    return 0
