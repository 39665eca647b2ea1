"""A row of fabric, run-length encoded: blocks of runs, each block so many times. Never a list of single stitches.

A row of 300 stitches and one of 300,000 cost the same; what costs is the text that makes them.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from typing import NamedTuple

from .. import regex
from ..syntax.lexicon import unprefixed

SPACE = "sp"
GROUP = "~"  # several stitches in one place, without a name
CHAIN = "ch"  # a foundation chain
ANY = "st"  # a stitch of a row known by its number only
_LONGEST_BLOCK = 600
_LONGEST_COUNTED = 2_000  # stitches of a row compared one by one


class Raised(NamedTuple):
    """A post stitch in its column: the side it stands out on, and where its words begin in their statement."""

    face: str
    at: int


class Spot(NamedTuple):
    """Where a stitch is worked. Kept only where a row is worked once more to be drawn (``trace.py``).

    ``bases`` are the cells of the row below it goes into, counted from 0 as the maker meets them; () in a ring, or where
    they are not known. ``lies`` tells of a stitch worked back into a skipped one how it lies on those it crosses, as seen
    from the right side: over, under, or unsaid.
    """

    bases: tuple[int, ...] = ()
    below: int = 0  # rows below the current one, where the words say so
    lies: str = ""
    beyond: bool = False  # asked for where the row below has no stitch left
    picots: int = 0  # worked on its top


class Cell(NamedTuple):
    """One stitch or chain space. ``column`` holds the posts at its place, its own first, then those of the rows below.

    Of flat stitches nothing is kept, so that stitches of one kind stay one run whatever lies below them.
    """

    kind: str
    size: int = 0  # chains of a space
    group: str = ""
    first: bool = False  # the first cell of its group
    tch: int = 0  # chains of a turning chain that stands for this stitch
    column: tuple[Raised | None, ...] = ()
    spot: Spot | None = None

    @property
    def face(self) -> str:
        """The side a post stitch stands out on; "" for any other stitch."""
        own = self.column[0] if self.column else None
        return own.face if own is not None else ""


Run = tuple[Cell, int]
Segment = tuple[tuple[Run, ...], int]
Column = tuple[Raised | None, ...]
"""Posts at one place, newest first; None where a row has a plain stitch there. The oldest entry is a post."""

COLUMN_ROWS = 4
"""Rows that a column is followed over plain stitches: posts are worked one to three rows further down."""


def column_on(own: Raised | None, below: Column) -> Column:
    """The column of a stitch worked on another: its own post, if it is one, and what lies below."""
    rows = (own, *below[: COLUMN_ROWS - 1])
    while rows and rows[-1] is None:
        rows = rows[:-1]
    return rows


def other_side(side: str) -> str:
    return "WS" if side == "RS" else "RS"


def block_stitches(block: tuple[Run, ...]) -> int:
    if len(block) == 1:  # nearly always, and asked for at every step along a row
        cell, n = block[0]
        return 0 if cell.kind == SPACE else n
    return sum(n for cell, n in block if cell.kind != SPACE)


def _among_stitches(cell: Cell) -> bool:
    """Whether a cell is a stitch, or the one chain of a space that is counted among them."""
    return cell.kind != SPACE or cell.size == 1


@dataclass(frozen=True)
class Row:
    """What the next row is worked into. ``known`` is False where only the number of stitches is."""

    segments: tuple[Segment, ...]
    ring: bool = False
    circular: bool = False
    known: bool = True
    tch: int = 0  # a turning chain at its start that does not count

    @cached_property
    def stitches(self) -> int:
        return sum(block_stitches(block) * times for block, times in self.segments)

    @cached_property
    def spaces(self) -> int:
        return sum(n * times for block, times in self.segments for cell, n in block if cell.kind == SPACE)

    @cached_property
    def chains_in_spaces(self) -> int:
        return sum(n * times * cell.size for block, times in self.segments for cell, n in block if cell.kind == SPACE)

    @cached_property
    def kinds(self) -> Counter[str]:
        found: Counter[str] = Counter()
        for block, times in self.segments:
            for cell, n in block:
                if cell.kind not in (SPACE, CHAIN):
                    found[cell.kind] += n * times
        return found

    @cached_property
    def raised(self) -> bool:
        """Whether any of its stitches is a post stitch, or stands over one not far below."""
        return any(cell.column for block, _ in self.segments for cell, _ in block)

    @cached_property
    def groups(self) -> Counter[str]:
        found: Counter[str] = Counter()
        for block, times in self.segments:
            for cell, n in block:
                if cell.group and cell.first:
                    found[cell.group] += n * times
        return found

    @cached_property
    def space_sizes(self) -> Counter[int]:
        found: Counter[int] = Counter()
        for block, times in self.segments:
            for cell, n in block:
                if cell.kind == SPACE:
                    found[cell.size] += n * times
        return found

    @cached_property
    def _hash(self) -> int:
        return hash((self.segments, self.ring, self.circular, self.known, self.tch))

    def __hash__(self) -> int:
        return self._hash

    def cells(self) -> Iterator[Run]:
        for block, times in self.segments:
            if len(block) == 1:
                yield block[0][0], block[0][1] * times
            else:
                for _ in range(min(times, 2000)):
                    yield from block

    @cached_property
    def mixed(self) -> bool:
        """Whether it is a row of lace or of several stitches, where a place is told by what stands there."""
        return bool(self.spaces or self.groups or len(self.kinds) > 1)

    def beyond_last(self, kind: str) -> int:
        """Stitches that lie beyond the last one of a kind; 0 where the row ends with one, or has none."""
        beyond = 0
        for block, _ in reversed(self.segments):
            for cell, n in reversed(block):
                if cell.kind == SPACE:
                    continue
                if same_kind(kind, cell.kind):
                    return beyond
                beyond += n
        return 0

    def ends_with(self, kind: str, many: int) -> bool:
        """Whether its last stitches, so many, are all of a kind."""
        for block, times in reversed(self.segments):
            for cell, n in reversed(block):
                if many <= 0 or cell.kind == SPACE:
                    continue
                if not same_kind(kind, cell.kind):
                    return False
                many -= n
            if many > 0 and times > 1 and len(block) == 1:
                many -= block[0][1] * (times - 1)
        return many <= 0

    @cached_property
    def turned(self) -> Row:
        """The row as it lies after the work is turned."""
        segments = self.segments
        if self.groups:
            segments = _gathered(segments)
        segments = tuple((tuple(reversed(block)), times) for block, times in reversed(segments))
        return replace(self, segments=tuple((_regrouped(block), times) for block, times in segments))


def _gathered(segments: tuple[Segment, ...]) -> tuple[Segment, ...]:
    """Neighbouring segments worked once put into one block, so that no group lies across two."""
    out: list[Segment] = []
    run: list[Run] = []
    for block, times in segments:
        if len(block) == 1:
            run.append((block[0][0], block[0][1] * times))
            continue
        if times == 1:
            run.extend(block)
            continue
        if run:
            out.append((tuple(run), 1))
            run = []
        out.append((block, times))
    if run:
        out.append((tuple(run), 1))
    return tuple(out)


def _regrouped(block: tuple[Run, ...]) -> tuple[Run, ...]:
    """After turning, the cell that comes first in its group is the one that came last."""
    if not any(cell.group for cell, _ in block):
        return block
    out: list[Run] = []
    last = ""
    pending = False
    for cell, n in block:
        if not cell.group:
            out.append((cell, n))
            last, pending = "", False
            continue
        opens = cell.group != last or pending
        # in the turned block a cell flagged first ends its group
        pending = cell.first
        plain = cell._replace(first=False)
        if opens:
            out.append((plain._replace(first=True), 1))
            if n > 1:
                out.append((plain, n - 1))
        else:
            out.append((plain, n))
        last = cell.group
    return tuple(out)


def row_of(cell: Cell, n: int, *, circular: bool = False, known: bool = True) -> Row:
    return Row(((((cell, 1),), n),) if n > 0 else (), circular=circular, known=known)


RING = Row((), ring=True, circular=True)


def row_by_number(n: int, worked: Row, *, circular: bool = False) -> Row:
    """A row known by its number only, ``n``, where the words make another number: ``worked``.

    The slip lies at one place, so a stitch has the place it had when counted from one end of the row, or from the other.
    Where both agree on the posts below, its column goes on.
    """
    columns = [cell.column for cell, k in worked.cells() if cell.kind != SPACE for _ in range(k)] if worked.stitches <= _LONGEST_COUNTED else []
    out = Output()
    if any(columns):
        shift = n - len(columns)
        for i in range(min(n, _LONGEST_COUNTED)):
            one = columns[i] if i < len(columns) else ()
            other = columns[i - shift] if 0 <= i - shift < len(columns) else ()
            out.add(Cell(ANY, column=one if one == other else ()), 1)
        if n <= _LONGEST_COUNTED:
            return replace(out.row(circular=circular), known=False)
    return row_of(Cell(ANY), n, circular=circular, known=False)


class Output:
    """A row in the making."""

    __slots__ = ("fresh", "segments")

    def __init__(self, segments: list[Segment] | None = None) -> None:
        self.segments: list[Segment] = segments if segments is not None else []
        self.fresh = False  # the next run begins a segment of its own, so that a pass can be told from what was there

    def add(self, cell: Cell, n: int) -> None:
        if n <= 0:
            return
        if self.fresh:
            self.fresh = False
        elif self.segments:
            block, times = self.segments[-1]
            if len(block) == 1 and block[0][1] == 1 and block[0][0] == cell:
                self.segments[-1] = (block, times + n)
                return
        self.segments.append((((cell, 1),), n))

    def add_block(self, block: tuple[Run, ...], times: int) -> None:
        if len(block) == 1:
            self.add(block[0][0], block[0][1] * times)
        elif times > 0 and block:
            self.fresh = False
            self.segments.append((block, times))

    def row(self, *, circular: bool = False, tch: int = 0) -> Row:
        """The finished row, neighbouring runs of one kind put together."""
        tidy = Output()
        for block, times in self.segments:
            tidy.add_block(block, times)
        return Row(tuple(tidy.segments), circular=circular, tch=tch)

    def copy(self) -> Output:
        return Output(list(self.segments))

    def flat(self, start: int) -> tuple[Run, ...] | None:
        """The segments from ``start`` on as one block, or None where that would be too long."""
        out: list[Run] = []
        for block, times in self.segments[start:]:
            if len(block) == 1:
                out.append((block[0][0], block[0][1] * times))
            else:
                if len(block) * times + len(out) > _LONGEST_BLOCK:
                    return None
                for _ in range(times):
                    out.extend(block)
        return tuple(out)


class Cursor:
    """A place in a row; ``over`` counts stitches asked for beyond its end."""

    __slots__ = ("idx", "off", "over", "passed", "rep", "row", "seg", "spaces")

    def __init__(self, row: Row) -> None:
        self.row = row
        self.seg = self.rep = self.idx = self.off = 0
        self.over = 0
        self.passed = 0  # stitches behind the cursor
        self.spaces = False  # whether a ch-1 space is taken for a stitch, too

    def state(self) -> tuple[int, int, int, int, int, int]:
        return self.seg, self.rep, self.idx, self.off, self.over, self.passed

    def restore(self, state: tuple[int, int, int, int, int, int]) -> None:
        self.seg, self.rep, self.idx, self.off, self.over, self.passed = state

    @property
    def left(self) -> int:
        """Stitches still ahead."""
        return self.row.stitches - self.passed

    def at_end(self) -> bool:
        return self.seg >= len(self.row.segments)

    def peek(self) -> Cell | None:
        if self.at_end():
            return None
        return self.row.segments[self.seg][0][self.idx][0]

    def _step(self, n: int) -> None:
        """Go on by n cells of the run under the cursor."""
        block, times = self.row.segments[self.seg]
        cell, count = block[self.idx]
        self.off += n
        if cell.kind != SPACE:
            self.passed += n
        if self.off >= count:
            self.off = 0
            self.idx += 1
            if self.idx >= len(block):
                self.idx = 0
                self.rep += 1
                if self.rep >= times:
                    self.rep = 0
                    self.seg += 1

    def leap(self, times: int) -> None:
        """Pass over the block under the cursor so many more times; it stays at the same place in it."""
        self.rep += times
        self.passed += block_stitches(self.row.segments[self.seg][0]) * times

    def finish_segment(self) -> None:
        """From the start of a block past the last time it is worked."""
        self.leap(self.row.segments[self.seg][1] - self.rep)
        self.rep = 0
        self.seg += 1

    def _pass_run(self) -> None:
        """Past what is left of the run under the cursor."""
        _, count = self.row.segments[self.seg][0][self.idx]
        self._step(count - self.off)

    def take(self, k: int) -> list[Segment]:
        """The next k stitches, spaces between them passed over; what is missing is counted in ``over``."""
        out: list[Segment] = []
        while k > 0 and not self.at_end():
            block, times = self.row.segments[self.seg]
            if self.idx == 0 and self.off == 0:
                stitches = block_stitches(block) if not self.spaces else sum(n for cell, n in block if _among_stitches(cell))
                whole = min(times - self.rep, k // stitches) if stitches else 0
                if whole > 1 or (whole == 1 and len(block) == 1):
                    out.append((block if len(block) == 1 else tuple(r for r in block if r[0].kind != SPACE or (self.spaces and r[0].size == 1)), whole))
                    k -= whole * stitches
                    self.leap(whole)
                    if self.rep >= times:
                        self.rep = 0
                        self.seg += 1
                    continue
            cell, count = block[self.idx]
            if cell.kind == SPACE and not (self.spaces and cell.size == 1):
                self._step(count - self.off)
                continue
            n = min(k, count - self.off)
            out.append((((cell, 1),), n))
            k -= n
            self._step(n)
        self.over += k
        return out

    def to_space(self, size: int | None) -> Cell | None:
        """Go to the next space and past it; of the size named, if there is one ahead, else any. None: no space ahead."""
        wanted = size if size is not None and self._ahead(size) else None
        while not self.at_end():
            block, _ = self.row.segments[self.seg]
            cell, count = block[self.idx]
            if cell.kind == SPACE and (wanted is None or cell.size == wanted):
                self._step(1)
                return cell
            self._step(count - self.off)
        return None

    def _ahead(self, size: int) -> bool:
        for seg in range(self.seg, len(self.row.segments)):
            block, times = self.row.segments[seg]
            for idx, (cell, _) in enumerate(block):
                if cell.kind == SPACE and cell.size == size and (seg > self.seg or idx >= self.idx or self.rep < times - 1):
                    return True
        return False

    def spaces_left(self, size: int | None = None) -> int:
        return self._left(lambda cell: cell.kind == SPACE and (size is None or cell.size == size)) if self.row.spaces else 0

    def kind_left(self, kind: str) -> int:
        """Stitches of a kind that are ahead."""
        return self._left(lambda cell: cell.kind != SPACE and same_kind(kind, cell.kind))

    def before_next(self, wanted: Callable[[Cell], bool]) -> int | None:
        """Stitches between the cursor and the next cell wanted; None where there is none ahead."""
        state = self.state()
        start = self.passed
        found: int | None = None
        while not self.at_end():
            cell = self.peek()
            if cell is not None and wanted(cell):
                found = self.passed - start
                break
            self._pass_run()
        self.restore(state)
        return found

    def _left(self, wanted: Callable[[Cell], bool]) -> int:
        total = 0
        for seg in range(self.seg, len(self.row.segments)):
            block, times = self.row.segments[seg]
            per = sum(n for cell, n in block if wanted(cell))
            if seg > self.seg:
                total += per * times
            else:
                total += per * (times - self.rep)
                total -= sum(n for cell, n in block[: self.idx] if wanted(cell))
                if wanted(block[self.idx][0]):
                    total -= self.off
        return total

    def to_group(self, name: str) -> bool:
        """Go to the first cell of the next group of that name, not past it."""
        state = self.state()
        while not self.at_end():
            cell = self.peek()
            if cell is not None and cell.group == name and cell.first and self.off == 0:
                return True
            self._pass_run()
        self.restore(state)
        return False

    def group_cells(self) -> list[Run]:
        """The cells of the group under the cursor, without moving."""
        state = self.state()
        out: list[Run] = []
        name = ""
        while not self.at_end():
            block, _ = self.row.segments[self.seg]
            cell, count = block[self.idx]
            if out and (cell.group != name or cell.first):
                break
            name = cell.group
            n = 1 if cell.first and not out else count - self.off
            out.append((cell, n))
            self._step(n)
            if sum(n for _, n in out) > 200:
                break
        self.restore(state)
        return out

    def to_kind(self, kind: str, limit: int = 40) -> bool:
        """Go to the next stitch of a kind, if one is near; not past it."""
        state = self.state()
        steps = 0
        while not self.at_end() and steps < limit:
            cell = self.peek()
            if cell is not None and same_kind(kind, cell.kind):
                return True
            self._pass_run()
            steps += 1
        self.restore(state)
        return False

    def groups_left(self, name: str) -> int:
        total = 0
        for seg in range(self.seg, len(self.row.segments)):
            block, times = self.row.segments[seg]
            per = sum(n for cell, n in block if cell.group == name and cell.first)
            total += per * (times - (self.rep if seg == self.seg else 0))
            if seg == self.seg:
                total -= sum(n for cell, n in block[: self.idx] if cell.group == name and cell.first)
        return total


def same_kind(named: str, found: str) -> bool:
    """Whether a place noun can mean a stitch: "sc" may name an sc2tog, "dc" a post dc or a cluster of them."""
    if named in ("", ANY) or found in (ANY,) or named == found:
        return True
    plain = regex.split(r"\d", unprefixed(found), maxsplit=1)[0]
    return named == plain or (named.startswith(("FP", "BP")) and named[2:] == found)
