"""Word files (.docx): the text as it is printed, with tracked changes accepted.

Read from the packed XML itself: what a proof needs besides plain paragraphs – the numbers of lists, footnotes, text boxes,
tracked changes, the run that each character stands in – lies beyond what libraries for Word files show. ECMA-376 (Office
Open XML), part 1, section 17 describes the elements named here.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from .. import regex
from ..confined import Refused
from .assembly import Assembly, Piece
from .blocks import BULLET, Block, Line, Missing, Table, raised_digits, write
from .origins import InParagraph
from .packed import Packed
from .word_lists import Lists, Styles, W, child, value
from .word_parts import M, R, main_part, relations, xml

if TYPE_CHECKING:
    from .packed import Element

_MC = "{http://schemas.openxmlformats.org/markup-compatibility/2006}"

_CHARACTERS = {"tab": "\t", "ptab": "\t", "br": "\n", "cr": "\n", "noBreakHyphen": "\u2011", "softHyphen": "\u00ad"}
_SYMBOLS = {0xB4: "×", 0xB7: BULLET, 0xA8: "♦", 0xAE: "→", 0xB0: "°", 0xB1: "±", 0x2D: "−", 0x2A: "*", 0xA3: "≤", 0xB3: "≥"}
"""What the font Symbol shows at these places (Adobe's Symbol encoding), as word processors still write it."""

_OUTLINE = frozenset("012345678")
_GRAPHIC = "{http://schemas.openxmlformats.org/drawingml/2006/main}graphicData"
_ACCEPTED = frozenset((f"{W}ins", f"{W}moveTo"))
_TAKEN_OUT = frozenset((f"{W}del", f"{W}moveFrom"))
_AROUND = frozenset(f"{W}{name}" for name in ("hyperlink", "smartTag", "customXml", "sdt", "sdtContent", "fldSimple", "dir", "bdo"))
_NOTES = {f"{W}footnoteReference": "footnotes", f"{W}endnoteReference": "endnotes"}


def read(data: bytes, arguments: dict[str, Any]) -> tuple[dict[str, Any], bytes]:
    """A Word file's text, as ``Assembly.packed`` gives it. Raises Refused, and what comes of damage."""
    to = Assembly()
    _Reader(Packed(data)).write(to)
    return to.packed()


def paragraphs(root: Element) -> list[Element]:
    """A part's paragraphs in the order in which ``InParagraph`` counts them."""
    return list(root.iter(f"{W}p"))


def runs(paragraph: Element) -> list[Element]:
    """A paragraph's runs in the order in which ``InParagraph`` counts them, those of text boxes in it left out."""
    return [run for run in paragraph.iter(f"{W}r") if next(run.iterancestors(f"{W}p")) is paragraph]


def characters(run: Element) -> Iterator[tuple[Element, str]]:
    """What a run shows, element by element. Their lengths together are how ``InParagraph`` counts characters."""
    for element in run:
        name = element.tag.removeprefix(W) if isinstance(element.tag, str) else ""
        if name == "t":
            yield element, element.text or ""
        elif name in _CHARACTERS:
            yield element, _CHARACTERS[name]
        elif name == "sym":
            yield element, _symbol(element)


def _symbol(element: Element) -> str:
    try:
        code = int(element.get(f"{W}char", ""), 16)
    except ValueError:
        return "\N{REPLACEMENT CHARACTER}"
    if element.get(f"{W}font") == "Symbol":
        return _SYMBOLS.get(code & 0xFF, "\N{REPLACEMENT CHARACTER}")
    return chr(code) if 0x20 <= code < 0xD800 else "\N{REPLACEMENT CHARACTER}"


@dataclass
class _Part:
    """One part of the packed file, and the numbers of its paragraphs."""

    name: str
    root: Element
    numbers: dict[Element, int] = field(default_factory=dict["Element", int])

    def __post_init__(self) -> None:
        self.numbers = {paragraph: number for number, paragraph in enumerate(paragraphs(self.root))}


@dataclass
class _Paragraph:
    """A paragraph being read: its characters so far, whether raised, and what hangs on it."""

    part: str
    number: int
    place: str
    runs: dict[Element, int]
    pieces: list[tuple[Piece, bool]] = field(default_factory=list[tuple[Piece, bool]])
    boxes: list[Element] = field(default_factory=list["Element"])
    missing: list[Missing] = field(default_factory=list[Missing])


class _Reader:
    def __init__(self, packed: Packed) -> None:
        self.packed = packed
        name = main_part(packed)
        self.main = _Part(name, xml(packed, name))
        self.relations = relations(packed, name)
        styles = self._related("styles")
        self.styles = Styles(styles.root if styles else None)
        numbering = self._related("numbering")
        self.lists = Lists(numbering.root if numbering else None, self.styles)
        self.notes: list[tuple[str, str]] = []
        self.fields: list[bool] = []  # of the fields that are open, whether their code is still being given
        self.goes_on = False  # whether the next paragraph goes on in the line of the last
        self.struck = False
        self.inserted = self.deleted = self.tables = 0

    def write(self, to: Assembly) -> None:
        body = child(self.main.root, "body")
        if body is None:
            raise Refused("this Word file has no body; is it damaged?")
        write(self._blocks(body, self.main), to)
        notes = list(self._noted())
        if notes:
            to.blank()
            to.line([Piece("Notes")])
            write(notes, to)
        heads = list(self._heads())
        if heads:
            to.blank()
            write(heads, to)
        to.end_line()
        self._remarks(to, bool(notes), bool(heads))

    def _remarks(self, to: Assembly, notes: bool, heads: bool) -> None:
        if self.inserted or self.deleted:
            to.remark(f"tracked changes were read as accepted (put in: {self.inserted}, taken out: {self.deleted})")
        if self.struck:
            to.remark("words that are struck out were left out")
        if notes or heads:
            what = "footnotes, headers and footers" if notes and heads else "footnotes" if notes else "headers and footers"
            to.remark(f"{what} were read after the text")

    # -- the parts of the file --------------------------------------------------------------------------------------

    def _related(self, kind: str, identifier: str = "") -> _Part | None:
        for k, target, i in self.relations:
            if k == kind and identifier in ("", i) and target in self.packed.names:
                return _Part(target, xml(self.packed, target))
        return None

    # -- blocks -----------------------------------------------------------------------------------------------------

    def _blocks(self, container: Element, part: _Part, within: str = "") -> Iterator[Block]:
        """Paragraphs and tables, those inside content controls and the like with the others."""
        for element in container:
            tag = element.tag
            if tag == f"{W}p":
                yield from self._paragraph(element, part, within)
            elif tag == f"{W}tbl":
                yield self._table(element, part, within)
            elif tag in _ACCEPTED or tag in _AROUND:
                yield from self._blocks(element, part, within)
            elif tag == f"{W}altChunk":
                yield Missing("Another document is put in here as a whole, and it was not read.")
            elif tag == f"{_MC}AlternateContent":
                yield from self._blocks(_alternative(element), part, within)

    def _table(self, table: Element, part: _Part, within: str) -> Table:
        self.tables += 1
        number = self.tables
        rows: list[list[list[Block]]] = []
        for row in _unwrapped(table, "tr"):
            if child(child(row, "trPr"), "del") is not None:
                self.deleted += 1
                continue
            cells: list[list[Block]] = []
            for cell in _unwrapped(row, "tc"):
                place = within or f"table {number}, row {len(rows) + 1}, cell {len(cells) + 1}"
                below = child(child(cell, "tcPr"), "vMerge")
                goes_on = below is not None and below.get(f"{W}val", "continue") == "continue"
                cells.append([] if goes_on else list(self._blocks(cell, part, place)))
            rows.append(cells)
        return Table(rows)

    def _paragraph(self, element: Element, part: _Part, within: str) -> Iterator[Block]:
        properties = child(element, "pPr")
        number = part.numbers[element]
        this = _Paragraph(part.name, number, within or f"paragraph {number + 1}", {run: n for n, run in enumerate(runs(element))})
        label = self.lists.label(properties)
        self._inline(element, this)
        pieces = list(raised_digits(this.pieces))
        if label and any(piece.chars.strip() for piece in pieces):
            pieces.insert(0, Piece(label, InParagraph(part.name, number, -1, 0, this.place)))
        yield Line(tuple(pieces), self._is_heading(properties), self.goes_on)
        mark = child(properties, "rPr")
        frame = child(properties, "framePr")
        is_initial = frame is not None and frame.get(f"{W}dropCap") in ("drop", "margin")
        # Where the break between two paragraphs is taken out, they are one.
        self.goes_on = is_initial or any(child(mark, name) is not None for name in ("del", "moveFrom"))
        for box in this.boxes:
            yield from self._blocks(box, part, within or f"text box at paragraph {number + 1}")
        yield from this.missing

    def _is_heading(self, properties: Element | None) -> bool:
        if value(properties, "outlineLvl") in _OUTLINE:
            return True
        return any(
            value(style, "name").lower().startswith(("heading", "title", "subtitle"))
            or value(child(style, "pPr"), "outlineLvl") in _OUTLINE
            for style in self.styles.chain(value(properties, "pStyle"))
        )

    # -- runs -------------------------------------------------------------------------------------------------------

    def _inline(self, element: Element, this: _Paragraph) -> None:
        """What stands in a paragraph, or in something inside one."""
        for inner in element:
            tag = inner.tag
            if tag == f"{W}r":
                self._run(inner, this)
            elif tag in _TAKEN_OUT:
                self.deleted += 1
            elif tag in _ACCEPTED or tag in _AROUND:
                self.inserted += tag in _ACCEPTED
                self._inline(inner, this)
            elif tag in (f"{M}oMath", f"{M}oMathPara"):
                this.pieces += ((Piece(chars), False) for chars in _formula(inner))
            elif tag == f"{_MC}AlternateContent":
                self._inline(_alternative(inner), this)

    def _run(self, run: Element, this: _Paragraph) -> None:
        for field_mark in run.iterchildren(f"{W}fldChar"):
            self._field(field_mark.get(f"{W}fldCharType", ""))
        struck = self._has(run, "strike") or self._has(run, "dstrike")
        self.struck |= struck
        if not any(self.fields) and not struck and not self._has(run, "vanish"):
            raised = self._has(run, "vertAlign", "superscript")
            start = 0
            for _, chars in characters(run):
                for kept in regex.finditer("[^\u00ad]+", chars):  # a soft hyphen shows only where a line breaks
                    origin = InParagraph(this.part, this.number, this.runs[run], start + kept.start(), this.place)
                    this.pieces.append((Piece(kept[0] if chars == "\n" else _on_one_line(kept[0]), origin), raised))
                start += len(chars)
        for reference in run:
            if reference.tag in _NOTES:
                self.notes.append((_NOTES[str(reference.tag)], reference.get(f"{W}id", "")))
        this.boxes += _boxes(run)
        this.missing += _not_read(run)

    def _field(self, kind: str) -> None:
        """Fields have a code, which is not printed, and then what the code gave."""
        if kind == "begin":
            self.fields.append(True)
        elif self.fields and kind == "separate":
            self.fields[-1] = False
        elif self.fields and kind == "end":
            self.fields.pop()

    def _has(self, run: Element, name: str, wanted: str = "") -> bool:
        """Whether a run, or its style, has a property switched on, or set to a value."""
        properties = child(run, "rPr")
        for holder in (properties, *(child(style, "rPr") for style in self.styles.chain(value(properties, "rStyle")))):
            found = child(holder, name)
            if found is not None:
                given = found.get(f"{W}val", "")
                return given == wanted if wanted else given not in ("0", "false", "off")
        return False

    # -- notes, headers and footers ---------------------------------------------------------------------------------

    def _noted(self) -> Iterator[Block]:
        """Footnotes and endnotes in the order in which the text refers to them."""
        parts = {kind: self._related(kind) for kind in ("footnotes", "endnotes")}
        for number, (kind, identifier) in enumerate(self.notes, 1):
            part = parts[kind]
            for note in part.root if part else ():
                if part and note.get(f"{W}id") == identifier and note.get(f"{W}type", "normal") == "normal":
                    yield from self._blocks(note, part, f"{kind[:-1]} {number}")

    def _heads(self) -> Iterator[Block]:
        """What stands at the head and foot of the pages, each text once."""
        settings = self._related("settings")
        both_sides = settings is not None and child(settings.root, "evenAndOddHeaders") is not None
        seen: set[str] = set()
        for section in self.main.root.iter(f"{W}sectPr"):
            for kind in ("header", "footer"):
                for reference in section.iterchildren(f"{W}{kind}Reference"):
                    pages = reference.get(f"{W}type", "default")
                    if (pages == "first" and child(section, "titlePg") is None) or (pages == "even" and not both_sides):
                        continue
                    part = self._related(kind, reference.get(f"{R}id", ""))
                    blocks = list(self._blocks(part.root, part, kind)) if part else []
                    words = " ".join(piece.chars for block in blocks if isinstance(block, Line) for piece in block.pieces)
                    if words.strip() and words not in seen:
                        seen.add(words)
                        yield from blocks


def _on_one_line(chars: str) -> str:
    return chars.replace("\n", " ").replace("\r", " ")


def _unwrapped(container: Element, name: str) -> Iterator[Element]:
    """The rows of a table or cells of a row, those inside content controls and the like with the others."""
    for element in container:
        if element.tag == f"{W}{name}":
            yield element
        elif element.tag in _AROUND or element.tag in _ACCEPTED:
            yield from _unwrapped(element, name)


def _alternative(element: Element) -> Element:
    """Of the same thing given in several ways, the first that has words; a newer and an older program read it so."""
    return next((choice for choice in element if next(choice.iter(f"{W}t"), None) is not None), element[0] if len(element) else element)


def _boxes(run: Element) -> Iterator[Element]:
    """The text boxes that hang on a run, those within other boxes left to them."""
    for box in run.iter(f"{W}txbxContent"):
        around = list(box.iterancestors())
        around = around[: around.index(run)]
        if any(each.tag == f"{W}txbxContent" for each in around):
            continue
        choices = [(each.getparent(), each) for each in around if each.tag == f"{_MC}Fallback"]
        if all(of is not None and _alternative(of) is each for of, each in choices):
            yield box


def _not_read(run: Element) -> Iterator[Missing]:
    if next(run.iter(f"{W}object"), None) is not None:
        yield Missing("Something made with another program is set in here, such as a spreadsheet, and it was not read.")
    for data in run.iter(_GRAPHIC):
        if data.get("uri", "").rpartition("/")[2] in ("diagram", "chart", "chartex"):
            yield Missing("A drawn diagram is set in here, and its words were not read.")


def _formula(element: Element) -> Iterator[str]:
    """The characters of a formula on one line, its fractions with a stroke."""
    if element.tag == f"{M}t":
        yield element.text or ""
    for inner in element:
        if inner.tag == f"{M}den":
            yield "/"
        yield from _formula(inner)
