"""The outcome of working a pattern: what every row used, made and left, per size, and what did not come out.

Plain, immutable data. Rules read it, reports print it; nothing here decides anything.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import NamedTuple

from ..text import Span


class Status(StrEnum):
    """How far a row's arithmetic could be followed."""

    PROVED = "proved"  # read whole, and it closes
    DIFFERS = "differs"  # read whole, and it does not come out
    ASSUMED = "assumed"  # taken on the designer's word
    UNREAD = "unread"  # not read, in whole or in part


@dataclass(frozen=True, slots=True)
class SizeWork:
    """One row in one size. ``base`` and ``used`` count stitches and foundation chains, never spaces; unknown is None.

    ``kinds`` has US names whatever the text's terms. ``working`` is the sum in words. ``places`` is what it leaves to
    work into besides single stitches, each with its number: "ch-2 sp", "shell".
    """

    size: str | None
    base: int | None
    used: int | None
    made: int | None
    stated: int | None
    kinds: Mapping[str, int]
    spaces: int | None
    working: str
    places: Mapping[str, int] = field(default_factory=dict[str, int])


@dataclass(frozen=True, slots=True)
class Trouble:
    """Something in a row that did not come out, as the fabric met it; a rule of the same kind words it.

    ``kind`` is the rule's name, ``facts`` the numbers and words its message needs, ``sizes`` the sizes concerned.
    """

    kind: str
    span: Span
    facts: Mapping[str, object] = field(default_factory=dict[str, object])
    sizes: tuple[str, ...] = ()
    because: tuple[tuple[Span, str], ...] = ()


class Post(NamedTuple):
    """Post stitches of one step, and the posts at their place in the rows below.

    ``post`` is "F" or "B"; ``below`` the side the last post of the column stands out on, "" where there is none;
    ``rows`` how many rows below that is, plain ones counted, and ``words`` what it was worked with.
    """

    post: str
    below: str
    span: Span
    n: int
    rows: int = 0
    words: Span | None = None
    reaches: bool = False  # the words ask for a post further down
    crossed: bool = False  # part of a crossing


class Crossing(NamedTuple):
    """Stitches skipped and worked after the ones beyond them: in front ("F") or behind ("B"), "" where that is not told."""

    span: Span
    way: str
    post: str  # of the skipped stitches
    side: str
    seen_from_rs: bool = False


@dataclass(frozen=True, slots=True)
class RowWork:
    """One row as worked. ``span`` covers label and instructions; a row another row's text stands for has that row's."""

    label: str
    span: Span
    label_span: Span
    side: str | None
    turned: bool
    status: Status
    sizes: tuple[SizeWork, ...]
    troubles: tuple[Trouble, ...] = ()
    unread: tuple[Span, ...] = ()
    written: bool = True
    times: int = 1
    number: int | None = None
    readings: tuple[str, ...] = ()
    side_mark: str | None = None  # the side its label names
    follows: int | None = None  # entry index of the row whose slip this row's base stems from
    index: int = 0  # entry index in its piece
    posts: tuple[Post, ...] = ()
    raised: tuple[tuple[str, Span], ...] = ()  # popcorns, bobbles, puffs
    crossings: tuple[Crossing, ...] = ()
    misnamed: tuple[tuple[Span, str, tuple[str, ...]], ...] = ()  # a place noun that names nothing below
    joined: bool = False
    off: bool = False
    ends_side: str | None = None
    source: int | None = None  # number of the row whose words are worked
    turn_inside: Span | None = None
    marks: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class PieceWork:
    """A part with its own row numbering, and the readings taken for all of it, in words."""

    name: str
    span: Span
    rows: tuple[RowWork, ...]
    readings: tuple[str, ...] = ()
    troubles: tuple[Trouble, ...] = ()
    guessed: bool = False


@dataclass(frozen=True, slots=True)
class Work:
    """Every piece worked."""

    pieces: tuple[PieceWork, ...]
    sizes: tuple[str, ...] = ()
    terms: str | None = None

    def rows(self) -> Iterator[RowWork]:
        for piece in self.pieces:
            yield from piece.rows

    def tally(self) -> dict[str, int]:
        """How many rows there are of each status, and in all."""
        counts = {"total": 0, "proved": 0, "differs": 0, "assumed": 0, "unread": 0}
        for row in self.rows():
            counts["total"] += row.times
            counts[row.status.value] += row.times
        return counts
