"""Working one row: every step on its base, so that what is used, made and left over is known.

The worker follows the words exactly. Where they run past the end of the base it goes on counting, where they cannot be
read it stops claiming numbers; it never guesses one.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any, NamedTuple, cast

from ..syntax.lexer import Num
from ..syntax.lexicon import HEIGHTS, Stitch, height, unprefixed
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
    Times,
    Unread,
    Unworked,
    any_place,
)
from .choices import Choices
from .row import (
    CHAIN,
    COLUMN_ROWS,
    GROUP,
    SPACE,
    Cell,
    Cursor,
    Output,
    Raised,
    Row,
    Segment,
    block_stitches,
    column_on,
    other_side,
    row_of,
    same_kind,
)
from .sums import sum_in_words

_GROUPS = frozenset(["shell", "fan", "v-st", "group", "point", "petal", "scallop", "cluster"])
_IDLE = (Mark, Count, Counts, Unworked)
_MOST_PASSES = 20_000
"""Of repeats in one row, nested ones multiplied; further rows of fabric than this are left unread."""


@dataclass(frozen=True)
class Setting:
    """What holds for a row from outside its words."""

    side: str | None = None
    foundation: bool = False
    plain: str = "sc"  # the stitch that inc and dec are made of
    pending: Chain | None = None  # a turning chain written at the end of the row before
    pending_counts: Counts | None = None
    declared: tuple[tuple[tuple[int, str], bool], ...] = ()  # what notes say of (chains, kind "")
    same_brackets: str = ""  # a bracket that means "all in one stitch"
    spaces: str | None = None  # what the notes say a chain space counts as


class PostMet(NamedTuple):
    """Post stitches of one step: "F" or "B", the post below at their place and how many rows below it lies, 0 where none does."""

    post: str
    at: Extent
    n: int
    below: Raised | None
    rows: int
    reaches: bool = False  # the words ask for a post further down
    crossed: bool = False  # part of a crossing


class CrossMet(NamedTuple):
    """A crossing: skipped stitches worked in front of ("F") or behind ("B") the ones after them, or "" where that is not told."""

    at: Extent
    way: str
    post: str  # of the skipped stitches
    seen_from_rs: bool


@dataclass
class Trouble:
    kind: str
    at: Extent | None
    facts: dict[str, Any]


@dataclass
class Outcome:
    """What came of working one row in one size."""

    row: Row
    base: int | None
    used: int | None
    made: int | None
    over: int
    left: int
    troubles: list[Trouble]
    unread: bool
    turned: bool
    joined: bool
    no_turn: bool
    off: bool
    pending: Chain | None
    pending_counts: Counts | None
    count: Count | None
    evenly: bool = False
    crossings: tuple[CrossMet, ...] = ()
    raised: tuple[tuple[str, Extent], ...] = ()
    posts: tuple[PostMet, ...] = ()
    misnamed: tuple[tuple[Extent, str, tuple[str, ...]], ...] = ()
    declared: tuple[tuple[tuple[int, str], bool], ...] = ()  # what the row says of its chains: (chains, kind or ""), counts
    side_mark: str | None = None
    turn_inside: Extent | None = None
    ring: bool = False

    @cached_property
    def working(self) -> str:
        """The sum in words; most outcomes are only tried, and never told."""
        return sum_in_words(self.row)


@dataclass(frozen=True)
class _Goal:
    """How far a repeat goes and what comes after it: to the last ``keep`` of a ``noun``, or ``fixed`` times."""

    items: Sequence[Step]
    rest: Sequence[Step]
    keep: int | None
    noun: str
    size: int | None
    fixed: int | None
    made: tuple[int, str] | None = None  # until so many of these are made


@dataclass(frozen=True)
class _Passes:
    """A repeat gone through ``passes`` times, ``unit`` stitches a time; the last states before each, the latest first."""

    passes: int
    unit: int
    snaps: tuple[tuple[Any, ...], ...]


class Worker:
    """Works the steps of one row on one base, in one size, under one set of choices."""

    leaps = True
    """Whether a group in each of many stitches is worked once for all of them."""

    def __init__(self, steps: Sequence[Step], base: Row | None, size: int, setting: Setting, choices: Choices) -> None:
        self.steps = list(steps)
        self.size = size
        self.setting = setting
        self.choices = choices
        self.unknown = base is None
        self.base = base if base is not None else Row(())
        self.cursor = Cursor(self.base)
        self.out = Output()
        self.troubles: list[Trouble] = []
        self.unread = False
        self.passes = 0
        """How often a repeat was gone through, in the whole row: nested repeats multiply."""
        self.evenly = False
        self.prefix: Place | None = None
        self.ring = self.base.ring
        self.counted_tch: Cell | None = None
        self.skipped: list[Segment] = []  # passed over, and not yet worked
        self.skip_posts = 0  # post stitches worked before them
        self.skip_used = 0
        self.skip_size = 0
        self.skip_at: Extent | None = None
        self.skip_virtual = False
        self.skip_just = False
        self.loose = False
        self.entered: list[tuple[Cell, int]] = []  # the cells of the group last worked into
        self.founded = False  # the row makes its own foundation
        self.gap = False  # the last stitches were worked between two
        self.turned = self.joined = self.no_turn = self.off = False
        self.turn_inside: Extent | None = None
        self.pending: Chain | None = None
        self.pending_counts: Counts | None = None
        self.count: Count | None = None
        self.words: list[str] = []
        self.rotated: int = 0  # stitches slipped over at the start of a round: they lie at its end
        self.began_in_space = False
        self.last_gap = 0  # stitches passed over on the way to the last space
        self.last_skip = 0
        self.split = 0  # those of them that are part of the group the round begins in
        self.unworked_at: tuple[Extent, int | None] | None = None
        self.last_space: Cell | None = None
        self.second_side = False
        self.cross = ""
        self.cross_seen = False
        self.crossings: list[CrossMet] = []
        self.raised: list[tuple[str, Extent]] = []
        self.posts: list[PostMet] = []
        self.now = Extent(0, 0)  # the step being worked
        self.place: Place | None = None  # and where
        self.misnamed: list[tuple[Extent, str, tuple[str, ...]]] = []
        self.declared: list[tuple[tuple[int, str], bool]] = []
        self.side_mark: str | None = None
        self.no_fit = False
        self.based = False  # a step asked how much of the base is left
        self.anchored = False  # the chain the row begins in is named
        self.moved_into_space = False
        self.slipped = False  # slip stitches at the start of a row left stitches behind
        self.tch_plain = 0  # chains of a turning chain that does not count
        self.mixed_done: Make | Group | None = None
        self.prefix_entered = False
        self.skip_from = False
        self.skip_last: Extent | None = None
        self.ending = False  # working the end of a repeat that "ending with" cuts short
        self.strayed = False  # "in last sc" met another stitch
        self.jumped = 0  # stitches passed over to reach the last one
        self.total_chains = 0

    # -- numbers --------------------------------------------------------------------------------------------------

    def n(self, num: Num | None, default: int = 1) -> int:
        if num is None:
            return default
        if 1 < len(num) <= self.size:
            self.fail()  # a list with a value too few: which size goes without cannot be known
        value = num[self.size if self.size < len(num) else 0]
        return 0 if value is None else value

    # -- the whole row --------------------------------------------------------------------------------------------

    def work(self) -> Outcome:
        steps = self.steps
        start = self.start(steps)
        self.run(steps[start:], top=True)
        self.settle_skips(None)
        base: int | None
        used: int | None
        if self.unknown or self.ring or self.founded:
            base = used = None
        else:
            base = self.base.stitches
            used = self.cursor.passed + self.cursor.over
        left = 0
        if base is not None and not self.no_fit and not self.unread:
            left = self.close(base)
            used = base - left + self.cursor.over if left >= 0 else base
        made: int | None = None
        row = self.out.row(circular=self.joined or self.base.circular or self.ring, tch=self.tch_plain)
        if self.second_side and base is not None:
            base, used = self.total_chains, self.total_chains - left + self.cursor.over
        if not self.unread and not self.no_fit and not self.needs_base():
            made = row.stitches
        if self.no_fit:
            used = None
        return Outcome(
            row, base, None if self.unread else used, made, self.cursor.over, left, self.troubles, self.unread, self.turned, self.joined,
            self.no_turn, self.off, self.pending, self.pending_counts, self.count, self.evenly,
            tuple(self.crossings), tuple(self.raised), tuple(self.posts), tuple(self.misnamed), tuple(self.declared), self.side_mark,
            self.turn_inside, self.ring or self.founded,
        )  # fmt: skip

    def needs_base(self) -> bool:
        return self.unknown and self.based

    def close(self, base: int) -> int:
        """Stitches left over at the end of the row, or 0 where it closes."""
        cursor = self.cursor
        if cursor.over:
            return 0
        left = cursor.left
        if self.second_side:
            return left
        if left == 0 or (left == 1 and self.gap):
            return 0
        if self.setting.foundation and not self.anchored and not self.base.ring and not self.base.circular:
            if self.skipped_unsaid(left):
                return 0
            self.unread = True  # nothing says in which chain the row begins
            return 0
        if self.in_last_group(left):
            return 0
        if self.slipped_over(left):
            # stitches slipped over at the start of the round lie at its end; passing them over closes it
            return 0
        if self.unworked_at is not None:
            at, n = self.unworked_at
            if n is None or n == left:
                return 0
            self.troubles.append(Trouble("base-left", at, {"left": left, "said": n, "base": base, "used": base - left}))
            return left
        return left

    def in_last_group(self, left: int) -> bool:
        """Whether what is left is the rest of the group that was last worked into: it is passed over with the group."""
        cell = self.cursor.peek()
        if not self.loose or cell is None or not cell.group or (cell.first and self.cursor.off == 0):
            return False
        return left == sum(n for c, n in self.cursor.group_cells() if c.kind != SPACE)

    def slipped_over(self, left: int) -> bool:
        """Whether what is left are the stitches slipped over at the start, or those of them in the group the round begins in."""
        if not self.base.circular:
            return False
        if self.joined and left == self.last_skip and _ends_in_chain(self.steps):
            return True  # "ch 1, sl st in first dc": what the last chain spans is not skipped in words
        # round loops: what lies between the last and the one the round began in, as between the others
        return (bool(self.rotated) and left in (self.rotated, self.split)) or (self.began_in_space and self.loose and left == self.last_gap)

    def skipped_unsaid(self, left: int) -> bool:
        """"Ch 11. Row 1: 10 sc (10)": whether the chains left are those skipped before the first stitch, as the count shows."""
        first = next(iter(_stitches(self.steps)), None)
        if first is None or self.count is None or left > max(1, height(first.stitch.kind)):
            return False
        stated = [self.n(p.n, 0) for p in self.count.parts]
        return sum(stated) == Row(tuple(self.out.segments)).stitches

    # -- the start: turning chains ---------------------------------------------------------------------------------

    def start(self, steps: list[Step]) -> int:
        """Work the turning chain, if the row begins with one. Returns the index of the first step after it."""
        i = 0
        while i < len(steps) and isinstance(steps[i], Mark | Prefix | Make | Skip):
            step = steps[i]
            if isinstance(step, Skip):
                if not self.rejoined(step, steps[i + 1 :]):
                    break
                self.cursor.take(self.n(step.place.n))
                i += 1
                continue
            if isinstance(step, Prefix):
                if step.place.how == "ring":
                    self.enter_ring()
                    i += 1
                    continue
                break
            if isinstance(step, Make):
                # slip stitches that move the start of a round
                if step.stitch.kind == "sl st" and step.place is not None and step.place.how in ("next", "first", "corner", "each") and _more_to_come(steps[i + 1 :]):
                    if self.base.circular:
                        self.move_start(step)
                        i += 1
                        continue
                    if not self.unknown and not self.setting.foundation and step.place.noun not in ("sp", "ch"):
                        # stitches slipped over at the start of a row are left behind: the next row does not meet them
                        self.cursor.take(self.n(step.place.n) * (1 if step.place.n else self.n(step.count)))
                        self.slipped = True
                        i += 1
                        continue
                break
            self.mark(step, False)
            i += 1
        chain: Chain | None = None
        counts: Counts | None = None
        if self.setting.foundation and not self.base.segments and not self.ring:
            if i + 1 < len(steps) and isinstance(steps[i], Chain) and isinstance(steps[i + 1], Mark) and steps[i + 1].what == "join":  # type: ignore[union-attr]
                i += 2  # "Ch 4, join. Ch 3 …": the ring is made in the row itself
                self.enter_ring()
            elif _rings(steps):
                self.enter_ring()
        self.open_group(steps, i)
        first = steps[i] if i < len(steps) else None
        if isinstance(first, Chain) and ((first.place is None and not self.setting.foundation) or self.ring or self.base.circular):
            chain = first
            i += 1
            while i < len(steps) and isinstance(steps[i], Counts | Mark):
                step = steps[i]
                if isinstance(step, Counts):
                    counts = step
                else:
                    self.mark(step, False)  # type: ignore[arg-type]
                i += 1
        elif self.setting.pending is not None:
            chain, counts = self.setting.pending, self.setting.pending_counts
            later = next((s for s in steps if isinstance(s, Counts)), None)
            if counts is None and later is not None:
                counts = later
        if chain is not None:
            self.turning_chain(chain, counts, steps[i:])
        return i

    def rejoined(self, step: Skip, rest: Sequence[Step]) -> bool:
        """"Sk first 4 dc, join yarn in next dc, ch 3": whether the row begins beyond what is skipped."""
        joins = len(rest) > 1 and isinstance(rest[0], Mark) and rest[0].what == "colour" and rest[0].value == "join" and isinstance(rest[1], Chain)
        return joins and not self.unknown and not self.base.circular and not self.setting.foundation and step.place.noun not in ("sp", "ch") and step.place.how in ("next", "first")

    def open_group(self, steps: list[Step], i: int) -> None:
        """"(ch 3, 2 dc, ch 2, 3 dc) in same sp" at the start of a row: its chain is the row's turning chain, put before the bracket."""
        group = steps[i] if i < len(steps) else None
        if not isinstance(group, Group) or group.times is not None or group.scope is not None or not group.items:
            return
        place = group.place
        if isinstance(group.items[0], Make) and group.items[0].stitch.kind == "sl st" and group.items[0].place is None:
            group = replace(group, items=group.items[1:])  # "(sl st, ch 3, dc) in next sp"
        head = group.items[0] if group.items else None
        if not isinstance(head, Chain) or len(group.items) < 2 or (self.setting.foundation and not self.ring) or (place is not None and place.each):
            return
        if place is not None and (place.noun == "sp" or place.how == "corner") and place.how != "same":
            if self.unknown or not self.base.spaces:
                return
            here = self.moved_into_space and self.last_space is not None and place.size in (None, self.last_space.size, self.last_space.size or place.size)
            if not here:  # slip stitches may have moved there before
                self.enter_space(place)
            self.moved_into_space = True
            place = replace(place, how="same")
        elif place is not None and place.how == "next" and place.n is None and place.noun in ("", "st", *HEIGHTS):
            place = replace(place, how="first")
        steps[i : i + 1] = [head, replace(group, items=group.items[1:], place=place)]

    def enter_ring(self) -> None:
        if not self.ring:
            self.ring = True
            self.unknown = False
            self.base = Row((), ring=True, circular=True)
            self.cursor = Cursor(self.base)

    def move_start(self, step: Make) -> None:
        """Slip stitches along to a new starting place: what they pass goes to the end of the round."""
        place = step.place
        if place is None:
            return
        moves = [place, *place.also]
        for p in moves:
            if p.noun == "sp":
                size = p.size
                if p.how == "corner" and self.base.space_sizes:
                    size = max(self.base.space_sizes)
                self.check_space(p)
                self.cursor.to_space(size)
                self.last_space = Cell(SPACE, p.size or 0)
                self.loose = True
            elif p.noun == "ch":
                self.loose = True  # along the chains of the first space
            else:
                n = self.n(p.n)
                # the stitch the round was joined to is the first; slipping to the next passes it, too
                self.cursor.take(n + (1 if self.cursor.passed == 0 and p.how == "next" else 0))
        passed = self.cursor.passed
        if passed:
            rotated, self.rotated = self.ungroup_tail(self.rotate(passed)), self.rotated + passed
            if any(p.noun in ("sp", "ch") for p in moves):
                rotated = _without_last_space(rotated)
            self.base = rotated
            self.cursor = Cursor(rotated)
            self.loose = True
        self.moved_into_space = any(p.noun in ("sp", "ch") for p in moves)

    def ungroup_tail(self, row: Row) -> Row:
        """A round begun inside a group: the part of it that now lies at the end is no group to be met again."""
        inside = self.cursor.peek()
        if inside is None or not inside.group or inside.first:
            return row
        segments = list(row.segments)
        for s in range(len(segments) - 1, -1, -1):
            block, times = segments[s]
            if times > 1 and len(block) > 1:
                break
            runs = list(block)
            stop = False
            for k in range(len(runs) - 1, -1, -1):
                cell, n = runs[k]
                if not cell.group:
                    stop = True
                    break
                runs[k] = (cell._replace(group="", first=False), n)
                self.split += n if cell.kind != SPACE else 0
                if cell.first:
                    stop = True
                    break
            segments[s] = (tuple(runs), times)
            if stop:
                break
        return replace(row, segments=tuple(segments))

    def rotate(self, passed: int) -> Row:
        """The base begun at the cursor, what lies before it put at its end."""
        cursor = self.cursor
        seg, rep, idx, off = cursor.seg, cursor.rep, cursor.idx, cursor.off
        segments = self.base.segments
        ahead: list[Segment] = []
        behind: list[Segment] = list(segments[:seg])
        if seg < len(segments):
            block, times = segments[seg]
            if rep:
                behind.append((block, rep))
            rest = times - rep
            if idx or off:
                head = list(block[:idx])
                if off:
                    head.append((block[idx][0], off))
                tail = [(block[idx][0], block[idx][1] - off), *block[idx + 1 :]]
                behind.append((tuple(head), 1))
                ahead.append((tuple(tail), 1))
                rest -= 1
            if rest:
                ahead.append((block, rest))
            ahead += segments[seg + 1 :]
        return Row(tuple(ahead + behind), circular=True, known=self.base.known)

    def turning_chain(self, chain: Chain, counts: Counts | None, rest: Sequence[Step]) -> None:
        n = self.n(chain.count)
        nxt = next((s for s in _stitches(rest)), None)
        kind = nxt.stitch.kind if nxt is not None else "sc"
        if nxt is not None and nxt.word in ("inc", "dec"):
            kind = self.setting.plain
        kind = unprefixed(kind)
        kind = kind.rstrip("0123456789tog") or kind if "tog" in kind else kind
        tall = {1: "sc", 2: "hdc", 3: "dc", 4: "tr", 5: "dtr", 6: "trtr"}
        stand = kind if abs(height(kind) - n) <= 1 and kind in ("sc", "hdc", "dc", "tr", "dtr", "trtr") else tall.get(n, kind)
        if counts is not None:
            if counts.not_:
                self.declared.append(((n, ""), False))
                self.plain_tch(n)
                return
            named = counts.kind if counts.kind not in (None, "st") else stand
            self.declared.append(((n, ""), True))
            self.counting_tch(n, named or stand, counts.number, counts.chains)
            return
        said = dict(self.setting.declared).get((n, ""))
        if said is None:
            said = dict(self.setting.declared).get((0, ""))
            if said is not None and n == 1:
                said = None
        chains = n - height(kind) if kind in ("sc", "hdc", "dc", "tr", "dtr") else 0
        if said is not None and not (said and chains > 0):
            if said:
                self.counting_tch(n, stand, 1, 0)
            else:
                self.plain_tch(n)
            return
        if said:
            # a chain that counts, longer than its stitch: what it was said to count as holds on, the space beyond it too
            options = ("yes+sp", "yes") if n > height(stand) or (n > 3 and kind != "sc") else ("yes", "yes+sp")
            self.counts_as(self.choices.choose(("piece:tch", n, kind), *options), n, kind, stand, chains)
            return
        if n == 1:
            self.plain_tch(n)
            return
        if kind == "sc" and n >= 2:
            # "ch 5, sc in next loop": the chain is a loop, not a stitch
            first = self.choices.choose(("piece:tch", n, kind), "space", "stitch", "no")
            if first == "space":
                self.out.add(Cell(SPACE, n), 1)
            elif first == "stitch":
                self.counting_tch(n, tall.get(n, "dc"), 1, 0)
            else:
                self.plain_tch(n)
            return
        options = ("no", "yes") if n == 2 else ("yes", "no")
        if _first_here(nxt) and not self.ring:
            options = ("no", "yes")
        if chains >= 1 and n > 3:
            options = ("yes+sp", "yes", "no") if not _first_here(nxt) else ("no", "yes+sp", "yes")
        self.counts_as(self.choices.choose(("piece:tch", n, kind), *options), n, kind, stand, chains)

    def counts_as(self, taken: str, n: int, kind: str, stand: str, chains: int) -> None:
        """A turning chain as it was taken: no stitch, one, or one and a space of the chains beyond its height."""
        if taken == "no":
            self.plain_tch(n)
        elif taken == "yes+sp":
            self.counting_tch(n, kind, 1, chains)
        else:
            self.counting_tch(n, stand, 1, 0)

    def plain_tch(self, n: int) -> None:
        self.tch_plain = n

    def counting_tch(self, n: int, kind: str, number: int, chains: int) -> None:
        group = kind if kind not in ("sc", "hdc", "dc", "tr", "dtr", "trtr") else ""
        if group and kind not in ("cluster", "popcorn", "puff", "bobble"):
            kind = "dc"
            group = ""
        cell = Cell(kind, tch=n)
        self.counted_tch = cell
        if not self.ring and not self.unknown and not self.moved_into_space and not self.slipped:
            self.cursor.take(1)
        self.out.add(cell, 1)
        if number > 1:
            self.out.add(Cell(kind), number - 1)
            if not self.ring:
                self.cursor.take(number - 1)
        if chains:
            self.out.add(Cell(SPACE, chains), 1)

    # -- running steps --------------------------------------------------------------------------------------------

    def run(self, steps: Sequence[Step], *, top: bool = False) -> None:
        i = 0
        while i < len(steps):
            step = steps[i]
            if top and isinstance(step, Star | Group) and self.is_open(step):
                self.open_repeat(step, steps[i + 1 :])
                return
            i += self.step(step, steps, i, top=top)

    def is_open(self, step: Star | Group) -> bool:
        if isinstance(step, Star):
            return (step.scope is not None and step.times is None) or (step.times is not None and bool(step.ending_kind)) or (step.times is None and step.scope is None)
        return step.scope is not None and step.times is None and step.place is None

    def step(self, step: Step, steps: Sequence[Step], i: int, *, top: bool) -> int:
        """Work one step; returns how many steps it took up."""
        if step is self.mixed_done:
            return 1
        if isinstance(step, Make):
            end = self.bare_list(steps, i)
            if end is not None:
                bound = steps[end]
                assert isinstance(bound, Make)
                items = [*steps[i:end], replace(bound, place=None)]
                self.group_in_place(tuple(items), bound.place, None, "", step.at.to(bound.at))
                return end - i + 1
            # a slip stitch before any other stitch is a fabric of slip stitches, not a join
            if step.stitch.kind == "sl st" and (self.out.segments or self.ring) and self.is_join(step, steps[i + 1 :]):
                self.joined = True
                return 1
            if self.ends_work(step, steps):
                self.cursor.take(self.cursor.left)  # "Sl st in next st and fasten off": no round of its own
                self.joined = True
                return 1
            if top and i and self.closes_loop(step, steps, i):
                return 1
            self.make(step, steps[i + 1 :])
        elif isinstance(step, Chain):
            nxt = steps[i + 1] if i + 1 < len(steps) else None
            if isinstance(nxt, Make) and nxt.stitch.kind == "sl st" and nxt.place is not None and nxt.place.how == "hook":
                self.picot()
                return 2
            if isinstance(nxt, Make) and nxt.place is not None and nxt.place.how == "hook" and not self.setting.foundation:
                self.fail()
                return 1
            if top and self.closing_chain(steps, i):
                self.pending = step
                if isinstance(nxt, Counts):
                    self.pending_counts = nxt
                return 1
            if step.place is not None and step.place.how == "ring":
                self.enter_ring()
            if self.unfounded():
                self.found(self.n(step.count))
                return 1
            n = self.n(step.count) * (self.n(step.times.n) if step.times else 1)
            if n:
                self.out.add(Cell(SPACE, n), 1)
        elif isinstance(step, Skip):
            before = steps[i - 1] if i else None
            if isinstance(before, Make) and before.place is not None and before.place.below and not step.behind and step.place.how == "next" and step.place.noun != "sp":
                # after a stitch worked rows below, the stitch skipped is the one hidden behind it
                if self.choices.choose(("behind", step.at), True, False):
                    return 1
            self.skip(step)
        elif isinstance(step, Group):
            self.group(step, steps[i + 1 :])
        elif isinstance(step, Star):
            self.star(step)
        elif isinstance(step, Mark):
            self.mark(step, any(isinstance(s, Make | Group | Star | Chain) for s in steps[i + 1 :]))
        elif isinstance(step, Count):
            self.counted(step, steps, i, top=top)
        elif isinstance(step, Prefix):
            self.place_first(step)
        elif isinstance(step, Unworked):
            self.unworked_at = (step.at, None if step.n is None else self.n(step.n))
        elif isinstance(step, Even):
            self.even(step)
        elif isinstance(step, Unread):
            self.fail()
        elif isinstance(step, Fault):
            if step.kind in ("target", "open"):
                self.fail()
        return 1

    def unfounded(self) -> bool:
        return self.setting.foundation and self.base.stitches == 0 and not self.ring and not self.out.segments

    def found(self, n: int) -> None:
        """A foundation chain written inside the row."""
        self.base = row_of(Cell(CHAIN), n)
        self.cursor = Cursor(self.base)
        self.unknown = False

    def fail(self) -> None:
        self.unread = True

    def bare_list(self, steps: Sequence[Step], i: int) -> int | None:
        """"dc, ch 2, 2 dc in same sp": where the last placement can bind the whole list, and the sense chosen does."""
        first = steps[i]
        if not (isinstance(first, Make) and first.place is None and first.times is None and first.word == "") or self.prefix is not None:
            return None
        j = i + 1
        chained = False
        while j < len(steps):
            s = steps[j]
            if isinstance(s, Chain) and s.place is None:
                chained = True
            elif isinstance(s, Make) and s.place is not None and s.place.how in ("same", "next", "corner") and s.stitch.kind != "sl st" and not s.place.each:
                if not chained and s.place.how != "same":
                    return None
                if s.place.n is not None and self.n(s.place.n) > 1:
                    return None
                if self.ring:
                    return None
                taken = self.choices.choose(("bind", first.at), *(("list", "nearest") if chained else ("nearest", "list")))
                return j if taken == "list" else None
            elif not (isinstance(s, Make) and s.place is None and s.times is None):
                return None
            j += 1
        return None

    def is_join(self, step: Make, rest: Sequence[Step]) -> bool:
        """Whether a slip stitch closes the round: it goes into the first stitch or a top, and no stitch follows it."""
        if not all(isinstance(s, (_IDLE, Chain)) for s in rest):
            return False
        place = step.place
        if place is None:
            return bool(self.out.segments) and (self.base.circular or self.ring or self.cursor.left == 0)
        if place.how in ("first", "top", "nth", "hook"):
            return True
        if place.how in ("next", "same") and not self.unknown and self.cursor.left <= 0 and self.out.segments:
            return True
        return place.how == "next" and place.noun in ("cluster", "popcorn", "puff", "tch") and (self.base.circular or self.ring)

    def ends_work(self, step: Make, steps: Sequence[Step]) -> bool:
        """Whether a slip stitch is all that a round has before the yarn is fastened off."""
        if step.stitch.kind != "sl st" or self.unknown or self.setting.foundation or (step.place is not None and step.place.each):
            return False
        return not any(isinstance(s, Make | Group | Star | Even) for s in steps if s is not step) and any(isinstance(s, Mark) and s.what == "off" for s in steps)

    def closes_loop(self, step: Make, steps: Sequence[Step], i: int) -> bool:
        """"Ch 2, dc in first sc" at the end of a round of lace: the dc stands for the rest of the last loop, in which the next round begins."""
        place, before = step.place, steps[i - 1]
        tall = height(step.stitch.kind)
        if not isinstance(before, Chain) or place is None or place.how not in ("first", "top") or tall < 2 or step.stitch.post or step.count not in (None, (1,)):
            return False
        if not (self.base.circular or self.ring) or not all(isinstance(s, _IDLE) for s in steps[i + 1 :]) or not self.out.segments:
            return False
        block, times = self.out.segments[-1]
        left = 0 if self.ring else self.cursor.left
        if left and not self.slipped_over(left) and left > self.last_skip:
            return False
        if len(block) != 1 or block[0][0].kind != SPACE or times * block[0][1] != 1 or self.choices.choose(("closing", step.at), True, False) is False:
            return False
        self.cursor.take(left)  # what the last loop spans is not skipped in words
        loop = block[0][0]
        self.out.segments = [(((loop._replace(size=loop.size + tall), 1),), 1), *self.out.segments[:-1]]
        self.joined = True
        return True

    def closing_chain(self, steps: Sequence[Step], i: int) -> bool:
        """A chain at the end, with the turn or after the join, belongs to the next row."""
        rest = steps[i + 1 :]
        if not all(isinstance(s, _IDLE) for s in rest):
            return False
        marks = [s.what for s in rest if isinstance(s, Mark)]
        if "turn" in marks:
            return True
        return self.joined and "join" not in marks and self.out.segments != []

    # -- making ---------------------------------------------------------------------------------------------------

    def stitch_of(self, step: Make) -> Stitch:
        if step.word == "inc" and step.stitch.kind == "inc":
            return Stitch(self.setting.plain, 1, 2)
        if step.word == "dec" and step.stitch.kind == "dec":
            return Stitch(self.setting.plain + "2tog", 2, 1)
        return step.stitch

    def cell(self, stitch: Stitch, into: Cell | None) -> Cell:
        own: Raised | None = None
        if stitch.post and self.setting.side:
            own = Raised(self.setting.side if stitch.post == "F" else other_side(self.setting.side), self.now.start)
        below = into.column if into is not None else ()
        if own is None and not below:  # nearly always
            return Cell(stitch.kind)
        return Cell(stitch.kind, column=column_on(own, below))

    def note_stitch(self, stitch: Stitch, at: Extent, into: Sequence[Segment], n: int) -> None:
        if stitch.kind in ("popcorn", "bobble", "puff"):
            self.raised.append((stitch.kind, at))
        if stitch.post:
            for block, times in into:
                for cell, k in block:
                    self.note_post(stitch, at, cell, k * times)

    def note_post(self, stitch: Stitch, at: Extent, into: Cell, n: int) -> None:
        """A post stitch, with the post it goes around or, through plain rows, the last one at its place."""
        reach = max(1, self.place.below) if self.place is not None else 1
        below = next((k for k in range(reach - 1, len(into.column)) if into.column[k] is not None), None)
        raised = into.column[below] if below is not None else None
        reaches = reach > 1 or (self.skip_virtual and self.skip_at is not None)
        self.posts.append(PostMet(stitch.post, at, n, raised, (below or 0) + 1 if raised is not None else 0, reaches))
        if self.place is not None and self.place.noun[:2] in ("FP", "BP") and 0 < self.place.below < COLUMN_ROWS and not self.base.raised:
            self.troubles.append(Trouble("post-missing", at, {"named": self.place.noun, "rows": self.place.below}))
        if into.kind == CHAIN:
            self.troubles.append(Trouble("post-missing", at, {"found": "a chain"}))

    def lay(self, stitch: Stitch, into: Sequence[Segment], each: int, at: Extent) -> None:
        """Work ``each`` stitches into every one of the stitches given."""
        self.note_stitch(stitch, at, into, each)
        self.lay_in(stitch, into, each * stitch.makes)

    def lay_in(self, stitch: Stitch, into: Sequence[Segment], makes: int) -> None:
        if makes >= 3:
            # a shell, whether it is called one or not: it can be found again as a group
            for block, times in into:
                for cell, k in block:
                    made = self.cell(stitch, cell)._replace(group=GROUP)
                    self.out.add_block(((made._replace(first=True), 1), (made, makes - 1)), k * times)
            return
        for block, times in into:
            if len(block) == 1:
                cell, k = block[0]
                made = self.cell(stitch, cell)
                self.out.add(made, k * times * makes)
            else:
                runs = tuple((self.cell(stitch, cell), k * makes) for cell, k in block)
                self.out.add_block(runs, times)

    def picot(self) -> None:
        """A picot sits on the stitch before it and counts as nothing."""

    def beyond(self, stitch: Stitch, missing: int, each: int) -> None:
        """Stitches worked where the base has none left: made as the words say."""
        self.out.add(self.cell(stitch, None), missing * each * stitch.makes)

    def make(self, step: Make, rest: Sequence[Step]) -> None:
        if step.apart and self.choices.choose(("apart", step.at), False, True):
            kind = step.stitch.kind.removesuffix("2tog")
            self.make(Make(step.at, Stitch(kind)), rest)
        self.now, self.place = step.at, None
        stitch = self.stitch_of(step)
        if stitch.group and not stitch.uses:
            self.group_again(step, rest)
            return
        if step.word.startswith("group:"):
            self.group_in_place((replace(step, place=None, word=""),), step.place, None, step.word[6:], step.at)
            return
        if stitch.kind == "picot":
            self.picot()
            return
        if step.evenly or (step.place is not None and step.place.how == "ends"):
            self.spread(step, stitch, rest)
            return
        count = self.n(step.count)
        times = self.n(step.times.n) if step.times is not None else 1
        if step.times is not None and step.count is None and step.place is None:
            count, times = times, 1
        if count == 0 or times == 0:
            return
        place = step.place
        if place is not None and place.how == "hook" and place.ordinal is None:
            self.troubles.append(Trouble("ordinal", place.at, {}))
            self.fail()
            return
        if self.setting.foundation and self.base.stitches == 0 and not self.ring and place is not None and place.how == "hook":
            self.fail()
            return
        if place is None:
            self.unplaced(step, stitch, count * times)
            return
        if place.how == "ring":
            self.enter_ring()
            self.out.add(self.cell(stitch, None), count * times * stitch.makes)
            return
        if self.ring and place.how in ("next", "each") and place.noun in ("", "st", "ring") and place.n is None and not place.scope and not self.base.segments:
            self.out.add(self.cell(stitch, None), count * times * stitch.makes)
            return
        if step.times is not None and place.how == "next" and not step.tog and place.n is not None and self.n(place.n) > 1:
            # "dc in next 2 sts twice"
            for _ in range(min(times, 200)):
                self.at_place(step, stitch, count, place, rest)
            return
        if step.times is not None and stitch.uses > 1:
            for _ in range(min(times, 5000)):
                self.at_place(step, stitch, count, place, rest)
            return
        place = _stitches_first(place)
        self.at_place(step, stitch, count * times, place, rest)
        if place.how == "each" and place.n is None and not self.unknown and any(p.noun == "sp" for p in place.also):
            return  # the spaces named there are worked along with the stitches
        for other in place.also:
            self.at_place(step, stitch, count * times, other, rest)

    def spread(self, step: Make, stitch: Stitch, rest: Sequence[Step]) -> None:
        """"Inc 6 evenly around", "dec 1 st at each end": so many increases or decreases over what is left of the row, the other stitches plain."""
        ends = step.place is not None and step.place.how == "ends"
        number = step.count if step.count is not None else step.times.n if step.times is not None else None
        many = self.n(number, 1) * 2 if ends else self.n(number, 0)
        over = self.cursor.left - self.demand(rest)
        placed = step.place is not None and not step.place.scope and not ends
        if step.word not in ("inc", "dec") or self.unknown or self.ring or not many or over < many * stitch.uses or placed:
            self.evenly = True
            self.fail()
            return
        self.consume(Stitch(stitch.kind.removesuffix("2tog")), over - many * stitch.uses, 1, step.at)
        self.consume(stitch, many, 1, step.at)

    def unplaced(self, step: Make, stitch: Stitch, count: int) -> None:
        if self.ring:
            self.out.add(self.cell(stitch, None), count * stitch.makes)
            return
        if self.prefix is not None:
            self.in_prefix(stitch, count, step.at)
            return
        if self.unknown:
            self.out.add(self.cell(stitch, None), count * stitch.makes)
            return
        if stitch.foundation and (self.unfounded() or self.founded):
            self.founded = True
            self.out.add(self.cell(stitch, None), count)
            return
        self.cursor.spaces = self.spaces_are_sts("")
        self.consume(stitch, count, 1, step.at)
        self.cursor.spaces = False

    def consume(self, stitch: Stitch, count: int, each: int, at: Extent) -> None:
        """``each`` stitches in every one of the next ``count`` places (a decrease takes several stitches a place)."""
        if self.unknown:
            self.out.add(self.cell(stitch, None), count * each * stitch.makes)
            return
        before = self.cursor.over
        if stitch.uses == 1:
            reached = self.posts_reached(stitch, count)
            into = self.cursor.take(count)
            self.lay(stitch, reached or into, each, at)
            missing = self.cursor.over - before
            if missing:
                self.beyond(stitch, missing, each)
        else:
            into = self.cursor.take(count * stitch.uses)
            self.note_stitch(stitch, at, into, each)
            cell = into[0][0][0][0] if into else None
            self.out.add(self.cell(stitch, cell), count * each * stitch.makes)
        self.loose = self.gap = False
        self.skip_just = False

    def posts_reached(self, stitch: Stitch, count: int) -> list[Segment]:
        """Beyond posts skipped in a row further down: the stitches above the posts that are reached; else none."""
        if not stitch.post or not self.skip_virtual or self.skip_at is None or self.skip_from:
            return []
        reached = self.cells_ahead(self.skip_size, count)
        return reached if sum(block_stitches(block) * times for block, times in reached) == count else []

    def cells_ahead(self, after: int, n: int) -> list[Segment]:
        """``n`` stitches of the base, so many after the cursor, which does not move."""
        state, over = self.cursor.state(), self.cursor.over
        self.cursor.take(after)
        found = self.cursor.take(n)
        self.cursor.restore(state)
        self.cursor.over = over
        return found

    def at_place(self, step: Make, stitch: Stitch, count: int, place: Place, rest: Sequence[Step]) -> None:
        """Work stitches at a place; a number of "sts" there may take in the ch-1 spaces."""
        self.cursor.spaces = self.spaces_are_sts(place.noun)
        self.into_place(step, stitch, count, place, rest)
        self.cursor.spaces = False

    def spaces_are_sts(self, noun: str) -> bool:
        """Whether what a row numbers as stitches takes in the ch-1 spaces below: the sense chosen for the row."""
        if noun not in ("", "st") or self.unknown or 1 not in self.base.space_sizes:
            return False
        return bool(self.choices.choose(("sts",), *((True, False) if self.setting.spaces == "one" else (False, True))))

    def units_left(self, noun: str) -> int:
        """How many stitches are ahead, in the sense in which a noun numbers them."""
        return self.cursor.left + (self.cursor.spaces_left(1) if self.spaces_are_sts(noun) else 0)

    def into_place(self, step: Make, stitch: Stitch, count: int, place: Place, rest: Sequence[Step]) -> None:
        how = place.how
        at = step.at
        self.place = place
        if how == "skipped":
            self.into_skipped(step, stitch, count, place)
            return
        if self.unknown:
            self.unknown_place(step, stitch, count, place)
            return
        if (place.noun == "sp" and how in ("next", "each", "first", "last", "same", "corner")) or how == "corner":
            self.into_spaces(step, stitch, count, place, rest)
            return
        if how == "nth" or (self.is_group(place.noun) and how in ("next", "each", "last", "first")):
            self.into_group(step, stitch, count, place)
            return
        if how == "hook":
            self.from_hook(step, stitch, count, place)
            return
        if how == "same":
            self.in_same(stitch, count, at)
            return
        if how == "top":
            self.into_top(step, stitch, count, place)
            return
        if how in ("between", "before", "after"):
            self.in_gaps(place, lambda: self.out.add(self.cell(replace(stitch, uses=1), None), count * stitch.makes), rest)
            return
        if how == "first":
            self.into_first(step, stitch, count, place)
            return
        if how == "each":
            self.into_each(step, stitch, count, place, rest)
            return
        if how == "last":
            n = self.n(place.n)
            if place.noun == "ch" and self.second_side and self.cursor.left == 0 and n == 1:
                self.in_same(stitch, count, at)
                return
            if self.setting.foundation and self.second_side and n == 1:
                self.consume(stitch, 1, count, at)
                return
            ahead = self.units_left(place.noun)
            beyond = self.rotated if ahead > self.rotated else 0  # what was slipped over at the start is not the end of the round
            if self.base.mixed and self.named_kind(place.noun):
                beyond = max(beyond, self.base.beyond_last(place.noun))
            ahead -= beyond
            if ahead > n and (self.loose or (self.base.mixed and self.by_name())):
                self.jumped += ahead - n
                self.cursor.take(ahead - n)
            if self.base.mixed and self.named_kind(place.noun):
                cell = self.peek_stitch()
                self.strayed |= cell is not None and not same_kind(place.noun, cell.kind)
            self.per_place(step, stitch, count, n, at, place)
            return
        if how == "next":
            if place.ordinal is not None:
                self.go_along(place.ordinal)
                self.consume(stitch, 1, count, at)
                return
            n = self.n(place.n)
            if place.noun == "ch" and self.into_chains(stitch, count, n):
                return
            self.check_name(place, n)
            self.per_place(step, stitch, count, n, at, place)
            return
        self.fail()

    def into_chains(self, stitch: Stitch, count: int, n: int) -> bool:
        """In the chains of a space, one by one."""
        cell = self.cursor.peek()
        if cell is None or cell.kind != SPACE or cell.size < n:
            return False
        self.cursor.to_space(None)
        self.out.add(self.cell(stitch, None), n * count * stitch.makes)
        return True

    def check_name(self, place: Place, n: int) -> None:
        """A place noun names the old stitch: go on to it after lace, otherwise only compare."""
        noun = place.noun
        if noun in ("", "st", "ch", "tch", "sp") or not self.base.known or n == 0:
            return
        if (self.loose or self.skip_just or self.base.mixed) and n == 1:
            cell = self.peek_stitch()
            if cell is not None and not same_kind(noun, cell.kind) and (self.loose or self.skip_just or self.by_name()) and self.cursor.to_kind(noun):
                return
        kinds = self.base.kinds
        if kinds and not any(same_kind(noun, k) for k in kinds):
            self.misnamed.append((place.at, noun, tuple(sorted(kinds))))

    def by_name(self) -> bool:
        """Whether "next sc" among other stitches is the next sc there is, and not the next stitch: the sense chosen for the row."""
        return bool(self.choices.choose(("named",), False, True))

    def peek_stitch(self) -> Cell | None:
        state = self.cursor.state()
        over = self.cursor.over
        taken = self.cursor.take(1)
        self.cursor.restore(state)
        self.cursor.over = over
        return taken[0][0][0][0] if taken else None

    def per_place(self, step: Make, stitch: Stitch, count: int, n: int, at: Extent, place: Place) -> None:
        """``count`` stitches and ``n`` stitches below: one in each, several in each, or all of them together."""
        if n == 0:
            return
        if place.plural and count > 1:
            self.consume(stitch, count, 1, at)  # "5 sc in the following sts"
            return
        if step.tog or (stitch.uses > 1 and n > 1) or (place.over and n > 1 and not stitch.post):
            uses = stitch.uses if stitch.uses > 1 else n
            many = max(1, n // uses) if step.count is None else max(1, count)
            if stitch.uses > 1 and n % stitch.uses and step.count is None:
                self.consume(replace(stitch, uses=n, makes=1), 1, 1, at)  # "dc2tog over next 3 sts": all of them into one
                return
            joined = replace(stitch, uses=uses if stitch.uses == 1 else stitch.uses, makes=1)
            if place.over and stitch.uses == 1 and stitch.makes > 1:
                joined = replace(stitch, uses=n)
            if place.over and stitch.crossed:
                joined = stitch
            self.consume(joined, many, 1, at)
            return
        if stitch.uses > 1 and place.n is None and place.noun not in ("",) and place.how == "next":
            # "dc3tog in next st": all of it in one
            self.consume(replace(stitch, uses=1), 1, count, at)
            return
        if stitch.uses > 1 and place.how in ("next", "last", "first"):
            self.consume(stitch, 1, count, at)
            return
        if count == n and n > 1 and not place.each:
            # "4 sc in next 4 sts": one in each, unless the count shows that all go into each
            each = self.choices.choose(("each-n", at), "one", "all")
            self.consume(stitch, n, 1 if each == "one" else count, at)
            return
        if count > 1 and place.n is None and place.noun == "" and place.how == "next" and not self.loose:
            self.consume(stitch, 1, count, at)
            return
        self.consume(stitch, n, count, at)

    def unknown_place(self, step: Make, stitch: Stitch, count: int, place: Place) -> None:
        """On an unknown base only what says its own number can be counted."""
        if (place.how == "each" and place.n is None) or place.last is not None:
            self.based = True
            return
        n = self.n(place.n)
        if step.tog or (stitch.uses > 1 and n > 1) or (place.over and not stitch.post):
            self.out.add(self.cell(stitch, None), 1 if step.count is None else count)
            return
        if count == n and n > 1 and not place.each:
            self.out.add(self.cell(stitch, None), n * stitch.makes)
            return
        self.out.add(self.cell(stitch, None), count * n * stitch.makes)

    def from_hook(self, step: Make, stitch: Stitch, count: int, place: Place) -> None:
        if self.reach_chain(step.at, stitch.kind, place):
            self.consume(stitch, 1, count, step.at)

    def reach_chain(self, at: Extent, kind: str, place: Place) -> bool:
        """Go along the foundation to the chain counted from the hook; what is skipped on the way may stand for a stitch."""
        if not self.setting.foundation or place.ordinal is None or self.cursor.passed:
            self.fail()
            return False
        self.anchored = True
        k = place.ordinal - 1
        self.cursor.take(k)
        counts = next((s for s in self.steps if isinstance(s, Counts)), None)
        position = next((i for i, s in enumerate(self.steps) if s.at == at), 0)
        if counts is not None and self.steps.index(counts) > position + 6:
            counts = None
        for cell, n in self.skipped_cells(k, kind, counts):
            self.out.add(cell, n)
        return True

    def skipped_cells(self, k: int, kind: str, counts: Counts | None) -> list[tuple[Cell, int]]:
        """What the ``k`` chains skipped before a first stitch stand for: as the row says, as the notes say, or as it comes out."""
        if counts is not None and counts.not_:
            self.declared.append(((k, "hook"), False))
            return []
        if counts is not None:
            named = counts.kind if counts.kind in ("sc", "hdc", "dc", "tr", "dtr", "trtr") else kind
            # "dc in 4th ch from hook (counts as 2 dc)": the stitch itself is one of them
            cells = [(Cell(named, tch=k), counts.number - 1 if counts.number > 1 else 1)]
            return [*cells, (Cell(SPACE, counts.chains), 1)] if counts.chains else cells
        taken = self.skipped_sense(k, kind)
        if taken == "yes":
            return [(Cell(kind if kind in ("hdc", "dc", "tr", "dtr", "trtr") else "dc", tch=k), 1)]
        if taken == "sp":
            return [(Cell(SPACE, k), 1)] if kind == "sc" else [(Cell(kind, tch=k), 1), (Cell(SPACE, max(1, (k - height(kind)) // 2)), 1)]
        return []

    def skipped_sense(self, k: int, kind: str) -> str:
        """Whether skipped chains count: "yes", "no", or "sp" where they are a stitch with a space, or a loop."""
        tall = height(kind)
        said = dict(self.setting.declared).get((k, ""))
        if said is None and k > 1:
            said = dict(self.setting.declared).get((0, ""))
        if k <= 1 or kind == "sl st":
            said = False
        if said is True and k > tall + 1:
            said = None
        if said is not None:
            return "yes" if said else "no"
        options: tuple[str, ...] = ()
        if k > tall + 1 and kind != "sc":
            options = ("sp", "no", "yes")
        elif k >= tall > 1:
            options = ("yes", "no") if k > 2 else ("no", "yes")
        elif tall > 1 and k == tall - 1:
            options = ("no", "yes")
        elif kind == "sc" and k > 2:
            options = ("no", "sp")
        return str(self.choices.choose(("piece:skipped", k, kind), *options)) if options else "no"

    def in_same(self, stitch: Stitch, count: int, at: Extent) -> None:
        """In the stitch or space just worked into; at the very start of a row, in its first stitch."""
        if not self.ring and not self.unknown and self.cursor.passed == 0 and not self.loose and not self.rotated and self.cursor.over == 0:
            self.consume(stitch if stitch.uses == 1 else replace(stitch, uses=1), 1, count, at)
            return
        self.out.add(self.cell(replace(stitch, uses=1), None), count * stitch.makes)

    def into_first(self, step: Make, stitch: Stitch, count: int, place: Place) -> None:
        n = self.n(place.n)
        if self.rotated and self.cursor.left <= self.rotated:
            self.per_place(step, stitch, count, n, step.at, place)
            return
        if self.cursor.passed == 0:
            self.check_name(place, n)
            self.per_place(step, stitch, count, n, step.at, place)
            return
        if self.counted_tch is not None and self.cursor.passed == 1:
            # the turning chain stands on the first stitch already: one more is worked there
            self.out.add(self.cell(stitch, None), count * stitch.makes)
            if n > 1:
                self.per_place(step, stitch, count, n - 1, step.at, place)
            return
        if self.cursor.left == 0 and self.base.circular:
            self.out.add(self.cell(stitch, None), count * stitch.makes)
            return
        self.per_place(step, stitch, count, n, step.at, place)

    def into_top(self, step: Make, stitch: Stitch, count: int, place: Place) -> None:
        """In the top of a turning chain: the last stitch of the base, if that chain counted."""
        cursor = self.cursor
        made = self.base.tch
        last = self.last_cell()
        size = last.tch if last is not None and last.tch else made
        if place.size is not None and size and place.size != size and place.how == "top":
            self.troubles.append(Trouble("place-missing", place.at, {"named": f"ch {place.size}", "found": f"ch {size}"}))
        if cursor.left == 1:
            self.consume(stitch if stitch.uses == 1 else replace(stitch, uses=1), 1, count, step.at)
            return
        if cursor.left == 0:
            if made:
                self.out.add(self.cell(stitch, None), count * stitch.makes)
            else:
                self.consume(stitch, 1, count, step.at)
            return
        if self.loose or self.ending or (self.base.mixed and self.by_name()):
            self.jumped += cursor.left - 1
            cursor.take(cursor.left - 1)
        self.consume(stitch, 1, count, step.at)

    def named_kind(self, noun: str) -> bool:
        """Whether a noun names a stitch of the row below, and not stitches, chains or spaces at large."""
        return noun in HEIGHTS or noun.startswith(("FP", "BP"))

    def last_cell(self) -> Cell | None:
        for block, _ in reversed(self.base.segments):
            for cell, _ in reversed(block):
                if cell.kind != SPACE:
                    return cell
        return None

    # -- to the end -----------------------------------------------------------------------------------------------

    def demand(self, rest: Sequence[Step]) -> int:
        """How many base stitches the steps after an "in each st across" ask for by number."""
        total = 0
        for step in rest:
            if isinstance(step, Make):
                stitch = self.stitch_of(step)
                if step.stitch.kind == "sl st" and self.is_join(step, []):
                    continue
                place = step.place
                if place is None:
                    total += self.n(step.count) * stitch.uses * (self.n(step.times.n) if step.times else 1)
                elif place.how in ("same", "ring"):
                    continue
                elif place.how == "top":
                    total += 1
                elif place.how in ("next", "last", "first", "each") and not place.scope and place.noun != "sp":
                    n = self.n(place.n)
                    total += stitch.uses if n == 1 and stitch.uses > 1 else n
            elif isinstance(step, Skip) and step.place.noun != "sp":
                total += self.n(step.place.n)
            elif isinstance(step, Group):
                if step.place is not None:
                    total += self.n(step.place.n) if step.place.noun != "sp" and step.place.how != "same" else 0
                else:
                    total += self.demand(step.items) * (self.n(step.times.n) if step.times else 1)
            elif isinstance(step, Star) and step.times is not None:
                total += self.demand(step.items) * (self.n(step.times.n) + (1 if step.times.more else 0))
            elif isinstance(step, Unworked):
                total += self.n(step.n, 0) if step.n is not None else 0
        return total

    def into_each(self, step: Make, stitch: Stitch, count: int, place: Place, rest: Sequence[Step]) -> None:
        if place.n is not None and not place.scope:
            self.per_place(step, stitch, count, self.n(place.n), step.at, place)
            return
        if self.ring:
            self.out.add(self.cell(stitch, None), count * stitch.makes)
            return
        if place.until is not None:
            self.up_to(step, stitch, count, place, place.until)
            return
        also = [p for p in place.also if p.noun == "sp" or (p.noun == "ch" and p.each and self.base.spaces)]
        follow = next((s for s in rest if not isinstance(s, Mark | Counts)), None)
        if isinstance(follow, Make | Group) and _in_each_space(follow) and place.last is None and stitch.uses == 1:
            self.each_mixed(step, stitch, count, follow, also)
            return
        if also:
            self.check_space(also[0])
            leave = self.n(place.last) if place.last is not None else self.n(also[0].last) if also[0].last is not None else 0
            self.each_with_spaces(step, stitch, count, leave, also[0].size, chains=also[0].noun == "ch")
            return
        if self.cursor.spaces and stitch.uses == 1 and not place.also:
            self.each_with_spaces(step, stitch, count, self.n(place.last) if place.last is not None else self.demand(rest), 1)
            return
        if place.also and place.also[0].how in ("last", "top"):
            leave = 1
        elif place.last is not None:
            leave = self.n(place.last)
            if place.last_noun == "sp":
                leave = 0
        else:
            leave = self.demand(rest)
        available = self.cursor.left
        if leave > available:
            leave = 0 if place.last is None else available
            if place.last is not None:
                self.cursor.over += self.n(place.last) - available
        n = available - leave
        self.check_name(place, n)
        if stitch.uses > 1:
            if n % stitch.uses:
                self.troubles.append(Trouble("repeat-fit", step.at, {"available": n, "unit": stitch.uses, "remainder": n % stitch.uses, "whole": n // stitch.uses}))
                self.no_fit = True
                return
            self.consume(stitch, n // stitch.uses, count, step.at)
            return
        self.consume(stitch, n, count, step.at)

    def up_to(self, step: Make, stitch: Stitch, count: int, place: Place, goal: Place) -> None:
        """"Dc in each dc to next corner": one in each stitch that lies before it."""
        size = self.corner_size(goal)
        group = self.group_named(goal.noun)

        def there(cell: Cell) -> bool:
            if goal.noun == "sp":
                return cell.kind == SPACE and size in (None, cell.size)
            return cell.group == group and cell.first if group else cell.kind != SPACE and same_kind(goal.noun, cell.kind)

        n = self.cursor.before_next(there)
        if n is None:
            n = self.cursor.left  # the last stretch goes to the end of the round
        self.check_name(place, n)
        self.consume(stitch, n, count, step.at)

    def corner_size(self, place: Place) -> int | None:
        """The chains of the space a place names; a corner without a number is the widest space there is."""
        if place.how == "corner" and place.size is None and len(self.base.space_sizes) > 1:
            return max(self.base.space_sizes)
        return place.size

    def each_with_spaces(self, step: Make, stitch: Stitch, count: int, leave: int, size: int | None, *, chains: bool = False) -> None:
        """One in each stitch and each space, as they come, but for the last so many; or one in each of a space's ``chains``.

        Where there are spaces of several sizes and one ``size`` is named, the others are passed over.
        """
        cursor = self.cursor
        only = size if size in self.base.space_sizes and len(self.base.space_sizes) > 1 else None

        def worked(cell: Cell, n: int) -> int:
            if cell.kind == SPACE and only not in (None, cell.size):
                return 0
            return n * count * stitch.makes * (cell.size if chains and cell.kind == SPACE else 1)

        while (not cursor.at_end() and self.still_ahead() > leave) or (leave == 0 and not cursor.at_end()):
            cell = cursor.peek()
            if cell is None:
                break
            block, times = cursor.row.segments[cursor.seg]
            if cursor.idx == 0 and cursor.off == 0 and len(block) > 1 and leave == 0:
                runs = tuple((self.cell(stitch, c if c.kind != SPACE else None), worked(c, n)) for c, n in block if worked(c, n))
                self.out.add_block(runs, times - cursor.rep)
                cursor.finish_segment()
                continue
            if cell.kind == SPACE:
                cursor.to_space(None)
                if worked(cell, 1):
                    self.out.add(self.cell(stitch, None), worked(cell, 1))
            else:
                self.lay(stitch, cursor.take(1), count, step.at)

    def still_ahead(self) -> int:
        return self.cursor.left + (self.cursor.spaces_left(1) if self.cursor.spaces else 0)

    def each_mixed(self, step: Make, stitch: Stitch, count: int, follow: Make | Group, also: Sequence[Place]) -> None:
        """"Sc in each dc and 2 sc in each ch-1 sp around", "sc in each st around, 3 sc in each corner": the two go along together."""
        place = follow.place
        if place is None or any(p.noun != "sp" for p in also):
            self.fail()
            return
        size = self.corner_size(place)
        cursor = self.cursor
        for _ in range(100_000):
            cell = cursor.peek()
            if cell is None:
                break
            if cell.kind != SPACE:
                self.lay(stitch, cursor.take(1), count, step.at)
                continue
            cursor.to_space(None)
            if size in (None, cell.size):
                self.in_each(follow)
            elif any(p.size in (None, cell.size) for p in also):
                self.out.add(self.cell(stitch, None), count * stitch.makes)
        self.mixed_done = follow

    def in_each(self, step: Make | Group) -> None:
        """What a step works into one place, the place being reached."""
        if isinstance(step, Group):
            self.in_here(step.items, step.name)
            return
        stitch = self.stitch_of(step)
        self.out.add(self.cell(stitch, None), self.n(step.count) * stitch.makes)

    def even(self, step: Even) -> None:
        if self.unknown:
            self.fail()
            return
        kind = step.stitch or Stitch(self.setting.plain)
        self.consume(kind, self.cursor.left, 1, step.at)

    # -- spaces ---------------------------------------------------------------------------------------------------

    def into_spaces(self, step: Make, stitch: Stitch, count: int, place: Place, rest: Sequence[Step]) -> None:
        if stitch.post:
            cell = self.peek_stitch()
            if cell is not None and cell.tch and place.size in (None, cell.tch) and place.how == "next":
                self.consume(stitch, 1, count, step.at)  # "FPdc around ch-3": the chain stands for a stitch
                return
            self.troubles.append(Trouble("post-missing", step.at, {"found": "a chain space"}))
        self.in_spaces(place, lambda: self.out.add(self.cell(replace(stitch, uses=1), None), count * stitch.makes), rest)

    def in_spaces(self, place: Place, work: Any, rest: Sequence[Step]) -> None:
        """Work something in the spaces a place names, passing over the stitches on the way."""
        cursor = self.cursor
        place = replace(place, size=self.corner_size(place))
        if place.how == "same":
            if self.last_space is None and self.cursor.passed == 0 and self.base.circular:
                self.enter_space(place)
            work()
            return
        there = self.moved_into_space and self.last_space is not None
        if there and not place.following and place.how in ("next", "corner") and not place.each and cursor.passed == 0 and Row(tuple(self.out.segments)).stitches == (0 if self.counted_tch is None else 1):
            work()  # in the space that slip stitches moved to
            return
        if place.how == "first" and cursor.passed and self.base.circular:
            work()  # back in the space the round began in
            return
        if (place.how == "each" or (place.how == "corner" and place.each)) and place.n is None:
            leave = 0
            if place.last is not None:
                leave = self.n(place.last) if place.last_noun == "sp" else 0
            else:
                leave = self.space_demand(rest)
            many = max(0, cursor.spaces_left(place.size) or cursor.spaces_left()) - leave
            self.spaces_loop(many, place, work)
            if not leave and place.scope and not any(isinstance(s, Make | Group | Star | Skip) and not (isinstance(s, Make) and s.stitch.kind == "sl st" and self.is_join(s, ())) for s in rest):
                cursor.take(cursor.left)  # what lies beyond the last space is passed over, too
            return
        n = self.n(place.n)
        if place.how == "last":
            ahead = cursor.spaces_left(place.size) or cursor.spaces_left()
            for _ in range(max(0, ahead - n)):
                cursor.to_space(place.size)
        if place.ordinal is not None and place.ordinal > 1:
            for _ in range(place.ordinal - 1):
                cursor.to_space(place.size)
        self.spaces_loop(n, place, work)

    def space_demand(self, rest: Sequence[Step]) -> int:
        total = 0
        for step in rest:
            place = getattr(step, "place", None)
            if isinstance(step, Make | Group) and isinstance(place, Place) and place.noun == "sp" and place.how in ("next", "last"):
                total += self.n(place.n)
        return total

    def spaces_loop(self, n: int, place: Place, work: Any) -> None:
        cursor = self.cursor
        marks: dict[tuple[int, int, int], tuple[int, int, int]] = {}
        i = 0
        while i < n and i < 1_000_000:
            phase = (cursor.seg, cursor.idx, cursor.off)
            known = marks.get(phase)
            if known is not None and cursor.seg < len(self.base.segments) and n - i > 3:
                # the same place in the block as before: the rest of the block goes the same way
                j, rep, length = known
                _, times = self.base.segments[cursor.seg]
                period, reps = i - j, cursor.rep - rep
                if reps > 0:
                    cycles = min((times - cursor.rep) // reps - 1, (n - i) // period - 1)
                    chunk = self.out.flat(length)
                    if cycles > 1 and chunk is not None and 0 < length < len(self.out.segments):
                        self.out.add_block(chunk, cycles)
                        cursor.leap(reps * cycles)
                        i += period * cycles
                        marks.clear()
                        continue
            marks[phase] = (i, cursor.rep, len(self.out.segments))
            self.out.fresh = True
            if not self.enter_space(place):
                return
            work()
            i += 1

    def only_others(self, size: int | None) -> bool:
        """Whether none of the spaces of a size named is ahead, and those of another size are not meant: the sense chosen for the row."""
        if size not in self.base.space_sizes or self.cursor.spaces_left(size) or not self.cursor.spaces_left():
            return False
        return bool(self.choices.choose(("sizes",), False, True))

    def enter_space(self, place: Place) -> bool:
        before = self.cursor.passed
        cell = None if self.only_others(place.size) else self.cursor.to_space(place.size)
        self.last_gap = self.cursor.passed - before
        if before == self.cursor.passed == 0:
            self.began_in_space = True
        if cell is not None and self.base.circular and not self.rotated and before == 0 and self.cursor.passed and not any(
            block[0][0].kind != SPACE for block, _ in self.out.segments
        ):
            # a round that begins in a space: the stitches before it lie at its end
            self.rotated = self.cursor.passed
            self.base = _without_last_space(self.ungroup_tail(self.rotate(self.rotated)))
            self.cursor = Cursor(self.base)
        if cell is None:
            if self.base.known and not self.base.spaces:
                self.troubles.append(Trouble("place-missing", place.at, {"named": f"ch-{place.size} sp" if place.size else "ch-sp", "found": "no space"}))
            elif self.base.known:
                self.troubles.append(Trouble("base-short", place.at, {"spaces": True, "have": self.base.spaces}))
            else:
                self.fail()
            return False
        if cell.size != place.size:
            self.check_space(place)
        self.last_space = cell
        self.loose = True
        return True

    # -- gaps between stitches --------------------------------------------------------------------------------------

    def in_gaps(self, place: Place, work: Callable[[], None], rest: Sequence[Step]) -> None:
        """Work something in the gaps between stitches: what is gone by to reach a gap is used, the stitch beyond it is not yet."""
        group = self.group_named(place.noun)
        if group:
            self.between_groups(place, group, work)
        elif place.each:
            leave = self.n(place.last) if place.last is not None else self.demand(rest)
            if self.gap or (self.cursor.passed == 0 and not (self.base.circular and self.out.segments)):
                self.cursor.take(1)
            for _ in range(max(0, self.cursor.left - leave)):
                work()
                self.cursor.take(1)
        elif place.ordinal == 1:
            self.cursor.take(max(0, 1 - self.cursor.passed))
            work()
        elif place.ordinal == -1:
            self.cursor.take(max(0, self.cursor.left - 1))
            work()
        else:
            senses = {"before": (0, 1), "after": (1, 2), "between": (1, 2, 0)}
            self.cursor.take(self.choices.choose(("gap", place.how), *senses[place.how]))
            work()
        self.gap = self.loose = True

    def between_groups(self, place: Place, group: str, work: Callable[[], None]) -> None:
        """In the gap behind the next group, or behind each but the last; before a group, in the gap that leads to it."""
        cursor = self.cursor
        many = cursor.groups_left(group) - (0 if self.base.circular or place.how == "before" else 1) if place.each else 1
        for _ in range(max(0, many)):
            cell = cursor.peek()
            inside = cell is not None and cell.group == group and (not cell.first or cursor.off > 0)
            if (place.how != "before" or self.gap) and (inside or cursor.to_group(group)):
                self.past_group()
            if place.how == "before" and not cursor.to_group(group):
                self.troubles.append(Trouble("base-short", place.at, {"groups": group, "have": self.base.groups[group]}))
                return
            work()
            self.gap = True

    # -- groups of the base ---------------------------------------------------------------------------------------

    def into_group(self, step: Make, stitch: Stitch, count: int, place: Place) -> None:
        self.in_groups(place, lambda: self.out.add(self.cell(replace(stitch, uses=1), None), count * stitch.makes))

    def go_along(self, ordinal: int) -> None:
        """To the stitch of a number: the number is from where the work is, the stitch under a turning chain that counts included."""
        begun = self.counted_tch is not None and self.cursor.passed == 1 and Row(tuple(self.out.segments)).stitches == 1
        self.cursor.take(max(0, ordinal - 2 if begun else ordinal - 1))

    def check_space(self, place: Place, *, skipped: bool = False) -> None:
        """A space named by a number of chains that no space below has."""
        sizes = self.base.space_sizes
        if place.size is not None and self.base.known and sizes and 0 not in sizes and place.size not in sizes:
            found = ", ".join(f"ch-{size} sps" for size in sorted(sizes))
            self.troubles.append(Trouble("place-missing", place.at, {"named": f"ch-{place.size} sp", "found": found, "skipped": place.size if skipped else None}))

    def in_groups(self, place: Place, work: Any) -> None:
        if place.noun == "sp":
            self.check_space(place)
        of = place.of if place.how == "nth" and place.of is not None else place
        name = self.group_named(of.noun) or of.noun
        cursor = self.cursor
        if place.how == "nth" and (name not in self.base.groups):
            if of.n is not None and place.ordinal:
                # "2nd of next 3 sc"
                n = self.n(of.n)
                k = place.ordinal
                cursor.take(k - 1)
                cursor.take(1)
                work()
                cursor.take(n - k)
                return
            if place.noun == "sp":
                self.in_spaces(replace(place, how="each" if place.each or of.each else "next", n=of.n, of=None), work, ())
                return
            self.fail()
            return
        many = self.n(of.n)
        if place.each or of.each or place.how == "each":
            many = (self.n(of.n) if of.n is not None else 0) or cursor.groups_left(name)
        elif of.how == "last":
            many = 1
            for _ in range(max(0, cursor.groups_left(name) - 1)):
                cursor.to_group(name)
                self.past_group()
        for _ in range(min(many, 100_000)):
            if not cursor.to_group(name):
                self.troubles.append(Trouble("base-short", place.at, {"groups": name, "have": self.base.groups[name]}))
                return
            cells = self.entered = cursor.group_cells()
            stitches = sum(n for c, n in cells if c.kind != SPACE)
            spaces = sum(n for c, n in cells if c.kind == SPACE)
            if place.how == "nth" and place.ordinal:
                k = place.ordinal if place.ordinal > 0 else stitches
                before = cursor.passed
                cursor.take(k - 1)
                cursor.take(1)
                if cursor.passed - before > stitches:
                    self.troubles.append(Trouble("base-short", place.at, {"groups": name, "have": stitches}))
            elif spaces:
                cursor.to_space(None)
            else:
                cursor.take((stitches + 1) // 2)
            work()
            self.loose = True

    def group_named(self, noun: str) -> str:
        """The group of the base that a noun names: its own name, or GROUP where the base has groups without one; "" for none."""
        if noun in self.base.groups:
            return noun
        return GROUP if noun in _GROUPS and GROUP in self.base.groups else ""

    def group_again(self, step: Make, rest: Sequence[Step]) -> None:
        """"Shell in each shell across", the shell told nowhere but in the row below: the same again."""
        place = step.place
        if self.unknown or place is None or not self.is_group(place.of.noun if place.of is not None else place.noun) or step.count not in (None, (1,)):
            self.fail()
            return
        self.in_groups(place, lambda: self.copy_group(step.stitch.kind))

    def copy_group(self, name: str) -> None:
        """The stitches and spaces of the group just entered, made once more."""
        for index, (cell, n) in enumerate(self.entered):
            made = Cell(cell.kind, cell.size, group=name)
            if index == 0:
                self.out.segments.append((((made._replace(first=True), 1),), 1))
                n -= 1
            if n:
                self.out.add(made, n)

    def is_group(self, noun: str) -> bool:
        """Whether a place noun names a group the base has, or one it could be."""
        return bool(self.group_named(noun))

    def past_group(self) -> None:
        for cell, n in self.cursor.group_cells():
            if cell.kind != SPACE:
                self.cursor.take(n)

    # -- prefix: place first, then what is worked there -------------------------------------------------------------

    def place_first(self, step: Prefix) -> None:
        place = step.place
        if place.how == "ring":
            self.enter_ring()
            return
        if place.how == "hook" and self.setting.foundation:
            # "starting in 2nd ch from hook: 7 sc"
            if place.ordinal:
                self.anchored = True
                self.cursor.take(place.ordinal - 1)
            return
        self.prefix = place
        self.prefix_entered = False

    def in_prefix(self, stitch: Stitch, count: int, at: Extent) -> None:
        assert self.prefix is not None
        self.enter_prefix()
        self.out.add(self.cell(replace(stitch, uses=1), None), count * stitch.makes)

    def enter_prefix(self) -> None:
        if self.prefix_entered or self.prefix is None:
            return
        self.prefix_entered = True
        place = self.prefix
        if place.noun == "sp" or place.how == "corner":
            if place.how != "same":
                self.in_spaces(replace(place, how="next" if place.how in ("each", "corner") else place.how), lambda: None, ())
        elif place.how == "nth" or place.noun in self.base.groups:
            self.in_groups(place, lambda: None)
        elif place.how == "same":
            if self.cursor.passed == 0 and not self.rotated and not self.unknown:
                self.cursor.take(1)
        elif place.how in ("next", "first", "last"):
            if not self.unknown:
                self.cursor.take(1)
        else:
            self.fail()

    # -- skipping and crossing --------------------------------------------------------------------------------------

    def skip(self, step: Skip) -> None:
        place = step.place
        n = self.n(place.n)
        if self.unknown:
            if not step.behind and place.how == "next" and place.noun != "sp":
                self.settle_skips(step.at)
                self.skip_size, self.skip_used, self.skip_at, self.skip_posts = n, 0, step.at, len(self.posts)
            return
        self.last_skip = n
        self.prefix = None
        if step.behind:
            return  # the stitch behind a post is passed with it
        if place.how == "same":
            return
        if place.below:
            self.settle_skips(step.at)
            self.skip_virtual = True
            self.skip_size, self.skip_used, self.skip_at, self.skip_posts = n, 0, step.at, len(self.posts)
            self.skipped = self.cells_ahead(0, n)
            return
        parts = [place, *place.also]
        if self.setting.foundation and self.cursor.passed == 0 and place.noun in ("ch", "st", "") and self.base.segments:
            self.skip_chains(n)
            return
        if place.how == "first" and self.counted_tch is not None and self.cursor.passed <= 1:
            self.cursor.take(max(0, n - self.cursor.passed))
            parts = list(place.also)
        elif self.counted_tch is not None and self.cursor.passed == 1 and len(self.out.segments) <= 2 and place.how == "next" and place.noun != "sp" and not self.loose and _bare_number(place):
            taken = self.choices.choose(("skip-first", step.at), "next", "first")
            if taken == "first":
                self.cursor.take(n - 1)
                parts = list(place.also)
        for p in parts:
            k = self.n(p.n)
            if p.noun == "sp":
                for _ in range(k):
                    cell = self.cursor.to_space(p.size)
                    if cell is None:
                        break
                    if cell.size != p.size:
                        self.check_space(p, skipped=True)
                self.loose = False
                continue
            group = self.group_named(p.noun)
            if group:
                for _ in range(k):
                    if self.cursor.to_group(group):
                        self.past_group()
                continue
            if p.how == "each":
                continue
            if p.how == "last":
                self.cursor.take(max(0, self.cursor.left - k))
            self.settle_skips(step.at)
            self.check_name(p, k)
            self.cursor.spaces = self.spaces_are_sts(p.noun)
            into = self.cursor.take(k)
            self.skipped = into
            self.cursor.spaces = False
            self.skip_virtual = False
            self.skip_size, self.skip_used, self.skip_at, self.skip_posts = k, 0, step.at, len(self.posts)
            self.skip_just = True

    def skip_chains(self, n: int) -> None:
        """"Miss 3 ch (counts as 1 tr), 1 tr in next ch": the start of a foundation row said as a skip."""
        self.anchored = True
        self.cursor.take(n)
        counts = next((s for s in self.steps if isinstance(s, Counts)), None)
        nxt = next((s for s in _stitches(self.steps)), None)
        kind = nxt.stitch.kind if nxt is not None else "dc"
        if counts is not None and not counts.not_:
            named = counts.kind if counts.kind in ("sc", "hdc", "dc", "tr", "dtr", "trtr") else kind
            self.out.add(Cell(named, tch=n), counts.number)
            if counts.chains:
                self.out.add(Cell(SPACE, counts.chains), 1)
        elif counts is None and n >= height(kind) > 1:
            taken = self.choices.choose(("piece:skipped", n, kind), "yes", "no")
            if taken == "yes":
                self.out.add(Cell(kind, tch=n), 1)

    def into_skipped(self, step: Make, stitch: Stitch, count: int, place: Place) -> None:
        have = self.skip_size - self.skip_used
        n = self.n(place.n, (have or self.skip_size) if place.each else 1)
        if place.n is None and place.plural:
            n, count = (count, 1) if count > 1 else (have or self.skip_size or 1, 1)  # "FPtr around the skipped sts"
        elif count == n and not place.each:
            count = 1  # "2 FPtr around the 2 skipped sts"
        if self.skip_at is None:
            if self.unknown or not self.base.known:
                self.out.add(self.cell(stitch, None), n * count * stitch.makes)
                return
            self.fail()  # stitches skipped in a row further down
            return
        if n > have:
            self.troubles.append(Trouble("cross-fit", step.at, {"skipped": self.skip_size, "worked": self.skip_used + n}))
        self.skip_used += n
        self.skip_last = step.at
        into = self.take_skipped(min(n, max(0, have)), last=place.ordinal == -1)
        if self.skip_virtual:
            self.cursor.take(min(n, max(0, have)))
        self.note_stitch(stitch, step.at, into, count)
        self.lay_back(stitch, into, n, count)
        self.note_crossing(step, stitch)
        self.loose = False

    def take_skipped(self, n: int, *, last: bool) -> list[Segment]:
        """``n`` of the stitches skipped and not yet worked: the first of them, or the last."""
        waiting = Cursor(Row(tuple(self.skipped)))
        before = waiting.take(max(0, waiting.left - n)) if last else []
        into = waiting.take(n)
        self.skipped = [*before, *waiting.take(waiting.left)]
        return into

    def lay_back(self, stitch: Stitch, into: Sequence[Segment], n: int, each: int) -> None:
        """Stitches worked back into ``n`` that were skipped."""
        self.lay_in(stitch, into, each * stitch.makes)
        missing = n - sum(block_stitches(block) * times for block, times in into)
        if missing > 0:
            self.beyond(stitch, missing, each)

    def note_crossing(self, step: Make, stitch: Stitch) -> None:
        """Stitches skipped are worked: they cross those worked since, in front or behind."""
        for i in range(self.skip_posts, len(self.posts)):
            self.posts[i] = self.posts[i]._replace(crossed=True)
        if not self.skip_from or not self.crossings:
            self.crossings.append(CrossMet((self.skip_at or step.at).to(step.at), self.cross, stitch.post, self.cross_seen))
        else:
            known = self.crossings[-1]
            way = known.way if known.way == self.cross else ""  # one strand in front, another behind
            self.crossings[-1] = known._replace(at=known.at.to(step.at), way=way)
        self.skip_from = True

    def told_crossing(self, way: str, seen_from_rs: bool) -> None:
        """In front or behind: said before the skipped stitches are worked, or of those just worked."""
        if self.skip_from and self.skip_used == self.skip_size and self.crossings and not self.crossings[-1].way and not self.cross:
            self.crossings[-1] = self.crossings[-1]._replace(way=way, seen_from_rs=seen_from_rs)
            return
        self.cross, self.cross_seen = way, seen_from_rs

    def settle_skips(self, at: Extent | None) -> None:
        """At the end of a crossing: was every stitch skipped for it worked?"""
        if self.skip_at is not None and self.skip_from and 0 < self.skip_used < self.skip_size:
            self.troubles.append(Trouble("cross-fit", self.skip_at.to(self.skip_last or self.skip_at), {"skipped": self.skip_size, "worked": self.skip_used}))
        self.skip_from = False
        self.skip_at = None
        self.skip_size = self.skip_used = 0
        self.cross = ""

    # -- brackets and repeats -----------------------------------------------------------------------------------------

    def group(self, step: Group, rest: Sequence[Step]) -> None:
        times = self.times(step.times)
        if step.place is not None:
            self.group_in_place(step.items, step.place, times, step.name, step.at, rest)
            return
        if self.prefix is not None and step.times is None:
            if self.prefix.how == "each" and not self.prefix_entered:
                place, self.prefix = self.prefix, None
                self.group_in_place(step.items, place, None, step.name, step.at, rest)
                return
            self.enter_prefix()
            self.in_here(step.items, step.name)
            self.prefix = None
            return
        if self.ring:
            for _ in range(min(times, 2000)):
                self.run(step.items)
            return
        if step.times is None and step.scope is None:
            bare = _bare(step.items)
            if bare and (step.mark in self.setting.same_brackets or any(isinstance(s, Chain) for s in step.items)):
                self.in_one(step)
                return
            if bare and len(step.items) > 1:
                if self.sense("group-sense", ("piece:bracket", step.mark), step.at, ("along", "one")) == "one":
                    self.in_one(step)
                    return
        if step.name:
            self.run(step.items)
            return
        if step.times is not None and _one_place(step.items) and self.choices.choose(("group", step.at), "along", "one") == "one":
            self.troubles.append(Trouble("group-sense", step.at, {"sense": "one", "times": times}))
            for _ in range(min(times, _MOST_PASSES)):
                self.in_one(step)
            return
        self.repeat(step.items, times)

    def in_one(self, step: Group) -> None:
        """All of a bracket in one stitch."""
        if not self.unknown:
            self.cursor.take(1)
        self.in_here(step.items, step.name)

    def times(self, times: Times | None) -> int:
        if times is None:
            return 1
        n = self.n(times.n)
        return n + 1 if times.more else n

    def group_in_place(self, items: Sequence[Step], place: Place | None, times: int | None, name: str, at: Extent, rest: Sequence[Step] = ()) -> None:
        """All the items of a bracket in one place, or in each of several."""
        many = times if times is not None else 1

        def work() -> None:
            for _ in range(min(many, 500)):
                self.in_here(items, name)

        if place is None:
            work()
            return
        if place.how == "ring":
            self.enter_ring()
            for _ in range(min(many, 2000)):
                self.run(items)
            return
        if self.unknown:
            if place.how == "each" and place.n is None:
                self.based = True
                return
            for _ in range(self.n(place.n)):
                work()
            return
        if place.how == "hook":
            first = next(iter(_stitches(items)), None)
            if self.reach_chain(at, first.stitch.kind if first is not None else "sc", place):
                self.cursor.take(1)
                work()
            return
        if place.how != "nth" and (place.noun == "sp" or place.how == "corner"):
            self.in_spaces(place, work, rest)
            return
        if place.how == "nth" or (self.is_group(place.noun) and place.how in ("next", "each", "last", "first")):
            self.in_groups(place, work)
            return
        if place.how in ("between", "before", "after"):
            self.in_gaps(place, work, rest)
            return
        if place.how == "same":
            if self.cursor.passed == 0 and not self.rotated and not self.loose and not self.ring:
                self.cursor.take(1)
            work()
            return
        if place.how == "top":
            if self.cursor.left > 0:
                self.cursor.take(self.cursor.left if self.loose else 1)
            work()
            return
        if place.how == "each" and place.n is None:
            leave = self.n(place.last) if place.last is not None else self.demand(rest)
            n = max(0, self.cursor.left - leave)
            if n > 4 and self.leaps:
                self.cursor.take(n)
                before = self.out.copy()
                self.out = Output()
                work()
                chunk = self.out.flat(0)
                self.out = before
                if chunk is not None:
                    self.out.add_block(chunk, n)
                else:
                    self.fail()
                self.loose = False
                return
            for _ in range(n):
                self.cursor.take(1)
                work()
            return
        if place.how == "first" and self.counted_tch is not None and self.cursor.passed == 1:
            work()
            return
        n = self.n(place.n)
        if place.ordinal is not None:
            self.go_along(place.ordinal)
            n = 1
        if place.how == "last" and self.base.mixed and self.named_kind(place.noun):
            ahead = self.cursor.left - self.base.beyond_last(place.noun)
            if ahead > n and (self.loose or self.by_name()):
                self.jumped += ahead - n
                self.cursor.take(ahead - n)
            cell = self.peek_stitch()
            self.strayed |= cell is not None and not same_kind(place.noun, cell.kind)
        self.check_name(place, n)
        for _ in range(min(n, 5000)):
            self.cursor.take(1)
            work()
        self.loose = False

    def in_here(self, items: Sequence[Step], name: str = "") -> None:
        """Work items without touching the base: they all go into the place entered."""
        first = True
        worked = sum(self.n(s.count) for s in items if isinstance(s, Make))
        if not name and (worked >= 3 or (worked == 2 and any(isinstance(s, Chain) for s in items))):
            name = GROUP

        def put(cell: Cell, n: int) -> None:
            nonlocal first
            if n <= 0:
                return
            if name:
                cell = cell._replace(group=name)
                if first:
                    self.out.segments.append((((cell._replace(first=True), 1),), 1))
                    n -= 1
                    first = False
                if n:
                    self.out.add(cell, n)
                return
            self.out.add(cell, n)

        i = 0
        while i < len(items):
            step = items[i]
            nxt = items[i + 1] if i + 1 < len(items) else None
            if isinstance(step, Chain):
                if isinstance(nxt, Make) and nxt.stitch.kind == "sl st" and nxt.place is not None and nxt.place.how == "hook":
                    self.picot()
                    i += 2
                    continue
                put(Cell(SPACE, self.n(step.count)), 1)
            elif isinstance(step, Make):
                stitch = self.stitch_of(step)
                if stitch.kind not in ("picot", "sl st"):
                    self.now, self.place = step.at, None
                    n = self.n(step.count) * (self.n(step.times.n) if step.times else 1)
                    self.note_stitch(stitch, step.at, [], n)
                    put(self.cell(replace(stitch, uses=1), None), n * stitch.makes)
                elif stitch.kind == "sl st":
                    put(Cell("sl st"), self.n(step.count))
                else:
                    self.picot()
            elif isinstance(step, Group):
                for _ in range(min(self.times(step.times), 200)):
                    self.in_here(step.items)
            elif isinstance(step, Mark | Counts | Prefix | Count):
                pass
            else:
                self.fail()
            i += 1

    def star(self, step: Star) -> None:
        times = self.star_times(step)
        if times is None:
            self.open_repeat(step, ())
            return
        self.repeat(step.items, times)

    def star_times(self, step: Star) -> int | None:
        if step.times is None:
            return None
        n = self.n(step.times.n)
        if step.times.more:
            return n + 1
        if step.closed or (step.scope is not None and step.scope.noun == "in all"):
            if step.scope is not None and step.scope.noun == "in all":
                return n
            if step.recall is not None and not self.is_recall(step):
                return n
        return n + 1 if self.sense("repeat-sense", ("piece:times",), step.times.at, ("more", "all"), n=n) == "more" else n

    def sense(self, rule: str, key: tuple[str, ...], at: Extent, options: tuple[str, str], **facts: Any) -> str:
        """One of two senses of a wording. It holds for the whole piece; a row that comes out in the other one alone is asked about."""
        taken = str(self.choices.choose(key, *options))
        if not self.choices.choose(("otherwise", *key, at), False, True):
            return taken
        other = options[1] if taken == options[0] else options[0]
        self.troubles.append(Trouble(rule, at, {**facts, "sense": other, "elsewhere": taken}))
        return other

    def is_recall(self, step: Star) -> bool:
        """Whether the repeat is recalled by words ("rep from * 3 times"), not by a bare "x 3"."""
        return bool(step.recall and step.times and step.recall.start < step.times.at.start)

    def repeat(self, items: Sequence[Step], times: int) -> None:
        """Work the items ``times`` times, leaping over what repeats itself."""
        marks: dict[tuple[int, int, int], tuple[int, int, int, int]] = {}
        i = 0
        while i < times:
            cursor = self.cursor
            phase = (cursor.seg, cursor.idx, cursor.off)
            known = marks.get(phase)
            if known is not None and times - i > 2 and (cursor.seg < len(self.base.segments) or self.ring or self.unknown):
                j, rep, length, over = known
                period = i - j
                chunk = self.out.flat(length)
                if self.ring or self.unknown or cursor.at_end():
                    cycles = (times - i) // period
                    reps = 0
                else:
                    _, total = self.base.segments[cursor.seg]
                    reps = cursor.rep - rep
                    cycles = min((total - cursor.rep) // reps - 1, (times - i) // period - 1) if reps > 0 else 0
                if cycles > 1 and chunk is not None and over == cursor.over and (length < len(self.out.segments)):
                    self.out.add_block(chunk, cycles)
                    if reps:
                        cursor.leap(reps * cycles)
                    i += period * cycles
                    marks.clear()
                    continue
            self.passes += 1
            if self.passes > _MOST_PASSES:
                self.fail()
                return
            marks[phase] = (i, cursor.rep, len(self.out.segments), cursor.over)
            self.prefix = None
            self.out.fresh = True
            self.run(items)
            self.settle_skips(None)
            i += 1

    def snapshot(self) -> tuple[Any, ...]:
        return (
            self.cursor.state(), list(self.out.segments), len(self.troubles), self.unread, self.loose, self.last_space, self.prefix, self.prefix_entered,
            len(self.crossings), len(self.raised), len(self.posts), len(self.misnamed), self.turned, self.joined, self.no_turn, self.off, self.pending,
            self.pending_counts, self.count, self.unworked_at, self.skip_at, self.skip_size, self.skip_used, self.skip_just, self.no_fit, list(self.skipped),
            self.side_mark, self.turn_inside, self.evenly, self.mixed_done, self.skip_from, self.skip_virtual, self.base, self.second_side, self.cross, self.skip_posts, self.gap,
        )  # fmt: skip

    def restore(self, s: tuple[Any, ...]) -> None:
        (
            state, segments, troubles, self.unread, self.loose, self.last_space, self.prefix, self.prefix_entered, crossings, raised, posts, misnamed,
            self.turned, self.joined, self.no_turn, self.off, self.pending, self.pending_counts, self.count, self.unworked_at, self.skip_at,
            self.skip_size, self.skip_used, self.skip_just, self.no_fit, skipped, self.side_mark, self.turn_inside, self.evenly, self.mixed_done,
            self.skip_from, self.skip_virtual, base, self.second_side, self.cross, self.skip_posts, self.gap,
        ) = s  # fmt: skip
        if base is not self.base:
            self.base = base
            self.cursor = Cursor(base)
        self.cursor.restore(state)
        self.out = Output(list(segments))
        del self.troubles[troubles:]
        del self.crossings[crossings:]
        del self.raised[raised:]
        del self.posts[posts:]
        del self.misnamed[misnamed:]
        self.skipped = list(skipped)

    def open_repeat(self, step: Star | Group, rest: Sequence[Step]) -> None:
        """A repeat to the end, or to the last so many: as often as fits, the rest of the row taking exactly what is left."""
        scope = step.scope
        items = step.items
        ending = step.ending_kind if isinstance(step, Star) else ""
        if ending == "omit" and len(items) < 2:
            self.fail()
            return
        if self.ring or self.unknown:
            if isinstance(step, Star) and step.times is not None:
                times = self.star_times(step) or 1
                self.repeat(items, times - 1 if ending == "omit" else times)
                self.run(items[:-1] if ending == "omit" else ())
                self.run(rest, top=True)
                return
            self.based = True
            if self.ring:
                self.fail()
            else:
                self.run(items)
                self.run(rest, top=True)
            return
        if not self.base.known and any_place(items, _asks_structure):
            self.fail()
            return
        fixed = self.star_times(step) if isinstance(step, Star) and step.times is not None else None
        if scope is None:
            goal = _Goal(items, rest, None, "", None, fixed)
        elif scope.until:
            goal = _Goal(items, rest, None, "", None, fixed, None if scope.last is None else (self.n(scope.last), scope.noun))
        else:
            goal = _Goal(items, rest, None if scope.last is None else self.n(scope.last), scope.noun, scope.size, fixed)
        available = self.cursor.left
        passed = self.work_passes(goal)
        if passed is None:
            self.finish_unread(rest)
            return
        cuts: list[int | None] = [None]
        if isinstance(step, Star) and (ending or step.cut is not None):
            cuts += [step.cut] if step.cut is not None and ending == "at" else list(range(len(items) - 1, 0, -1))
        chained = len(items) > 1 and (isinstance(items[-1], Chain) or (isinstance(items[0], Chain) and isinstance(items[-1], Make)))
        if ending == "with" and chained and self.choices.choose(("end-chain", step.at), False, True):
            cuts = [len(items) - 1]  # what ends the last repeat takes the place of its last step
        if ending == "omit":
            snaps = passed.snaps[1:] if fixed is not None else passed.snaps
            if not self.end_repeat(goal, replace(passed, snaps=snaps), [len(items) - 1], ends_otherwise=True):
                self.fail()  # what is left out cannot be told
                self.finish_unread(rest)
        elif not self.end_repeat(goal, passed, cuts, ends_otherwise=bool(ending)):
            self.end_as_it_falls(goal, passed, available, step)

    def work_passes(self, goal: _Goal) -> _Passes | None:
        """The repeat worked as often as it fits, leaping over what repeats itself; None where it cannot be followed."""
        snaps: list[tuple[Any, ...]] = []
        passes = 0
        unit = 0
        marks: dict[tuple[int, int, int], tuple[int, int, int]] = {}
        trouble_before = len(self.troubles)
        while passes < _MOST_PASSES:
            snaps.append(self.snapshot())
            if len(snaps) > 4:
                del snaps[0]
            if (goal.fixed is not None and passes >= goal.fixed) or (goal.made is not None and self.have_made(*goal.made)):
                break
            ahead = self.ahead(goal)
            if goal.keep is not None and ahead <= goal.keep:
                break
            if self.cursor.left == 0 and self.cursor.spaces_left() == 0:
                break
            cursor = self.cursor
            phase = (cursor.seg, cursor.idx, cursor.off)
            known = marks.get(phase) if goal.made is None else None
            if known is not None and cursor.seg < len(self.base.segments):
                j, rep, length = known
                block, total = self.base.segments[cursor.seg]
                period, reps = passes - j, cursor.rep - rep
                if reps > 0:
                    cycles = (total - cursor.rep) // reps - 3
                    if goal.keep is not None and goal.noun != "sp" and not self.group_named(goal.noun):
                        per = block_stitches(block) * reps
                        cycles = min(cycles, (ahead - goal.keep) // per - 2 if per else 0)
                    if goal.fixed is not None:
                        cycles = min(cycles, (goal.fixed - passes) // period - 2)
                    chunk = self.out.flat(length)
                    if cycles > 2 and chunk is not None and length < len(self.out.segments):
                        self.out.add_block(chunk, cycles)
                        cursor.leap(reps * cycles)
                        passes += period * cycles
                        marks.clear()
                        snaps.clear()
                        continue
            marks[phase] = (passes, cursor.rep, len(self.out.segments))
            before = cursor.passed
            before_spaces = cursor.spaces_left()
            self.prefix = None
            self.out.fresh = True
            self.run(goal.items)
            self.settle_skips(None)
            if self.unread:
                return None
            if self.cursor.over or any(t.kind == "base-short" for t in self.troubles[trouble_before:]):
                unit = unit or (self.cursor.passed + self.cursor.over - before)
                self.restore(snaps[-1])
                break
            unit = self.cursor.passed - before
            if unit == 0 and self.cursor.spaces_left() == before_spaces:
                # the repeat uses nothing: it cannot be worked "to the end"
                if all(isinstance(s, Chain | Mark) or (isinstance(s, Make) and s.stitch.uses == 0) for s in goal.items):
                    return _Passes(0, 0, (snaps[-1],))
                self.fail()
                return None
            passes += 1
        return _Passes(passes, unit, tuple(reversed(snaps)))

    def end_repeat(self, goal: _Goal, passed: _Passes, cuts: Sequence[int | None], *, ends_otherwise: bool) -> bool:
        """End the row so that it closes: whole repeats, the tail taking the rest exactly, or a last repeat cut short.

        Of the ways that close, the one that passes over the fewest stitches is meant. False where none does.
        """
        trouble_before = len(self.troubles)
        best: tuple[int, int, int | None] | None = None
        for cut in cuts:
            for index, snap in enumerate(passed.snaps):
                if cut is None:
                    if goal.keep is not None and not ends_otherwise:
                        self.restore(snap)
                        there = self.ahead(goal)
                        if there != goal.keep and not (self.loose and index == 0 and there > goal.keep and self.cursor.spaces_left() == 0):
                            continue
                    if passed.passes - index < 1 and goal.keep is None and goal.fixed is None and passed.passes > 0:
                        continue
                self.attempt_end(snap, goal.items, cut, goal.rest)
                if self.closes(trouble_before) and (best is None or self.jumped < best[0]):
                    best = (self.jumped, index, cut)
                    if self.jumped == 0:
                        return True
        if best is not None:
            self.attempt_end(passed.snaps[best[1]], goal.items, best[2], goal.rest)
        return best is not None

    def end_as_it_falls(self, goal: _Goal, passed: _Passes, available: int, step: Star | Group) -> None:
        """No end closes: the tail is worked after the last whole repeat, and where it is the repeat that does not fit, that is said."""
        self.restore(passed.snaps[0])
        tail = self.demand(goal.rest) if goal.keep is None else goal.keep
        remainder = (available - tail) % passed.unit if passed.unit else 0
        comes_out = not passed.unit or (remainder == 0 and self.cursor.left == tail) or (goal.keep is not None and self.ahead(goal) == goal.keep)
        if goal.fixed is not None or comes_out:
            self.run(goal.rest, top=True)  # the repeat fits; what follows does not
            return
        self.troubles.append(Trouble("repeat-fit", step.at, {
            "available": available, "tail": tail, "unit": passed.unit, "remainder": remainder, "whole": passed.passes,
            "around": step.scope.around if step.scope else False, "keep": goal.keep is not None, "made": Row(tuple(self.out.segments)).stitches,
        }))  # fmt: skip
        self.no_fit = True
        state = self.cursor.state()
        self.run(goal.rest, top=True)
        self.cursor.restore(state)
        self.troubles = [t for t in self.troubles if t.kind != "base-short"]
        self.cursor.over = 0

    def attempt_end(self, snap: tuple[Any, ...], items: Sequence[Step], cut: int | None, rest: Sequence[Step]) -> None:
        """The end of a row, from one state of its repeat: perhaps part of a last repeat, then the rest."""
        self.restore(snap)
        self.jumped = 0
        self.strayed = False
        if cut is not None:
            self.run(items[:cut])
        self.ending = cut is not None
        self.run(rest, top=True)
        self.ending = False

    def finish_unread(self, rest: Sequence[Step]) -> None:
        """After words that were not read: take in the count, the turn and the join all the same."""
        for i, step in enumerate(rest):
            if isinstance(step, Mark | Count):
                self.step(step, rest, i, top=True)

    def have_made(self, many: int, noun: str) -> bool:
        """Whether a row has so many things of a kind already."""
        row = Row(tuple(self.out.segments))
        if noun in _GROUPS or noun in row.groups:
            return (row.groups.get(noun) or row.groups.get(GROUP, 0)) >= many
        if noun == "sp":
            return row.spaces >= many
        return sum(n for kind, n in row.kinds.items() if same_kind(noun, kind)) >= many

    def ahead(self, goal: _Goal) -> int:
        """How many of the things a repeat leaves are still ahead."""
        if goal.noun == "sp":
            return self.cursor.spaces_left(goal.size) or self.cursor.spaces_left()
        group = self.group_named(goal.noun)
        if group:
            return self.cursor.groups_left(group)
        if self.base.mixed and self.named_kind(goal.noun) and goal.keep is not None and not self.base.ends_with(goal.noun, goal.keep):
            return self.cursor.kind_left(goal.noun)
        return self.units_left(goal.noun)

    def closes(self, trouble_before: int) -> bool:
        if self.unread or self.no_fit or self.cursor.over or self.strayed:
            return False
        if any(t.kind in ("base-short", "repeat-fit", "place-missing") for t in self.troubles[trouble_before:]):
            return False
        left = self.cursor.left
        if left == 0 or (left == 1 and self.gap):
            return True
        if self.in_last_group(left) or self.slipped_over(left):
            return True
        return self.unworked_at is not None and self.unworked_at[1] in (None, left)

    # -- marks --------------------------------------------------------------------------------------------------------

    def mark(self, step: Step, more: bool) -> None:
        assert isinstance(step, Mark)
        what = step.what
        if what == "turn":
            if self.out.segments and more and self.cursor.passed:
                self.turn_inside = step.at
            elif self.out.segments:
                self.turned = True
        elif what == "no-turn":
            self.no_turn = True
        elif what == "join":
            self.joined = True
        elif what == "off":
            self.off = True
        elif what == "side":
            self.side_mark = str(step.value)
        elif what == "evenly":
            self.evenly = True
            self.fail()
        elif what == "cross":
            value: object = step.value
            if isinstance(value, tuple):
                way, seen_from_rs = cast("tuple[str, bool]", value)
                self.told_crossing(way, seen_from_rs)
        elif what == "other-side":
            self.other_side()

    def other_side(self) -> None:
        """Along the other side of the foundation chain: the same chains again, from the far end."""
        if not self.setting.foundation or self.ring or self.unknown:
            self.fail()
            return
        over = self.cursor.over
        left = self.cursor.left
        total = self.base.stitches
        if left or over:
            self.troubles.append(Trouble("base-left" if left else "base-short", None, {"left": left, "base": total, "used": total - left + over}))
        self.second_side = True
        skipped = self.skipped_chains()
        usable = total - skipped
        want = self.demand(list(self.steps[self.index_of_side() + 1 :]))
        # the end chain, and the one the round began in, may be worked from both sides or only once
        length = next((k for k in (usable - 1, usable, usable - 2) if k == want), usable - 1)
        side = row_of(Cell(CHAIN), max(0, length), circular=True)
        self.total_chains = total
        self.base = Row((*self.base.segments, *side.segments), circular=True)
        cursor = Cursor(self.base)
        cursor.take(total)
        self.cursor = cursor

    def skipped_chains(self) -> int:
        for step in self.steps:
            if isinstance(step, Make | Prefix) and step.place is not None and step.place.how == "hook" and step.place.ordinal:
                return step.place.ordinal - 1
        return 1

    def index_of_side(self) -> int:
        for i, step in enumerate(self.steps):
            if isinstance(step, Mark) and step.what == "other-side":
                return i
        return len(self.steps)

    # -- counts ------------------------------------------------------------------------------------------------------

    def counted(self, step: Count, steps: Sequence[Step], i: int, *, top: bool) -> None:
        rest = steps[i + 1 :]
        works = any(isinstance(s, Make | Group | Star | Skip) and not (isinstance(s, Make) and s.stitch.kind == "sl st") for s in rest)
        if step.sure:
            if top and not works:
                if self.count is None or not all(p.noun == "row" for p in step.parts):
                    self.count = step
            return
        # "…, 12 sc": a count where the row is done, a step where it is not
        done = not self.unknown and not self.ring and self.cursor.left == 0 and bool(self.out.segments)
        later = next((s for s in rest if isinstance(s, Count) and s.sure), None)
        if done and (later is None or [p.n for p in later.parts] == [p.n for p in step.parts]):
            self.count = step
            return
        for part in step.parts:
            if part.noun in ("sc", "hdc", "dc", "tr", "dtr", "inc", "dec") or part.noun.startswith(("FP", "BP")):
                word = part.noun if part.noun in ("inc", "dec") else ""
                stitch = Stitch(part.noun, *((1, 2) if word == "inc" else (2, 1) if word == "dec" else (1, 1)))
                self.make(Make(part.at, stitch, part.n, None, "NS", None, word), rest)
            elif part.noun == "sl st":
                continue
            else:
                self.count = step


def _stitches(steps: Sequence[Step]) -> list[Make]:
    out: list[Make] = []
    for step in steps:
        if isinstance(step, Make):
            if step.stitch.kind not in ("sl st", "picot"):
                out.append(step)
        elif isinstance(step, Group | Star):
            out += _stitches(step.items)
        if out:
            break
    return out


def _more_to_come(steps: Sequence[Step]) -> bool:
    """Whether other stitches follow: slip stitches before them only lead to the starting place."""
    return any(
        isinstance(s, Chain | Group | Star) or (isinstance(s, Make) and s.stitch.kind != "sl st") for s in steps
    )


def _without_last_space(row: Row) -> Row:
    """A round begun in a space: that space is where it ends, too, and not to be met again."""
    if not row.segments:
        return row
    block, times = row.segments[-1]
    cell, n = block[-1]
    if cell.kind != SPACE:
        return row
    kept = [*block[:-1], (cell, n - 1)] if n > 1 else list(block[:-1])
    segments = list(row.segments[:-1])
    if times > 1:
        segments.append((block, times - 1))
    if kept:
        segments.append((tuple(kept), 1))
    return replace(row, segments=tuple(segments))


def _ends_in_chain(steps: Sequence[Step]) -> bool:
    """Whether the last thing a row makes is a chain, before it is joined."""
    made = [s for s in steps if not isinstance(s, _IDLE) and not (isinstance(s, Make) and s.stitch.kind == "sl st")]
    return bool(made) and isinstance(made[-1], Chain)


def _stitches_first(place: Place) -> Place:
    """"In each ch-1 sp and each sc": the same as in each sc and each ch-1 sp."""
    other = place.also[0] if len(place.also) == 1 and place.how == "each" and place.noun == "sp" and place.n is None else None
    if other is None or not other.each or other.noun == "sp" or other.n is not None:
        return place
    return replace(other, scope=other.scope or place.scope, also=(replace(place, also=(), scope=False),))


def _in_each_space(step: Make | Group) -> bool:
    """Whether a step is worked in each space, or in each corner."""
    place = step.place
    return place is not None and place.n is None and step.times is None and (
        (place.how == "each" and place.noun == "sp") or (place.how == "corner" and place.each)
    )  # fmt: skip


def _rings(steps: Sequence[Step]) -> bool:
    for step in steps:
        place = getattr(step, "place", None)
        if isinstance(place, Place) and place.how == "ring":
            return True
        if isinstance(place, Place) and place.how == "hook":
            return False
        if isinstance(step, Group | Star) and _rings(step.items):
            return True
    return False


def _first_here(step: Make | None) -> bool:
    return step is not None and step.place is not None and step.place.how in ("first", "same")


def _bare(items: Sequence[Step]) -> bool:
    return bool(items) and all(
        (isinstance(s, Make) and s.place is None and s.word == "") or isinstance(s, Chain | Mark) for s in items
    )


def _one_place(items: Sequence[Step]) -> bool:
    """Whether a bracket of stitches could as well be worked all in one."""
    return len(items) > 1 and _bare(items) and not any(isinstance(s, Make) and s.stitch.uses != 1 for s in items)


def _bare_number(place: Place) -> bool:
    """"miss 1dc" may mean the first one, "miss next dc" may not."""
    return not (place.following or place.each) and place.n is not None


def _asks_structure(place: Place) -> bool:
    return place.noun == "sp" or place.how in ("nth", "corner")
