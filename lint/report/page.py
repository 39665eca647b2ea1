"""Words laid out on lines of a given width, with or without colour. What is said never depends on the colour."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import lru_cache
from typing import NamedTuple

from ..words import printable

NARROWEST, WIDEST, USUAL = 40, 140, 80
"""Widths in character cells: narrower terminals wrap, wider ones are left empty, files get the usual."""

_LOOKS = {
    "heading": "bold",
    "wrong": "bold red",
    "query": "bold yellow",
    "style": "bold cyan",
    "suggestion": "bold blue",
    "proved": "green",
    "differs": "red",
    "assumed": "yellow",
    "unread": "yellow",
    "words": "",
    "aside": "dim",
}


class Cell(NamedTuple):
    """One character as shown. ``marked`` asks for a mark under it."""

    char: str
    look: str = ""
    marked: bool = False

    @property
    def width(self) -> int:
        """Character cells taken: 0 for a combining character, 2 for a wide one."""
        return width_of(self.char)


def width_of(text: str) -> int:
    """Character cells that ``text`` takes."""
    if text.isascii():
        return len(text)
    return sum(map(_wide, text))


@lru_cache(maxsize=4096)
def _wide(char: str) -> int:
    from rich.cells import cell_len

    return cell_len(char)


def cells(text: str, look: str = "") -> list[Cell]:
    """The characters of ``text``, those a terminal would obey replaced."""
    if text.isascii() and text.isprintable():
        return [Cell(char, look) for char in text]
    return [Cell(printable(char), look) for char in text]


def wrapped(run: Iterable[Cell], width: int) -> Iterator[list[Cell]]:
    """Lines of at most ``width`` cells, broken at spaces where there are any."""
    line: list[Cell] = []
    taken, last_space = 0, -1
    for cell in run:
        if not line and cell.char == " " and not cell.marked:
            continue
        space = width_of(cell.char)
        if taken + space > width and line:
            if cell.char == " ":
                yield line
                line, taken, last_space = [], 0, -1
                continue
            if last_space > 0:
                yield line[:last_space]
                line = line[last_space + 1 :]
            else:
                yield line
                line = []
            taken, last_space = sum(c.width for c in line), -1
        if cell.char == " ":
            last_space = len(line)
        line.append(cell)
        taken += space
    while line and line[-1].char == " " and not line[-1].marked:
        line.pop()
    if line:
        yield line


class Page:
    """Lines in the making. ``width`` in character cells."""

    def __init__(self, width: int = USUAL, colour: bool = False) -> None:
        self.width = max(NARROWEST, min(width, WIDEST))
        self.colour = colour
        self._lines: list[str] = []

    def text(self) -> str:
        return "".join(f"{line}\n" for line in self._lines)

    def gap(self) -> None:
        """One empty line, never two and none at the top."""
        if self._lines and self._lines[-1]:
            self._lines.append("")

    def line(self, run: Iterable[Cell]) -> None:
        """One line as it is, whatever its width."""
        self._lines.append(self._rendered(run).rstrip())

    def heading(self, words: str) -> None:
        """Words with a line under them, so that they stand out without colour."""
        self.paragraph((words, "heading"))
        self.line(cells("─" * min(width_of(words), self.width), "aside"))

    def rule(self) -> None:
        self.line(cells("─" * self.width, "aside"))

    def paragraph(self, *parts: str | tuple[str, str], first: str = "", rest: str | None = None) -> None:
        """Parts joined and wrapped; a part may carry a look. ``first`` and ``rest`` start the first and other lines."""
        rest = " " * width_of(first) if rest is None else rest
        if len(parts) == 1 and isinstance(parts[0], str) and self._fits(first + parts[0]):
            self._lines.append((first + parts[0]).rstrip())
            return
        run = [cell for part in parts for cell in (cells(part) if isinstance(part, str) else cells(*part))]
        room = max(10, self.width - max(width_of(first), width_of(rest)))
        for number, line in enumerate(wrapped(run, room)):
            self.line([*cells(rest if number else first), *line])

    def _fits(self, line: str) -> bool:
        """Whether a line can be taken as it is: the usual case, and worth being quick about."""
        return (
            len(line) <= self.width
            and "  " not in line.strip()
            and line.isprintable()
            and width_of(line) <= self.width
        )

    def _rendered(self, run: Iterable[Cell]) -> str:
        if not self.colour:
            return "".join(cell.char for cell in run)
        pieces: list[str] = []
        words, look = "", ""
        for cell in run:
            if cell.look != look:
                pieces.append(_coloured(words, look))
                words, look = "", cell.look
            words += cell.char
        return "".join((*pieces, _coloured(words, look)))


def _coloured(words: str, look: str) -> str:
    style = _LOOKS.get(look, "")
    if not words or not style:
        return words
    from rich.color import ColorSystem
    from rich.style import Style

    return Style.parse(style).render(words, color_system=ColorSystem.STANDARD)
