"""The runs of a Word file cut at the words that notes are about, without a change to what they show or how they look."""

from __future__ import annotations

from collections.abc import Iterable
from copy import deepcopy
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from ..manuscript.word import characters, paragraphs, runs
from ..manuscript.word_lists import W

if TYPE_CHECKING:
    from ..manuscript.packed import Element

_SPACE = "{http://www.w3.org/XML/1998/namespace}space"
_PROPERTIES = f"{W}rPr"


@dataclass(frozen=True, slots=True)
class Target:
    """Some characters of a run; all of it where ``end`` is None. ``order`` is the run's place in the part."""

    order: tuple[int, int]
    run: Element
    start: int = 0
    end: int | None = None


@dataclass
class Runs:
    """A part's runs as they were before anything was cut, and the pieces they are cut into."""

    root: Element
    _paragraphs: list[Element] = field(default_factory=list["Element"])
    _numbers: dict[Element, int] = field(default_factory=dict["Element", int])
    _runs: dict[int, list[Element]] = field(default_factory=dict[int, "list[Element]"])
    _pieces: dict[Element, list[tuple[int, Element]]] = field(default_factory=dict["Element", "list[tuple[int, Element]]"])

    def __post_init__(self) -> None:
        self._paragraphs = paragraphs(self.root)
        self._numbers = {paragraph: number for number, paragraph in enumerate(self._paragraphs)}

    def __len__(self) -> int:
        return len(self._paragraphs)

    def paragraph(self, number: int) -> Element:
        return self._paragraphs[number]

    def of(self, number: int) -> list[Element]:
        """The runs of a paragraph."""
        if number not in self._runs:
            self._runs[number] = runs(self._paragraphs[number])
        return self._runs[number]

    def whole(self, run: Element) -> Target:
        """A run as the target of a note."""
        number = self._numbers[next(run.iterancestors(f"{W}p"))]
        return Target((number, self.of(number).index(run)), run)

    def cut(self, targets: Iterable[Target]) -> None:
        """Cut every run where a target begins or ends. Done once; targets keep naming the run as it was."""
        cuts: dict[Element, set[int]] = {}
        for target in targets:
            cuts.setdefault(target.run, set()).update(() if target.end is None else (target.start, target.end))
        for run, places in cuts.items():
            self._pieces[run] = _cut(run, sorted(places))

    def pieces(self, target: Target) -> list[Element]:
        """The pieces of a run that has been cut, those that a target covers; none where it covers no characters."""
        whole = self._pieces[target.run]
        return [piece for start, piece in whole if target.end is None or target.start <= start < target.end]


def _cut(run: Element, places: list[int]) -> list[tuple[int, Element]]:
    """The run and what was cut off behind it, each with the number of its first character."""
    whole = length(run)
    pieces = [(0, run)]
    for place in places:
        start, last = pieces[-1]
        if start < place < whole:
            pieces.append((place, _cut_off(last, place - start)))
    return pieces


def length(run: Element) -> int:
    return sum(len(chars) for _, chars in characters(run))


def _cut_off(run: Element, at: int) -> Element:
    """Take what stands from a character on out of a run into another one behind it, which looks the same."""
    rest = run.makeelement(run.tag, dict(run.attrib), run.nsmap)
    properties = run.find(_PROPERTIES)
    if properties is not None:
        rest.append(deepcopy(properties))
    widths = {element: len(chars) for element, chars in characters(run)}
    passed = 0
    for element in list(run):
        if element is properties:
            continue
        width = widths.get(element, 0)
        if passed >= at:
            rest.append(element)
        elif passed + width > at:
            rest.append(_cut_text(element, at - passed))
        passed += width
    rest.tail, run.tail = run.tail, None
    run.addnext(rest)
    return rest


def _cut_text(element: Element, at: int) -> Element:
    words = element.text or ""
    rest = element.makeelement(element.tag, dict(element.attrib), element.nsmap)
    for part, chars in ((element, words[:at]), (rest, words[at:])):
        part.text = chars
        part.set(_SPACE, "preserve")
    return rest
