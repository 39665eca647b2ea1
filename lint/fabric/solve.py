"""Pattern → Work: the rows of every piece worked one after another, under the readings that close the most of them.

Where the trade's words allow several senses, each is tried; a sense that holds for a piece ("the ch 3 counts") is kept
for all its rows. What is carried on is a handful of states, the best first, so the search is bounded whatever the text.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from math import lcm
from typing import Any, cast

from ..pattern.notes import Conventions
from ..pattern.pattern import Entry, Multiple, Pattern, Piece, Slip
from ..syntax.tree import (
    Chain,
    Count,
    Counts,
    Even,
    Extent,
    Fault,
    Group,
    Make,
    Mark,
    Place,
    Prefix,
    Skip,
    Star,
    Step,
    Tree,
    Unread,
    any_place,
)
from ..text import Span
from .choices import Choices, Key, alternatives
from .memory import Memory
from .row import ANY, CHAIN, RING, SPACE, Cell, Raised, Row, other_side, row_by_number, row_of
from .tally import Tally, check, kinds_of, miscalled, places_of, value
from .work import Crossing, PieceWork, Post, RowWork, SizeWork, Status, Trouble, Work
from .worker import Outcome, Setting, Worker
from .worker import Trouble as Met

_WIDTH = 8  # states carried from row to row
_RUNS = 48  # ways one row is worked before the best so far is taken
_WITNESSES = (2, 3, 4)
_COST = {
    "base-short": 10.0, "base-left": 10.0, "repeat-fit": 10.0, "row-total": 10.0, "count-by-kind": 10.0, "place-missing": 2.0, "cross-fit": 1.0,
    "post-missing": 0.5, "ordinal": 5.0, "count-noun": 0.0, "repeat-sense": 3.0, "group-sense": 3.0,
}  # fmt: skip
Decided = dict[Key, Any]


@dataclass(frozen=True)
class Trail:
    """The rows worked so far, last first, shared between states."""

    row: Any
    before: Trail | None


@dataclass
class State:
    """One way the piece can have gone so far."""

    bases: tuple[Row | None, ...]
    decided: Decided
    declared: tuple[tuple[tuple[int, str], bool], ...]
    pending: Chain | None = None
    pending_counts: Counts | None = None
    cost: float = 0.0
    trail: Trail | None = None
    guessed: bool = False  # the base is a stated count taken over where the row differed
    cause: int | None = None  # index of the row whose slip the base stems from
    slips: tuple[Trouble, ...] = ()  # met between the rows

    def rows(self) -> list[Worked]:
        """Every row worked so far, in order."""
        rows: list[Worked] = []
        trail = self.trail
        while trail is not None:
            rows.append(trail.row)
            trail = trail.before
        rows.reverse()
        return rows

    def key(self) -> tuple[Any, ...]:
        return (self.bases, frozenset(self.decided.items()), self.pending is not None, self.declared)


@dataclass
class Sized:
    """One size of one row as worked."""

    outcome: Outcome | None
    tally: Tally | None
    base: int | None
    used: int | None
    made: int | None
    stated: int | None
    troubles: list[Any]


@dataclass
class Worked:
    """One row as worked in every size, before it is put into words."""

    entry: Entry
    sizes: list[tuple[int, Sized]]
    status: Status
    side: str | None
    turned: bool
    troubles: list[Trouble]
    index: int
    follows: int | None = None
    crossings: tuple[Any, ...] = ()
    outcome: Outcome | None = None


def _vectors(steps: Iterable[Step]) -> bool:
    """Whether any number of a tree differs by size."""
    for step in steps:
        for name in ("count", "n"):
            num = getattr(step, name, None)
            if isinstance(num, tuple) and len(cast("tuple[object, ...]", num)) > 1:
                return True
        place = getattr(step, "place", None)
        while place is not None:
            if any(x is not None and len(x) > 1 for x in (place.n, place.last)):
                return True
            if any(p.n is not None and len(p.n) > 1 for p in place.also):
                return True
            place = place.of
        times = getattr(step, "times", None)
        if times is not None and hasattr(times, "n") and len(times.n) > 1:
            return True
        scope = getattr(step, "scope", None)
        if scope is not None and getattr(scope, "last", None) is not None and len(scope.last) > 1:
            return True
        if isinstance(step, Count) and any(len(p.n) > 1 for p in step.parts):
            return True
        if isinstance(step, Group | Star) and (_vectors(step.items)):
            return True
    return False


class PieceSolver:
    """Works one piece."""

    def __init__(self, pattern: Pattern, piece: Piece, live: tuple[Row | None, ...] | None, live_side: str | None, memory: Memory) -> None:
        self.pattern = pattern
        self.piece = piece
        self.conv = (pattern.conventions or Conventions()).within(piece.span, [p.span for p in pattern.pieces])
        self.real_sizes = max(1, len(pattern.sizes))
        self.witness: Multiple | None = None
        self.n = self.real_sizes
        self.live = live
        self.live_side = live_side
        self.memory = memory
        self.plain = self.plain_stitch()
        self.piece_troubles: list[Trouble] = []

    def plain_stitch(self) -> str:
        """What "inc" and "dec" are made of: the key's word, else the stitch most used in the piece."""
        for d in self.pattern.definitions:
            if d.name in ("inc", "increase"):
                return d.stitch.kind
        seen = self.basic_stitches
        if not seen:
            return "sc"
        return max(seen, key=lambda k: (seen[k], k == "sc"))

    @cached_property
    def basic_stitches(self) -> Counter[str]:
        """How often the rows of the piece name each basic stitch."""
        seen: Counter[str] = Counter()

        def look(steps: Iterable[Step]) -> None:
            for s in steps:
                if isinstance(s, Make) and s.stitch.kind in ("sc", "hdc", "dc", "tr"):
                    seen[s.stitch.kind] += 1
                elif isinstance(s, Group | Star):
                    look(s.items)

        for e in self.piece.entries[:200]:
            if e.tree is not None:
                look(e.tree.steps)
        return seen

    # -- sides ----------------------------------------------------------------------------------------------------------

    def sides(self) -> list[tuple[str | None, bool]]:
        """The side of every entry and whether the work is turned after it, from marks, turns and parity."""
        entries = self.piece.entries
        turns: list[bool] = []
        rows = [e for e in entries if e.kind in ("row", "until")]
        habit_turn = any(_has(e, "turn") or _has(e, "turn-start") for e in rows)
        has_rounds = (
            any(_has(e, "join") or (e.info is not None and e.info.word == "Rnd") for e in rows)
            or any(e.joined or e.ring for e in entries)
            or any(e.info is not None and e.info.word != "Row" and _has(e, "ring") for e in rows[:1])
        )
        marks = [(i, e.side) for i, e in enumerate(entries) if e.side is not None]
        off_each = sum(1 for e in rows if _has(e, "off")) >= 2
        out: list[tuple[str | None, bool]] = []
        for i, e in enumerate(entries):
            turned = False
            if e.kind == "row" and e.tree is not None:
                if _has(e, "no-turn"):
                    turned = False
                elif _has(e, "turn") or self.next_turns(i):
                    turned = True
                elif has_rounds:
                    # rows among rounds are turned where others say so
                    turned = habit_turn and e.info is not None and e.info.word == "Row" and not _has(e, "join") and not _has(e, "off")
                elif habit_turn or not (self.conv.spiral or off_each or self.conv.all_rs or self.conv.no_turn):
                    turned = not _has(e, "off")
            if i + 1 < len(entries) and entries[i + 1].kind == "no-turn":
                turned = False
            if i + 1 < len(entries) and entries[i + 1].kind == "turn":
                turned = True
            turns.append(turned)
        # the first side: a mark, a note, else RS
        side: str | None = None
        first_mark = marks[0] if marks else None
        parity = self.conv.side_odd
        if first_mark is not None:
            flips = sum(1 for j in range(first_mark[0]) if entries[j].kind == "row" and turns[j])
            side = first_mark[1] if flips % 2 == 0 else other_side(first_mark[1] or "RS")
        elif self.conv.all_rs:
            side = "RS"
        elif parity is not None:
            first = next((e for e in entries if e.kind == "row" and e.number is not None), None)
            if first is not None and first.number is not None:
                side = parity if first.number % 2 else other_side(parity)
        elif self.live_side is not None and self.piece.goes_on:
            side = self.live_side
        else:
            side = "RS"
        current: str | None = side
        for i, e in enumerate(entries):
            if e.kind == "row":
                if self.conv.all_rs:
                    out.append(("RS", False))
                    continue
                out.append((current, turns[i]))
                if turns[i] and current is not None:
                    current = other_side(current)
            elif e.kind in ("open", "schedule", "until", "rejoin", "new"):
                out.append((current, False))
                if e.ends_side is not None:
                    current = other_side(e.ends_side)
                elif e.kind in ("open", "schedule"):
                    nxt = next((x for x in entries[i + 1 :] if x.kind == "row"), None)
                    current = nxt.side if nxt is not None and nxt.side is not None else None
                elif e.kind in ("rejoin", "new"):
                    nxt = next((x for x in entries[i + 1 :] if x.kind == "row"), None)
                    if nxt is not None and nxt.side is not None:
                        current = nxt.side
            else:
                out.append((current, False))
            if current is None and i + 1 < len(entries) and entries[i + 1].side is not None:
                current = entries[i + 1].side
        return out

    def next_turns(self, i: int) -> bool:
        """Whether the next row begins with a turn ("Ch 1, turn, sc …")."""
        for e in self.piece.entries[i + 1 :]:
            if e.kind == "row" and e.tree is not None:
                return _has(e, "turn-start")
        return False

    # -- one row in one size -------------------------------------------------------------------------------------------------

    def once(self, entry: Entry, tree: Tree, base: Row | None, size: int, setting: Setting, decided: Decided, count: Count | None) -> tuple[Outcome, Tally | None, dict[Key, tuple[Any, ...]]]:
        vec = self.differs_by_size(tree) or (count is not None and any(len(p.n) > 1 for p in count.parts))
        blank = self.witness is not None
        # A tree and a count are known by their identity, which holds as long as what is kept holds them.
        key = (id(tree), base, size if vec else 0, setting, frozenset(decided.items()), id(count), entry.own_count, self.conv.spaces, blank)
        found = self.memory.get(key)
        if found is not None:
            return found[0]
        choices = Choices(decided)
        if blank:
            size = 0
        worker = Worker(tree.steps, base, size, setting, choices)
        try:
            outcome = worker.work()
        except RecursionError:
            outcome = Worker((Unread(Extent(0, 0)),), base, size, setting, choices).work()
        tally: Tally | None = None
        stated = count if count is not None else outcome.count if entry.own_count else None
        blind = outcome.base is None and not outcome.ring and not _all_counted(tree) and not _idle(tree, stated)
        if outcome.made is not None and not blind and not outcome.unread and not any(t.kind == "repeat-fit" for t in outcome.troubles):
            tally = check(outcome.row, stated, size, choices, self.conv.spaces, spelled_out=_spelled_out_first(tree))
            if outcome.base is None and not outcome.ring and outcome.row.spaces and _single(stated) is not None and stated is not None and stated.parts[0].noun in ("", "st"):
                tally = None  # which of the spaces "sts" counts cannot be told without the row below
        result = (outcome, tally, choices.met)
        self.memory.keep(key, (result, tree, count))
        return result

    def differs_by_size(self, tree: Tree) -> bool:
        """Whether a number of the tree is a list with a value for each size."""
        found = self.memory.get(id(tree))
        if found is None:
            found = (_vectors(tree.steps), tree)
            self.memory.keep(id(tree), found)
        return found[0]

    # -- one row in all sizes --------------------------------------------------------------------------------------------------

    def attempt(self, entry: Entry, state: State, active: tuple[int, ...], decided: Decided, side: str | None, foundation: bool) -> tuple[list[tuple[int, Sized]], float, dict[Key, tuple[Any, ...]]]:
        tree = entry.tree
        assert tree is not None
        declared = state.declared
        setting = Setting(
            side, foundation, self.plain, state.pending, state.pending_counts, declared, self.conv.same_brackets, self.conv.spaces,
        )  # fmt: skip
        sized: list[tuple[int, Sized]] = []
        met: dict[Key, tuple[Any, ...]] = {}
        cost = 0.0
        done: dict[tuple[int, Tally | None, int], Sized] = {}
        for size in active:
            base = state.bases[size]
            outcome, tally, asked = self.once(entry, tree, base, size, setting, decided, entry.count)
            met.update(asked)
            stated = entry.count if entry.count is not None else outcome.count
            mark = (id(outcome), tally, size if tally is None and stated is not None else 0)
            one = done.get(mark)
            if one is None:
                one = self.judge(entry, outcome, tally, size)
                done[mark] = one
                for t in one.troubles:
                    cost += 0.5 if t.facts.get("short") else _COST.get(t.kind, 1.0)
                if outcome.unread:
                    cost += 4.0
            sized.append((size, one))
        return sized, cost, met

    def judge(self, entry: Entry, outcome: Outcome, tally: Tally | None, size: int) -> Sized:
        # a row that was not read whole makes no claims about what fits
        troubles = [t for t in outcome.troubles if not outcome.unread or t.kind == "ordinal"]
        stated: int | None = None
        count = entry.count if entry.count is not None else (outcome.count if entry.own_count else None)
        if tally is not None:
            stated = tally.stated
        elif count is not None:
            stated = _single(count, size)
        made = tally.made if tally is not None else outcome.made
        arithmetic = {t.kind for t in troubles}
        if outcome.base is not None and not outcome.unread and "repeat-fit" not in arithmetic:
            if outcome.over and not any(t.kind == "base-short" for t in troubles):
                troubles.append(Met("base-short", None, {"base": outcome.base, "used": outcome.used, "over": outcome.over, "made": made, "stated": stated}))
            if outcome.left > 0 and not outcome.over and not any(t.kind == "base-left" for t in troubles) and not entry.modified:
                short = entry.tree is not None and not outcome.row.circular and _short_row(entry.tree, outcome, made, stated)
                troubles.append(Met("base-left", None, {"base": outcome.base, "used": outcome.used, "left": outcome.left, "made": made, "stated": stated, "short": short}))
        if tally is not None and not outcome.unread:
            if tally.total_differs and not (entry.lenient and outcome.base is not None and made != outcome.base and entry.times == 1 and self.shaping(entry, outcome)):
                troubles.append(Met("row-total", tally.at, {"made": tally.made, "stated": tally.stated, "base": outcome.base, "used": outcome.used}))
            elif tally.kinds_differ:
                troubles.append(Met("count-by-kind", tally.at, {"differ": tally.kinds_differ, "made": tally.made}))
        if tally is not None and not troubles and entry.tree is not None and count is not None and tally.made == tally.stated:
            part = miscalled(outcome.row, count)
            if part is not None and not (part.noun in self.basic_stitches and _shorthand(entry.tree.steps)):
                troubles.append(Met("count-noun", part.at, {"noun": part.noun, "kinds": tuple(kinds_of(outcome.row)), "stated": tally.stated}))
        return Sized(outcome, tally, outcome.base, outcome.used, made if not outcome.unread else None, stated, troubles)

    def shaping(self, entry: Entry, outcome: Outcome) -> bool:
        """In a range whose rows grow or shrink, the count is the last row's."""
        numbers = entry.info.numbers if entry.info is not None else ()
        if entry.info is not None and entry.info.by_size:
            return True
        return bool(numbers) and entry.number is not None and entry.number != numbers[-1]

    def explore(self, entry: Entry, state: State, active: tuple[int, ...], side: str | None, foundation: bool) -> list[tuple[list[tuple[int, Sized]], float, Decided]]:
        """The ways this row can be read, best first."""
        first, cost, met = self.attempt(entry, state, active, dict(state.decided), side, foundation)
        results: list[tuple[list[tuple[int, Sized]], float, Decided]] = []

        def keep(sized: list[tuple[int, Sized]], total: float, decided: Decided, asked: dict[Key, tuple[Any, ...]]) -> None:
            kept = {k: v for k, v in decided.items() if str(k[0]).startswith("piece:")}
            for k, options in asked.items():
                if str(k[0]).startswith("piece:") and k not in kept:
                    kept[k] = options[0]
            results.append((sized, total, kept))

        keep(first, cost, dict(state.decided), met)
        # without a count of its own a row does not settle its senses: a row further on may
        counted = entry.count is not None or (entry.own_count and entry.tree is not None and any(isinstance(s, Count) for s in entry.tree.steps))
        open_piece = {k: o for k, o in met.items() if len(o) > 1 and (str(k[0]).startswith("piece:") or not counted)}
        if cost == 0 and not open_piece:
            return results
        queue: list[tuple[Decided, dict[Key, tuple[Any, ...]], float]] = [(dict(state.decided), met if cost else open_piece, 0.0)]
        tried: set[frozenset[tuple[Key, Any]]] = set()
        runs = 0
        while queue and runs < _RUNS:
            decided, asked, price = queue.pop(0)
            for fresh, extra in alternatives(decided, asked, tried):
                runs += 1
                if runs > _RUNS:
                    break
                sized, total, more = self.attempt(entry, state, active, fresh, side, foundation)
                total += price + 0.01 * extra
                keep(sized, total, fresh, more)
                further = {k: o for k, o in more.items() if len(o) > 1 and (total >= 1 or str(k[0]).startswith("piece:"))}
                for k, o in asked.items():
                    if k not in further and len(o) > 1 and fresh.get(k) == o[0]:
                        further[k] = o
                if further and len(queue) < 24:
                    queue.append((fresh, further, price + 0.01 * extra))
        results.sort(key=lambda r: r[1])
        seen: set[Any] = set()
        best: list[tuple[list[tuple[int, Sized]], float, Decided]] = []
        for r in results:
            mark = (tuple(s.outcome.row if s.outcome is not None and not s.outcome.unread else None for _, s in r[0]), frozenset(r[2].items()), round(r[1]))
            if mark not in seen:
                seen.add(mark)
                best.append(r)
        floor = best[0][1]
        return [r for r in best if r[1] <= floor + 10.5][:6]

    # -- the piece -----------------------------------------------------------------------------------------------------------

    def solve(self) -> tuple[PieceWork, tuple[Row | None, ...], str | None]:
        return self.in_words(*self.worked_through())

    def worked_through(self) -> tuple[State, list[tuple[str | None, bool]]]:
        """The cheapest way the piece can go, and the side and turn of every entry."""
        entries = self.piece.entries
        foundation = next((e for e in entries if e.kind == "foundation"), None)
        if foundation is not None and foundation.multiple is not None and not foundation.chains and self.real_sizes == 1:
            self.witness = foundation.multiple
            self.n = len(_WITNESSES)
        bases: tuple[Row | None, ...] = tuple(self.live) if self.live is not None and len(self.live) == self.n and self.piece.goes_on else (None,) * self.n
        beam = [State(bases, {}, self.conv.chains)]
        sides = self.sides()
        first_row = True
        fresh = bases[0] is None
        for i, entry in enumerate(entries):
            side, turned = sides[i]
            if entry.kind == "foundation":
                fresh = True
                first_row = True
                beam = [self.lay_foundation(entry, s) for s in beam[:1]]
                continue
            if entry.kind == "row":
                beam = self.step(entry, beam, side, turned, i, foundation=first_row and fresh)
                first_row = first_row and entry.tree is not None and _only_chain(entry.tree)
                continue
            beam = self.between(entry, beam, side, i)
        return min(beam, key=lambda s: s.cost), sides

    def lay_foundation(self, entry: Entry, state: State) -> State:
        rows: list[Row | None] = []
        for size in range(self.n):
            if entry.ring and not (entry.chains and self.works_into_chain()):
                rows.append(RING)
            elif self.witness is not None:
                k = _WITNESSES[size]
                rows.append(row_of(Cell(CHAIN), self.witness.n * k + self.witness.plus, circular=entry.joined))
            elif entry.chains:
                n = entry.chains[size if size < len(entry.chains) else 0]
                rows.append(row_of(Cell(entry.chainless or CHAIN), n, circular=entry.joined) if n else None)
            else:
                rows.append(None)
        if entry.joined and entry.chains and not self.works_into_chain():
            rows = [RING] * self.n
        return replace(state, bases=tuple(rows), pending=None, pending_counts=None)

    def works_into_chain(self) -> bool:
        """Whether Round 1 goes into the chains of the ring, one by one, and not into the ring."""
        first = next((e for e in self.piece.entries if e.kind == "row" and e.tree is not None), None)
        if first is None or first.tree is None:
            return False

        def into(steps: Iterable[Step]) -> bool:
            for s in steps:
                if isinstance(s, Make) and s.place is not None and s.place.how in ("each", "next", "same", "first") and s.place.noun in ("ch", "st", "sc", ""):
                    if s.place.noun == "ch" or s.place.how != "same":
                        return True
                if isinstance(s, Skip):
                    return True
                if isinstance(s, Group | Star) and into(s.items):
                    return True
            return False

        return not any_place(first.tree.steps, _in_ring) and into(first.tree.steps)

    def step(self, entry: Entry, beam: list[State], side: str | None, turned: bool, index: int, *, foundation: bool) -> list[State]:
        active = entry.sizes if entry.sizes and self.witness is None else tuple(range(self.n))
        out: list[State] = []
        if entry.tree is not None and beam:
            self.compare_repeats(entry, beam[0].bases[0] is not None)
        self.before_repeat = self.open_star(entry)
        for state in beam:
            if entry.tree is None:
                out.append(self.unworked(entry, state, active, side, turned, index))
                continue
            inside = foundation and (state.bases[active[0]] is None)
            at_foundation = foundation
            start = state
            if inside:
                # the chain may stand in the row itself
                chained = _founds_itself(entry.tree)
                start = replace(state, bases=tuple(Row(()) if s in active and chained else b for s, b in enumerate(state.bases)))
                at_foundation = chained
            if _only_chain(entry.tree) and at_foundation:
                out.append(self.chain_row(entry, state, active, side, turned, index))
                continue
            for sized, cost, decided in self.explore(entry, start, active, side, at_foundation):
                out += self.successors(entry, state, sized, cost, decided, side, turned, index)
        out.sort(key=lambda s: s.cost)
        seen: set[Any] = set()
        kept: list[State] = []
        for s in out:
            key = s.key()
            if key not in seen:
                seen.add(key)
                kept.append(s)
        return kept[:_WIDTH]

    before_repeat: tuple[str, Star] | None = None

    def open_star(self, entry: Entry) -> tuple[str, Star] | None:
        """The one repeat of a row that goes on to its end."""
        if entry.tree is None:
            return None
        stars = [s for s in entry.tree.steps if isinstance(s, Star)]
        if len(stars) != 1 or stars[0].times is not None:
            return None
        return entry.label, stars[0]

    def compare_repeats(self, entry: Entry, known: bool) -> None:
        """Two rows in a row: what one repeat leaves is what the next has to take.

        On a known number of stitches the sum tells, but for post stitches: a rib lies only on a rib as wide. Where it goes
        on in the new width, another texture begins there.
        """
        now = self.open_star(entry)
        before = self.before_repeat
        if now is None or before is None or entry.tree is None or entry.tree.unread:
            return
        if known and not (_is_rib(now[1]) and _is_rib(before[1])):
            return
        setting = Setting(None, False, self.plain)
        made = Worker(before[1].items, None, 0, setting, Choices({})).work()
        if made.unread or made.made is None:
            return
        makes = made.row.stitches
        uses = Worker((), None, 0, setting, Choices({})).demand(now[1].items)
        if makes < 4 or uses < 4 or lcm(makes, uses) <= 2 * max(makes, uses):
            return
        entries = self.piece.entries
        place = next(i for i, e in enumerate(entries) if e is entry)
        if known and uses in (self.rib_of(entries[place + 1 :]), self.rib_of(entries[: max(0, place - 1)][::-1])):
            return
        kind = "repeat-sense" if known else "repeat-fit"
        at = now[1].at
        self.piece_troubles.append(Trouble(kind, at.span(entry.origin), {"unit": uses, "neighbour": before[0], "period": makes, "label": entry.label}))

    def rib_of(self, entries: Iterable[Entry]) -> int | None:
        """Stitches that one repeat takes in the first row of these that is a rib."""
        for entry in entries:
            found = self.open_star(entry)
            if found is not None and _is_rib(found[1]):
                return Worker((), None, 0, Setting(None, False, self.plain), Choices({})).demand(found[1].items)
        return None

    def chain_row(self, entry: Entry, state: State, active: tuple[int, ...], side: str | None, turned: bool, index: int) -> State:
        assert entry.tree is not None
        chain = next(s for s in entry.tree.steps if isinstance(s, Chain))
        bases = list(state.bases)
        sized: list[tuple[int, Sized]] = []
        for size in active:
            n = value(chain.count, size) if chain.count else 1
            bases[size] = row_of(Cell(CHAIN), n or 0)
            sized.append((size, Sized(None, None, None, None, n, None, [])))
        worked = Worked(entry, sized, Status.PROVED, side, turned, [], index)
        return replace(state, bases=tuple(bases), trail=Trail(worked, state.trail))

    def unworked(self, entry: Entry, state: State, active: tuple[int, ...], side: str | None, turned: bool, index: int) -> State:
        bases = list(state.bases)
        sized: list[tuple[int, Sized]] = []
        for size in active:
            stated = _single(entry.count, size) if entry.count is not None else None
            before = bases[size]
            bases[size] = row_of(Cell(ANY), stated, known=False) if stated else None
            sized.append((size, Sized(None, None, before.stitches if before is not None and not before.ring else None, None, stated, stated, [])))
        status = Status.ASSUMED if any(s.stated for _, s in sized) else Status.UNREAD
        worked = Worked(entry, sized, status, side, turned, [], index)
        return replace(state, bases=tuple(bases), pending=None, pending_counts=None, trail=Trail(worked, state.trail))

    def successors(self, entry: Entry, state: State, sized: list[tuple[int, Sized]], cost: float, decided: Decided, side: str | None, turned: bool, index: int) -> list[State]:
        lead = sized[0][1].outcome
        assert lead is not None
        carried: list[Row | None] = list(state.bases)
        stated_rows: list[Row | None] = list(state.bases)
        fork = False
        clean_total = True
        for size, one in sized:
            outcome = one.outcome
            assert outcome is not None
            before = state.bases[size]
            circular = outcome.row.circular or (before is not None and before.circular)
            if outcome.unread or one.made is None:
                row = row_of(Cell(ANY), one.stated, known=False, circular=circular) if one.stated else None
                row = self.row_by_count(entry, outcome, size, circular) or row
                carried[size] = stated_rows[size] = row
                continue
            row = outcome.row.turned if turned else outcome.row
            if row.circular != circular:
                row = replace(row, circular=circular)
            if outcome.base is None and not outcome.ring and one.stated is not None and one.stated != row.stitches:
                row = row_of(Cell(ANY), one.stated, known=False, circular=circular)
            carried[size] = row
            stated_rows[size] = row
            if one.stated is not None and any(t.kind in ("row-total", "base-short", "base-left", "repeat-fit") for t in one.troubles):
                stitches = one.stated
                if stitches != outcome.row.stitches:
                    fork = True
                    stated_rows[size] = row_by_number(stitches, row, circular=circular)
            if any(t.kind in ("base-short", "base-left", "repeat-fit") for t in one.troubles):
                clean_total = False
                if any(t.kind == "repeat-fit" for t in one.troubles):
                    carried[size] = row_of(Cell(ANY), one.stated, known=False, circular=circular) if one.stated else None
        declared = dict(state.declared)
        for key, counts in lead.declared:
            if key[1] == "":
                if key not in dict(self.conv.chains):
                    declared[key] = counts
        worked = self.worked(entry, sized, side, turned, index, state)
        trail = Trail(worked, state.trail)
        bad = any(t.kind in ("row-total", "base-short", "base-left", "repeat-fit", "count-by-kind") and not t.facts.get("short") for _, s in sized for t in s.troubles)
        cause = (index if state.cause is None else state.cause) if bad else None
        new = State(
            tuple(carried), decided, tuple(sorted(declared.items())), lead.pending, lead.pending_counts, state.cost + cost, trail, False, cause, state.slips,
        )  # fmt: skip
        out = [new]
        if fork:
            price = 0.05 if clean_total else -0.01
            out.append(replace(new, bases=tuple(stated_rows), cost=new.cost + price, guessed=True))
        return out

    def row_by_count(self, entry: Entry, outcome: Outcome, size: int, circular: bool) -> Row | None:
        """A row known only by its count by kind: as many spaces as stitches of one kind lie turn and turn about."""
        count = entry.count if entry.count is not None else outcome.count
        if count is None or len(count.parts) != 2:
            return None
        (a, b) = count.parts
        n, m = value(a.n, size), value(b.n, size)
        if b.noun != "sp" or not n or n != m or a.noun not in ("sc", "hdc", "dc", "tr", "dtr", "trtr"):
            return None
        return Row(((((Cell(a.noun), 1), (Cell(SPACE, b.size or 0), 1)), n),), circular=circular)

    def worked(self, entry: Entry, sized: list[tuple[int, Sized]], side: str | None, turned: bool, index: int, state: State) -> Worked:
        kinds = {t.kind for _, s in sized for t in s.troubles if not t.facts.get("short")}
        faults = {f.kind for f in entry.tree.faults} if entry.tree is not None else set[str]()
        unread = any(s.outcome is not None and s.outcome.unread for _, s in sized)
        if kinds & {"row-total", "base-short", "base-left", "repeat-fit", "count-by-kind", "cross-fit"}:
            status = Status.DIFFERS
            if unread:
                status = Status.ASSUMED if any(s.stated for _, s in sized) else Status.UNREAD
        elif unread or any(s.made is None for _, s in sized) or any(s.base is None and s.outcome is not None and not s.outcome.ring for _, s in sized):
            status = Status.ASSUMED if any(s.stated is not None for _, s in sized) else Status.UNREAD
        else:
            status = Status.PROVED
        if "open" in faults and status is Status.PROVED:
            status = Status.UNREAD
        return Worked(entry, sized, status, side, turned, [], index, state.cause, outcome=sized[0][1].outcome)

    # -- between rows ---------------------------------------------------------------------------------------------------------

    def between(self, entry: Entry, beam: list[State], side: str | None, index: int) -> list[State]:
        if entry.kind in ("turn", "no-turn"):
            return beam
        if entry.kind in ("rejoin", "new"):
            return [replace(s, bases=(None,) * self.n, pending=None, pending_counts=None) for s in beam]
        if entry.kind == "open":
            out: list[State] = []
            for s in beam:
                bases = list(s.bases)
                if entry.repeated and self.keeps_count(entry, s):
                    pass
                elif entry.count is not None:
                    for size in range(self.n):
                        stated = _single(entry.count, size)
                        bases[size] = row_of(Cell(ANY), stated, known=False) if stated else None
                else:
                    bases = [None] * self.n
                out.append(replace(s, bases=tuple(bases)))
            return out
        if entry.kind == "schedule":
            return [self.shape(entry, s, index) for s in beam]
        if entry.kind == "until":
            return [self.until(entry, s, side, index) for s in beam]
        return beam

    def keeps_count(self, entry: Entry, state: State) -> bool:
        """Whether a pass of the repeated rows leaves as many stitches as it found, so that any number of passes does."""
        for size in range(self.n):
            row = state.bases[size]
            if row is None:
                return False
            current = row
            for tree, _ in entry.repeated:
                setting = Setting(None, False, self.plain, state.pending, state.pending_counts, state.declared, self.conv.same_brackets)
                fake = replace(entry, tree=tree, own_count=False)
                outcome, _, _ = self.once(fake, tree, current, size, setting, dict(state.decided), None)
                if outcome.unread or outcome.over or outcome.left or outcome.made is None or outcome.troubles:
                    return False
                current = outcome.row.turned
            if current.stitches != row.stitches:
                return False
        return True

    def shape(self, entry: Entry, state: State, index: int) -> State:
        """Schedule prose: "dec 1 st each end of next 4 rows, 14 sts remain". The number it states is carried on."""
        bases = list(state.bases)
        slips: list[Trouble] = []
        told = entry.schedule
        assert told is not None
        if told.rows is not None:
            slips.append(Trouble("shaping-sum", entry.span, {"rows": told.rows, "every": told.every, "times": told.times[0][0]}))
        for size in range(self.n):
            row = bases[size]
            until = told.until[size if size < len(told.until) else 0] if told.until else None
            ends = [row.stitches + told.pace * times[size if size < len(times) else 0] for times in told.times] if row is not None else []
            if row is not None and until is not None and not _reached(row.stitches, told.pace, ends, until):
                name = self.pattern.sizes[size] if size < len(self.pattern.sizes) else None
                facts = {"start": row.stitches, "pace": told.pace, "made": ends[0] if ends else None, "stated": until, "size": name}
                slips.append(Trouble("shaping-sum", entry.span, facts, (name,) if name else ()))
            made = until if until is not None else ends[0] if len(set(ends)) == 1 else None
            bases[size] = row_of(Cell(ANY), made, known=False) if made is not None and made > 0 else None
        return self.with_slips(replace(state, bases=tuple(bases), pending=None, pending_counts=None), slips)

    def with_slips(self, state: State, slips: list[Trouble]) -> State:
        """A state that met slips between its rows; another reading may meet none."""
        return replace(state, slips=(*state.slips, *slips), cost=state.cost + _COST["row-total"] * bool(slips))

    def until(self, entry: Entry, state: State, side: str | None, index: int) -> State:
        """"Rep Row 2 until you have 20 sc": rows worked until the count is reached, in every size."""
        number = (entry.number or 0) + 1
        current = state
        goals = [entry.until[size if size < len(entry.until) else 0] for size in range(self.n)]
        trail_row = state.trail.row if state.trail is not None else None
        named = trail_row.entry.label.split() if isinstance(trail_row, Worked) else ["Row"]
        word = named[0] if named[0] in ("Row", "Rnd") else named[-1].capitalize()
        cycle = len(entry.repeated)
        farther: list[int] = []  # how far from the count at the start of every round of the repeated rows
        for i in range(400):
            row, goal = current.bases[0], goals[0]
            short = {size: abs(base.stitches - want) for size, (base, want) in enumerate(zip(current.bases, goals, strict=True)) if base is not None and want is not None}
            if len(short) < self.n:
                return replace(current, bases=(None,) * self.n)
            going = tuple(size for size, n in short.items() if n)
            if not going:
                break
            if i % cycle == 0:
                farther.append(sum(short.values()))
                if len(farther) > 1 and farther[-1] >= farther[-2]:
                    return replace(current, bases=(None,) * self.n)
            tree, origin = entry.repeated[i % cycle]
            made = replace(
                entry, kind="row", label=f"{word} {number}", number=number, tree=tree, origin=origin, own_count=False, written=i == 0, until=(),
                sizes=going if len(going) < self.n else (),
            )  # fmt: skip
            following = self.step(made, [current], side, True, index, foundation=False)[0]
            after = following.bases[0]
            if row is not None and after is not None and goal is not None and i > cycle and short[0] and abs(after.stitches - goal) >= short[0]:
                if min(row.stitches, after.stitches) < goal < max(row.stitches, after.stitches):
                    facts = {"before": row.stitches, "after": after.stitches, "stated": goal, "row": entry.source}
                    return self.with_slips(replace(current, bases=(None,) * self.n), [Trouble("shaping-sum", entry.span, facts)])
            current = following
            number += 1
            if side is not None:
                side = other_side(side)
        return current

    # -- into words -------------------------------------------------------------------------------------------------------------

    def in_words(self, state: State, sides: list[tuple[str | None, bool]]) -> tuple[PieceWork, tuple[Row | None, ...], str | None]:
        rows = state.rows()
        out = [self.row_in_words(worked, i, rows) for i, worked in enumerate(rows)]
        if self.witness is not None:
            out = self.judge_witness(out)
        out = _where_repeated(out)
        troubles = [*self.piece_troubles, *state.slips, *(_slip(s) for s in self.piece.slips)]
        troubles += [_slip(s) for e in self.piece.entries if e.kind != "row" for s in e.slips]
        troubles += self.multiple_troubles()
        if self.pattern.antique:
            # old texts state no counts, skip numbers and set stars as they please: nothing is claimed of them
            troubles = []
            out = [replace(r, troubles=()) for r in out]
        readings = tuple(_reading(k, v) for k, v in sorted(state.decided.items(), key=lambda kv: str(kv[0])) if _reading(k, v))
        last_side = None
        if out and out[-1].side is not None:
            last_side = other_side(out[-1].side) if out[-1].turned else out[-1].side
        return PieceWork(self.piece.name, self.piece.span, tuple(out), readings, tuple(troubles), state.guessed), state.bases, last_side

    def multiple_troubles(self) -> list[Trouble]:
        out: list[Trouble] = []
        for e in self.piece.entries:
            if e.kind != "foundation" or not e.chains:
                continue
            stated = [e.multiple] if e.multiple is not None and e.multiple.strict else []
            if not stated and self.pattern.sizes:
                stated = [m for m in self.pattern.multiples if m.plus] if _including(self.pattern.multiples) else []
            for m in stated:
                bad = [(i, n) for i, n in enumerate(e.chains) if n is not None and n > m.plus and (n - m.plus) % m.n]
                if bad:
                    names = tuple(self.pattern.sizes[i] for i, _ in bad if i < len(self.pattern.sizes)) if len(e.chains) > 1 else ()
                    # where some sizes fit, a chain is the odd one out; where none does, the multiple may be it
                    at = e.span if e.span.start <= m.span.start < e.span.end or len(bad) < len(e.chains) else m.span
                    out.append(Trouble("multiple-fit", at, {"chains": tuple(n for _, n in bad), "n": m.n, "plus": m.plus, "stated": m.span}, names))
        return out

    def judge_witness(self, rows: list[RowWork]) -> list[RowWork]:
        """Rows worked for several witnesses: when none fits, the stated multiple is at fault."""
        for i, row in enumerate(rows):
            fits = [t for t in row.troubles if t.kind in ("repeat-fit", "base-left", "base-short")]
            if fits and self.witness is not None:
                if i == 0:
                    self.piece_troubles.append(Trouble("multiple-fit", self.witness.span, {"n": self.witness.n, "plus": self.witness.plus, "row": row.label, "unit": fits[0].facts.get("unit"), "remainder": fits[0].facts.get("remainder")}))
                rows[i] = replace(row, troubles=tuple(replace(t, sizes=()) for t in row.troubles[:1]))
        return rows

    def row_in_words(self, worked: Worked, at: int, rows: Sequence[Worked]) -> RowWork:
        entry = worked.entry
        names = self.pattern.sizes
        sizes: list[SizeWork] = []
        shown = worked.sizes[:1] if self.witness is not None else worked.sizes
        for size, one in shown:
            name = names[size] if names and size < len(names) else None
            outcome = one.outcome
            blank = self.witness is not None
            if outcome is None:
                sizes.append(SizeWork(name, one.base, one.used, one.made, one.stated, {}, None, ""))
                continue
            made, used, base = one.made, one.used, one.base
            unknown = worked.status in (Status.UNREAD, Status.ASSUMED)
            if unknown:
                used = None if outcome.unread or base is None else used
                made = one.stated if worked.status is Status.ASSUMED else None
            if any(t.kind == "repeat-fit" for t in one.troubles):
                made = used = None
            kinds = {} if outcome.unread else kinds_of(outcome.row)
            spaces = None if outcome.unread or unknown else outcome.row.spaces
            stated = one.stated if entry.own_count or entry.count is not None else None
            if blank:
                made = used = base = None
            sizes.append(SizeWork(name, base, used, made, stated, kinds if not blank else {}, spaces if not blank else None, outcome.working if not unknown else "", {} if outcome.unread else places_of(outcome.row)))
        troubles = self.troubles_of(worked)
        unread: tuple[Span, ...] = ()
        if entry.tree is not None:
            unread = tuple(u.at.span(entry.origin) for u in entry.tree.unread)
        if not unread and (entry.tree is None or worked.status is Status.UNREAD):
            unread = (entry.span,)
        raised: tuple[Any, ...] = ()
        crossings: tuple[Crossing, ...] = ()
        misnamed: tuple[Any, ...] = ()
        outcome = worked.outcome
        if outcome is not None:
            o = entry.origin
            raised = tuple((kind, where.span(o)) for kind, where in outcome.raised)
            crossings = tuple(Crossing(c.at.span(o), c.way, c.post, worked.side or "", c.seen_from_rs) for c in outcome.crossings)
            misnamed = tuple((where.span(o), noun, kinds) for where, noun, kinds in outcome.misnamed)
        return RowWork(
            entry.label, entry.span, entry.label_span, worked.side, worked.turned, worked.status, tuple(sizes), tuple(troubles), unread, entry.written,
            entry.times, entry.number, (), entry.side, worked.follows, worked.index, _posts(at, rows), raised, crossings, misnamed,
            joined=bool(outcome and outcome.joined), off=bool(outcome and outcome.off), ends_side=entry.ends_side, source=entry.source,
            turn_inside=outcome.turn_inside.span(entry.origin) if outcome and outcome.turn_inside else None,
            marks=_marks(entry),
        )  # fmt: skip

    def troubles_of(self, worked: Worked) -> list[Trouble]:
        entry = worked.entry
        names = self.pattern.sizes
        merged: dict[tuple[str, Extent | None], tuple[list[str], list[Any]]] = {}
        for size, one in worked.sizes:
            for t in one.troubles:
                found = merged.setdefault((t.kind, t.at), ([], []))
                if names and size < len(names):
                    found[0].append(names[size])
                found[1].append({**t.facts, "size": names[size] if names and size < len(names) else None, "working": one.outcome.working if one.outcome else ""})
        out: list[Trouble] = []
        all_sizes = len(worked.sizes)
        for (kind, at), (who, facts) in merged.items():
            origin = entry.origin
            if kind in ("row-total", "count-by-kind", "count-noun") and entry.count is not None:
                origin = entry.count_origin
            span = at.span(origin) if at is not None else entry.span
            sizes = tuple(who) if who and len(who) < all_sizes else ()
            out.append(Trouble(kind, span, {**facts[0], "all": tuple(facts)}, sizes))
        first = entry.info is None or entry.number in (None, entry.info.numbers[0] if entry.info.numbers else None)
        if entry.tree is not None and entry.own_count and entry.written and first:
            for fault in entry.tree.faults:
                kind = fault.kind if fault.kind == "size-list" else f"repeat-{fault.kind}"
                out.append(Trouble(kind, fault.at.span(entry.origin), {"detail": fault.detail, "sizes": len(names)}))
        if _founded_again(worked):
            out.append(Trouble("row-reference", entry.span, {"row": entry.source, "foundation": True}))
        out += [_slip(s) for s in entry.slips]
        return out


def _short_row(tree: Tree, outcome: Outcome, made: int | None, stated: int | None) -> bool:
    """Whether a turned row that leaves a good part of the row below is a short row or one side of a neck.

    Its count agrees, it is worked stitch for stitch but for its shaping, and nothing in it is repeated.
    """
    if made is None or made != stated or outcome.used is None or abs(made - outcome.used) > 2:
        return False
    plain = not any(isinstance(s, Star | Group) for s in tree.steps)
    return plain and (outcome.turned or outcome.off) and outcome.left >= max(3, (outcome.base or 0) / 4)


def _all_counted(tree: Tree) -> bool:
    """Whether a row's own numbers say all it makes, whatever it is worked into: counted repeats and plain places."""
    counted = False

    def plain(steps: Iterable[Step]) -> bool:
        nonlocal counted
        for s in steps:
            if isinstance(s, Star):
                if s.times is None or s.ending_kind:
                    return False
                counted = True
                if not plain(s.items):
                    return False
            elif isinstance(s, Group):
                if s.scope is not None:
                    return False
                if s.place is not None and s.place.how not in ("next", "same", "first", "last"):
                    return False
                counted = counted or s.times is not None
                if s.place is None and not plain(s.items):
                    return False
            elif isinstance(s, Make):
                if s.place is None:
                    return False
                if s.place.how not in ("next", "first", "last", "same") or s.place.scope or s.place.also:
                    return False
            elif isinstance(s, Unread | Even | Fault | Prefix):
                return False
        return True

    return plain(tree.steps) and counted


def _idle(tree: Tree, count: Count | None) -> bool:
    """Whether a row that states stitches works none: a turning chain, a join and nothing else."""
    if count is None or len(count.parts) != 1 or count.parts[0].noun in ("ch", "sp", "row"):
        return False
    steps = [s for s in tree.steps if not isinstance(s, Mark | Count | Counts)]
    chains = {s.count for s in steps if isinstance(s, Chain)}
    return bool(steps) and count.parts[0].n not in chains and all(
        isinstance(s, Chain) or (isinstance(s, Make) and s.stitch.kind == "sl st") for s in steps
    )


def _shorthand(steps: Iterable[Step]) -> bool:
    """Whether a row leaves it to the reader which stitch some of its steps are: "inc", "work even"."""
    return any(
        isinstance(s, Even | Unread) or (isinstance(s, Make) and bool(s.word)) or (isinstance(s, Group | Star) and _shorthand(s.items)) for s in steps
    )


def _spelled_out_first(tree: Tree) -> bool:
    """Whether a row begins with a group that does not bear its name: "Ch 3, dc in same st (first cluster)"."""
    steps = [s for s in tree.steps if not isinstance(s, Counts | Mark)]
    if len(steps) < 2 or not isinstance(steps[0], Chain) or (steps[0].count or (1,))[0] == 1:
        return False
    after = steps[1]
    return isinstance(after, Make | Group) and after.place is not None and after.place.how in ("same", "first", "ring")


def _including(multiples: tuple[Multiple, ...]) -> bool:
    return len(multiples) == 1 and multiples[0].strict


def _slip(slip: Slip) -> Trouble:
    return Trouble(slip.kind, slip.span, dict(slip.facts))


def _posts(at: int, rows: Sequence[Worked]) -> tuple[Post, ...]:
    """The posts of a row, with the words of those below them."""
    outcome, origin = rows[at].outcome, rows[at].entry.origin
    if outcome is None or not outcome.posts:
        return ()
    below = {k: _row_below(at, rows, k) for k in {p.rows for p in outcome.posts if p.below is not None}}
    return tuple(
        Post(
            p.post, p.below.face if p.below is not None else "", p.at.span(origin), p.n, p.rows,
            _words_of(p.below, below[p.rows]) if p.below is not None else None, p.reaches, p.crossed,
        )
        for p in outcome.posts
    )  # fmt: skip


def _row_below(at: int, rows: Sequence[Worked], k: int) -> Worked | None:
    """The row ``k`` rows below one, of the rows worked in its size."""
    size = rows[at].sizes[0][0]
    while k and at:
        at -= 1
        if any(s == size for s, _ in rows[at].sizes):
            k -= 1
    return rows[at] if k == 0 else None


def _words_of(raised: Raised, row: Worked | None) -> Span | None:
    outcome = row.outcome if row is not None else None
    if row is None or outcome is None:
        return None
    return next((p.at.span(row.entry.origin) for p in outcome.posts if p.at.start == raised.at), None)


def _marks(entry: Entry) -> frozenset[str]:
    if entry.tree is None:
        return frozenset()
    return frozenset(m for m in ("turn", "turn-start", "join", "no-turn", "no-join", "off") if _has(entry, m))


def _has(entry: Entry, what: str) -> bool:
    """Whether a row's own words say turn, join … (``turn-start``: before any stitch)."""
    return entry.tree is not None and what in _said(entry.tree)


@lru_cache(maxsize=4096)
def _said(tree: Tree) -> frozenset[str]:
    """What a row says besides its stitches: turn, turn-start, no-turn, join, no-join, off …"""
    said: set[str] = set()
    worked = False
    for s in tree.steps:
        if isinstance(s, Make | Group) and s.place is not None and s.place.how == "ring":
            said.add("ring")
        if isinstance(s, Mark):
            said.add("turn-start" if s.what == "turn" and not worked else s.what)
        elif isinstance(s, Make | Group | Star | Skip):
            if isinstance(s, Make) and s.stitch.kind == "sl st" and (s is tree.steps[-1] or (worked and s.place is not None and s.place.how in ("first", "top"))):
                said.add("join")
            worked = True
        elif isinstance(s, Even):
            worked = True
    return frozenset(said)


def _founds_itself(tree: Tree) -> bool:
    """Whether a row makes its own foundation chain or ring before it works into it."""
    return _only_chain(tree) or _chainless(tree) or any_place(tree.steps, lambda place: place.how in ("hook", "ring"))


def _chainless(tree: Tree) -> bool:
    """Whether a row is worked without a chain: stitches that make their own foundation."""
    first = next((s for s in tree.steps if isinstance(s, Make)), None)
    return first is not None and first.stitch.foundation


def _where_repeated(rows: list[RowWork]) -> list[RowWork]:
    """Troubles of words that come out where they are written, moved to the row that repeats them elsewhere."""
    at_home = {(t.kind, t.span) for row in rows for t in row.troubles if t.span.start in row.span}

    def moved(row: RowWork, t: Trouble) -> Trouble:
        if t.span.start in row.span or row.source is None or (t.kind, t.span) in at_home:
            return t
        return replace(t, span=row.span, because=(*t.because, (t.span, "the words it repeats")))

    return [replace(row, troubles=tuple(moved(row, t) for t in row.troubles)) if row.troubles else row for row in rows]


def _reached(start: int, pace: int, ends: list[int], until: int) -> bool:
    """Whether shaping leads to a number of stitches: as often as is said, or as often as it takes."""
    return until in ends if ends else (until - start) * pace >= 0 and (until - start) % pace == 0


def _is_rib(star: Star) -> bool:
    """Whether a repeat is front and back posts turn and turn about, and nothing else."""
    posts = {s.stitch.post for s in star.items if isinstance(s, Make)}
    return posts == {"F", "B"} and all(isinstance(s, Make) and s.stitch.uses == 1 == s.stitch.makes for s in star.items)


def _founded_again(worked: Worked) -> bool:
    """Whether a row repeats one that begins in the foundation chain, where stitches lie below."""
    entry, outcome = worked.entry, worked.outcome
    if entry.source is None or entry.tree is None or entry.tree.unread or outcome is None or not outcome.unread or outcome.base is None:
        return False
    return any_place(entry.tree.steps, _at_hook)


def _at_hook(place: Place) -> bool:
    return place.how == "hook" and place.ordinal is not None


def _in_ring(place: Place) -> bool:
    return place.how == "ring"


def _only_chain(tree: Tree) -> bool:
    steps = [s for s in tree.steps if not isinstance(s, Mark | Counts)]
    return len(steps) == 1 and isinstance(steps[0], Chain)


def _single(count: Count | None, size: int = 0) -> int | None:
    if count is None:
        return None
    parts = [p for p in count.parts if p.noun != "row"]
    if (len(parts) == 1 and parts[0].noun in ("", "st", "sc", "hdc", "dc", "tr", "dtr", "trtr")) or (len(parts) == 1 and parts[0].noun.startswith(("FP", "BP"))):
        return value(parts[0].n, size)
    if len(parts) > 1 and all(p.noun in ("sc", "hdc", "dc", "tr", "dtr", "sp", "ch", "FPdc", "BPdc", "FPtr", "BPtr") for p in parts):
        total = 0
        for p in parts:
            if p.noun not in ("sp", "ch"):
                total += value(p.n, size) or 0
        return total or None
    return None


def _reading(key: Key, value: Any) -> str:
    """A reading taken, in words."""
    kind = str(key[0])
    if kind == "piece:tch":
        n, stitch = key[1], key[2]
        if value == "no":
            return f"the ch {n} before {stitch} does not count as a stitch"
        if value == "yes":
            return f"the ch {n} before {stitch} counts as a stitch"
        if value == "yes+sp":
            return f"the ch {n} counts as {stitch} and a chain space"
        return f"the ch {n} before {stitch} is read as a {value}"
    if kind == "piece:skipped":
        return f"the {key[1]} chains skipped before {key[2]} {'count as a stitch' if value == 'yes' else 'count as a stitch and a space' if value == 'sp' else 'do not count'}"
    if kind == "piece:times":
        return '"repeat N times" means N more times' if value == "more" else '"repeat N times" means N times in all'
    if kind == "piece:spaces":
        return {"one": "each chain space counts as one stitch", "chains": "every chain of a space counts as a stitch"}.get(str(value), "")
    if kind == "piece:bracket":
        return "a bracket without a place is worked along the row" if value == "along" else "a bracket without a place is worked in one stitch"
    return ""


def work(pattern: Pattern, memory: Memory) -> Work:
    """Every piece of a pattern, worked. Never raises on a tree the reader made.

    ``memory`` is what was worked for an earlier state of the same text; what is worked now is kept there.
    """
    memory.turn_over()
    pieces: list[PieceWork] = []
    live: tuple[Row | None, ...] | None = None
    side: str | None = None
    for piece in pattern.pieces:
        solver = PieceSolver(pattern, piece, live, side, memory)
        done, live, side = solver.solve()
        pieces.append(done)
    return Work(tuple(pieces), pattern.sizes, pattern.terms)


__all__ = ["work"]
