"""Sizes that part ways by one: on the other side of the work, or without a stitch in the middle."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ...lint import regex
from ...lint.fabric.work import PieceWork, RowWork
from ...lint.finding import Because, Finding, Severity
from ...lint.pattern.pattern import Piece
from ...lint.rule import Rule, Subject
from ...lint.text import Span
from ...lint.wording import mid, name_of, sizes_in_words

_CENTRE = regex.compile(r"\b(?:cent(?:er|re)|middle)\s+(?:st|stitch|sc|hdc|dc|tr|htr)\b(?!\s*(?:\(?s\b|of\b))")
_ONE_OF_MANY = regex.compile(r"\*[^;]*\Z|[(\[][^)\]]*\Z|\b(?:each|every|next)\s+\Z")
"""Before the middle stitch of a group, not of the row: within a repeat, or "in each center dc"."""

_SIDE = {"RS": ("an RS", "a WS"), "WS": ("a WS", "an RS")}
_BREAKS = frozenset({"until", "open", "schedule", "turn", "no-turn", "even", "off", "rejoin", "new"})
"""What may stand between two rows and leaves it open on which side the next one begins."""


def check(subject: Subject) -> Iterator[Finding]:
    sizes = subject.work.sizes
    if len(sizes) < 2:
        return
    for piece, written in zip(subject.work.pieces, subject.pattern.pieces, strict=False):
        yield from _sides(piece, written, sizes)
    if _CENTRE.search(subject.layout.folded):
        for piece in subject.work.pieces:
            yield from _centres(subject, piece, sizes)


def _sides(piece: PieceWork, written: Piece, sizes: Sequence[str]) -> Iterator[Finding]:
    """A row for all sizes whose named side is right for some of them only, by the rows between it and the last one named."""
    marked: RowWork | None = None
    turns = dict.fromkeys(sizes, 0)
    for row in piece.rows:
        here = {s.size for s in row.sizes}
        if marked is not None and any(e.kind in _BREAKS for e in written.entries[marked.index : row.index]):
            marked = None
        if row.side_mark in ("RS", "WS") and len(here) == len(sizes):
            if marked is not None and row.label_span != marked.label_span:
                odd = [s for s in sizes if (turns[s] % 2 == 0) != (row.side_mark == marked.side_mark)]
                if 0 < len(odd) < len(sizes):
                    yield _another_side(row, marked, odd, sizes, turns)
            marked, turns = row, dict.fromkeys(sizes, 0)
        for size in sizes:
            turns[size] += row.times if row.turned and size in here else 0


def _another_side(row: RowWork, marked: RowWork, odd: Sequence[str], sizes: Sequence[str], turns: dict[str, int]) -> Finding:
    # the fewer sizes are the ones to ask about
    who = odd if 2 * len(odd) <= len(sizes) else [s for s in sizes if s not in odd]
    others = [s for s in sizes if s not in who]
    side = {s: _SIDE[str(marked.side_mark)][turns[s] % 2] for s in sizes}
    return Finding(
        RULE.name,
        Severity.QUERY,
        f"By the rows before it, {mid(name_of(row.label))} is {side[others[0]]} row in {sizes_in_words(others)} and {side[who[0]]} row in {sizes_in_words(who)}, and it is marked {row.side_mark} for all. Is a row too many or too few?",
        row.label_span,
        place=row.label,
        sizes=tuple(who),
        because=(Because(marked.label_span, f"a {marked.side_mark} row"),),
    )


def _centres(subject: Subject, piece: PieceWork, sizes: Sequence[str]) -> Iterator[Finding]:
    """A row that speaks of the middle stitch, over an even number in some sizes and an odd one in others."""
    for row in piece.rows:
        match = _CENTRE.search(subject.layout.folded, row.span.start, row.span.end)
        base = {s.size: s.base for s in row.sizes}
        if match is None or len(base) != len(sizes) or not row.written:
            continue
        even = [s for s in sizes if base[s] is not None and (base[s] or 0) % 2 == 0]
        if _ONE_OF_MANY.search(subject.layout.folded[row.span.start : match.start()]):
            continue
        if any(n is None for n in base.values()) or not 0 < len(even) < len(sizes):
            continue
        yield Finding(
            RULE.name,
            Severity.QUERY,
            f'"{subject.text[Span(*match.span())]}": {sizes_in_words(even)} {"have" if len(even) > 1 else "has"} {" and ".join(str(base[s]) for s in even[:3])} stitches, an even number without one in the middle. Where is it there?',
            Span(*match.span()),
            place=row.label,
            sizes=tuple(even),
        )


RULE = Rule(
    name="size-parity",
    severity=Severity.QUERY,
    title="Sizes that come out even and odd",
    why="Where one size works an odd number of rows and another an even one, the next row that names its side begins on the wrong side of one of them; and an even number of stitches has none in the middle.",
    looks_like="US terms.\nSizes: S (M, L)\n\nBack\nCh 31 (37, 43).\nRow 1 (RS): Sc in 2nd ch from hook and in each ch across, turn. 30 (36, 42) sc.\nRows 2-10 (2-12, 2-13): Ch 1, sc in each st across, turn. 30 (36, 42) sc.\nNext row (RS): Ch 1, sc in each st across, turn. 30 (36, 42) sc.\n",
    better="US terms.\nSizes: S (M, L)\n\nBack\nCh 31 (37, 43).\nRow 1 (RS): Sc in 2nd ch from hook and in each ch across, turn. 30 (36, 42) sc.\nRows 2-10 (2-12, 2-14): Ch 1, sc in each st across, turn. 30 (36, 42) sc.\nNext row (RS): Ch 1, sc in each st across, turn. 30 (36, 42) sc.\n",
    let_stand="The side does not matter there, or the yarn is joined anew.",
    check=check,
)
