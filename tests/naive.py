"""A second working of rows, as plain as can be: one object a stitch, one step after another, no readings.

It works on steps, never on words, and shares no code with the program; where the two differ, one of them is wrong.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class Each:
    """One stitch in each of the next ``count``."""

    kind: str
    count: int = 1


@dataclass(frozen=True)
class Along:
    """One stitch in each, as far as the last ``leave``."""

    kind: str
    leave: int = 0


@dataclass(frozen=True)
class Several:
    """``count`` stitches in the next one."""

    kind: str
    count: int = 2


@dataclass(frozen=True)
class Together:
    """The next ``count`` drawn together into one."""

    kind: str
    count: int = 2

    @property
    def name(self) -> str:
        return f"{self.kind}{self.count}tog"


@dataclass(frozen=True)
class Skip:
    count: int = 1


@dataclass(frozen=True)
class Chains:
    """Chains in the course of a row: a space."""

    count: int = 1


@dataclass(frozen=True)
class Fan:
    """Stitches, chains and stitches again, all in the next one."""

    kind: str
    side: int = 1
    chains: int = 1


@dataclass(frozen=True)
class InSpace:
    """``count`` stitches in the next space; whatever lies before it is passed over."""

    kind: str
    count: int
    chains: int = 1  # what the space is made of


@dataclass(frozen=True)
class Standing:
    """Chains that begin a row and count as a stitch of this kind, over the first one."""

    kind: str
    chains: int


@dataclass(frozen=True)
class Foundation:
    """The first row on chains: from the ``nth`` chain from the hook along to the end. ``stands`` where what is skipped
    counts as a stitch."""

    kind: str
    nth: int
    stands: bool = False


@dataclass(frozen=True)
class Many:
    """``count`` stitches in a ring."""

    kind: str
    count: int


@dataclass(frozen=True)
class Repeat:
    steps: tuple[Step, ...]
    times: int


Step = Each | Along | Several | Together | Skip | Chains | Fan | InSpace | Standing | Foundation | Many | Repeat


class Stitch:
    """One stitch, chain of a foundation, or space."""

    def __init__(self, kind: str, space: bool = False) -> None:
        self.kind = kind
        self.space = space
        self.taken = False


@dataclass(frozen=True)
class Made:
    """What came of one row: ``base`` is None over a ring."""

    base: int | None
    used: int | None
    made: int
    spaces: int
    kinds: Counter[str]

    def closes(self) -> bool:
        return self.base == self.used


class Fabric:
    """Rows on a foundation chain of ``chains``, or on a ring where there are none."""

    def __init__(self, chains: int | None) -> None:
        self.below = [Stitch("ch") for _ in range(chains or 0)]
        self.ring = chains is None
        self.out: list[Stitch] = []
        self.place = 0

    def row(self, steps: Sequence[Step], turned: bool) -> Made:
        base = [stitch for stitch in self.below if not stitch.space]
        self.out, self.place, over = [], 0, 0
        for step in steps:
            over += self._work(step)
        made = Counter(stitch.kind for stitch in self.out if not stitch.space)
        done = Made(
            base=None if self.ring else len(base),
            used=None if self.ring else sum(stitch.taken for stitch in base) + over,
            made=made.total(),
            spaces=sum(stitch.space for stitch in self.out),
            kinds=made,
        )
        self.below = self.out[::-1] if turned else self.out
        self.ring = False
        return done

    def _left(self) -> int:
        return sum(not stitch.space for stitch in self.below[self.place :])

    def _take(self) -> int:
        """Go into the next stitch. 1 where there is none any more, which is one too many."""
        while self.place < len(self.below):
            stitch = self.below[self.place]
            self.place += 1
            if not stitch.space:
                stitch.taken = True
                return 0
        return 1

    def _take_space(self) -> int:
        while self.place < len(self.below):
            stitch = self.below[self.place]
            self.place += 1
            if stitch.space:
                return 0
            stitch.taken = True
        return 1

    def _leave(self, kind: str, count: int = 1) -> None:
        self.out.extend(Stitch(kind) for _ in range(count))

    def _work(self, step: Step) -> int:
        """Do one step; how many stitches it wanted that were not there."""
        missing = 0
        match step:
            case Repeat(steps, times):
                for _ in range(times):
                    for inner in steps:
                        missing += self._work(inner)
            case Each(kind, count):
                for _ in range(count):
                    missing += self._take()
                    self._leave(kind)
            case Along(kind, leave):
                for _ in range(self._left() - leave):
                    missing += self._take()
                    self._leave(kind)
            case Several(kind, count):
                missing += self._take()
                self._leave(kind, count)
            case Together(_, count):
                for _ in range(count):
                    missing += self._take()
                self._leave(step.name)
            case Skip(count):
                for _ in range(count):
                    missing += self._take()
            case Chains():
                self.out.append(Stitch("space", space=True))
            case Fan(kind, side):
                missing += self._take()
                self._leave(kind, side)
                self.out.append(Stitch("space", space=True))
                self._leave(kind, side)
            case InSpace(kind, count):
                missing += self._take_space()
                self._leave(kind, count)
            case Standing(kind):
                missing += 0 if self.ring else self._take()
                self._leave(kind)
            case Foundation(kind, nth, stands):
                for _ in range(nth - 1):
                    missing += self._take()
                self._leave(kind, stands)
                for _ in range(self._left()):
                    missing += self._take()
                    self._leave(kind)
            case Many(kind, count):
                self._leave(kind, count)
        return missing
