"""Word files: a comment on the words of every finding, and where it is wished, corrections as tracked changes.

A run is cut where the words of a finding begin or end; nothing else of the text is touched. Comments stand in the body
of the text alone, as Word allows: what is found in a footnote, a text box, a header or a footer is noted where that hangs
on the text, with the words in the note.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from ..confined import Refused
from ..finding import Correction, Edit
from ..manuscript.origins import InParagraph, from_list
from ..manuscript.packed import Packed
from ..manuscript.word import read
from ..manuscript.word_lists import W
from ..manuscript.word_parts import STRICT, main_part, relations, relations_name, xml
from ..text import Span
from .notes import known_by
from .packing import packed_again
from .word_changes import NUMBERED, Change, track_groups
from .word_comments import EMPTY, add, answered, mark, name_part, next_number, own, plain, take_out
from .word_runs import Runs, Target, length

if TYPE_CHECKING:
    from ..manuscript.packed import Element

_TYPES = "[Content_Types].xml"
_BOX = f"{W}txbxContent"


def mark_up(data: bytes, arguments: dict[str, Any]) -> tuple[dict[str, Any], bytes]:
    """The file with its notes and corrections, and how many were put in. Raises Refused.

    ``notes`` are lists of ``lines``, ``about`` and the anchors ``at``; ``corrections`` are lists of edits that belong
    together, each with its ``span`` in the text, ``at``, ``behind`` and ``text``; ``replace`` takes the comments of an
    earlier round out first; ``date`` is when this is done.
    """
    before = read(data, {})[0]["source"]
    file = _File(Packed(data))
    placed = [p for note in arguments["notes"] for p in file.placed(note)]
    groups = [[file.change(edit) for edit in group] for group in arguments["corrections"]]
    if arguments["replace"]:
        file.take_out_own()
    placed = file.new(placed)
    file.runs.cut([*(t for p in placed for t in p.targets), *(t for group in groups for change in group for t in change.targets)])
    file.comment(placed, arguments["date"])
    made = file.correct(groups, arguments["date"])
    out = file.packed_again()
    if read(out, {})[0]["source"] != Correction("", tuple(made)).apply(before):
        raise Refused("this file could not be marked up without a change to its words, so it was left alone; please report it")
    return {"put": len(placed), "corrected": len(made)}, out


@dataclass(frozen=True, slots=True)
class _Placed:
    """A note and the parts of the runs it is about."""

    lines: tuple[str, ...]
    targets: tuple[Target, ...]


class _File:
    def __init__(self, packed: Packed) -> None:
        self.packed = packed
        self.main = main_part(packed)
        self.root = xml(packed, self.main)
        self.strict = STRICT[0][0] in packed.bytes(self.main)
        self.relations = relations(packed, self.main)
        self.runs = Runs(self.root)
        self.changed: dict[str, Element] = {self.main: self.root}
    def packed_again(self) -> bytes:
        return packed_again(self.packed, {name: _written(root, self.strict) for name, root in self.changed.items()})

    # -- comments ---------------------------------------------------------------------------------------------------

    def take_out_own(self) -> None:
        """Take out the comments of an earlier round, but those that someone has answered."""
        comments = self._comments(False)
        if comments is not None:
            extended = self._related("commentsExtended")
            take_out(self.root, comments, extended, own(comments).keys() - answered(comments, extended))

    def new(self, placed: Sequence[_Placed]) -> list[_Placed]:
        """The notes that no comment of an earlier round has said already."""
        comments = self._comments(False)
        there = {known_by(lines) for lines in own(comments).values()} if comments is not None else set[tuple[str, str]]()
        return [p for p in placed if known_by(p.lines) not in there]

    def comment(self, placed: Sequence[_Placed], date: str) -> None:
        """Put the notes in, when the runs have been cut."""
        comments = self._comments(bool(placed))
        if comments is None:
            return
        number = next_number(comments.iter(f"{W}comment"))
        for at, p in enumerate(placed):
            add(comments, number + at, p.lines, date)
        for at, p in reversed([*enumerate(placed)]):  # of comments that end at one place, the first stands first
            mark(self.runs.pieces(p.targets[0])[0], self.runs.pieces(p.targets[-1])[-1], number + at)

    def _comments(self, wanted: bool) -> Element | None:
        """The part with the comments, made where there is none and one is wanted."""
        there = self._related("comments")
        if there is not None or not wanted:
            return there
        from lxml import etree

        folder = self.main.rpartition("/")[0]
        name = next(n for n in (f"{folder}/comments{i or ''}.xml".lstrip("/") for i in range(1000)) if n not in self.packed.names)
        names = relations_name(self.main)
        if names not in self.packed.names:
            raise Refused("this Word file does not list its parts; open it in a word processor and save it again")
        self.changed |= {names: self.packed.xml(names), _TYPES: self.packed.xml(_TYPES), name: etree.fromstring(EMPTY)}
        name_part(self.changed[names], self.changed[_TYPES], name, folder, self.strict)
        return self.changed[name]

    def _related(self, kind: str) -> Element | None:
        """A part that is going to be changed."""
        for k, name, _ in self.relations:
            if k == kind and name in self.packed.names:
                self.changed.setdefault(name, xml(self.packed, name))
                return self.changed[name]
        return None

    def placed(self, note: dict[str, Any]) -> Iterator[_Placed]:
        found = [self._target(*anchor) for anchor in note["at"]]
        here = sorted((target for targets, _ in found for target in targets), key=lambda t: (t.order, t.start))
        lines = [plain(line) for line in note["lines"]]
        if any(elsewhere for _, elsewhere in found) or not here:
            lines.insert(0, plain(f"{note['about']}:"))
        if here or (here := self._first()):
            yield _Placed(tuple(lines), tuple(here))

    def _target(self, origin: list[Any], start: int, end: int) -> tuple[list[Target], bool]:
        """What of the body's runs an anchor means, and whether the words themselves stand elsewhere."""
        at = from_list(origin)
        assert isinstance(at, InParagraph)
        if at.part != self.main:
            return self._hung(at), True
        paragraph = self.runs.paragraph(at.paragraph)
        box = [each for each in paragraph.iterancestors() if each.tag == _BOX]
        if box:
            return [self.runs.whole(run) for run in [*box[-1].iterancestors(f"{W}r")][-1:]], True
        runs = self.runs.of(at.paragraph)
        if at.run < 0:  # the number of a list
            shown = next((run for run in runs if length(run)), None)
            return [] if shown is None else [Target((at.paragraph, runs.index(shown)), shown, 0, 1)], False
        return [Target((at.paragraph, at.run), runs[at.run], at.start + start, at.start + end)], False

    def _hung(self, at: InParagraph) -> list[Target]:
        """The mark of the footnote that a paragraph of another part belongs to; nothing for headers and footers."""
        part = xml(self.packed, at.part)
        paragraph = next((p for n, p in enumerate(part.iter(f"{W}p")) if n == at.paragraph), None)
        if paragraph is None:
            return []
        around = next(paragraph.iterancestors(f"{W}footnote", f"{W}endnote"), None)
        if around is None:
            return []
        marks = self.root.iter(f"{W}{str(around.tag).removeprefix(W)}Reference")
        found = next((m.getparent() for m in marks if m.get(f"{W}id") == around.get(f"{W}id")), None)
        return [self.runs.whole(found)] if found is not None and found.tag == f"{W}r" else []

    def _first(self) -> list[Target]:
        """The first run of the text, for what stands at no place of it."""
        for number in range(len(self.runs)):
            for run in self.runs.of(number):
                if length(run) and next(run.iterancestors(_BOX), None) is None:
                    return [self.runs.whole(run)]
        return []

    # -- tracked changes --------------------------------------------------------------------------------------------

    def change(self, edit: dict[str, Any]) -> Change:
        """An edit and what it replaces. Parts of it that stand elsewhere than in the body's own runs are left out."""
        body = [target for anchor in edit["at"] for target in self._own(*anchor)]
        return Change(Edit(Span(*edit["span"]), edit["text"]), tuple(body), edit["behind"])

    def _own(self, origin: list[Any], start: int, end: int) -> list[Target]:
        targets, elsewhere = self._target(origin, start, end)
        return [] if elsewhere or origin[3] < 0 else targets

    def correct(self, groups: Sequence[Sequence[Change]], date: str) -> list[Edit]:
        return track_groups(groups, self.runs, next_number(self.root.iter(*NUMBERED)), date)


def _written(root: Element, strict: bool) -> bytes:
    """A part as XML, in the vocabulary the file came in."""
    from lxml import etree

    data = etree.tostring(root, xml_declaration=True, encoding="UTF-8", standalone=True)
    for other, usual in STRICT if strict else ():
        data = data.replace(usual, other)
    return data
