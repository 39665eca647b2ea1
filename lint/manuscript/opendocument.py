"""OpenDocument texts (.odt): the text as it is printed, with tracked changes accepted.

Read from the packed XML itself, as Word files are. OASIS OpenDocument 1.3, part 3, describes the elements named here:
chapter 5 text, 9 tables, 19.880 and on the attributes of lists.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, NamedTuple

from .. import regex
from ..confined import Refused
from .assembly import Assembly, Piece
from .blocks import BULLET, Block, Line, Missing, Table, raised_digits, write
from .numerals import letters, roman, whole
from .origins import InParagraph
from .packed import Packed

if TYPE_CHECKING:
    from .packed import Element

_NAMES = "urn:oasis:names:tc:opendocument:xmlns:"
OFFICE, TEXT, TABLE, DRAW, STYLE = (f"{{{_NAMES}{name}:1.0}}" for name in ("office", "text", "table", "drawing", "style"))
PARAGRAPHS = (f"{TEXT}p", f"{TEXT}h")

_AROUND = frozenset(f"{TEXT}{name}" for name in ("span", "a", "meta", "meta-field", "ruby", "ruby-base"))
_BLOCKS_AROUND = frozenset(
    f"{TEXT}{name}"
    for name in (
        "section", "table-of-content", "illustration-index", "table-index", "object-index", "user-index",
        "alphabetical-index", "bibliography", "index-body", "index-title", "numbered-paragraph",
    )
)  # fmt: skip
_SHAPES = frozenset(f"{DRAW}{name}" for name in ("frame", "g", "custom-shape", "rect", "ellipse", "line", "text-box", "a"))
_NOT_SHOWN = frozenset(
    (
        *(f"{TEXT}{name}" for name in ("note", "tracked-changes", "hidden-text", "hidden-paragraph", "ruby-text", "note-citation")),
        f"{OFFICE}annotation", f"{OFFICE}annotation-end", f"{OFFICE}forms", f"{OFFICE}binary-data",
    )
)  # fmt: skip
_FIGURES: dict[str, Callable[[int], str]] = {
    "1": str,
    "a": letters,
    "A": lambda n: letters(n).upper(),
    "i": roman,
    "I": lambda n: roman(n).upper(),
}


def read(data: bytes, arguments: dict[str, Any]) -> tuple[dict[str, Any], bytes]:
    """An OpenDocument text, as ``Assembly.packed`` gives it. Raises Refused, and what comes of damage."""
    to = Assembly()
    _Reader(Packed(data)).write(to)
    return to.packed()


class Node(NamedTuple):
    """Where some of a paragraph's characters are kept: the words in or after an element, or an element that stands for
    some (``kind``: text, tail or self)."""

    element: Element
    kind: str

    @property
    def chars(self) -> str:
        if self.kind == "self":
            return _stands_for(self.element)
        return (self.element.text if self.kind == "text" else self.element.tail) or ""


def paragraphs(root: Element) -> list[Element]:
    """A part's paragraphs and headings in the order in which ``InParagraph`` counts them."""
    return list(root.iter(*PARAGRAPHS))


def nodes(element: Element, paragraph: bool = True) -> Iterator[Node]:
    """A paragraph's characters in order; ``InParagraph`` counts these nodes as runs. Notes and text boxes are left out."""
    if paragraph or element.tag in _AROUND or _is_field(element):
        yield Node(element, "text")
        for inner in element:
            yield from nodes(inner, False)
            yield Node(inner, "tail")
    elif _stands_for(element):
        yield Node(element, "self")


def _is_field(element: Element) -> bool:
    """Whether an element shows words of its own, such as a page number or a date."""
    tag = str(element.tag)
    return tag.startswith(TEXT) and tag not in _NOT_SHOWN and tag not in PARAGRAPHS and not _stands_for(element) and not len(element)


def _stands_for(element: Element) -> str:
    if element.tag == f"{TEXT}s":
        return " " * min(whole(element.get(f"{TEXT}c")) or 1, 1_000)
    return {f"{TEXT}tab": "\t", f"{TEXT}line-break": "\n"}.get(str(element.tag), "")


@dataclass(frozen=True, slots=True)
class _Level:
    """How one level of a list counts; no ``figures``, no number."""

    bullet: bool
    figures: str = ""
    before: str = ""
    after: str = ""
    start: int = 1
    shown: int = 1
    pattern: str = ""  # as newer programs write it: “%1%.”


class _Styles:
    """The styles of both parts, by their names; each may be based on another."""

    def __init__(self, *roots: Element) -> None:
        self._styles: dict[tuple[str, str], Element] = {}
        self._lists: dict[str, dict[int, _Level]] = {}
        for root in roots:
            for style in root.iter(f"{STYLE}style"):
                self._styles[(style.get(f"{STYLE}family", ""), style.get(f"{STYLE}name", ""))] = style
            for style in root.iter(f"{TEXT}list-style"):
                self._lists[style.get(f"{STYLE}name", "")] = _levels(style)
            for style in root.iter(f"{TEXT}outline-style"):
                self._lists[_OUTLINE] = _levels(style)

    def chain(self, family: str, name: str) -> Iterator[Element]:
        seen: set[str] = set()
        while (family, name) in self._styles and name not in seen:
            seen.add(name)
            yield self._styles[(family, name)]
            name = self._styles[(family, name)].get(f"{STYLE}parent-style-name", "")

    def look(self, family: str, name: str, attribute: str) -> str:
        """What a style says of how its words look, itself or through what it is based on."""
        for style in self.chain(family, name):
            properties = style.find(f"{STYLE}text-properties")
            if properties is not None and properties.get(attribute) is not None:
                return properties.get(attribute, "")
        return ""

    def list_of(self, paragraph: str) -> str:
        return next((n for s in self.chain("paragraph", paragraph) if (n := s.get(f"{STYLE}list-style-name"))), "")

    def levels(self, name: str) -> Mapping[int, _Level]:
        return self._lists.get(name, {})


_OUTLINE = "\0outline"  # no list can be named so


def _levels(style: Element) -> dict[int, _Level]:
    out: dict[int, _Level] = {}
    for level in style:
        number = whole(level.get(f"{TEXT}level")) or 0
        if level.tag in (f"{TEXT}list-level-style-number", f"{TEXT}outline-level-style"):
            start, shown = (whole(level.get(f"{TEXT}{name}")) for name in ("start-value", "display-levels"))
            pattern = next((v for k, v in level.attrib.items() if str(k).endswith("}num-list-format")), "")
            out[number] = _Level(
                False,
                level.get(f"{STYLE}num-format", ""),
                level.get(f"{STYLE}num-prefix", ""),
                level.get(f"{STYLE}num-suffix", ""),
                1 if start is None else start,
                shown or 1,
                str(pattern),
            )
        else:
            out[number] = _Level(True)
    return out


@dataclass
class _List:
    """A list that is open: its style, its level and how far it has counted."""

    style: str
    level: int
    counts: dict[int, int]
    fresh: bool = False  # whether the next paragraph begins an entry, and so shows its number


@dataclass
class _Paragraph:
    part: str
    number: int
    place: str
    numbers: dict[tuple[Element, str], int]
    pieces: list[tuple[Piece, bool]] = field(default_factory=list[tuple[Piece, bool]])
    boxes: list[Element] = field(default_factory=list["Element"])
    missing: list[Missing] = field(default_factory=list[Missing])
    last: str = " "


class _Reader:
    def __init__(self, packed: Packed) -> None:
        if "META-INF/manifest.xml" in packed.names and b"encryption-data" in packed.bytes("META-INF/manifest.xml"):
            raise Refused("this file is locked with a password; save it without one")
        if "content.xml" not in packed.names:
            raise Refused("this packed file holds no text; is it damaged?")
        self.roots = {name: packed.xml(name) for name in ("content.xml", "styles.xml") if name in packed.names}
        self.styles = _Styles(*self.roots.values())
        self.numbers = {name: {p: n for n, p in enumerate(paragraphs(root))} for name, root in self.roots.items()}
        self.notes: list[Element] = []
        self.open: list[_List] = []
        self.ended: dict[str, dict[int, int]] = {}  # how far lists have counted, by style and by identifier
        self.outline: dict[int, int] = {}
        self.tables = 0
        self.struck = False

    def write(self, to: Assembly) -> None:
        body = self.roots["content.xml"].find(f"{OFFICE}body/{OFFICE}text")
        if body is None:
            raise Refused("this OpenDocument file is no text document")
        write(self._blocks(body, "content.xml", ""), to)
        if self.notes:
            to.blank()
            to.line([Piece("Notes")])
            for number, note in enumerate(self.notes, 1):
                write(self._blocks(note, "content.xml", f"footnote {number}"), to)
            to.remark("footnotes were read after the text")
        heads = list(self._heads())
        if heads:
            to.blank()
            write(heads, to)
            to.remark("headers and footers were read after the text")
        to.end_line()
        self._remarks(body, to)

    def _remarks(self, body: Element, to: Assembly) -> None:
        inserted, deleted = (sum(1 for _ in body.iter(f"{TEXT}{name}")) for name in ("insertion", "deletion"))
        if inserted or deleted:
            to.remark(f"tracked changes were read as accepted (put in: {inserted}, taken out: {deleted})")
        if self.struck:
            to.remark("words that are struck out were left out")

    # -- blocks -----------------------------------------------------------------------------------------------------

    def _blocks(self, container: Element, part: str, within: str) -> Iterator[Block]:
        for element in container:
            tag = element.tag
            if tag in PARAGRAPHS:
                yield from self._paragraph(element, part, within)
            elif tag == f"{TEXT}list":
                yield from self._list(element, part, within)
            elif tag == f"{TABLE}table":
                yield self._table(element, part, within)
            elif tag in _BLOCKS_AROUND and element.get(f"{TEXT}display") != "none":
                yield from self._blocks(element, part, within)
            elif tag in _SHAPES:
                yield from _objects(element)
                for box in _boxes(element):
                    yield from self._blocks(box, part, within or "text box")

    def _list(self, element: Element, part: str, within: str) -> Iterator[Block]:
        above = self.open[-1] if self.open else None
        style = element.get(f"{TEXT}style-name") or (above.style if above else self._style_within(element))
        level = above.level + 1 if above else 1
        counts = above.counts if above and above.style == style else self._counts(element, style)
        if above and not element.get(f"{TEXT}continue-numbering"):
            counts.pop(level, None)
        self.open.append(_List(style, level, counts))
        for entry in element:
            if entry.tag in (f"{TEXT}list-item", f"{TEXT}list-header"):
                this = self.open[-1]
                this.fresh = entry.tag == f"{TEXT}list-item"
                start = whole(entry.get(f"{TEXT}start-value"))
                if start is not None:
                    counts[level] = start - 1
                yield from self._blocks(entry, part, within)
        self.open.pop()
        self.ended[style] = counts
        self.ended[element.get("{http://www.w3.org/XML/1998/namespace}id", style)] = counts

    def _style_within(self, element: Element) -> str:
        first = next(element.iter(*PARAGRAPHS), None)
        return self.styles.list_of(first.get(f"{TEXT}style-name", "")) if first is not None else ""

    def _counts(self, element: Element, style: str) -> dict[int, int]:
        """The counts that a list goes on from; new ones for a list that does not."""
        named = element.get(f"{TEXT}continue-list", "")
        if named in self.ended:
            return self.ended[named]
        return self.ended.get(style, {}) if element.get(f"{TEXT}continue-numbering") == "true" else {}

    def _label(self) -> str:
        """What is printed before the next paragraph of the list that is open."""
        this = self.open[-1] if self.open else None
        if this is None or not this.fresh:
            return ""
        this.fresh = False
        return _counted(self.styles.levels(this.style), this.level, this.counts)

    def _table(self, table: Element, part: str, within: str) -> Table:
        self.tables += 1
        number = self.tables
        rows: list[list[list[Block]]] = []
        for row in _rows(table):
            cells: list[list[Block]] = []
            for cell in row:
                if cell.tag not in (f"{TABLE}table-cell", f"{TABLE}covered-table-cell"):
                    continue
                place = within or f"table {number}, row {len(rows) + 1}, cell {len(cells) + 1}"
                covered = cell.tag == f"{TABLE}covered-table-cell"
                cells.append([] if covered else list(self._blocks(cell, part, place)))
            rows.append(cells)
        return Table(rows)

    def _paragraph(self, element: Element, part: str, within: str) -> Iterator[Block]:
        number = self.numbers[part][element]
        place = within or f"paragraph {number + 1}"
        numbers = {(node.element, node.kind): n for n, node in enumerate(nodes(element))}
        this = _Paragraph(part, number, place, numbers)
        style = element.get(f"{TEXT}style-name", "")
        self._inline(element, this, "paragraph", style)
        heading = element.tag == f"{TEXT}h" or any(
            s.get(f"{STYLE}name", "") in ("Title", "Subtitle", "Heading") for s in self.styles.chain("paragraph", style)
        )
        pieces = list(raised_digits(this.pieces))
        if any(piece.chars.strip() for piece in pieces):
            label = self._label() or (self._outline(element) if element.tag == f"{TEXT}h" else "")
            if label:
                pieces.insert(0, Piece(label, InParagraph(part, number, -1, 0, place)))
        yield Line(tuple(pieces), heading)
        for box in this.boxes:
            yield from self._blocks(box, part, within or f"text box at paragraph {number + 1}")
        yield from this.missing

    def _outline(self, heading: Element) -> str:
        return _counted(self.styles.levels(_OUTLINE), whole(heading.get(f"{TEXT}outline-level")) or 1, self.outline)

    # -- words ------------------------------------------------------------------------------------------------------

    def _inline(self, element: Element, this: _Paragraph, family: str, style: str, raised: bool = False) -> None:
        """What stands in a paragraph, or in something inside one."""
        if self.styles.look(family, style, f"{TEXT}display") == "none":
            return
        if self.styles.look(family, style, f"{STYLE}text-line-through-style") not in ("", "none"):
            self.struck = True
            return
        raised = raised or regex.match(r"super|[1-9]", self.styles.look(family, style, f"{STYLE}text-position")) is not None
        self._words(Node(element, "text"), this, raised)
        for inner in element:
            self._element(inner, this, raised)
            self._words(Node(inner, "tail"), this, raised)

    def _element(self, element: Element, this: _Paragraph, raised: bool) -> None:
        tag = element.tag
        if tag in _AROUND:
            self._inline(element, this, "text", element.get(f"{TEXT}style-name", ""), raised)
        elif tag == f"{TEXT}note":
            body = element.find(f"{TEXT}note-body")
            self.notes += [body] if body is not None else []
        elif tag in _SHAPES:
            this.boxes += _boxes(element)
            this.missing += _objects(element)
        elif _stands_for(element):
            self._words(Node(element, "self"), this, raised)
        elif _is_field(element):
            self._words(Node(element, "text"), this, raised)

    def _words(self, node: Node, this: _Paragraph, raised: bool) -> None:
        """Characters, white space run together as section 6.1.2 of the description says."""
        run = this.numbers.get((node.element, node.kind))
        if run is None:
            return
        for part in _PARTS.finditer(node.chars):
            chars = part.group()
            if node.kind != "self" and chars[0] in " \t\r\n":
                if this.last in " \n":
                    continue
                chars = " "
            this.last = chars[-1]
            origin = InParagraph(this.part, this.number, run, part.start(), this.place)
            this.pieces.append((Piece(chars, origin), raised))

    # -- headers and footers ----------------------------------------------------------------------------------------

    def _heads(self) -> Iterator[Block]:
        """What stands at the head and foot of the pages, each text once."""
        seen: set[str] = set()
        for page in self.roots["styles.xml"].iter(f"{STYLE}master-page") if "styles.xml" in self.roots else ():
            for kind in ("header", "footer"):
                for element in page:
                    if str(element.tag).startswith(f"{STYLE}{kind}") and element.get(f"{STYLE}display") != "false":
                        blocks = list(self._blocks(element, "styles.xml", kind))
                        words = " ".join(p.chars for b in blocks if isinstance(b, Line) for p in b.pieces)
                        if words.strip() and words not in seen:
                            seen.add(words)
                            yield from blocks


_PARTS = regex.compile(r"[ \t\r\n]+|[^ \t\r\n\u00ad]+(?: [^ \t\r\n\u00ad]+)*")


def _counted(levels: Mapping[int, _Level], level: int, counts: dict[int, int]) -> str:
    """The next number of a level, as it is printed."""
    this = levels.get(level)
    if this is None:
        return ""
    counts[level] = counts[level] + 1 if level in counts else this.start
    for deeper in [n for n in counts if n > level]:
        del counts[deeper]
    if this.bullet:
        return f"{BULLET} "
    if not this.figures:
        return ""

    def figure(n: int) -> str:
        own = levels.get(n, this)
        return _FIGURES.get(own.figures, str)(counts.get(n, own.start))

    if this.pattern:
        return regex.sub(r"%(\d+)%", lambda m: figure(int(m[1])), this.pattern).rstrip() + " "
    shown = ".".join(figure(n) for n in range(max(1, level - this.shown + 1), level + 1))
    return f"{this.before}{shown}{this.after}".rstrip() + " "


def _rows(container: Element) -> Iterator[Element]:
    for element in container:
        if element.tag == f"{TABLE}table-row":
            yield element
        elif element.tag in (f"{TABLE}table-header-rows", f"{TABLE}table-rows", f"{TABLE}table-row-group"):
            yield from _rows(element)


def _boxes(shape: Element) -> Iterator[Element]:
    """What in a drawn shape holds paragraphs of its own."""
    if any(inner.tag in (*PARAGRAPHS, f"{TEXT}list", f"{TABLE}table") for inner in shape):
        yield shape
        return
    for inner in shape:
        if inner.tag in _SHAPES:
            yield from _boxes(inner)


def _objects(shape: Element) -> Iterator[Missing]:
    if next(shape.iter(f"{DRAW}object", f"{DRAW}object-ole"), None) is not None:
        yield Missing("Something made with another program is set in here, such as a spreadsheet, and it was not read.")
