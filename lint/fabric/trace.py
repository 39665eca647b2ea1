"""Where every single stitch of a piece is worked, for a picture of it.

A row is worked run by run and keeps only what the next row needs. Here each row is worked once more, under the readings
that were taken for it, on a base whose cells are numbered; what comes out carries those numbers along. Nothing of this
happens in a proof, and a row that does not come out the same as it did there is not traced.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any, NamedTuple, cast

from ..pattern.pattern import Entry, Pattern, Piece
from ..syntax.lexicon import Stitch
from ..syntax.tree import Count, Extent, Make, Mark, Place, Skip, Step, Tree
from .choices import Choices, Key
from .memory import Memory
from .row import CHAIN, SPACE, Cell, Row, Segment, Spot
from .solve import PieceSolver, Worked
from .tally import Tally
from .work import PieceWork, RowWork
from .worker import Outcome, Setting, Worker

MOST_CELLS = 2_000
"""Stitches and spaces of one row; a wider row is not traced."""

MOST_WORKED = 60_000
"""Stitches and spaces traced in one piece; the rows after that are not."""


@dataclass(frozen=True)
class TracedRow:
    """One row, stitch by stitch in the order made.

    ``base`` are the cells it is worked into, as the maker meets them; None where nothing is known of them. ``stitches``
    is None where the row was not traced, ``reason`` says why. ``turned_before`` tells that the row below was turned, so
    that its last stitch is met first; ``same_as`` is equal for rows worked from the same words on the same base.
    """

    work: RowWork
    base: tuple[Cell, ...] | None
    stitches: tuple[Cell, ...] | None
    foundation: int | None = None  # chains it is worked into
    ring: bool = False
    circular: bool = False
    both_sides: bool = False  # along both sides of the foundation chain
    turned_before: bool = False
    goes_on: bool = False  # its base is what the row before it in the trace left
    known_base: bool = True
    turning_chain: int = 0  # that does not count
    same_as: Hashable = None
    reason: str = ""


@dataclass(frozen=True)
class TracedPiece:
    """A piece, row by row, in one size. ``size`` is None in a pattern of one size."""

    work: PieceWork
    rows: tuple[TracedRow, ...]
    size: str | None = None
    side_assumed: bool = False  # nothing says which side any row is on: the first is taken to have the right side facing
    multiple: tuple[int, int, int] | None = None  # of a piece for any multiple: so many, plus so many, worked for these chains


def trace(pattern: Pattern) -> tuple[TracedPiece, ...]:
    """Every piece of a pattern in its first size. Never raises on a tree the reader made."""
    pieces: list[TracedPiece] = []
    live: tuple[Row | None, ...] | None = None
    side: str | None = None
    memory = Memory()
    for piece in pattern.pieces:
        solver = _Solver(pattern, piece, live, side, memory)
        best, sides = solver.worked_through()
        done, live, side = solver.in_words(best, sides)
        rows = tuple(_Tracer(solver).rows(best.rows(), done))
        size = pattern.sizes[0] if len(pattern.sizes) > 1 else None
        pieces.append(TracedPiece(done, rows, size, _side_assumed(pattern, piece), _multiple(solver, rows)))
    return tuple(pieces)


def _side_assumed(pattern: Pattern, piece: Piece) -> bool:
    said = pattern.conventions
    if said is not None and (said.all_rs or said.side_odd is not None):
        return False
    return not any(entry.side for entry in piece.entries)


def _multiple(solver: PieceSolver, rows: Sequence[TracedRow]) -> tuple[int, int, int] | None:
    if solver.witness is None:
        return None
    chains = next((r.foundation for r in rows if r.foundation), 0)
    return solver.witness.n, solver.witness.plus, chains


class _Asked(NamedTuple):
    """What a row was worked with, and what came of it."""

    tree: Tree
    base: Row | None
    size: int
    setting: Setting
    decided: dict[Key, Any]
    outcome: Outcome


class _Solver(PieceSolver):
    """Solves a piece and remembers what each outcome was worked with."""

    def __init__(self, pattern: Pattern, piece: Piece, live: tuple[Row | None, ...] | None, live_side: str | None, memory: Memory) -> None:
        super().__init__(pattern, piece, live, live_side, memory)
        self.asked: dict[int, _Asked] = {}

    def once(
        self, entry: Entry, tree: Tree, base: Row | None, size: int, setting: Setting, decided: dict[Key, Any], count: Count | None
    ) -> tuple[Outcome, Tally | None, dict[Key, tuple[Any, ...]]]:
        found = super().once(entry, tree, base, size, setting, decided, count)
        outcome = found[0]
        if id(outcome) not in self.asked:
            self.asked[id(outcome)] = _Asked(tree, base, 0 if self.witness is not None else size, setting, decided, outcome)
        return found


class _Tracer:
    """Traces the rows of one piece that has been solved."""

    def __init__(self, solver: _Solver) -> None:
        self.solver = solver
        self.done: dict[Hashable, TracedRow] = {}
        self.worked = 0

    def rows(self, worked: Sequence[Worked], piece: PieceWork) -> Iterator[TracedRow]:
        before: tuple[Worked, Outcome | None] | None = None
        for one, words in zip(worked, piece.rows, strict=True):
            if all(size for size, _ in one.sizes):
                continue  # a row of other sizes
            outcome = _first_size(one)
            row = self.row(words, outcome)
            if before is not None:
                left, made = before
                row = replace(row, turned_before=left.turned, goes_on=_goes_on(row, made, left.turned))
            yield row
            before = one, outcome

    def row(self, words: RowWork, outcome: Outcome | None) -> TracedRow:
        if outcome is None:
            return TracedRow(words, None, None, foundation=_chains(words), reason="" if _chains(words) else "not read")
        asked = self.solver.asked.get(id(outcome))
        if asked is None:
            return TracedRow(words, None, None, reason="not worked")
        mark = (id(outcome), words.side)
        known = self.done.get(mark)
        if known is None:
            known = self.done[mark] = replace(self.worked_again(words, asked), same_as=mark)
        return replace(known, work=words)

    def worked_again(self, words: RowWork, asked: _Asked) -> TracedRow:
        tree, base, size, setting, decided, outcome = asked
        if outcome.unread:
            return TracedRow(words, None, None, reason="not read")
        cells = _many(outcome.row) + (_many(base) if base is not None else 0)
        if cells > MOST_CELLS or self.worked + cells > MOST_WORKED:
            return TracedRow(words, None, None, reason="too wide" if cells > MOST_CELLS else "too much")
        self.worked += cells
        below = None if base is None else _cells(base)
        worker = TracingWorker(tree.steps, base, size, setting, Choices(decided))
        try:
            again = worker.work()
        except RecursionError:
            return TracedRow(words, below, None, reason="not worked")
        if worker.needs_base():
            return TracedRow(words, below, None, reason="not known")
        stitches = tuple(worker.made())
        if not stitches:
            return TracedRow(words, below, None, reason="nothing made")
        if [_plain(c) for c in stitches] != [_plain(c) for c in _cells(outcome.row)]:
            return TracedRow(words, below, None, reason="not worked")
        if worker.founded and below is not None and not below:
            below = tuple(Cell(CHAIN) for _ in range(worker.founded))
        chains = sum(1 for c in below or () if c.kind == CHAIN) if setting.foundation and not worker.ring else None
        return TracedRow(
            words, below, stitches, chains, again.ring, again.row.circular, worker.second_side, known_base=base is not None and base.known,
            turning_chain=again.row.tch,
        )  # fmt: skip


def _first_size(worked: Worked) -> Outcome | None:
    return next((sized.outcome for size, sized in worked.sizes if size == 0), None)


def _chains(words: RowWork) -> int | None:
    """Chains of a row that is a chain and nothing else."""
    first = words.sizes[0] if words.sizes else None
    return first.made if first is not None and words.status == "proved" else None


def _goes_on(row: TracedRow, made: Outcome | None, turned: bool) -> bool:
    """Whether a row is worked into just what the row before it left."""
    if row.base is None or made is None or made.unread or row.foundation is not None:
        return False
    if len(row.base) != _many(made.row):
        return False
    left = made.row.turned if turned else made.row
    return [_plain(c) for c in row.base] == [_plain(c) for c in _cells(left)]


def _many(row: Row) -> int:
    """Stitches and spaces of a row."""
    return row.stitches + row.spaces


def _cells(row: Row) -> tuple[Cell, ...]:
    return tuple(cell for block, times in row.segments for _ in range(times) for cell, n in block for _ in range(n))


def _plain(cell: Cell) -> tuple[str, int, str]:
    return cell.kind, cell.size, cell.face


class TracingWorker(Worker):
    """A worker on numbered cells: what it makes says which of them it went into."""

    leaps = False

    def __init__(self, steps: Sequence[Step], base: Row | None, size: int, setting: Setting, choices: Choices) -> None:
        super().__init__(steps, None if base is None else _numbered(base), size, setting, choices)
        self.below = 0
        self.seam: Spot | None = None  # the last cell touched before the base was begun anew
        self.stands: Spot | None = None  # where the turning chain that counts stands
        self.founded = 0
        self.seen = False
        self.skip_below = 0

    def made(self) -> Iterator[Cell]:
        """Every stitch and space in the order made, each with its spot."""
        for block, times in self.out.segments:
            for _ in range(times):
                for cell, n in block:
                    for _ in range(n):
                        yield cell if cell.spot is not None or cell.kind == SPACE else cell._replace(spot=self.stands or Spot())

    # -- where the hook is --------------------------------------------------------------------------------------------

    def here(self) -> Spot:
        """The cell last gone into; () where there is none, as in a ring."""
        if self.ring or self.unknown:
            return Spot()
        cursor = self.cursor
        if cursor.seg:
            return self.base.segments[cursor.seg - 1][0][0][0].spot or Spot()
        if self.seam is not None:
            return self.seam
        return self.base.segments[0][0][0][0].spot or Spot() if self.base.segments else Spot()

    def cell(self, stitch: Stitch, into: Cell | None) -> Cell:
        spot = self.here() if into is None else into.spot or Spot()
        return super().cell(stitch, into)._replace(spot=spot._replace(below=self.below))

    def rotate(self, passed: int) -> Row:
        self.seam = self.here()
        return super().rotate(passed)

    def found(self, n: int) -> None:
        super().found(n)
        self.founded = n
        self.base = _numbered(self.base)
        self.cursor = type(self.cursor)(self.base)

    def other_side(self) -> None:
        super().other_side()
        if not self.second_side:
            return
        total = self.total_chains
        length = self.base.stitches - total
        # the same chains from the far end, which itself was worked already
        far = [Cell(CHAIN, spot=Spot((max(0, total - 2 - i),))) for i in range(length)]
        self.base = replace(self.base, segments=(*self.base.segments[:total], *((((cell, 1),), 1) for cell in far)))
        state = self.cursor.state()
        self.cursor = type(self.cursor)(self.base)
        self.cursor.restore(state)

    # -- steps --------------------------------------------------------------------------------------------------------

    def counting_tch(self, n: int, kind: str, number: int, chains: int) -> None:
        super().counting_tch(n, kind, number, chains)
        self.stands = self.here()

    def consume(self, stitch: Stitch, count: int, each: int, at: Extent) -> None:
        if stitch.uses == 1 or self.unknown:
            super().consume(stitch, count, each, at)
            return
        for _ in range(min(count, MOST_CELLS)):
            before = self.cursor.over
            into = self.cursor.take(stitch.uses)
            bases = _bases(into)
            cell = self.cell(stitch, into[0][0][0][0] if into else None)
            spot = Spot(bases, self.below, beyond=self.cursor.over > before and not bases)
            for k in range(each * stitch.makes):
                lies = "over" if stitch.crossed and k else ""
                own = spot._replace(bases=(bases[-1 - k],), lies=lies) if stitch.crossed and k < len(bases) else spot
                self.out.add(cell._replace(spot=own), 1)
        self.loose = False
        self.skip_just = False

    def beyond(self, stitch: Stitch, missing: int, each: int) -> None:
        self.out.add(super().cell(stitch, None)._replace(spot=Spot(beyond=True)), missing * each * stitch.makes)

    def at_place(self, step: Make, stitch: Stitch, count: int, place: Place, rest: Sequence[Step]) -> None:
        self.below = place.below
        super().at_place(step, stitch, count, place, rest)
        self.below = 0

    def into_first(self, step: Make, stitch: Stitch, count: int, place: Place) -> None:
        again = self.cursor.left == 0 and self.base.circular and self.cursor.passed > 1
        if not again or self.rotated:
            super().into_first(step, stitch, count, place)
            return
        kept, self.seam = self.cursor, self.base.segments[0][0][0][0].spot
        self.out.add(super().cell(stitch, None)._replace(spot=self.seam), count * stitch.makes)
        self.cursor = kept

    def skip(self, step: Skip) -> None:
        super().skip(step)
        self.skip_below = step.place.below

    def lay_back(self, stitch: Stitch, into: Sequence[Segment], n: int, each: int) -> None:
        bases = _bases(into)
        for k in range(n):
            spot = Spot(bases[k : k + 1], self.below or self.skip_below, self.lies(), beyond=k >= len(bases))
            self.out.add(super().cell(stitch, into[0][0][0][0] if into else None)._replace(spot=spot), each * stitch.makes)

    def lies(self) -> str:
        """How the stitch worked back lies on those it crosses, as seen from the right side.

        "In front" and "behind" are the maker's: with the wrong side facing, the strand in front is the one at the back
        of the fabric.
        """
        if not self.cross or (self.setting.side is None and not self.seen):
            return "unsaid"
        in_front = self.cross == "F"
        return "over" if in_front == (self.seen or self.setting.side == "RS") else "under"

    def mark(self, step: Step, more: bool) -> None:
        super().mark(step, more)
        if isinstance(step, Mark) and step.what == "cross":
            value: object = step.value
            self.seen = isinstance(value, tuple) and bool(cast("tuple[object, ...]", value)[-1])

    def picot(self) -> None:
        if not self.out.segments:
            return
        block, times = self.out.segments.pop()
        if times > 1:
            self.out.segments.append((block, times - 1))
        cell, n = block[-1]
        spot = cell.spot or Spot()
        topped = cell._replace(spot=spot._replace(picots=spot.picots + 1))
        left = [*block[:-1], *([(cell, n - 1)] if n > 1 else []), (topped, 1)]
        self.out.segments.append((tuple(left), 1))


def _numbered(base: Row) -> Row:
    """The row cell by cell, each with its number as its spot."""
    cells = _cells(base)
    return replace(base, segments=tuple((((cell._replace(spot=Spot((i,))), 1),), 1) for i, cell in enumerate(cells)))


def _bases(into: Sequence[Segment]) -> tuple[int, ...]:
    return tuple(b for block, times in into for _ in range(times) for cell, n in block for _ in range(n) for b in (cell.spot or Spot()).bases)
