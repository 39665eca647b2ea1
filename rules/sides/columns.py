"""Raised columns of a piece: which face every post stitch stands out on, and which face the post below it did.

The truth table: a front post stands out towards the maker, a back post away. So FP on RS rows and BP on WS rows stand out on
the RS, BP on RS rows and FP on WS rows on the WS.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import NamedTuple

from ...lint import regex
from ...lint.fabric.row import other_side
from ...lint.fabric.work import PieceWork, Post, RowWork, Status
from ...lint.rule import Subject
from ...lint.text import Span
from .rows import row_words, turns_are_known

_TOGETHER = regex.compile(r"tog\b|together|\bdec", regex.IGNORECASE)
_SCATTERED = ("base-left", "base-short", "repeat-fit", "place-missing", "multiple-fit")
"""Troubles after which it is not known what a row's stitches were worked into."""
_USUAL = 2  # rows that go on over plain rows, before a change of face there means anything


def stands_out(side: str, post: str) -> str:
    """The side a post stitch stands out on, from the side it is worked on and its kind ("F" or "B")."""
    return side if post == "F" else other_side(side)


def post_for(side: str, face: str) -> str:
    """The post ("F" or "B") that stands out on ``face`` when worked on ``side``."""
    return "F" if side == face else "B"


class Node(NamedTuple):
    """The posts that one phrase works in one row: all stand out on one face."""

    at: int  # place of the row in the piece
    words: Span
    post: str


class Edge(NamedTuple):
    """Posts worked around those of a row below; ``keeps`` where they stand out on the same face."""

    upper: Node
    lower: Node
    keeps: bool

    @property
    def rows(self) -> tuple[int, int]:
        return self.lower.at, self.upper.at


@dataclass(frozen=True)
class Columns:
    """Every post of a piece, and which stand on which."""

    piece: PieceWork
    nodes: dict[Node, list[Post]]
    edges: tuple[Edge, ...]
    _parts: dict[Node, int] = field(default_factory=dict[Node, int])

    def face(self, node: Node) -> str:
        """The face the posts of a node stand out on."""
        return stands_out(self.piece.rows[node.at].side or "", node.post)

    @cached_property
    def by_node(self) -> dict[Node, list[Edge]]:
        """The edges at every node."""
        found: dict[Node, list[Edge]] = defaultdict(list)
        for edge in self.edges:
            found[edge.upper].append(edge)
            found[edge.lower].append(edge)
        return found

    @cached_property
    def by_row(self) -> dict[int, list[Node]]:
        """The nodes of every row that has posts, in the order of their words."""
        found: dict[int, list[Node]] = defaultdict(list)
        for node in sorted(self.nodes):
            found[node.at].append(node)
        return found

    @cached_property
    def part_of(self) -> dict[Node, int]:
        """Which nodes hang together: the number of the part that a node belongs to."""
        parts: dict[Node, int] = {}
        for start in self.nodes:
            if start in parts:
                continue
            number = len(parts)
            parts[start] = number
            waiting = [start]
            while waiting:
                for edge in self.by_node.get(waiting.pop(), ()):
                    for node in (edge.upper, edge.lower):
                        if node not in parts:
                            parts[node] = number
                            waiting.append(node)
        return parts

    @cached_property
    def flips(self) -> Counter[int]:
        """How many edges of every part change face."""
        return Counter(self.part_of[e.upper] for e in self.edges if not e.keeps)

    @cached_property
    def kept(self) -> dict[int, set[tuple[int, int]]]:
        """The pairs of rows, in every part, between which its columns keep their face."""
        found: dict[int, set[tuple[int, int]]] = defaultdict(set)
        for edge in self.edges:
            if edge.keeps:
                found[self.part_of[edge.upper]].add(edge.rows)
        return found

    @cached_property
    def crossed(self) -> dict[int, list[Node]]:
        """The nodes of every part that belong to crossings."""
        found: dict[int, list[Node]] = defaultdict(list)
        for node, posts in self.nodes.items():
            if any(p.crossed for p in posts):
                found[self.part_of[node]].append(node)
        return found

    def at_border(self, nodes: Collection[Node]) -> list[Edge]:
        """The edges between these nodes and all others."""
        inside = set(nodes)
        return [e for node in inside for e in self.by_node.get(node, ()) if (e.upper in inside) != (e.lower in inside)]

    def within(self, nodes: Collection[Node]) -> list[Edge]:
        """The edges among these nodes."""
        inside = set(nodes)
        return [e for node in inside for e in self.by_node.get(node, ()) if e.upper == node and e.lower in inside]


def columns_of(subject: Subject, piece: PieceWork) -> Columns:
    """The raised columns of a piece; none where its turns are not known."""
    nodes: dict[Node, list[Post]] = {}
    if not turns_are_known(piece):
        return Columns(piece, nodes, ())
    links: list[tuple[Node, Post, Node]] = []
    for at, row in enumerate(piece.rows):
        if not row.posts or row.side is None:
            continue
        followed = row.status is Status.PROVED or (row.status is Status.DIFFERS and not any(t.kind in _SCATTERED for t in row.troubles))
        for post in row.posts:
            node = Node(at, post.span, post.post)
            nodes.setdefault(node, []).append(post)
            if not followed or not post.below or post.words is None:
                continue
            below = _row_below(piece.rows, at, post.rows)
            if below is None or piece.rows[below].side is None:
                continue
            lower = Node(below, post.words, post_for(piece.rows[below].side or "", post.below))
            if lower in nodes:
                links.append((node, post, lower))
    return Columns(piece, nodes, tuple(_edges(subject, piece, links)))


def _edges(subject: Subject, piece: PieceWork, links: Iterable[tuple[Node, Post, Node]]) -> Iterable[Edge]:
    """The links that tell of a column: over plain rows only where the piece is seen to go on like that."""
    found: dict[Edge, tuple[bool, int]] = {}
    for upper, post, lower in links:
        words = subject.text.source[upper.words.start : upper.words.end]
        keeps = stands_out(piece.rows[upper.at].side or "", upper.post) == post.below
        if not keeps and _TOGETHER.search(words):
            continue  # a decrease may bridge two columns
        loose = post.rows > 1 and not post.reaches
        found[Edge(upper, lower, keeps)] = (loose, post.rows)
    usual: Counter[int] = Counter()
    for _, gap in {(e.rows, gap) for e, (loose, gap) in found.items() if loose and e.keeps}:
        usual[gap] += 1
    return [e for e, (loose, gap) in found.items() if not loose or usual[gap] >= _USUAL]


def _row_below(rows: Sequence[RowWork], at: int, k: int) -> int | None:
    """The place of the row ``k`` rows below one, of those worked in its size."""
    size = rows[at].sizes[0].size if rows[at].sizes else None
    while k and at:
        at -= 1
        if any(s.size == size for s in rows[at].sizes):
            k -= 1
    return at if k == 0 else None


def plain_stitches(row: RowWork) -> int | None:
    """How many stitches of the row are no posts, or None where that is not known."""
    if not row.sizes or not row.sizes[0].kinds:
        return None
    return sum(n for kind, n in row.sizes[0].kinds.items() if not kind.startswith(("FP", "BP")))


def has_cables(subject: Subject, piece: PieceWork) -> bool:
    """Whether stitches cross in the piece, or its rows name a cable."""
    if any(row.crossings for row in piece.rows):
        return True
    words = " ".join(row_words(subject, row) for row in piece.rows if row.written and row.source is None)
    return regex.search(r"\bcables?\b|\bc[2-9]\d?[fb]\b|\bcross(?:ed|es|ing)?\b|\btwist", words) is not None
