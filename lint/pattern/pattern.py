"""What a manuscript says, resolved: terms, sizes, definitions and notes, and every piece's rows in working order."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from ..syntax.layout import Label
from ..syntax.lexer import Vocabulary
from ..syntax.tree import Count, Tree
from ..text import Span

if TYPE_CHECKING:
    from .definitions import Definition
    from .notes import Conventions
    from .schedules import Schedule


@dataclass(frozen=True, slots=True)
class Note:
    """Something the manuscript says for all rows. ``used`` is False where the fabric did not take it into account."""

    span: Span
    kind: str
    used: bool = True


@dataclass(frozen=True, slots=True)
class Multiple:
    """A stated multiple: so many, plus so many, for the foundation chain (``chains``) or the stitches."""

    n: int
    plus: int
    span: Span
    strict: bool = True


@dataclass(frozen=True, slots=True)
class Slip:
    """A slip met before any row was worked: a reference to no row, a range that disagrees with its own number of rows."""

    kind: str
    span: Span
    facts: dict[str, object] = field(default_factory=dict[str, object])


@dataclass(frozen=True, slots=True)
class Entry:
    """One thing to do in order: a foundation, a row, or a sentence between rows.

    ``kind``: row, foundation, even, until, open, schedule, sizes, turn, no-turn, off, rejoin, new. ``tree`` spans count
    from ``origin``. ``sizes`` are the indices of the sizes it is for, () for all.
    """

    kind: str
    span: Span
    label_span: Span
    origin: int = 0
    label: str = ""
    number: int | None = None
    tree: Tree | None = None
    written: bool = True
    sizes: tuple[int, ...] = ()
    count: Count | None = None  # a count of this entry's own, where the tree is another row's
    count_origin: int = 0
    own_count: bool = True
    lenient: bool = False  # a range's count that may be meant for its last row only
    side: str | None = None
    info: Label | None = None
    chains: tuple[int | None, ...] = ()
    chainless: str = ""  # the stitch a foundation without a chain is made of
    ring: bool = False
    joined: bool = False
    multiple: Multiple | None = None
    slips: tuple[Slip, ...] = ()
    repeated: tuple[tuple[Tree, int], ...] = ()
    until: tuple[int | None, ...] = ()
    ends_side: str | None = None
    schedule: Schedule | None = None
    source: int | None = None  # number of the row whose words are worked
    modified: bool = False
    times: int = 1


@dataclass(frozen=True)
class Piece:
    """A part with its own numbering."""

    name: str
    span: Span
    entries: tuple[Entry, ...]
    goes_on: bool = False  # takes over the live stitches of the piece before
    make: int | None = None
    slips: tuple[Slip, ...] = ()


@dataclass(frozen=True)
class Pattern:
    """A manuscript's pattern. ``terms`` is "US", "UK" or None, ``terms_because`` the evidence in words."""

    terms: str | None
    terms_because: str
    terms_declared: Span | None
    sizes: tuple[str, ...]
    pieces: tuple[Piece, ...] = ()
    notes: tuple[Note, ...] = ()
    conventions: Conventions | None = None
    definitions: tuple[Definition, ...] = ()
    multiples: tuple[Multiple, ...] = ()
    antique: bool = False
    vocabulary: Vocabulary = Vocabulary()  # noqa: RUF009 - immutable; what its rows were read with
