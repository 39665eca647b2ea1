"""The sheets of a workbook as plain values: what is in them is decided here, how they are written in ``xlsx`` and ``csv_sheet``.

A sum is kept as a formula together with its value, so that a sheet recomputes in a spreadsheet and says the same where
nothing recomputes. Words are words: what a manuscript says is never a formula, whatever it begins with.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from ..proof import Proof
from ..queries import QueryList
from ..text import Text
from ..unprinted import Unprinted
from ..words import one_line


@dataclass(frozen=True, slots=True)
class Sum:
    """A formula, and what it comes to now; "" where it shows nothing."""

    formula: str
    value: float | str


Cell = str | int | float | Sum | None


@dataclass(frozen=True, slots=True)
class Column:
    """One column. ``width`` in characters; ``choices`` are what may be filled in; ``kept`` is for the program alone."""

    head: str
    width: int = 10
    wraps: bool = False
    choices: tuple[str, ...] = ()
    differs: bool = False  # a difference: whatever is not 0 stands out
    kept: bool = False


@dataclass(frozen=True, slots=True)
class Sheet:
    """A table under one row of headings."""

    name: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]


@dataclass(frozen=True)
class Manuscript:
    """What the sheets are made from: a manuscript proofed, what is known beside it, and the tolerance for its sizes.

    ``off`` is the share by which a size may part from what the gauge gives, such as 0.1.
    """

    path: str
    proof: Proof
    unprinted: Unprinted = Unprinted()  # noqa: RUF009 - immutable
    off: float = 0.1
    remark: str = ""


@dataclass(frozen=True)
class Desk:
    """All manuscripts of one workbook, and the query list they came with."""

    manuscripts: tuple[Manuscript, ...]
    asked: QueryList

    @property
    def several(self) -> bool:
        return len(self.manuscripts) > 1


def table(name: str, desk: Desk, columns: Sequence[Column], rows: Iterator[tuple[str, Sequence[Cell]]]) -> Sheet:
    """A sheet whose rows each come with their manuscript's path: a column for it where there are several."""
    if not desk.several:
        return Sheet(name, tuple(columns), tuple(tuple(row) for _, row in rows))
    return Sheet(name, (Column("Manuscript", 20), *columns), tuple((words(path), *row) for path, row in rows))


def words(text: str) -> str:
    """Words fit for a cell: on one line, nothing that a file of XML cannot hold."""
    return one_line(text).translate(_NO_CHARACTERS)


def where(text: Text, offset: int) -> Cell:
    """The line of an offset as a number; of a document, whose lines nobody sees, the page or paragraph in words."""
    return words(text.where(offset)) if text.origins else text.line_number(offset)


_NO_CHARACTERS = {0xFFFE: 0xFFFD, 0xFFFF: 0xFFFD}


def letters(column: int) -> str:
    """The name of a column counted from 0: A, B … Z, AA."""
    name = ""
    column += 1
    while column:
        column, rest = divmod(column - 1, 26)
        name = chr(ord("A") + rest) + name
    return name


def less(one: str, other: str, value: float | None) -> Sum:
    """One cell less another, nothing where either is empty."""
    return Sum(f'=IF(OR({one}="",{other}=""),"",{one}-{other})', "" if value is None else value)
