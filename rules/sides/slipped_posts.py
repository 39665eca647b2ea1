"""Which words of a piece, worked with the other post, would make all its columns keep their face.

A slip is one phrase with the wrong post, one row that repeats the wrong row, or one definition. It is sought by trying:
posts are thought of as worked the other way, and when every change of face of their columns is gone, they are the
suspects. Ribbing has no change to explain; in basketweave no single phrase explains them all. What is left is weighed
against what the rest of the piece does, for a fold, a ridge or a purl dot is explained by a single phrase, too.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from ...lint import regex
from ...lint.fabric.work import PieceWork, RowWork
from ...lint.pattern.definitions import Definition
from ...lint.rule import Subject
from .columns import Columns, Edge, Node, columns_of, has_cables, plain_stitches
from .rows import first_by_number, is_round, prose, side_is_stated, source_of

BY_DESIGN = regex.compile(
    r"basket ?-?weave|\bwoven|\bweave\b(?! in)|waffle|reversible|both (?:sides|faces)|two[- ]sided|double[- ]sided|checker|chequer|seed stitch|moss stitch"
    r"|change(?:s)? (?:sides?|faces?)|swap(?:s|ped)? (?:over|sides?)"
)
_EVERY_STITCH = regex.compile(r"\b(?:each|every|all)\s+(?:st|sts|stitch|stitches|dc|tr|hdc|htr)\b|\bacross\b|\baround\b\W*$|\bto\s+end\b", regex.IGNORECASE)
_NOTHING_BETWEEN = regex.compile(r"[\s,;.()\[\]*]*(?:(?:and|then)\b[\s,]*)?")
_NAME = regex.compile(r"(?:fp|bp|front|back|[fb](?![a-z]))", regex.IGNORECASE)
_ENOUGH = 3  # pairs of rows that keep their columns, before one that does not is worth a question
_MOST = 2  # slips told in one piece: more changes of face than that are a design


@dataclass(frozen=True)
class Suspects:
    """Posts that may be worked with the wrong post by one slip: of a phrase, of a whole row, or of a definition."""

    nodes: tuple[Node, ...]
    whole_row: bool = False
    definition: Definition | None = None

    @property
    def first(self) -> Node:
        return self.nodes[0]


def slipped_posts(subject: Subject, piece: PieceWork) -> tuple[Columns, list[Suspects]]:
    """The columns of a piece, and the slips that they show, in the order of the text."""
    columns = columns_of(subject, piece)
    if not columns.flips:
        return columns, []
    judge = _Judge(subject, piece, columns)
    best: dict[int, tuple[tuple[int, ...], Suspects]] = {}
    for suspects in _candidates(subject, columns):
        weight = judge.weight(suspects)
        if weight is None:
            continue
        for part in {columns.part_of[n] for n in suspects.nodes if columns.flips[columns.part_of[n]]}:
            if part not in best or weight > best[part][0]:
                best[part] = weight, suspects
    found = list(dict.fromkeys(s for _, s in best.values()))
    if len(found) > (_MOST if judge.cables else 1):
        return columns, []
    return columns, sorted(found, key=lambda s: s.first)


def _candidates(subject: Subject, columns: Columns) -> Iterator[Suspects]:
    """Every phrase, row and definition with a change of face at one of its posts."""
    definitions = {d.name: d for d in subject.pattern.definitions if d.steps}
    phrases: dict[object, list[Node]] = defaultdict(list)
    defined: dict[object, Definition] = {}
    for node in sorted(columns.nodes):
        name = " ".join(subject.layout.folded[node.words.start : node.words.end].lower().split())
        found = next((d for word, d in definitions.items() if name.startswith(word)), None)
        key = (found.span, node.post) if found is not None else (node.words, node.post)
        phrases[key].append(node)
        if found is not None:
            defined[key] = found
    rows = [nodes for nodes in columns.by_row.values() if len(nodes) > 1 or columns.piece.rows[nodes[0].at].source is not None]
    for key, nodes in phrases.items():
        if _changes(columns, nodes):
            yield Suspects(tuple(nodes), definition=defined.get(key))
    for nodes in rows:
        if _changes(columns, nodes):
            yield Suspects(tuple(nodes), whole_row=True)


def _changes(columns: Columns, nodes: Sequence[Node]) -> bool:
    return any(not e.keeps for n in nodes for e in columns.by_node.get(n, ()))


class _Judge:
    """Weighs suspects against what the rest of the piece does."""

    def __init__(self, subject: Subject, piece: PieceWork, columns: Columns) -> None:
        self.subject = subject
        self.piece = piece
        self.columns = columns
        self.cables = has_cables(subject, piece)
        self.designed = BY_DESIGN.search(prose(subject, piece)) is not None
        self.numbers = first_by_number(piece)

    def weight(self, suspects: Suspects) -> tuple[int, ...] | None:
        """How well they explain every change of face of their columns; None where they do not, or where it may be meant."""
        columns, nodes = self.columns, suspects.nodes
        border = columns.at_border(nodes)
        if not border or any(e.keeps for e in border) or any(not e.keeps for e in columns.within(nodes)):
            return None
        parts = {columns.part_of[n] for n in nodes if columns.flips[columns.part_of[n]]}
        if sum(columns.flips[p] for p in parts) != len(set(border)):
            return None  # something else changes face as well
        if not self.convinces(suspects, border, parts):
            return None
        crossed = sum(n in nodes for p in parts for n in columns.crossed[p])
        on_rs = all(columns.face(n) == "WS" for n in nodes)
        rows = {n.at for n in nodes}
        return (int(on_rs), -crossed, int(not suspects.whole_row), -len(rows), len(_pairs(border)), max(rows))

    def convinces(self, suspects: Suspects, border: Sequence[Edge], parts: set[int]) -> bool:
        """Whether the change of face is more likely a slip than meant."""
        columns, nodes = self.columns, suspects.nodes
        contradicted = len(_pairs(border))
        kept = len({pair for p in parts for pair in columns.kept[p]})
        rows = {n.at for n in nodes}
        row = self.piece.rows[suspects.first.at]
        flat = all(is_flat(self.piece.rows[at]) for at in rows)
        cable = any(columns.crossed[p] for p in parts)
        both = len({columns.face(n) for n in nodes}) > 1
        if self.designed and not (cable and not both and contradicted > 1):
            return False
        if not kept and not self.turns_are_said():
            return False
        if not both and self.is_ridge(nodes, row) and not (flat and cable and contradicted > 1 and kept >= _ENOUGH):
            return False
        if both:  # every column at once, both ways: basketweave, or words of the row before repeated
            return contradicted > 1 and kept > _ENOUGH and len(rows) == 1
        if cable:
            return contradicted > 1 or (flat and self.is_at_crossing(nodes, border)) or (kept > 0 if flat else kept >= _ENOUGH)
        if sum(columns.flips.values()) > sum(columns.flips[p] for p in parts):
            return False  # other columns change as well: a design
        if not kept and contradicted == 1 and self.is_marked_slip(suspects, border):
            return True
        if self.others_change(suspects):
            return False
        if kept and self.reads_well(suspects.first) and self.has_twin(suspects, border):
            return True
        if columns.within(nodes) or (contradicted == 1 and self.is_even_match(nodes, parts)):
            return False
        if len(rows) == 1 and flat and self.strays(row):
            return kept > 1
        if not self.others_keep(suspects):
            return len(rows) == 1 and kept >= (_ENOUGH if contradicted > 1 or flat else _ENOUGH + 1)
        if self.is_doubled(suspects.first):
            return contradicted > 1 or kept > 0
        if not self.reads_well(suspects.first):
            return False
        if contradicted == 1:
            return len(rows) == 1 and kept >= _ENOUGH
        if len(rows) > 1 and not self.cables:
            return self.has_fellows(nodes, border)  # a notch in every so many rows may be meant
        return self.has_fellows(nodes, border) or kept >= (1 if len(rows) == 1 else 2)

    def turns_are_said(self) -> bool:
        """Whether the text says that the work is turned, or which side faces the maker."""
        return side_is_stated(self.subject, self.piece) or any(r.marks & {"turn", "turn-start", "no-turn", "join"} for r in self.piece.rows)

    def is_ridge(self, nodes: Sequence[Node], row: RowWork) -> bool:
        """Whether they are all there is of a row: a fold, or a ridge, and no column."""
        words = " ".join(self.subject.text.source[n.words.start : n.words.end] for n in nodes if n.at == nodes[0].at)
        whole = {n for n in nodes if n.at == nodes[0].at} == set(self.columns.by_row[nodes[0].at])
        return whole and (plain_stitches(row) in (0, 1, 2, None) or (plain_stitches(row) == 0 and _EVERY_STITCH.search(words) is not None))

    def strays(self, row: RowWork) -> bool:
        """Whether a row repeats one that was worked on the other side."""
        source = source_of(row, self.numbers)
        return source is not None and source.side not in (None, row.side)

    def beside(self, suspects: Suspects) -> list[Edge]:
        """The edges of the other posts of their rows."""
        rows, inside = {n.at for n in suspects.nodes}, set(suspects.nodes)
        return [e for at in rows for n in self.columns.by_row[at] if n not in inside for e in self.columns.by_node.get(n, ()) if not inside & {e.upper, e.lower}]

    def others_change(self, suspects: Suspects) -> bool:
        return any(not e.keeps for e in self.beside(suspects))

    def others_keep(self, suspects: Suspects) -> bool:
        return any(e.keeps for e in self.beside(suspects))

    def is_marked_slip(self, suspects: Suspects, border: Sequence[Edge]) -> bool:
        """Whether one row sinks the columns of the only other, and both rows bear the mark of their side."""
        marked = all(self.piece.rows[at].side_mark is not None for at in border[0].rows)
        sinks = all(e.upper in suspects.nodes and self.columns.face(e.upper) == "WS" for e in border)
        return marked and sinks and not self.others_change(suspects)

    def is_at_crossing(self, nodes: Sequence[Node], border: Sequence[Edge]) -> bool:
        """Whether they are worked right above or below stitches of a crossing: a cable that sinks where it is crossed."""
        return any(p.crossed for e in border for n in (e.upper, e.lower) if n not in nodes for p in self.columns.nodes[n])

    def has_twin(self, suspects: Suspects, border: Sequence[Edge]) -> bool:
        """Whether another column, told in the same words, is worked just like theirs in the rows next to them, and differs here alone."""
        inside = set(suspects.nodes)
        for edge in border:
            mine, theirs = (edge.upper, edge.lower) if edge.upper in inside else (edge.lower, edge.upper)
            fellows = [n for n in self.columns.by_row[theirs.at] if n != theirs and n.post == theirs.post and self.told(n) == self.told(theirs)]
            ends = {n for f in fellows for e in self.columns.by_node.get(f, ()) if e.keeps for n in (e.upper, e.lower)}
            if not any(n.at == mine.at and n not in inside and self.told(n) == self.told(mine) for n in ends):
                return False
        return True

    def told(self, node: Node) -> str:
        """The words of a phrase without those that tell front from back."""
        words = " ".join(self.subject.layout.folded[node.words.start : node.words.end].lower().split())
        return regex.sub(r"\b(?:fp|bp|front|back)|(?<=[a-z])[fb]p?\b", "", words)

    def is_even_match(self, nodes: Sequence[Node], parts: set[int]) -> bool:
        """Whether all the other posts of their columns are one phrase as well, so that either may be the slip."""
        rest = {n.words for n, p in self.columns.part_of.items() if p in parts and n not in nodes}
        return len(rest) == 1

    def has_fellows(self, nodes: Sequence[Node], border: Sequence[Edge]) -> bool:
        """Whether the rows next to them treat their columns and others, which keep their face, as one."""
        for edge in border:
            mine, theirs = (edge.upper, edge.lower) if edge.upper in nodes else (edge.lower, edge.upper)
            if any(e.keeps and mine.at in e.rows for e in self.columns.by_node[theirs]):
                return True
        return False

    def is_doubled(self, node: Node) -> bool:
        """Whether the same stitch stands next to it in the words, as one phrase would have said: "FPdc around 2, FPdc around 2"."""
        return any(n.post == node.post for n in self.neighbours(node))

    def reads_well(self, node: Node) -> bool:
        """Whether nobody would have said it with its neighbour in one phrase, if it were the other post."""
        return all(n.post == node.post for n in self.neighbours(node))

    def neighbours(self, node: Node) -> list[Node]:
        """The posts of the same height said right before or after it."""
        nodes = self.columns.by_row[node.at]
        i = nodes.index(node)
        text = self.subject.layout.folded
        out: list[Node] = []
        for one, two in ((nodes[i - 1], node) if i else (node, node), (node, nodes[i + 1]) if i + 1 < len(nodes) else (node, node)):
            if one is not two and _NOTHING_BETWEEN.fullmatch(text[one.words.end : two.words.start]) and self.stitch(one) == self.stitch(two):
                out.append(two if one is node else one)
        return out

    def stitch(self, node: Node) -> str:
        """The stitch of a phrase without the word that tells front from back."""
        words = self.subject.layout.folded[node.words.start : node.words.end].lower()
        first = regex.search(r"[a-z]+", words)
        return _NAME.sub("", first.group()) if first is not None else ""


def _pairs(edges: Sequence[Edge]) -> set[tuple[int, int]]:
    return {e.rows for e in edges}


def is_flat(row: RowWork) -> bool:
    """Whether it is sure that the work is turned before and after the row: its words or its label say so."""
    return not row.joined and not is_round(row) and "no-turn" not in row.marks
