"""The numbers that Word gives to the paragraphs of a list: they are part of the text but stand nowhere in it.

ECMA-376 part 1, section 17.9 (numbering). A paragraph, or its style, names a list (``numId``) and a level; the list names
an abstract definition that says how each level counts and what is printed. Lists of one definition count on from each
other unless one says that it starts anew.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from .. import regex
from .blocks import BULLET
from .numerals import FORMATS, whole

if TYPE_CHECKING:
    from .packed import Element

W = "{http://schemas.openxmlformats.org/wordprocessingml/2006/main}"
_GAPS = {"nothing": "", "space": " ", "tab": " "}


class Styles:
    """The styles of one document, each based on others."""

    def __init__(self, root: Element | None) -> None:
        self._styles = {style.get(f"{W}styleId", ""): style for style in _within(root, "style")}

    def chain(self, name: str) -> Iterator[Element]:
        """A style and those it is based on, nearest first."""
        seen: set[str] = set()
        while name in self._styles and name not in seen:
            seen.add(name)
            yield self._styles[name]
            name = value(self._styles[name], "basedOn")


@dataclass(frozen=True, slots=True)
class _Level:
    """How one level of a list counts. ``set_back_by`` is the deepest level, from 0, that sets its count back."""

    start: int
    format: str
    text: str
    gap: str
    set_back_by: int
    in_figures: bool
    style: str


@dataclass(frozen=True, slots=True)
class _List:
    """One list (``w:num``): the definition it counts with, its levels, and where it starts anew."""

    definition: str
    levels: Mapping[int, _Level]
    anew: Mapping[int, int]


class Lists:
    """The lists of one document, counting as its paragraphs are met in order."""

    def __init__(self, numbering: Element | None, styles: Styles) -> None:
        self._styles = styles
        self._definitions = {d.get(f"{W}abstractNumId", ""): d for d in _within(numbering, "abstractNum")}
        self._elements = {n.get(f"{W}numId", ""): n for n in _within(numbering, "num")}
        self._lists: dict[str, _List] = {}
        self._counts: dict[str, dict[int, int]] = {}
        self._begun: set[tuple[str, int]] = set()

    def label(self, properties: Element | None) -> str:
        """What is printed before a paragraph with these properties (``w:pPr``): “3. ”, “• ”, or nothing."""
        number, level, style = self._named_by(properties)
        if number not in self._elements:
            return ""
        this = self._list(number)
        if level is None:
            level = next((n for n, each in this.levels.items() if style and each.style == style), 0)
        if level not in this.levels:
            return ""
        counts = self._counts.setdefault(this.definition, {})
        self._count(number, level, this, counts)
        kind = this.levels[level]
        if kind.format == "bullet":
            return f"{BULLET} "
        printed = regex.sub(r"%([1-9])", lambda m: _figure(int(m[1]) - 1, kind, this, counts), kind.text)
        return printed + kind.gap if printed.strip() else ""

    def _named_by(self, properties: Element | None) -> tuple[str, int | None, str]:
        """The list and level a paragraph names, itself or through its style, and the style that names it."""
        own = child(properties, "numPr")
        number, level = value(own, "numId"), whole(value(own, "ilvl"))
        if number:
            return number, level or 0, ""
        for style in self._styles.chain(value(properties, "pStyle")):
            named = child(child(style, "pPr"), "numPr")
            if value(named, "numId"):
                given = whole(value(named, "ilvl")) if level is None else level
                return value(named, "numId"), given, style.get(f"{W}styleId", "")
        return "", None, ""

    def _list(self, number: str) -> _List:
        if number not in self._lists:
            element = self._elements[number]
            definition = self._definition(value(element, "abstractNumId"))
            levels = dict(_levels(_within(self._definitions.get(definition), "lvl")))
            anew: dict[int, int] = {}
            for override in _within(element, "lvlOverride"):
                at = whole(override.get(f"{W}ilvl")) or 0
                levels.update(_levels(_within(override, "lvl")))
                start = whole(value(override, "startOverride"))
                if start is not None:
                    anew[at] = start
            self._lists[number] = _List(definition, levels, anew)
        return self._lists[number]

    def _definition(self, name: str, depth: int = 0) -> str:
        """The definition itself, where this one only names the style that has it."""
        link = value(self._definitions.get(name), "numStyleLink")
        for style in self._styles.chain(link):
            number = value(child(child(style, "pPr"), "numPr"), "numId")
            if number in self._elements and depth < 4:
                return self._definition(value(self._elements[number], "abstractNumId"), depth + 1)
        return name

    def _count(self, number: str, level: int, this: _List, counts: dict[int, int]) -> None:
        first = (number, level) not in self._begun
        self._begun.add((number, level))
        if first and level in this.anew:
            counts[level] = this.anew[level]
        else:
            counts[level] = counts[level] + 1 if level in counts else this.levels[level].start
        for deeper in [n for n in counts if n > level]:
            if deeper not in this.levels or level <= this.levels[deeper].set_back_by:
                del counts[deeper]


def _figure(level: int, asking: _Level, this: _List, counts: Mapping[int, int]) -> str:
    """The count of one level as it is printed within the label of another."""
    if level not in this.levels:
        return ""
    own = this.levels[level]
    format = "decimal" if asking.in_figures else own.format
    return FORMATS.get(format, str)(counts.get(level, own.start))


def _levels(elements: Iterable[Element]) -> Iterator[tuple[int, _Level]]:
    for element in elements:
        level = whole(element.get(f"{W}ilvl")) or 0
        start, restart = whole(value(element, "start")), whole(value(element, "lvlRestart"))
        yield level, _Level(
            start=0 if start is None else start,
            format=value(element, "numFmt") or "decimal",
            text=value(element, "lvlText"),
            gap=_GAPS.get(value(element, "suff"), " "),
            set_back_by=level - 1 if restart is None else restart - 1,
            in_figures=child(element, "isLgl") is not None,
            style=value(element, "pStyle"),
        )


def child(element: Element | None, name: str) -> Element | None:
    return element.find(f"{W}{name}") if element is not None else None


def value(element: Element | None, name: str) -> str:
    """The value (``w:val``) of a child, or nothing."""
    found = child(element, name)
    return found.get(f"{W}val", "") if found is not None else ""


def _within(element: Element | None, name: str) -> list[Element]:
    return element.findall(f"{W}{name}") if element is not None else []
