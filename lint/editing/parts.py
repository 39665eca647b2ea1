"""The parts of a manuscript's rows, for colouring: labels, stitches, numbers, places, repeats, counts, colours."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from ..syntax.layout import SectionKind, Statement
from ..syntax.lexer import Token, Vocabulary, lexer_for
from ..syntax.statement import too_long
from ..syntax.tree import Count, Group, Star, Step
from ..text import Span
from .kinds import Role

if TYPE_CHECKING:
    from ..proof import Proof


@dataclass(frozen=True, slots=True)
class Part:
    span: Span
    role: Role


_ROLES: dict[str, Role] = {
    kind: role
    for role, kinds in {
        Role.STITCH: "STITCH SL INC DEC TOG CHN GROUPNAME SKIP",
        Role.NUMBER: "N NBAD ORD",
        Role.PLACE: (
            "CHSP TCHN MR IN OVER AROUND EACH NEXT REMAINING FIRST LAST SAME ST SPN RING SKIPPED OF TOP BASE POST "
            "BETWEEN CENTRE CORNER TO FROM FROMHOOK HOOK OTHERSIDE PLACEWORD BELOW LOOPS CROSS BEHIND FRONT BACK"
        ),
        Role.REPEAT: "STAR RECALL REP TIMES MORE ANOTHER ONCE XN SCOPE TOLAST LASTREP ENDWITH UNTIL BAR",
        Role.ACTION: "TURN NOTURN JOIN NOJOIN OFF MOVEMARK CHANGE PUSHED RS WS",
        Role.COLOUR: "COLOUR COLOURLETTER",
        Role.REMARK: "COUNTS NOTCOUNT THROUGHOUT",
    }.items()
    for kind in kinds.split()
}
_BEFORE_A_PLACE = frozenset({"EACH", "NEXT", "LAST", "FIRST", "ORD", "SAME", "OF", "IN", "N"})


def parts(proof: Proof, within: Span | None = None) -> Iterator[Part]:
    """The parts of every row, in the order of the text, none overlapping another; of those ``within`` a span."""
    wanted = within or proof.text.whole
    counts = _counts(proof)
    followed = {entry.span.start for piece in proof.pattern.pieces for entry in piece.entries if entry.tree is not None}
    words = {entry.words_span for entry in proof.layout.key}
    found: list[Part] = [Part(span, Role.DEFINED) for span in words if span.touches(wanted)]
    for section in proof.layout.of(SectionKind.PIECE):
        for statement in section.statements:
            if not statement.span.touches(wanted):
                continue
            if statement.label is not None or statement.span.start in followed:
                found.extend(_row(proof, statement, counts))
    end = 0
    for part in sorted(found, key=lambda p: p.span):
        if part.span.start >= end and len(part.span):
            end = part.span.end
            yield part


def _row(proof: Proof, statement: Statement, counts: dict[int, Span]) -> Iterator[Part]:
    if statement.label is not None:
        yield Part(statement.label.span, Role.LABEL)
    body = statement.body
    here = [span for start, span in counts.items() if body.start <= start < body.end]
    yield from (Part(span, Role.COUNT) for span in here)
    folded, source = proof.layout.folded[body.start : body.end], proof.text[body]
    for start, end, role in _worded(proof.pattern.vocabulary, folded, source):
        span = Span(body.start + start, body.start + end)
        if not any(span.touches(count) for count in here):
            yield Part(span, role)


@lru_cache(maxsize=8192)
def _worded(vocabulary: Vocabulary, folded: str, source: str) -> tuple[tuple[int, int, Role], ...]:
    """The parts of one statement's words, from its start; remembered by the words."""
    if too_long(folded):
        return ()
    out: list[tuple[int, int, Role]] = []
    before: Token | None = None
    for token in lexer_for(vocabulary).tokens(folded, source):
        if token.type == "_":
            continue
        role = _ROLES.get(token.type)
        if token.type == "CH":  # worked, or a place to work into
            role = Role.PLACE if before is not None and before.type in _BEFORE_A_PLACE else Role.STITCH
        if token.type in ("LB", "RB"):
            role = Role.REPEAT
        if role is not None:
            out.append((token.start, token.end, role))
        before = token
    return tuple(out)


def _counts(proof: Proof) -> dict[int, Span]:
    """Where the rows state their counts."""
    spans: dict[int, Span] = {}
    for piece in proof.pattern.pieces:
        for entry in piece.entries:
            stated = [(entry.count, entry.count_origin)] if entry.count is not None else []
            if entry.tree is not None:
                stated += [(step, entry.origin) for step in every_step(entry.tree.steps) if isinstance(step, Count)]
            for count, origin in stated:
                span = count.at.span(origin)
                if span.end <= len(proof.text):
                    spans[span.start] = span
    return spans


def every_step(steps: tuple[Step, ...]) -> Iterator[Step]:
    """All steps, however deep they stand."""
    for step in steps:
        yield step
        if isinstance(step, Group | Star):
            yield from every_step(step.items)
