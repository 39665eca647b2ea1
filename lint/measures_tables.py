"""Measurements in tables, whose unit stands with a heading: a line "Bust (in)  32  36  40", or a column of that name.

Cells are parted by strokes, tabs or two spaces. What stands in no column of its own is left alone.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

from . import regex
from .measures import NUMBER, Amount, Figure, Pair, number, unit_of
from .text import Span

_HEADING = regex.compile(r"(?P<label>[A-Za-z][A-Za-z /&'’.-]{0,40}?)[\s,:]*[(\[,/]?\s*(?P<unit>inches|inch|ins|in|cms|cm|mm|yds|yd|[\"″])\.?\s*[)\]]?")
_UNIT = r"(?:inches|inch|ins|in|cms|cm|mm|yds|yd|[\"″])\.?"
_HINT = regex.compile(rf"[(\[]{_UNIT}[)\]]|, ?{_UNIT}[ *_]*(?:\||\t|[ ]{{2}})", regex.IGNORECASE)
_CELL = regex.compile(r"(?:(?!\s*\||\s{2,}|\t)[^\n])+")
_DRESS = "| \t\r*_"
_FIGURE = regex.compile(rf"(?:{NUMBER})")


@dataclass(frozen=True, slots=True)
class Measured:
    """A line or column of a table: what is measured, as printed, and its figures in the order of the table."""

    label: str
    amount: Amount


@dataclass(frozen=True, slots=True)
class _Cell:
    text: str
    span: Span


@lru_cache(maxsize=8)
def measured(source: str) -> tuple[Measured, ...]:
    """Every line and column of measurements in the text's tables, in order."""
    out: list[Measured] = []
    done = -1
    for hint in _HINT.finditer(source):
        if hint.start() < done:
            continue
        start = _blank_before(source, hint.start())
        done = _blank_after(source, hint.end())
        rows = list(_rows(source, start, done))
        out += _lines(rows)
        out += _columns(rows)
    return tuple(out)


def table_pairs(source: str) -> Iterator[Pair]:
    """Lines or columns of one label in two units, inches and centimetres."""
    found = measured(source)
    for i, one in enumerate(found):
        for other in found[i + 1 :]:
            a, b = one.amount, other.amount
            if one.label == other.label and a.symbol != b.symbol and len(a.figures) == len(b.figures):
                yield Pair(a, b, False)


def _blank_before(source: str, at: int) -> int:
    found = max(source.rfind("\n\n", 0, at), source.rfind("\r\n\r\n", 0, at))
    return found + 1 if found >= 0 else 0


def _blank_after(source: str, at: int) -> int:
    ends = [found for mark in ("\n\n", "\r\n\r\n") if (found := source.find(mark, at)) >= 0]
    return min(ends, default=len(source))


def _rows(source: str, start: int, end: int) -> Iterator[list[_Cell]]:
    """The lines of a block as cells; the rule under a Markdown heading is left out."""
    at = start
    for line in source[start:end].split("\n"):
        cells = [_cell(m, at) for m in _CELL.finditer(line) if m.group().strip(_DRESS)]
        if len(cells) > 1 and not regex.fullmatch(r"[\s|:=-]+", line):
            yield cells
        at += len(line) + 1


def _cell(match: regex.Match[str], at: int) -> _Cell:
    text = match.group().strip(_DRESS)
    start = at + match.start() + match.group().index(text)
    return _Cell(text, Span(start, start + len(text)))


def _lines(rows: Sequence[Sequence[_Cell]]) -> Iterator[Measured]:
    for row in rows:
        heading = _HEADING.fullmatch(row[0].text)
        got = _amount(row[1:], heading) if heading else None
        if heading and got is not None:
            yield Measured(_plain(heading["label"]), got)


def _columns(rows: Sequence[Sequence[_Cell]]) -> Iterator[Measured]:
    if len(rows) < 3:
        return
    head, body = rows[0], rows[1:]
    if any(len(row) != len(head) for row in body):
        return
    for i, cell in enumerate(head):
        heading = _HEADING.fullmatch(cell.text)
        got = _amount([row[i] for row in body], heading) if heading and i else None
        if heading and got is not None:
            yield Measured(_plain(heading["label"]), got)


def _plain(label: str) -> str:
    return " ".join(regex.sub(r"[^a-z ]+", " ", label.lower()).split())


def _amount(cells: Sequence[_Cell], heading: regex.Match[str]) -> Amount | None:
    """The figures of a line or column, one to a cell; None where a cell holds anything else."""
    unit = unit_of(heading["unit"])
    figures: list[Figure] = []
    for cell in cells:
        match = _FIGURE.fullmatch(cell.text)
        value = number(match.group()) if match else None
        if value is None:
            return None
        figures.append(Figure(value, cell.span))
    if unit is None or not figures:
        return None
    return Amount(tuple(figures), unit.symbol, heading["unit"], figures[0].span.to(figures[-1].span))
