"""Web pages: the text as a browser shows it, each character with its place in the page's source.

The parser is the standard library's: it is forgiving, fetches nothing, and alone among HTML parsers for Python says of
every piece of text where in the source it stands. Which elements begin a line of their own, and what is not shown, is
from the HTML standard's section on rendering (15.3, "Non-replaced elements").
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from html import unescape
from html.parser import HTMLParser
from typing import Any

from .. import regex
from ..confined import Refused, allow
from ..text import Text
from .assembly import Assembly, Piece, words_of
from .blocks import BULLET, Block, Line, Missing, Table, raised_digits, write
from .numerals import roman, web_letters
from .origins import InSource
from .plain import decoded

_BLOCKS = frozenset(
    (
        "address", "article", "aside", "blockquote", "body", "caption", "center", "dd", "details", "dialog", "dir",
        "div", "dl", "dt", "fieldset", "figcaption", "figure", "footer", "form", "header", "hgroup", "hr", "html",
        "legend", "li", "listing", "main", "menu", "nav", "ol", "optgroup", "option", "p", "plaintext", "pre",
        "search", "section", "summary", "table", "tbody", "td", "tfoot", "th", "thead", "tr", "ul", "xmp",
    )
)
_HEADINGS = frozenset(["h1", "h2", "h3", "h4", "h5", "h6"])
_NOT_SHOWN = frozenset((
    "head", "script", "style", "template", "noscript", "noembed", "noframes", "datalist", "title", "textarea",
    "select",
))  # fmt: skip
_FOREIGN = {"svg": "A drawing", "math": "A formula", "iframe": "Another page", "object": "An object", "embed": "An object"}
_EMPTY = frozenset((
    "area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "param", "source", "track",
    "wbr",
))  # fmt: skip
_HIDDEN = regex.compile(r"display\s*:\s*none|visibility\s*:\s*hidden", regex.IGNORECASE)
_KEPT_AS_IS = regex.compile(r"white-space\s*:\s*(?:pre|pre-wrap|pre-line|break-spaces)\b", regex.IGNORECASE)
_RAISED = regex.compile(r"vertical-align\s*:\s*(?:super|text-top)", regex.IGNORECASE)
_PARTS = regex.compile(r"[ \t\r\n\f]+|\u00ad+|[^ \t\r\n\f\u00ad]+(?: [^ \t\r\n\f\u00ad]+)*")
_AS_IS = frozenset(("pre", "xmp", "plaintext", "listing"))
_MOST_ROWS = 1_000
_DEEPEST = 1_000  # elements within each other; browsers stop at 512
_SECONDS_PER_CHARACTER = 0.000_003
"""What is allowed for each character that has been read: some one and a half times what it takes on a slow machine."""
_AT_A_TIME = 500_000  # characters
_FIGURES: dict[str, Callable[[int], str]] = {
    "a": web_letters,
    "A": lambda n: web_letters(n).upper(),
    "i": roman,
    "I": lambda n: roman(n).upper(),
}
_ENDED_BY: dict[str, tuple[tuple[tuple[str, ...], tuple[str, ...]], ...]] = {
    "li": ((("li",), ("ol", "ul", "menu", "dir", "table")),),
    "dt": ((("dt", "dd"), ("dl", "table")),),
    "dd": ((("dt", "dd"), ("dl", "table")),),
    "tr": ((("td", "th"), ("table",)), (("tr",), ("table",))),
    "td": ((("td", "th"), ("tr", "table")),),
    "th": ((("td", "th"), ("tr", "table")),),
    "tbody": ((("td", "th"), ("table",)), (("tr",), ("table",))),
    "tfoot": ((("td", "th"), ("table",)), (("tr",), ("table",))),
    "option": ((("option",), ("select",)),),
    **dict.fromkeys(
        (
            "address", "article", "aside", "blockquote", "center", "details", "dialog", "dir", "div", "dl", "fieldset",
            "figcaption", "figure", "footer", "form", "h1", "h2", "h3", "h4", "h5", "h6", "header", "hgroup", "hr", "main",
            "menu", "nav", "ol", "p", "pre", "search", "section", "table", "ul",
        ),
        ((("p",), ("td", "th", "caption", "table", "button")),),
    ),
}
"""What an element's beginning ends, and the elements it does not look beyond (HTML standard, 13.1.2.4)."""
_CHARSET = re.compile(rb"""<meta[^>]{0,200}?charset\s*=\s*["']?\s*([A-Za-z0-9_:.-]{1,40})""", re.IGNORECASE)


def read(data: bytes, arguments: dict[str, Any]) -> tuple[dict[str, Any], bytes]:
    """A web page's text, as ``Assembly.packed`` gives it. Raises Refused."""
    source, remark = source_of(data)
    page = _Page(source)
    for start in range(0, len(source), _AT_A_TIME):
        before = page.here()
        page.feed(source[start : start + _AT_A_TIME])
        allow(_SECONDS_PER_CHARACTER * (page.here() - before))
    page.close()
    to = Assembly()
    if remark:
        to.remark(remark)
    write(page.finished(), to)
    to.end_line()
    if page.struck:
        to.remark("words that are struck out were left out")
    return to.packed("this page shows no text of its own; save it from the browser once it is all there")


def source_of(data: bytes) -> tuple[str, str]:
    """The characters of the page's source, and a remark on how they were read or nothing. Raises Refused."""
    named = _CHARSET.search(data[:4096])
    return decoded(data, named[1].decode("ascii") if named else "")


@dataclass(slots=True)
class _Element:
    """An element that is open, and how what it holds is shown."""

    name: str
    hidden: bool = False
    as_is: bool = False  # with its white space
    raised: bool = False
    blocks: list[Block] = field(default_factory=list[Block])  # of a cell
    rows: list[list[list[Block]]] = field(default_factory=list[list[list[Block]]])  # of a table
    below: dict[int, int] = field(default_factory=dict[int, int])  # by column, in how many more rows a cell goes on
    number: int = 0  # of the next entry of a list
    step: int = 1
    figures: str = ""


class _Page(HTMLParser):
    """The blocks of a page. A cell of a table collects its own; everything else goes to the page."""

    def __init__(self, source: str) -> None:
        super().__init__(convert_charrefs=False)
        self.source = source
        self.starts = [0, *(m.end() for m in regex.finditer("\n", source))]  # of lines, as the parser counts them
        self.places = Text(source)
        self.open = [_Element("")]
        self.line: list[tuple[Piece, bool]] = []
        self.label: Piece | None = None  # what is printed before the next words: the number of a list
        self.joined = False  # whether the next line goes on in the one before
        self.term = False  # whether the line before is a term whose meaning follows
        self.struck = False

    def finished(self) -> list[Block]:
        while len(self.open) > 1:
            self.shut()
        self.end_line()
        return self.open[0].blocks

    @property
    def top(self) -> _Element:
        return self.open[-1]

    def nearest(self, *names: str) -> _Element | None:
        return next((each for each in reversed(self.open) if each.name in names), None)

    # -- elements ---------------------------------------------------------------------------------------------------

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        for name in self.shut_by(tag):
            self.shut(name)
        if tag in _BLOCKS or tag in _HEADINGS:
            self.end_line()
        if tag in _FOREIGN and not self.top.hidden:
            self.home.append(Missing(f"{_FOREIGN[tag]} is set in here, and any words of it were not read."))
        if tag == "br" and not self.top.hidden:
            self.line.append((Piece("\n"), False))
        elif tag == "hr":
            self.home.append(Line(()))
        if tag not in _EMPTY:
            if len(self.open) > _DEEPEST:
                raise Refused("the elements of this page are nested too deep for it to be a manuscript")
            self.begin(tag, given)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)
        if tag in _FOREIGN and tag not in _EMPTY:
            self.shut(tag)

    def handle_endtag(self, tag: str) -> None:
        if tag == "br":
            self.handle_starttag(tag, [])
        elif tag == "p" and self.nearest("p") is None:
            self.end_line()
        elif any(each.name == tag for each in self.open[self.boundary(tag) :]):
            self.shut(tag)

    def boundary(self, tag: str) -> int:
        """Where in the open elements an end tag stops looking for its beginning: it does not end the cell it is in."""
        if tag in ("table", "tr", "td", "th", "tbody", "thead", "tfoot", "body", "html"):
            return 1
        return next((at for at in range(len(self.open) - 1, 0, -1) if self.open[at].name in ("td", "th", "table")), 0) + 1

    def shut_by(self, tag: str) -> Iterator[str]:
        """The elements that the beginning of another ends, where their own end was left out."""
        for names, around in _ENDED_BY.get(tag, ()):
            for each in reversed(self.open):
                if each.name in around:
                    break
                if each.name in names:
                    yield each.name
                    break

    def shut(self, tag: str = "") -> None:
        """The innermost open element ends, or the innermost of a name with all that is open inside it."""
        while len(self.open) > 1:
            last = self.top
            if last.name in _BLOCKS or last.name in _HEADINGS:
                self.end_line()
            if last.name == "q":
                self.add(Piece("”"))
            if last.name == "li":
                self.label = None
            del self.open[-1]
            if last.name == "table" and not last.hidden:
                self.home.append(Table(last.rows))
            if not tag or last.name == tag:
                return

    def begin(self, tag: str, given: dict[str, str]) -> None:
        """An element opens that holds something."""
        look, parent = given.get("style", ""), self.top
        struck = tag in ("del", "s", "strike")
        self.struck |= struck and not parent.hidden
        unseen = tag in _NOT_SHOWN or tag in _FOREIGN or "hidden" in given or _HIDDEN.search(look) is not None
        self.open.append(
            _Element(
                tag,
                hidden=parent.hidden or struck or unseen,
                as_is=tag in _AS_IS or _KEPT_AS_IS.search(look) is not None or (parent.as_is and "white-space" not in look),
                raised=parent.raised or tag == "sup" or _RAISED.search(look) is not None,
            )
        )
        if tag in ("ol", "ul", "menu", "dir"):
            self.begin_list(given)
        elif tag == "li":
            self.begin_entry(given)
        elif tag == "dd" and self.term:
            self.label, self.joined = Piece(": "), True
        elif tag in ("tr", "td", "th"):
            self.begin_row_or_cell(tag, given)
        elif tag == "q":
            self.add(Piece("“"))

    def begin_list(self, given: dict[str, str]) -> None:
        this = self.top
        this.figures = given.get("type", "1") if this.name == "ol" else ""
        this.step = -1 if "reversed" in given else 1
        this.number = _whole(given.get("start", "")) or 1

    def begin_entry(self, given: dict[str, str]) -> None:
        listed = self.nearest("ol", "ul", "menu", "dir")
        if listed is None or not listed.figures:
            self.label = Piece(f"{BULLET} ")
            return
        own = _whole(given.get("value", ""))
        listed.number = listed.number if own is None else own
        self.label = Piece(f"{_FIGURES.get(listed.figures, str)(listed.number)}. ")
        listed.number += listed.step

    def begin_row_or_cell(self, tag: str, given: dict[str, str]) -> None:
        table = self.nearest("table")
        if table is None:
            return
        if tag == "tr" or not table.rows:
            table.rows.append([])
        if tag == "tr":
            return
        row = table.rows[-1]
        while table.below.get(len(row), 0) > 0:
            table.below[len(row)] -= 1
            row.append([])
        table.below[len(row)] = min(_whole(given.get("rowspan", "")) or 1, _MOST_ROWS) - 1
        row.append(self.top.blocks)

    # -- words ------------------------------------------------------------------------------------------------------

    @property
    def home(self) -> list[Block]:
        """Where blocks go: the cell that is being read, or the page."""
        return (self.nearest("td", "th") or self.open[0]).blocks

    def end_line(self) -> None:
        pieces = tuple(raised_digits(self.line))
        self.line = []
        if words_of(pieces).strip():
            self.home.append(Line(pieces, self.nearest(*_HEADINGS) is not None, self.joined))
            self.term = self.top.name == "dt"
            self.joined = False

    def handle_data(self, data: str) -> None:
        if not self.top.hidden:
            self.words(self.here(), data)

    def handle_entityref(self, name: str) -> None:
        self.entity(f"&{name}")

    def handle_charref(self, name: str) -> None:
        self.entity(f"&#{name}")

    def entity(self, words: str) -> None:
        start = self.here()
        words += ";" if self.source[start + len(words) : start + len(words) + 1] == ";" else ""
        chars = unescape(words)
        if self.top.hidden:
            return
        if chars == words:
            self.words(start, words)
        elif chars and chars != "\u00ad":  # a character that HTML does not allow, such as &#26;, comes to none
            self.add(Piece(chars, self.origin(start, len(words) // len(chars))))

    def words(self, start: int, data: str) -> None:
        """Characters of the source, white space as it is shown."""
        for part in _PARTS.finditer(data):
            chars, at = part.group(), start + part.start()
            if chars[0] == "\u00ad":
                continue
            if chars[0] not in " \t\r\n\f":
                self.add(Piece(chars, self.origin(at)))
            elif self.top.as_is:
                self.as_is(chars, at)
            elif self.line and not self.line[-1][0].chars.endswith((" ", "\n")):
                self.add(Piece(" ", self.origin(at, len(chars))))

    def as_is(self, chars: str, at: int) -> None:
        for part in regex.finditer(r"\r\n|.", chars, regex.DOTALL):
            if part[0] in ("\n", "\r", "\r\n"):
                # A line end straight after the beginning of the element is for the eye of whoever writes the source.
                if self.line or self.source[at + part.start() - 1] != ">":
                    self.line.append((Piece("\n", self.origin(at + part.start(), len(part[0]))), False))
            else:
                self.add(Piece(part[0], self.origin(at + part.start())))

    def add(self, piece: Piece) -> None:
        if self.top.hidden:
            return
        if self.label is not None and piece.chars.strip():
            self.line.append((self.label, False))
            self.label = None
        self.line.append((piece, self.top.raised))

    def here(self) -> int:
        line, column = self.getpos()
        return self.starts[line - 1] + column

    def origin(self, at: int, width: int = 1) -> InSource:
        return InSource(at, max(1, width), self.places.line_number(at))


def _whole(words: str) -> int | None:
    return int(words) if regex.fullmatch(r"\s*-?\d{1,9}\s*", words) else None
