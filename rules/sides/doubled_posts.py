"""Repeats that say one post stitch twice running, and nothing else: one phrase would have said it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from ...lint.fabric.work import PieceWork, RowWork
from ...lint.rule import Subject
from ...lint.syntax.tree import Group, Make, Star, Tree
from ...lint.text import Span
from .rows import posts_in_words, written_rows


@dataclass(frozen=True)
class Doubled:
    """A repeat of one row, all of it the same post stitch."""

    row: RowWork
    post: str
    kind: str  # US name
    span: Span


def doubled_posts(subject: Subject, piece: PieceWork) -> list[Doubled]:
    """The rows of a piece whose repeat is one post stitch said twice or more, where the text has the other post as well."""
    if posts_in_words(subject.layout.folded) != frozenset("FB"):
        return []
    trees = {e.span: e for p in subject.pattern.pieces if p.span == piece.span for e in p.entries if e.tree is not None and e.own_count}
    found: list[Doubled] = []
    for row in written_rows(piece):
        entry = trees.get(row.span)
        if entry is not None and entry.tree is not None and (first := next(_doubled(entry.tree), None)) is not None:
            makes, repeat = first
            found.append(Doubled(row, makes[0].stitch.post, makes[0].stitch.kind, repeat.at.span(entry.origin)))
    return found


def _doubled(tree: Tree) -> Iterator[tuple[Sequence[Make], Star | Group]]:
    for step in tree.steps:
        if isinstance(step, Star | Group) and (step.times is not None or step.scope is not None):
            makes = [s for s in step.items if isinstance(s, Make)]
            if len(makes) > 1 and len(makes) == len(step.items) and _alike(makes):
                yield makes, step


def _alike(makes: Sequence[Make]) -> bool:
    """Whether all are the same post stitch, in stitches named the same way, one after the other."""
    return bool(makes[0].stitch.post) and makes[0].stitch.uses == 1 and len({(m.stitch, _noun(m)) for m in makes}) == 1 and _noun(makes[0]) is not None


def _noun(make: Make) -> str | None:
    """What a stitch goes around: "st" where nothing is named; None where it is not simply the next ones."""
    place = make.place
    if place is None:
        return "st"
    if place.how != "next" or place.below or place.also or place.ordinal is not None:
        return None
    return place.noun or "st"
