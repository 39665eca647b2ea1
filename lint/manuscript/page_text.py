"""Pages → text: lines that a narrow column broke are put together again, with the words that were broken over them.

Where a line ends because the next word had no room, the sentence goes on; where there was room, the line was ended on
purpose. That can be told from the page, and from the bare characters no longer.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from .. import regex
from .assembly import Assembly, Piece, words_of
from .blocks import Line, Table
from .blocks import write as write_blocks
from .page_layout import Flow, Grid, Page, Zone, parts, without_running_heads
from .page_rows import Row, Segment, rows

_PARAGRAPH = 1.35  # line heights from which there is a gap between two lines
_FAR = 3.0  # line heights over which no sentence goes on
_SAME_SIZE = 0.08  # the share by which letters of one paragraph differ in size at most
_NEARLY_FULL = 0.12  # the share of a column's width that may be left at the end of a full line
_ODD = 0.08  # the share of a column's width by which a line that is no measure for the others sticks out
_OTHER_MARGIN = 1.3  # the margin on the right, in margins on the left, at most
_USUAL_HEIGHT = 1.2  # sizes of the letters from line to line, where there are too few lines to tell
_MORE = 80  # characters by which lines may be longer than any there is, where none is full
_SPACE = 0.25  # the size of a space, in sizes of the letters
_ENOUGH = 4  # lines to tell from
_STEP = 6  # points by which columns of one kind differ at most
_NO_LIMIT = -1
_TAB = 2.0  # ems between words of a line from which they are set apart

_ROW = r"[\s*_]*(?:(?:rows?|rnds?|rounds?|r)\.?\s*\d|\d+(?:st|nd|rd|th)?(?:\s*[–-]\s*\d+)?\.?\s+(?:rows?|rnds?|rounds?)\b|next\s+(?:row|rnd|round)\b|\d+[.)]\s+(?-i:[A-Z(*\d]))"
_IN_ROW = regex.compile(_ROW, regex.IGNORECASE)
_BEGINS = regex.compile(
    _ROW + r"|\s*(?:[•·▪◦‣●○■–-]\s|(?-i:[A-Z])[\w ]{1,24}:\s"
    r"|(?:materials?|gauge|tension|abbreviations?|notes?|finishing|sizes?|pattern|instructions)\s*:?\s*$)",
    regex.IGNORECASE,
)
_COUNT = regex.compile(r"[=\[({<–—-]?\s*\d+(?:\s*[(\[][\d, ]+[)\]])*(?:\s*(?:sts?|stitch(?:es)?|sc|dc|hdc|tr|htr)\b.{0,60}|\s*[\])}>].?)$", regex.IGNORECASE)
_MARK = regex.compile(r"[\ufffd•·▪◦‣●○■✓–—*-]|\(?(?:\d+|[a-z]|[ivx]+)[.)]", regex.IGNORECASE)
_LABEL = regex.compile(r"(?:(?:rows?|rnds?|rounds?|r)\.?\s*\d[\d\s,&–—-]*|\d+(?:st|nd|rd|th)\s+(?:row|rnd|round))\s*(?:\((?:rs|ws)\))?\s*[:.)=-]", regex.IGNORECASE)
_EXPECTS_MORE = regex.compile(r"(?:\b(?:of|in|into|on|at|to|thru|through|from|for|with|by|as|and|or|the|a|an|each|every|next|last|first|same|rep|repeat|work|size|x|rows?|rnds?|rounds?|until|after|before|than|over|around|leaving|working|skipping|ending)|[,(\[–—&+/=*×;])\s*$", regex.IGNORECASE)
_ENDED = regex.compile(r"[.!?:;)\]}]\s*$")
_HYPHENS = "-‐\u2011"
_WORD = regex.compile(r"[^\W\d_]+(?:[-‐\u2011][^\W\d_]+)*")
_KEEP_HYPHEN = frozenset((
    "ch", "non", "semi", "v", "t", "y", "x", "self", "well", "re", "pre", "half", "front", "back", "left",
    "right", "double", "single", "treble", "triple", "two", "three", "four", "five", "six", "seven", "eight",
    "all",
))  # fmt: skip


def write(pages: Sequence[Page], to: Assembly) -> None:
    """All pages as text."""
    found = [(page, rows(page.glyphs, page.number, page.turn)) for page in pages]
    bodies, heads = without_running_heads(found)
    layout = [parts(page, body) for page, body in zip(pages, bodies, strict=True)]
    writer = _Writer(to, [(page, z) for page, there in zip(pages, layout, strict=True) for z in there if isinstance(z, Flow)])
    for page, there in zip(pages, layout, strict=True):
        for zone in there:
            writer.zone(zone)
        for message in page.missing:
            writer.gap(message)
    writer.end()
    sideways = [row for page in pages for turn, glyphs in page.sideways.items() for row in rows(glyphs, page.number, turn)]
    for rest, remark in ((heads, "running heads"), (sideways, "words that stand on end")):
        if rest:
            to.blank()
            for row in rest:
                to.line(_pieces(row))
            to.remark(f"{remark} were read after the text")
    to.end_line()


class _Writer:
    """Writes zones one after the other. It knows all columns of the file, and so how wide each kind of column is."""

    def __init__(self, to: Assembly, flows: Sequence[tuple[Page, Flow]]) -> None:
        self._to = to
        self._words: set[str] = set()
        self._line: list[Piece] = []  # held back until it is known whether it goes on
        self._may_go_on = False  # from one column into the next
        self._limits = sorted({(_step(flow.limit), flow.left) for _, flow in flows if flow.limit is not None})
        kinds: dict[int, list[tuple[Page, Flow]]] = {}
        for page, flow in flows:
            kinds.setdefault(self._kind(flow), []).append((page, flow))
            for row in flow.rows:
                self._words.update(word.lower() for word in _WORD.findall(row.chars.rstrip(_HYPHENS)))
        self._measures = {kind: _measure(kind, members) for kind, members in kinds.items()}
        self._usual = _line_height([flow.rows for _, flow in flows], _USUAL_HEIGHT)

    def zone(self, zone: Zone) -> None:
        if isinstance(zone, Grid):
            self._grid(zone)
        else:
            self._flow(zone)

    def gap(self, message: str) -> None:
        self.end()
        self._to.blank()
        self._to.gap(message)

    def end(self) -> None:
        """What was held back is written."""
        if self._line:
            self._to.line(self._line)
            self._line = []

    def _grid(self, grid: Grid) -> None:
        self.end()
        self._may_go_on = False
        cells = [[self._cell(cell) for cell in band] for band in grid.bands]
        marks = [words_of(band[0]) for band in cells if band[0]]
        marked = sum(_MARK.fullmatch(mark) is not None or _LABEL.fullmatch(mark) is not None for mark in marks)
        if marks and marked * 5 >= len(marks) * 4:
            for band in cells:
                self._to.line(_spaced(band))
        else:
            write_blocks([Table([[[Line(tuple(cell))] if cell else [] for cell in band] for band in cells])], self._to)

    def _cell(self, segments: Sequence[Segment]) -> list[Piece]:
        out: list[Piece] = []
        for before, segment in zip((None, *segments), segments, strict=False):
            if before is not None and before.base == segment.base:
                out += [_between(before, segment), *segment.pieces()]
            else:
                out = self._joined(out, segment.pieces())
        return out

    def _flow(self, flow: Flow) -> None:
        own = _line_height([flow.rows], self._usual)
        height = own if own < _PARAGRAPH * self._usual else self._usual
        measure = self._measures[self._kind(flow)]
        before: Row | None = None
        for row in flow.rows:
            in_row = _IN_ROW.match(words_of(self._line)) is not None
            ended = _is_ended(words_of(self._line))
            unfinished = not ended and _reads_on(row)
            if before is None:
                apart = ended or not self._may_go_on
                goes_on = unfinished and (in_row or self._may_go_on)
            else:
                alike = before.bold == row.bold and _same_size(before, row)
                distance = (before.base - row.base) / (height * max(before.size, row.size))
                apart = distance > _PARAGRAPH or not _same_size(before, row)
                full = measure.had_no_room(before, row)
                if apart:
                    goes_on = alike and distance < _FAR and unfinished and (full or _is_broken_off(before, in_row))
                elif full:
                    goes_on = alike and not _begins_anew(before, row, in_row)
                else:
                    goes_on = alike and in_row and unfinished
            if goes_on:
                self._line = self._joined(self._line, _pieces(row))
            else:
                self.end()
                if apart and not (in_row and _COUNT.match(row.chars)):
                    self._to.blank()
                self._line = _pieces(row)
            before = row
        self._may_go_on = before is not None and measure.is_full(before)

    def _kind(self, flow: Flow) -> int:
        """Columns of one kind have their right edge at the same place. The last page of a text in columns may have but
        one, which is told by its lines."""
        if flow.limit is not None:
            return _step(flow.limit)
        for limit, left in self._limits:
            width = limit * _STEP - left
            full = sum(row.right - left > (1 - _NEARLY_FULL) * width for row in flow.rows)
            if full >= 2 and abs(flow.left - left) <= _STEP and all(row.right < limit * _STEP for row in flow.rows):
                return limit
        return _NO_LIMIT

    def _joined(self, before: list[Piece], after: list[Piece]) -> list[Piece]:
        """Two lines as one, a word broken over the end of the first put together again."""
        head, tail = words_of(before).rstrip(), words_of(after)
        broken = regex.search(rf"([^\W\d_]+)[{_HYPHENS}]$", head)
        word = regex.match(r"[^\W\d_]+", tail)
        if broken and word and tail[0].islower():
            return [*(_without_last(before) if self._is_one_word(broken[1], word[0]) else before), *after]
        if not head or regex.search(rf"\d[{_HYPHENS}–—]$|\w[{_HYPHENS}/—]$", head):
            return [*before, *after]
        return [*before, Piece(" "), *after]

    def _is_one_word(self, head: str, tail: str) -> bool:
        """Whether a hyphen at a line's end only breaks a word; the rest of the manuscript may show it."""
        head, tail = head.lower(), tail.lower()
        if head + tail in self._words:
            return True
        compound = any(f"{head}{hyphen}{tail}" in self._words for hyphen in _HYPHENS)
        return not compound and len(head) > 1 and len(tail) > 1 and head not in _KEEP_HYPHEN


def _step(at: float) -> int:
    return round(at / _STEP)


@dataclass(frozen=True)
class _Measure:
    """How far the lines of a kind of column reach: from where to where on the page, and how many characters they hold.

    Most are broken by width. A text that was broken by characters keeps its line ends in whatever letters it is printed.
    """

    left: float
    right: float
    characters: int

    def had_no_room(self, before: Row, row: Row) -> bool:
        """Whether the first word of a row would not have fitted in the row before."""
        word = row.segments[0].first_word() + _SPACE * row.size
        return self.right - before.right < word or self.characters <= len(before.chars) + len(row.chars.split()[0])

    def is_full(self, row: Row) -> bool:
        return self.right - row.right < _NEARLY_FULL * (self.right - self.left)


def _measure(kind: int, columns: Sequence[tuple[Page, Flow]]) -> _Measure:
    """As far as the longest lines reach, or a little further where the page's margins are then alike. Where no full line
    is seen to read on in the next, as in lists, the margins say how far lines could reach."""
    left = min(flow.left for _, flow in columns)
    all_rows = [row for _, flow in columns for row in flow.rows]
    widest = _longest(sorted(row.right for row in all_rows), left)
    characters = int(_longest(sorted(len(row.chars) for row in all_rows), 0))
    page = max(page.right for page, _ in columns) if kind == _NO_LIMIT else 0.0
    width = widest - left
    broken = any(
        widest - a.right < _NEARLY_FULL * width and b.chars[:1].islower() for _, flow in columns for a, b in pairwise(flow.rows)
    )
    if widest < page - left < widest + _ODD * width:
        widest = page - left
    elif not broken:
        widest = max(widest, page - _OTHER_MARGIN * left)
    return _Measure(left, widest, characters if broken else len(max((row.chars for row in all_rows), key=len)) + _MORE)


def _longest(lengths: Sequence[float], start: float) -> float:
    """The longest of lengths in order, unless it sticks out by itself."""
    if len(lengths) > 1 and lengths[-1] - lengths[-2] > _ODD * (lengths[-1] - start):
        return lengths[-2]
    return lengths[-1]


def _line_height(columns: Iterable[Sequence[Row]], otherwise: float) -> float:
    """The distance of lines of a paragraph, in sizes of their letters: the least that is met more than by chance."""
    heights = Counter(
        round((a.base - b.base) / a.size, 1)
        for column in columns
        for a, b in pairwise(column)
        if _same_size(a, b) and 0.9 * a.size < a.base - b.base < 3 * a.size
    )
    met = [height for height, times in heights.items() if times >= max(2, 0.05 * heights.total())]
    return min(met) if met and heights.total() >= _ENOUGH else otherwise


def _same_size(a: Row, b: Row) -> bool:
    return abs(a.size - b.size) <= _SAME_SIZE * max(a.size, b.size)


def _is_ended(words: str) -> bool:
    return _ENDED.search(words) is not None and not _EXPECTS_MORE.search(words)


def _is_broken_off(row: Row, in_row: bool) -> bool:
    """Whether a line ends where no sentence does. The entries of a list may each end in a comma, a row's steps go on."""
    last = _EXPECTS_MORE.search(row.chars)
    return last is not None and (in_row or last[0].strip().isalpha())


def _begins_anew(before: Row, row: Row, in_row: bool) -> bool:
    """Whether a line begins a paragraph by what it says, or by how it is drawn in against the full line before it.

    A row goes on until it is ended. Elsewhere a line that does not read on may as well be the next of a list.
    """
    if _EXPECTS_MORE.search(before.chars):
        return False
    if _BEGINS.match(row.chars):
        return True
    if not _ENDED.search(before.chars):
        return not in_row and not _reads_on(row)
    drawn_in = abs(row.left - before.left) > 0.8 * row.size
    title = all(word[:1].isupper() for word in row.chars.split()) and not _ENDED.search(row.chars) and len(row.chars) < 40
    return row.chars[:1].isupper() and (drawn_in or title)


def _reads_on(row: Row) -> bool:
    """Whether a line can only be the rest of a sentence."""
    return not _BEGINS.match(row.chars) and regex.match(r"[a-z(\[*;,)\]]|\d+(?:st|nd|rd|th)?\s+(?:more\s+)?(?:times|sts?|stitch|sc|dc|hdc|tr|sk|ch)\b", row.chars) is not None


def _pieces(row: Row) -> list[Piece]:
    out: list[Piece] = []
    for before, segment in zip((None, *row.segments), row.segments, strict=False):
        if before is not None:
            out.append(_between(before, segment))
        out += segment.pieces()
    return out


def _between(before: Segment, after: Segment) -> Piece:
    """The space between two parts of a line. What is set apart by a wide one is so in text as well."""
    return Piece("   " if after.left - before.right > _TAB * after.size else " ")


def _spaced(cells: Iterable[Sequence[Piece]]) -> list[Piece]:
    out: list[Piece] = []
    for cell in cells:
        if cell:
            out += [*([Piece(" ")] if out else []), *cell]
    return out


def _without_last(pieces: Sequence[Piece]) -> list[Piece]:
    """The pieces without their last character."""
    *kept, last = pieces
    return [*kept, replace(last, chars=last.chars[:-1])]
