"""The tree of a row statement: what a designer wrote, step by step. Spans count from the start of the statement.

Immutable, so that one tree may serve every row and manuscript with the same words.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from ..text import Span
from .lexer import Num
from .lexicon import Stitch


@dataclass(frozen=True, slots=True)
class Extent:
    """Where a step stands in its statement."""

    start: int
    end: int

    def to(self, other: Extent) -> Extent:
        """From the start of the earlier to the end of the later."""
        return Extent(min(self.start, other.start), max(self.end, other.end))

    def span(self, origin: int) -> Span:
        """The same place in the text, for a statement that begins at ``origin``."""
        return Span(self.start + origin, self.end + origin)


@dataclass(frozen=True, slots=True)
class Place:
    """Where a step is worked.

    ``how`` is one of next, each, first, last, same, ring, hook, top, nth, skipped, corner, between, before, after, ends.
    ``noun`` is what is named there: a US kind, ``st``, ``ch``, ``sp``, ``tch``, a group's name, or "" where dropped.
    """

    how: str
    at: Extent
    n: Num | None = None
    noun: str = ""
    size: int | None = None  # chains of the space named
    ordinal: int | None = None
    each: bool = False
    scope: bool = False  # to the end of the row
    last: Num | None = None  # to the last so many
    last_noun: str = ""
    of: Place | None = None
    post: bool = False
    below: int = 0
    also: tuple[Place, ...] = ()
    over: bool = False
    plural: bool = False  # "the following sts", their number not said
    following: bool = False  # said to be the next, not only by number
    until: Place | None = None  # to the next of these


@dataclass(frozen=True)
class Times:
    """How often: ``n`` times, ``more`` after the first."""

    n: Num
    at: Extent
    more: bool = False


@dataclass(frozen=True)
class Scope:
    """How far a repeat goes: to the end, to the last so many, or ``until`` so many are made."""

    at: Extent
    last: Num | None = None
    noun: str = ""
    size: int | None = None
    around: bool = False
    until: bool = False


@dataclass(frozen=True, eq=False)
class Make:
    """Work stitches: ``count`` of them, at ``place``. ``order`` tells "2 sc" (NS) from "sc 2" (SN) and "sc" (S)."""

    at: Extent
    stitch: Stitch
    count: Num | None = None
    place: Place | None = None
    order: str = "S"
    times: Times | None = None
    word: str = ""  # inc or dec where the text says only that
    tog: bool = False
    evenly: bool = False
    apart: bool = False  # "sc inc": one step of two words, or two steps


@dataclass(frozen=True, eq=False)
class Chain:
    """Chain so many; one where ``count`` is None."""

    at: Extent
    count: Num | None = None
    place: Place | None = None
    times: Times | None = None


@dataclass(frozen=True, eq=False)
class Skip:
    """Leave stitches unworked before the next; ``behind`` where they lie behind posts and are not counted."""

    at: Extent
    place: Place
    behind: bool = False


@dataclass(frozen=True, eq=False)
class Group:
    """A bracket: repeated, worked in one place, or simply set apart."""

    at: Extent
    items: tuple[Step, ...]
    mark: str = "("
    times: Times | None = None
    place: Place | None = None
    scope: Scope | None = None
    name: str = ""


@dataclass(frozen=True, eq=False)
class Star:
    """A marked repeat. ``ending_kind`` says that what follows ends the last repeat; ``cut`` is where ``**`` ends it."""

    at: Extent
    items: tuple[Step, ...]
    mark: str = "*"
    times: Times | None = None
    scope: Scope | None = None
    ending_kind: str = ""  # with, after, at, last (replaces in the last repeat)
    cut: int | None = None
    recall: Extent | None = None
    closed: bool = False


@dataclass(frozen=True, eq=False)
class Prefix:
    """A place named before what is worked there."""

    at: Extent
    place: Place


@dataclass(frozen=True, eq=False)
class Counts:
    """A remark on what the chain before it counts as: ``number`` of a ``kind`` and a space of ``chains``; nothing where ``not_`` is set."""

    at: Extent
    kind: str | None = None
    number: int = 1
    chains: int = 0
    not_: bool = False
    throughout: bool = False


@dataclass(frozen=True, eq=False)
class CountPart:
    """One number of a stated count, one value for each size, and what is counted."""

    n: Num
    noun: str  # US kind, st, sp, ch, group name, "" where bare
    at: Extent
    size: int | None = None


@dataclass(frozen=True, eq=False)
class Count:
    """A stated count. ``sure`` is False where the words could as well be a step ("…, 12 sc")."""

    at: Extent
    parts: tuple[CountPart, ...]
    sure: bool = True
    per_row: tuple[int, ...] = ()
    at_end: bool = False  # said of the last row of a range alone


@dataclass(frozen=True, eq=False)
class Mark:
    """A step without arithmetic: turn, no-turn, join, no-join, off, colour, loops, side, cross, marker, evenly, other-side, for-rows, remark."""

    at: Extent
    what: str
    value: object = None


@dataclass(frozen=True, eq=False)
class Unworked:
    """Stitches left on purpose; ``n`` is None for "the rest"."""

    at: Extent
    n: Num | None = None


@dataclass(frozen=True, eq=False)
class Even:
    """Work even: one stitch in each, of the kind named or of the row below."""

    at: Extent
    stitch: Stitch | None = None


@dataclass(frozen=True, eq=False)
class Unread:
    """Words that were not read."""

    at: Extent


@dataclass(frozen=True, eq=False)
class Fault:
    """A slip of the marks themselves: open, target, size-list, ordinal."""

    at: Extent
    kind: str
    detail: str = ""


Step = Make | Chain | Skip | Group | Star | Prefix | Counts | Count | Mark | Unworked | Even | Unread | Fault


@dataclass(frozen=True, eq=False)
class Tree:
    """One statement read, with the slips of its marks."""

    steps: tuple[Step, ...]
    faults: tuple[Fault, ...] = ()

    @property
    def unread(self) -> tuple[Unread, ...]:
        """The words that were not read, however deep they stand."""
        return tuple(_unread(self.steps))


def any_place(steps: Iterable[Step], wanted: Callable[[Place], bool]) -> bool:
    """Whether anything in these steps, however deep, is worked in such a place."""
    for step in steps:
        if isinstance(step, Make | Chain | Skip | Group | Prefix) and step.place is not None and wanted(step.place):
            return True
        if isinstance(step, Group | Star) and any_place(step.items, wanted):
            return True
    return False


def _unread(steps: tuple[Step, ...]) -> list[Unread]:
    found: list[Unread] = []
    for step in steps:
        if isinstance(step, Unread):
            found.append(step)
        elif isinstance(step, Group | Star):
            found += _unread(step.items)
    return found
