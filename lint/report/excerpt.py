"""The words a finding is about, shown in the row they stand in, with marks under them."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from ..text import Span, Text
from ..words import printable
from .page import Cell, wrapped

MAX_LINES = 6
"""Wrapped lines of one excerpt; what is left out is shown by an ellipsis."""

_MARK = "^"
_ELLIPSIS = "…"


def excerpt(text: Text, span: Span, row: Span | None, width: int, look: str) -> Iterator[list[Cell]]:
    """Lines of at most ``width`` cells, each line with marks followed by its marks.

    Marks under every word of several lines would tell nothing, so there are none. Shown is ``row``, where the span stands in one, or else the lines around the span.
    """
    lines = list(wrapped(_run(text, row or _lines_around(text, span), span), width))
    shown = _chosen(lines)
    whole = len(lines) > 1 and all(cell.marked for line in lines for cell in line if cell.char != " ")
    for before, number in pairwise((-1, *shown)):
        if number > before + 1:
            yield [Cell(_ELLIPSIS)]
        yield lines[number]
        marks = [] if whole else _marks(lines[number], look)
        if marks:
            yield marks
    if shown and shown[-1] < len(lines) - 1:
        yield [Cell(_ELLIPSIS)]


def quoted(text: Text, span: Span, most: int = 60) -> str:
    """The words of a span on one line, at most so many characters: “work shells evenly…”."""
    words = " ".join("".join(map(printable, text[span])).split())
    if len(words) > most:
        words = words[: most - 1].rstrip() + _ELLIPSIS
    return f"“{words}”"


def _lines_around(text: Text, span: Span) -> Span:
    first, last = text.line_number(span.start), text.line_number(max(span.start, span.end - 1))
    return text.line_span(first).to(text.line_span(last))


def _run(text: Text, around: Span, span: Span) -> Iterator[Cell]:
    """The characters around, line ends and other white space as single spaces, those of the span marked."""
    end = max(span.end, span.start + 1)
    space = True
    for offset in range(around.start, min(around.end, len(text))):
        char = printable(text.source[offset])
        marked = span.start <= offset < end
        if char == " ":
            if not space:
                yield Cell(char, marked=marked and offset < span.end - 1)
            space = True
        else:
            yield Cell(char, marked=marked)
            space = False
    if span.start >= around.end:
        yield Cell(" ", marked=True)


def _chosen(lines: list[list[Cell]]) -> list[int]:
    """Which wrapped lines are shown: all, or the first (it has the label) and those with marks and around them."""
    if len(lines) <= MAX_LINES:
        return list(range(len(lines)))
    marked = [number for number, line in enumerate(lines) if any(cell.marked for cell in line)]
    wanted = [0, *marked]
    for number in marked[:1]:
        wanted += [number - 1]
    for number in marked[-1:]:
        wanted += [number + 1]
    return sorted({number for number in wanted if 0 <= number < len(lines)})[:MAX_LINES]


def _marks(line: list[Cell], look: str) -> list[Cell]:
    marks = [Cell((_MARK if cell.marked else " ") * cell.width, look if cell.marked else "") for cell in line]
    while marks and _MARK not in marks[-1].char:
        marks.pop()
    return marks
