"""What word-processor files and web pages are made of, lines and tables, and how they are written out as text.

A paragraph is a line. A table of rows or rounds becomes one labelled line a row, as it would be written without a table;
another table a line a row with bars between its cells, as in Markdown; one that only sets text side by side is read cell
by cell.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace

from .. import regex
from .assembly import Assembly, Piece, trimmed, words_of


@dataclass(frozen=True, slots=True)
class Line:
    """A paragraph, heading or list entry; ``joined`` goes on in the line before it."""

    pieces: tuple[Piece, ...]
    heading: bool = False
    joined: bool = False


@dataclass(frozen=True, slots=True)
class Missing:
    """Something that is not read, in words that say what."""

    message: str


@dataclass(frozen=True, slots=True)
class Table:
    """Rows of cells, each cell a list of blocks. A cell that goes on from the row above is empty."""

    rows: list[list[list[Block]]] = field(default_factory=list["list[list[Block]]"])


Block = Line | Table | Missing

BULLET = "•"

_LABEL = regex.compile(r"\s*(?:rows?|rnds?|rounds?|r)\.?\s*\d+[\s\d,&–—-]*(?:to\s*\d+\s*)?(?:\((?:rs|ws)\))?\s*[:.)]?\s*", regex.IGNORECASE)
_NUMBER = regex.compile(r"\s*\d+(?:\s*(?:[–—-]|to)\s*\d+)?\s*[:.)]?\s*")
_LABEL_HEADING = regex.compile(r"\s*(?:(?P<row>rows?)|(?P<round>rnds?|rounds?)|r|no\.?|#)\s*(?:no\.?|number|#)?\s*[:.]?\s*", regex.IGNORECASE)
_COUNT = regex.compile(r"\s*\d+(?:\s+(?:sts?|stitches|sc|dc|hdc|tr))?\s*", regex.IGNORECASE)
_COUNT_HEADING = regex.compile(r"\s*(?:(?:total|no\.?|number)\s+(?:of\s+)?)?(?:sts?|stitch(?:es)?|count|stitch\s+count|total)\s*[:.]?\s*", regex.IGNORECASE)
_DIGITS = tuple("0123456789")
_RAISED = str.maketrans("0123456789", "⁰¹²³⁴⁵⁶⁷⁸⁹")




def write(blocks: Iterable[Block], to: Assembly) -> None:
    """The blocks as text, one after the other."""
    for block in blocks:
        if isinstance(block, Missing):
            to.gap(block.message)
        elif isinstance(block, Table):
            _write_table(block, to)
        elif not words_of(block.pieces).strip():
            to.blank()
        elif block.heading:
            to.blank()
            to.line(block.pieces)
            to.blank()
        else:
            to.line(block.pieces, joined=block.joined)


def raised_digits(pieces: Sequence[tuple[Piece, bool]]) -> Iterator[Piece]:
    """The pieces, some of them raised above the line. A raised number is a note's mark or part of a fraction; run into the
    number before it, it would make another number of it: 12¹ is not 121, nor 1½ 11/2."""
    before = ""
    for at, (piece, raised) in enumerate(pieces):
        if raised and piece.chars[:1] in _DIGITS:
            after = pieces[at + 1][0].chars if at + 1 < len(pieces) else ""
            if not regex.match(r"\d+\s*[/⁄]", piece.chars + after):
                piece = replace(piece, chars=piece.chars.translate(_RAISED))
            elif before[-1:] in _DIGITS:
                yield Piece(" ")
        yield piece
        before = piece.chars or before


def _write_table(table: Table, to: Assembly) -> None:
    to.blank()
    if _is_set_side_by_side(table):
        for row in table.rows:
            for cell in row:
                write(cell, to)
                to.end_line()
    else:
        rows = [[_one_line(cell, to) for cell in row] for row in table.rows]
        for row in _labelled(rows) or map(_barred, rows):
            to.line(row)
    to.blank()


def _is_set_side_by_side(table: Table) -> bool:
    """Whether the cells hold text of their own, as when a table stands for columns, and not a row's parts."""
    cells = [cell for row in table.rows for cell in row if any(map(_says, cell))]
    long = sum(sum(map(_says, cell)) > 2 for cell in cells)
    alone = all(sum(any(map(_says, cell)) for cell in row) <= 1 for row in table.rows)
    return alone or long * 4 > len(cells) or any(isinstance(block, Table) for cell in cells for block in cell)


def _says(block: Block) -> bool:
    return not isinstance(block, Line) or bool(words_of(block.pieces).strip())


def _one_line(cell: Sequence[Block], to: Assembly) -> list[Piece]:
    """A cell's words, its paragraphs run together."""
    out: list[Piece] = []
    for block in cell:
        if isinstance(block, Missing):
            to.gap(block.message)
        elif isinstance(block, Line) and _says(block):
            out += [Piece(" ")] if out else []
            out += (replace(piece, chars=regex.sub(r"[\r\n]", " ", piece.chars)) for piece in block.pieces)
    return trimmed(out)


def _labelled(rows: list[list[list[Piece]]]) -> list[list[Piece]]:
    """A table whose first column labels rows or rounds, each row as a labelled line; [] for any other table.

    The words over the columns go into the labels and counts that they explain.
    """
    heading = _LABEL_HEADING.fullmatch(words_of(rows[0][0])) if rows and rows[0] else None
    body = [row for row in (rows[1:] if heading else rows) if any(row)]
    labels = [words_of(row[0]) for row in body]
    named = sum(_LABEL.fullmatch(label) is not None for label in labels)
    numbered = sum(_NUMBER.fullmatch(label) is not None for label in labels) if heading else 0
    if max((len(row) for row in body), default=0) < 2 or (named + numbered) * 2 <= len(labels) or named + numbered < 2:
        return []
    word = "Row " if heading and heading["row"] else "Rnd " if heading and heading["round"] else "R"
    counted = _counts(rows, body, heading is not None)
    return [_labelled_line(row, word, counted) for row in body]


def _counts(rows: list[list[list[Piece]]], body: list[list[list[Piece]]], headed: bool) -> bool:
    """Whether the last column holds the rows' stitch counts."""
    last = [words_of(row[-1]) for row in body if len(row) > 2 and row[-1]]
    if headed and len(rows[0]) > 2 and _COUNT_HEADING.fullmatch(words_of(rows[0][-1])):
        return True
    return bool(last) and all(_COUNT.fullmatch(words) for words in last)


def _labelled_line(row: list[list[Piece]], word: str, counted: bool) -> list[Piece]:
    label, *cells = row
    words = words_of(label)
    if not _LABEL.fullmatch(words) and not _NUMBER.fullmatch(words):
        return _barred(row) if label and any(cells) else [piece for cell in row for piece in (*cell, Piece(" "))]
    out = [Piece(word)] if _NUMBER.fullmatch(words) else []
    out += [*label, Piece(" " if words.rstrip().endswith((":", ".", ")")) else ": ")]
    for cell in cells[:-1] if counted else cells:
        out += [*cell, Piece(" ")] if cell else []
    if counted and cells[-1]:
        bare = _COUNT.fullmatch(words_of(cells[-1])) is not None
        out += [Piece("("), *cells[-1], Piece(")")] if bare else cells[-1]
    return out


def _barred(row: list[list[Piece]]) -> list[Piece]:
    return [Piece("|"), *(piece for cell in row for piece in (Piece(" "), *cell, Piece(" |")))]
