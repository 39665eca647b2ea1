"""Two versions of one manuscript: which findings are closed, still open or new, and where the arithmetic changed.

Rows are paired by their words, their numbers aside, and findings by place and words as those let stand are (``stet``),
never by a line number. A new finding at words that are as they were was brought by a change somewhere else, and the
nearest one above it in its piece is named.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from enum import StrEnum
from functools import cached_property

from .fabric.work import PieceWork, RowWork, SizeWork
from .finding import Finding
from .proof import Proof
from .stet import entries, flat, found_again, numberless, same_around

_MOST_COMPARED = 4_000_000
"""Pairs of rows compared in one piece; where there are more, rows between its ends are paired by their labels alone."""


@dataclass(frozen=True, slots=True)
class RowPair:
    """A row of the new version and the row it was in the old one. ``reworded`` tells that its words changed."""

    piece: str
    old: RowWork
    new: RowWork
    reworded: bool

    @property
    def changed(self) -> bool:
        """Whether its arithmetic is another."""
        return self.old.status is not self.new.status or _numbers(self.old) != _numbers(self.new)


@dataclass(frozen=True, slots=True)
class StillOpen:
    """A finding of both versions, by its index in each. ``reworded`` tells that its words changed."""

    old: int
    new: int
    reworded: bool


class Came(StrEnum):
    """How a new finding came about."""

    REWORDED = "reworded"  # its own words were changed
    ADDED = "added"  # its row is new
    BROKEN = "broken"  # its words are as they were; a row above was changed, and its arithmetic with it
    ELSEWHERE = "elsewhere"  # its words are as they were; something else in the text was changed


@dataclass(frozen=True, slots=True)
class Fresh:
    """A new finding, by its index, and how it came about.

    ``closed`` are old findings that are closed, of the row it stands in or of the one that ``because`` names: what
    corrected them brought this.
    """

    new: int
    came: Came
    because: RowWork | None = None
    closed: tuple[int, ...] = ()


@dataclass(frozen=True)
class Recheck:
    """What came of comparing two proofs; findings are told by their indices."""

    old: Proof
    new: Proof
    closed: tuple[int, ...]
    open: tuple[StillOpen, ...]
    fresh: tuple[Fresh, ...]
    rows: tuple[RowPair, ...]
    added: tuple[tuple[str, RowWork], ...]
    gone: tuple[tuple[str, RowWork], ...]

    @cached_property
    def changed(self) -> tuple[RowPair, ...]:
        return tuple(pair for pair in self.rows if pair.changed)


def recheck(old: Proof, new: Proof) -> Recheck:
    """Compare two versions."""
    rows = _Rows(old, new)
    same = _same_findings(old, new, rows)
    closed = tuple(i for i in range(len(old.findings)) if i not in same.values())
    still = tuple(StillOpen(o, n, _own_words(old, o) != _own_words(new, n)) for n, o in sorted(same.items()))
    fresh = tuple(_fresh(old, new, n, rows, closed) for n in range(len(new.findings)) if n not in same)
    return Recheck(old, new, closed, still, fresh, tuple(rows.pairs), tuple(rows.added), tuple(rows.gone))


# -- rows -----------------------------------------------------------------------------------------------------------------


class _Rows:
    """The rows of both versions, paired."""

    def __init__(self, old: Proof, new: Proof) -> None:
        self.old, self.new = _Places(old), _Places(new)
        self.pairs: list[RowPair] = []
        self.added: list[tuple[str, RowWork]] = []
        self.gone: list[tuple[str, RowWork]] = []
        partners = _partners(old.work.pieces, new.work.pieces)
        for piece in new.work.pieces:
            before = partners.get(id(piece))
            self._piece(old, new, before.rows if before is not None else (), piece)
        left = {id(p) for p in old.work.pieces} - {id(p) for p in partners.values()}
        self.gone += [(p.name, row) for p in old.work.pieces if id(p) in left for row in p.rows]
        self.was: dict[int, RowPair] = {id(pair.new): pair for pair in self.pairs}
        self.now: dict[int, RowPair] = {id(pair.old): pair for pair in self.pairs}

    def _piece(self, old: Proof, new: Proof, before: Sequence[RowWork], piece: PieceWork) -> None:
        ours, theirs = [_words(new, row) for row in piece.rows], [_words(old, row) for row in before]
        met: set[int] = set()
        paired = dict(_paired(theirs, ours, before, piece.rows))
        for n, row in enumerate(piece.rows):
            if n in paired:
                o = paired[n]
                met.add(o)
                self.pairs.append(RowPair(piece.name, before[o], row, theirs[o] != ours[n]))
            else:
                self.added.append((piece.name, row))
        self.gone += [(piece.name, row) for o, row in enumerate(before) if o not in met]


def _partners(old: Sequence[PieceWork], new: Sequence[PieceWork]) -> dict[int, PieceWork]:
    """The old piece of each new one: of the same name, the first, second … of it, or else in the order of those left."""
    named: dict[str, list[PieceWork]] = {}
    for piece in old:
        named.setdefault(piece.name.casefold(), []).append(piece)
    out: dict[int, PieceWork] = {}
    for piece in new:
        same = named.get(piece.name.casefold())
        if same:
            out[id(piece)] = same.pop(0)
    left = [piece for piece in old if any(piece is p for pieces in named.values() for p in pieces)]
    unnamed = [piece for piece in new if id(piece) not in out]
    if len(left) == len(unnamed):
        out |= {id(piece): before for piece, before in zip(unnamed, left, strict=True)}
    return out


def _paired(old: Sequence[str], new: Sequence[str], old_rows: Sequence[RowWork], new_rows: Sequence[RowWork]) -> Iterator[tuple[int, int]]:
    """New and old indices of rows that belong together: those with the same words in order, and between them the reworded."""
    start = 0
    while start < min(len(old), len(new)) and old[start] == new[start]:
        yield start, start
        start += 1
    end = 0
    while end < min(len(old), len(new)) - start and old[-1 - end] == new[-1 - end]:
        yield len(new) - 1 - end, len(old) - 1 - end
        end += 1
    o_end, n_end = len(old) - end, len(new) - end
    if (o_end - start) * (n_end - start) > _MOST_COMPARED:
        blocks = [("replace", 0, o_end - start, 0, n_end - start)]
    else:
        blocks = SequenceMatcher(None, old[start:o_end], new[start:n_end], autojunk=False).get_opcodes()
    for kind, o1, o2, n1, n2 in blocks:
        if kind == "equal" or (kind == "replace" and o2 - o1 == n2 - n1):
            yield from zip(range(start + n1, start + n2), range(start + o1, start + o2), strict=True)
        elif kind == "replace":
            labels = {old_rows[o].label: o for o in range(start + o2 - 1, start + o1 - 1, -1)}
            yield from ((n, labels.pop(label)) for n in range(start + n1, start + n2) if (label := new_rows[n].label) in labels)


def _words(proof: Proof, row: RowWork) -> str:
    return numberless(flat(proof.text[row.span]))


def _numbers(row: RowWork) -> list[tuple[object, ...]]:
    return [numbers(size) for size in row.sizes]


def numbers(size: SizeWork) -> tuple[str | None, int | None, int | None, int | None, int | None]:
    """The arithmetic of a row in one size."""
    return size.size, size.base, size.used, size.made, size.stated


class _Places:
    """The very row that a finding stands in, of those that one text stands for the one it names."""

    def __init__(self, proof: Proof) -> None:
        self._rows: dict[tuple[int, int], list[tuple[PieceWork, int]]] = {}
        for piece in proof.work.pieces:
            for at, row in enumerate(piece.rows):
                self._rows.setdefault((row.span.start, row.span.end), []).append((piece, at))
        self._spans = sorted(self._rows)

    def row(self, finding: Finding) -> tuple[PieceWork, int] | None:
        index = bisect_right(self._spans, finding.span.start, key=lambda span: span[0]) - 1
        if index < 0 or finding.span.start >= self._spans[index][1]:
            return None
        here = self._rows[self._spans[index]]
        return next(((p, at) for p, at in here if p.rows[at].label == finding.place), here[0])


# -- findings -------------------------------------------------------------------------------------------------------------


def _same_findings(old: Proof, new: Proof, rows: _Rows) -> dict[int, int]:
    """The old finding that each new one is: by place and words, then by a row or by surroundings where the words changed."""
    before, after = entries(old.text, old.work, old.findings), entries(new.text, new.work, new.findings)
    same = found_again(new.text, new.work, new.findings, before, graver=True)
    left = [o for o in range(len(before)) if o not in same.values()]
    for n, finding in enumerate(new.findings):
        if n in same:
            continue
        for o in left:
            other = old.findings[o]
            if other.rule == finding.rule and _one_place(rows, other, finding, same_around(before[o], after[n])):
                same[n] = o
                left.remove(o)
                break
    return same


def _one_place(rows: _Rows, old: Finding, new: Finding, around: bool) -> bool:
    was, now = rows.old.row(old), rows.new.row(new)
    if was is None or now is None:
        return was is now and around
    pair = rows.was.get(id(now[0].rows[now[1]]))
    return pair is not None and pair.old is was[0].rows[was[1]]


def _own_words(proof: Proof, index: int) -> str:
    return numberless(flat(proof.text[proof.findings[index].span]))


def _fresh(old: Proof, new: Proof, index: int, rows: _Rows, closed: Sequence[int]) -> Fresh:
    """How a new finding came about."""
    finding = new.findings[index]
    place = rows.new.row(finding)
    if place is None:
        here = flat(new.text[new.text.line_span(new.text.line_number(finding.span.start))])
        there = Counter(flat(old.text[line]) for line in old.text.lines())
        return Fresh(index, Came.ELSEWHERE if there[here] else Came.REWORDED)
    piece, at = place
    pair = rows.was.get(id(piece.rows[at]))
    if pair is None:
        return Fresh(index, Came.ADDED)
    if pair.reworded:
        return Fresh(index, Came.REWORDED, closed=_closed_in(old, pair, rows, closed))
    # Where the row comes out as it did, no row above can have brought it.
    cause = _cause(piece.rows, at, rows.was) if pair.changed else None
    if cause is None:
        return Fresh(index, Came.ELSEWHERE)
    return Fresh(index, Came.BROKEN, cause, _closed_in(old, rows.was.get(id(cause)), rows, closed))


def _cause(rows: Sequence[RowWork], at: int, was: Mapping[int, RowPair]) -> RowWork | None:
    """The nearest row above whose words are new or changed."""
    for row in reversed(rows[:at]):
        pair = was.get(id(row))
        if pair is None or pair.reworded:
            return row
    return None


def _closed_in(old: Proof, pair: RowPair | None, rows: _Rows, closed: Sequence[int]) -> tuple[int, ...]:
    if pair is None:
        return ()
    places = {i: rows.old.row(old.findings[i]) for i in closed}
    return tuple(i for i, place in places.items() if place is not None and place[0].rows[place[1]] is pair.old)
