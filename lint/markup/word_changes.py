"""Corrections as tracked changes of a Word file, which the author accepts or declines (ECMA-376 part 1, section 17.13.5)."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from copy import deepcopy
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ..finding import Edit
from ..manuscript.word_lists import W
from .notes import AUTHOR
from .word_comments import plain
from .word_runs import Runs, Target

if TYPE_CHECKING:
    from ..manuscript.packed import Element

NUMBERED = tuple(f"{W}{name}" for name in ("ins", "del", "moveFrom", "moveTo", "rPrChange", "pPrChange", "bookmarkStart"))
_AROUND = frozenset(f"{W}{name}" for name in ("hyperlink", "smartTag", "sdt", "sdtContent"))
_SPACE = "{http://www.w3.org/XML/1998/namespace}space"


@dataclass(frozen=True, slots=True)
class Change:
    """An edit, and the characters it replaces; where it replaces none, those it comes ``behind``."""

    edit: Edit
    targets: tuple[Target, ...]
    behind: bool

    def can_be_tracked(self, runs: Runs) -> bool:
        """Whether its words are plain ones of one paragraph that no one else has changed. Asked when the runs are cut."""
        covered = sum((t.end or 0) - t.start for t in self.targets)
        if covered != (1 if self.behind else len(self.edit.span)) or "\n" in self.edit.text or len({t.order[0] for t in self.targets}) != 1:
            return False
        paragraph = next(self.targets[0].run.iterancestors(f"{W}p"))
        if next(paragraph.iter(f"{W}fldChar"), None) is not None:
            return False
        return all(
            all(each.tag in (f"{W}rPr", f"{W}t") for each in piece) and all(each.tag in _AROUND for each in _around(piece, paragraph))
            for target in self.targets
            for piece in runs.pieces(target)
        )

    def track(self, runs: Runs, number: int, date: str) -> int:
        """Put the change in, numbered from ``number`` on; the number after the last one used."""
        pieces = [piece for target in self.targets for piece in runs.pieces(target)]
        if self.edit.text:
            pieces[-1].addnext(_put_in(pieces[0], self.edit.text, number, date))
            number += 1
        for piece in () if self.behind else pieces:
            _strike(piece, number, date)
            number += 1
        return number


def _around(piece: Element, paragraph: Element) -> Iterator[Element]:
    for each in piece.iterancestors():
        if each is paragraph:
            return
        yield each


def _signed(like: Element, name: str, number: int, date: str) -> Element:
    return like.makeelement(f"{W}{name}", {f"{W}id": str(number), f"{W}author": AUTHOR, f"{W}date": date})


def _put_in(like: Element, words: str, number: int, date: str) -> Element:
    """A run with new words that looks like another one."""
    change = _signed(like, "ins", number, date)
    run = like.makeelement(f"{W}r")
    properties = like.find(f"{W}rPr")
    if properties is not None:
        copied = deepcopy(properties)
        for earlier in copied.findall(f"{W}rPrChange"):
            copied.remove(earlier)
        run.append(copied)
    text = like.makeelement(f"{W}t", {_SPACE: "preserve"})
    text.text = plain(words)
    run.append(text)
    change.append(run)
    return change


def _strike(run: Element, number: int, date: str) -> None:
    """Mark a run as taken out."""
    change = _signed(run, "del", number, date)
    run.addprevious(change)
    change.append(run)
    for text in run.findall(f"{W}t"):
        text.tag = f"{W}delText"
        text.set(_SPACE, "preserve")


def track_groups(groups: Sequence[Sequence[Change]], runs: Runs, number: int, date: str) -> list[Edit]:
    """The edits of every group of changes that can be tracked as a whole; what another group has made is not made again."""
    made: list[Edit] = []
    for group in groups:
        if all(change.can_be_tracked(runs) for change in group if change.edit not in made):
            for change in group:
                if change.edit not in made:
                    number = change.track(runs, number, date)
                    made.append(change.edit)
    return made
