"""Finding the structure: which lines are headings, which rows, which loose sentences, which neither.

Two things are known before a word is read as a step: gauge, materials and assembly lists are never rows, and a bare
number is a round only in a run of rounds.
"""

from __future__ import annotations

import itertools
from collections import Counter
from dataclasses import dataclass, field, replace
from functools import lru_cache

from .. import regex
from ..text import Span, Text
from .fold import fold
from .keys import read_key
from .labels import read_label
from .layout import Label, Layout, Section, SectionKind, Statement
from .size_names import read_sizes

_K = SectionKind
_HEADINGS: tuple[tuple[SectionKind, str], ...] = (
    (_K.ABBREVIATIONS, r"(?:(?:u\.?s\.?|u\.?k\.?|american|british|crochet|stitch|pattern|general|standard|glossary\s+of|list\s+of|following)\s+){0,2}abbreviations?(?:\s+(?:(?:are\s+)?used(?:\s+[a-z ]{2,20})?|key|list|and\s+[a-z ]+))?|abbrevs?|abbreviation\s+key|stitch(?:es)?\s+key|key(?:\s+to\s+abbreviations)?|stitches\s+(?:and|&)\s+abbreviations|stitches\s+used"),
    (_K.SPECIAL, r"special\s+stitch(?:es)?(?:\s+[a-z ]+)?|stitch\s+(?:guide|glossary|patterns?|instructions)|special\s+(?:techniques?|abbreviations?)|pattern\s+stitch(?:es)?|stitch\s+definitions?"),
    (_K.GAUGE, r"gauge(?:\s*/\s*tension)?|tension|crochet\s+test|swatch"),
    (_K.MATERIALS, r"materials?(?:\s+(?:needed|list|and\s+[a-z ]+|& [a-z ]+))?|supplies|(?:what\s+)?you(?:'ll|\s+will)?\s+need|what\s+you(?:'ll|\s+will)\s+need|stuff|yarns?(?:\s+used)?|hooks?|tools?(?:\s+and\s+[a-z]+)?|notions|also|equipment|requirements|other\s+(?:materials|supplies)|threads?"),
    (_K.SIZES, r"(?:finished\s+)?(?:sizes?|measurements?|dimensions?)(?:\s+[a-z ]{0,20})?|finished\s+(?:bust|chest|size|width|length)[a-z ]*|body\s+length[a-z ,]*|to\s+fit(?:\s+[a-z]+)?|sizing|how\s+to\s+read\s+the\s+numbers|age"),
    (_K.NOTES, r"(?:pattern\s+|general\s+|designer'?s?\s+|special\s+|helpful\s+)?notes?(?:\s+on\s+[a-z ]+)?|(?:good|important|things|nice)\s+to\s+know(?:[a-z ]*)|tips?|construction(?:\s+notes?)?|(?:!+\s*)?please\s+read(?:\s*!+)?|important|how\s+to\s+read(?:[a-z ]*)|about\s+(?:the|this)\s+pattern|before\s+you\s+(?:start|begin)|techniques?|read\s+me|safety(?:\s+note)?|caution|warning"),
    (_K.FINISHING, r"finishing(?:\s+[a-z ]+)?|assembly|(?:to\s+)?mak(?:e|ing)\s+up|to\s+finish|completion|assembling|sewing\s+up|blocking|joining\s+the\s+(?:motifs|squares|pieces)|small\s+print|copyright|about\s+the\s+designer|care(?:\s+instructions)?|to\s+complete"),
    (_K.OTHER, r"skill\s+level|level|difficulty|the\s+details|details|credits|contact"),
)  # fmt: skip
_HEADING_RES = tuple((kind, regex.compile(rf"(?:the\s+)?(?:{pattern})")) for kind, pattern in _HEADINGS)
_DRESS = " \t*_#=-–—~:;.·•★✿♥!|>✦◆►"
_FOUNDATION = regex.compile(
    r"(?:(?:start(?:ing)?|begin(?:ning)?|commence)\s+with\s+(?=a\s+chain\s+of))?(?:start(?:ing)?\s*(?:chain|ch)?\s*:?\s*)?(?:(?:with|using|starting\s+with|in)\s+[^,.]{1,40}[, ]\s*)?(?:foundation(?:\s+(?:chain|ch|row))?\s*:?\s*|base\s+(?:chain|ch|ring)\s*:?\s*|start(?:ing)?(?:\s+(?:at|from|with)\s+[^,.]{1,30})?\s*[:,]\s*|\(?multiple\s+of[^.]*\.\s*)?"
    r"(?:(?:loosely\s+)?(?:ch\.?\s*(?=\d)|(?:ch|chain)\s+|(?:make|work)\s+(?!\d+\s*(?:rows?|rnds?|rounds?)\b)(?=[^.;,]{1,30}\bch))(?:\d|a\s+(?:mult(?:iple)?|chain|foundation|ch|number)|any|an?\s+(?:odd|even)|in\s+a|[a-z]+teen|twenty|thirty|forty|fifty|ten|twelve|eight|six|four|five)|a\s+chain\s+of\s+\d|\d+(?:\s*[(\[][\d, ]+[)\]])*\s*ch\b|(?:make\s+a\s+)?magic\s+(?:ring|circle|loop)|f(?:sc|dc|hdc|tr)[ -]\d|(?:work\s+)?\d+\s+(?:f(?:sc|dc|hdc|tr)|(?:foundation|chainless)\s)|(?:foundation|chainless)\s+(?:single|half|double|treble|sc|hdc|dc)|multiple\s+of)|foundation\s+(?:chain|ch)\s*:\s*\d"
)
_STITCHY = regex.compile(r"(?<![a-z])(?:sc|s\.? ?c\.?|hdc|dc|d\.? ?c\.?|tr|htr|dtr|inc|dec|sl\s?st|ss|ch|chain|mr|magic|fp\w+|bp\w+|single|double|treble|blo|flo|sts?|block|mesh|repeat|rep|as)(?![a-z])")
_END = regex.compile(r"(?:[.!?:;)\]}>]|turn|join|fasten off|\d\s*(?:sts?|sc|dc|hdc|tr|htr))\s*$")
_DANGLING = regex.compile(r"\b(?:first|last|next|same|each|every|of|in|into|to|the|\d+)\s*$")
"""Words after which a stitch or a place has to come."""

_BROKEN_LABEL = regex.compile(r"(?:[.;)\]]\s*|^\s*)(?:rows?|rnds?|rounds?)\s*$", regex.MULTILINE)
_BULLET = regex.compile(r"\s*[-•·▪*–]\s+")
_INLABEL = regex.compile(r"(?:(?<=[.;)\]!])|(?<=turn)|(?<=below)|(?<=across)|(?<=off))\s+(?=(?:rows?|rnds?|rounds?|\d+(?:st|nd|rd|th))\b)")

_INREFERENCE = regex.compile(r"(?<=[.;)\]!])\s+(?=rep(?:eat)?\s+(?:the\s+)?(?:(?:last|these|previous)\s+(?:\w+\s+)?)?(?:rows?|rnds?|rounds?)\b)")

_AS_PIECE = regex.compile(r"(?:(?:work|make|made|crochet|rep(?:eat)?|cont(?:inue)?)\b[^.]{0,24}?)?\b(?:as\s+for|(?:same|exactly)\s+as|as|follow|of)\s+(?:the\s+)?(?!rows?\b|rnds?\b|rounds?\b|it\b|you\b|this\b|that\b|in\b|on\b|set\b|before\b|established\b|shown\b)[a-z]")


@dataclass
class _Open:
    kind: SectionKind
    name: str
    heading: Span
    body_start: int
    statements: list[Statement] = field(default_factory=list[Statement])
    make: int | None = None


def _blank(chars: list[str], start: int, end: int) -> None:
    for i in range(start, end):
        if chars[i] not in "\r\n":
            chars[i] = " "


# What a line is by itself is remembered by its words: while a text is written, most of its lines stay as they are.
_LINES = 1 << 13
_PAGE = regex.compile(r"page\s*\d+|copyright|\(c\)|©|leaflet\s+(?:no\.?\s*)?\d|all rights reserved|www\.")


@lru_cache(_LINES)
def _shape(line: str) -> str:
    """A folded line with its numbers made alike, as running heads differ by theirs."""
    return regex.sub(r"\d+", "#", line.strip())


@lru_cache(_LINES)
def _is_running_head(line: str) -> bool:
    """Whether a line that comes again and again is one of the page's and not of the pattern."""
    return len(_shape(line)) > 8 and _PAGE.search(line) is not None


@lru_cache(_LINES)
def _is_page_number(line: str) -> bool:
    return regex.fullmatch(r"\s*(?:[-—–]\s*)?(?:page\s+\d+(?:\s+of\s+\d+)?)(?:\s*[-—–])?\s*", line) is not None


@lru_cache(_LINES)
def _dress(line: str) -> tuple[tuple[int, int], ...]:
    """Where a folded line has Markdown's marks of headings, quotes, bullets and bold labels."""
    found: list[tuple[int, int]] = []
    start = len(line) - len(line.lstrip())
    heading = regex.match(r"\s*(?:#{1,6}\s+|>\s+)", line)
    if heading:
        found.append((0, heading.end()))
    bold = regex.match(r"\s*(?:#{1,6}\s+)?(?:[-*•·]\s+)?(\*\*|__)(?=\S)([^*\n]{1,80}?)(\1)", line)
    if bold:
        found += [bold.span(1), bold.span(3)]
    if regex.match(r"\s*[•·▪]\s", line):
        found.append((start, start + 1))
    bullet = regex.match(r"\s*[-*•·]\s+(?=(?:\*\*|__)?(?:rows?|rnds?|rounds?|r)\s*\d)", line)
    if bullet:
        found.append((start, bullet.end()))
    return tuple(found)


def _reading_copy(text: Text) -> tuple[str, tuple[Span, ...]]:
    """The folded text without running heads and without the marks that only dress a line, offsets kept."""
    folded = fold(text.source)
    chars = list(folded)
    blanked: list[Span] = []
    spans = list(text.lines())
    lines = [folded[span.start : span.end] for span in spans]
    shapes = Counter(map(_shape, lines))
    for span, line in zip(spans, lines, strict=True):
        if _is_page_number(line) or (shapes[_shape(line)] > 1 and _is_running_head(line)):
            _blank(chars, span.start, span.end)
            blanked.append(span)
            continue
        for start, end in _dress(line):
            _blank(chars, span.start + start, span.start + end)
    folded = "".join(chars)
    # words broken at a line end: the second half moves up, white space takes its place
    def mend(match: regex.Match[str]) -> str:
        head, gap, tail = match[1], match[2], match[3]
        if head in ("ch", "non", "semi", "v", "t", "self", "well", "re") or tail in ("st", "sts", "sp", "sps"):
            return match.group()
        filler = "".join(c if c in "\r\n" else " " for c in gap)
        return head + tail + " " + filler

    folded = regex.sub(r"([a-z]{2,})-([ \t]*(?:\r\n|\r|\n)[ \t]*)([a-z]+)", mend, folded)
    return folded, tuple(blanked)


def heading_kind(line: str, *, upper: bool) -> tuple[SectionKind, int] | None:
    """The section a folded line opens and how much of it is the heading; None for an ordinary line."""
    bare = line.strip(_DRESS)
    offset = line.find(bare) if bare else 0
    for kind, pattern in _HEADING_RES:
        match = pattern.match(bare)
        if match is None:
            continue
        rest = bare[match.end() :]
        if match.group() == "stuff" and line.rstrip().endswith((".", "!")):
            return None  # an instruction
        if regex.fullmatch(r"\s*(?:\([^)]*\))?[\s:.=\-–—*_~!|]*", rest):
            return kind, offset + len(bare)
        mark = regex.match(r"\s*(?:\([^)]{1,40}\))?\s*(?::|\.\s\.\s\.|—|–|\s-\s|=\s)", rest)
        if mark:
            return kind, offset + match.end() + mark.end()
        if kind is _K.ABBREVIATIONS and regex.match(r"\.\s+\S{1,8}\s?(?:=|:|–|—)", rest):
            return kind, offset + match.end() + 1
        if upper:
            return kind, offset + match.end()
    return None


class _Finder:
    def __init__(self, text: Text) -> None:
        self.text = text
        self.folded, self.blanked = _reading_copy(text)
        self.sizes = read_sizes(self.folded, text.source)
        self.size_count = max(1, len(self.sizes))
        self.sections: list[Section] = []
        self.open = _Open(_K.TITLE, "", Span(0, 0), 0)
        self.last_number = 0
        self.in_rows = False
        self.statement: tuple[Label | None, int, int] | None = None
        self.pending_name: tuple[str, Span, int | None] | None = None
        self.label_alone = False
        lengths = [len(self.text[s].rstrip()) for s in self.text.lines() if len(self.text[s]) < 400]
        self.wrap = max(lengths, default=0)
        broken = 0
        spans = list(self.text.lines())
        for a, b in itertools.pairwise(spans):
            before, after = self.text[a].rstrip(), self.text[b].lstrip()
            if len(before) > 40 and after[:1].islower() and not _END.search(before.lower()):
                broken += 1
        self.wrapped = broken >= 3

    # -- emitting -------------------------------------------------------------------------------------------------

    def end_statement(self) -> None:
        """The open statement, trimmed, goes to the open section."""
        if self.statement is None:
            return
        label, start, end = self.statement
        self.statement = None
        while start < end and self.folded[start].isspace():
            start += 1
        while end > start and self.folded[end - 1].isspace():
            end -= 1
        if end > start or label is not None:
            self.open.statements.append(Statement(label, Span(min(start, end), end)))

    def close(self, upto: int) -> None:
        """The open section ends at ``upto``."""
        self.end_statement()
        o = self.open
        body = Span(min(o.body_start, upto), upto)
        self.sections.append(Section(o.kind, o.name, o.heading, body, tuple(o.statements), o.make))

    def begin(self, kind: SectionKind, name: str, heading: Span, body_start: int, make: int | None = None) -> None:
        """The open section ends at the heading, and another begins."""
        self.close(heading.start)
        self.open = _Open(kind, name, heading, body_start, make=make)

    # -- lines ----------------------------------------------------------------------------------------------------

    def run(self) -> Layout:
        """The layout, line by line."""
        lines = self.lines()
        blank_before = True
        for index, span in enumerate(lines):
            line = self.folded[span.start : span.end]
            if not line.strip():
                if self.statement is not None and not self.blank_inside(index, lines):
                    self.end_statement()
                blank_before = True
                continue
            self.line(span, line, index, lines, blank_before)
            blank_before = False
        self.close(len(self.text))
        return Layout(self.folded, tuple(self.sections), read_key(self.text, self.sections), self.blanked)

    def lines(self) -> list[Span]:
        """The lines of the text; a label broken over a line end ("Row⏎2:") keeps both its lines together."""
        out: list[Span] = []
        for span in self.text.lines():
            if out and _BROKEN_LABEL.search(self.folded[out[-1].start : out[-1].end]) and regex.match(r"\s*\d+\s*[:.)-]", self.folded[span.start : span.end]):
                out[-1] = Span(out[-1].start, span.end)
            else:
                out.append(span)
        return out

    def blank_inside(self, index: int, lines: list[Span]) -> bool:
        """Whether a blank line stands in the middle of a sentence (a running head was taken out there)."""
        if self.statement is None:
            return False
        so_far = self.folded[self.statement[1] : lines[index].start].rstrip()
        if not so_far or _END.search(so_far):
            return False
        return any(b.start <= lines[i].end and b.end >= lines[i].start for b in self.blanked for i in range(max(0, index - 2), min(len(lines), index + 3)))

    def line(self, span: Span, line: str, index: int, lines: list[Span], blank_before: bool) -> None:
        """One line that is not blank: a label, a heading, a foundation, a name of a piece, or more of what came before."""
        source_line = self.text[span]
        start = span.start + len(line) - len(line.lstrip())
        body = line.strip()
        upper_word = regex.match(r"[^a-zA-Z]*([A-Z][A-Z'/&]+(?:\s+[A-Z'/&]{2,})*)\b", source_line)
        rows_here = self.open.kind in (_K.PIECE, _K.TITLE, _K.OTHER)
        listed = self.open.kind in (_K.NOTES, _K.MATERIALS, _K.ABBREVIATIONS, _K.FINISHING, _K.SPECIAL)
        # a label
        labelled = read_label(self.folded, start, sizes=self.size_count, bare=rows_here or not listed)
        if labelled is not None:
            label, after = labelled
            if self.accept(label, after, span, listed):
                if self.open.kind is not _K.PIECE:
                    self.begin_piece(span.start, start)
                self.row(label, after, span)
                return
        kind = heading_kind(line, upper=bool(upper_word and len(upper_word[1]) > 2))
        if kind is not None and kind[0] is _K.SIZES and self.size_only(body):
            kind = None
        if kind is not None and (self.statement is None or upper_word or not source_line[:1].islower()):
            self.end_statement()
            section, length = kind
            name = self.text.source[start : span.start + length].strip(_DRESS)
            self.in_rows = False
            self.begin(section, name, Span(start, span.start + length), span.start + length)
            return
        inside = self.foundation_inside(body)
        if inside:
            start += inside
            body = body[inside:]
        stated = listed and regex.match(r"\(?multiple\s+of(?!.*\bch(?:ain)?\s*\d)", body)
        if self.foundation(body) and not stated and (self.open.kind is not _K.FINISHING or blank_before) and not self.continues(span, line, index, lines):
            if self.open.kind is not _K.PIECE or (self.in_rows and self.pending_name is not None):
                self.begin_piece(span.start, start)
            self.loose(start, span)
            return
        if self.pending_name is not None and self.in_rows and self.open.kind is _K.PIECE and _AS_PIECE.match(body):
            self.begin_piece(span.start, start)  # "BACK. Work as for Front to end of Row 10."
            self.loose(start, span)
            return
        if self.piece_heading(span, source_line, body, index, lines, blank_before) is not None:
            return
        if self.statement is not None and self.continues(span, line, index, lines):
            label, s, _ = self.statement
            self.statement = (label, s, span.end)
            self.split_inside(span)
            return
        if self.open.kind is _K.PIECE:
            self.loose(start, span)

    def size_only(self, body: str) -> bool:
        """Whether a line limits what follows to some sizes."""
        return bool(regex.match(r"(?:all\s+)?sizes?\s+.{0,30}\bonly\b|all\s+sizes", body))

    def foundation(self, body: str) -> bool:
        """Whether a line begins with a foundation chain or ring."""
        return bool(_FOUNDATION.match(body.lstrip("*_ "))) and not regex.match(r"(?:ch|chain)\s*(?:=|:|-\s|—|\s{2,})|make\s+\d+\s+(?!ch)", body) and not regex.search(r"count|does not|is not|measure", _without_aside(body.split(".")[0]))

    def foundation_inside(self, body: str) -> int:
        """Where a foundation sentence begins behind a short sentence before it ("UK terms. Ch 42."); 0 for none."""
        for found in regex.finditer(r"[.;]\s+", body[:140]):
            rest = body[found.end() :]
            if regex.match(r"(?:ch|chain)\.?\s*\d|\d+\s*ch\b", rest) and not regex.search(r"\d\s*(?:sc|dc|hdc|tr|sts?)\b", body[: found.start()]) and self.foundation(rest):
                return found.end()
        return 0

    def accept(self, label: Label, after: int, span: Span, listed: bool) -> bool:
        """Whether what looks like a label is one, seen where it stands."""
        rest = self.folded[after : span.end]
        if label.word == "R" and label.numbers and not self.folded.startswith("r", label.span.start):
            # a bare number
            if listed:
                return False
            if not _STITCHY.search(rest) or regex.match(r"\s*(?:sew|embroider|fold|attach|weave|mark|count|place|pin|cut|wash|thread|stuff|tie|using|mm|cm|g\b|oz|ball)", rest):
                return False
            first = label.numbers[0]
            return first == 1 or first == self.last_number + 1 or first == self.last_number or (self.in_rows and first > self.last_number and first - self.last_number <= 3)
        if not rest.strip():
            # label alone on its line: the row is what follows
            return True
        if self.open.kind in (_K.GAUGE, _K.SIZES, _K.MATERIALS) and not _STITCHY.search(rest):
            return False
        if self.open.kind in (_K.NOTES, _K.ABBREVIATIONS, _K.SPECIAL, _K.FINISHING) and not _STITCHY.search(rest):
            return False
        return not regex.match(r"[^.]{0,40}(?:=\s*\d+[\d.,½¼¾/ ]*\s*(?:in|\"|cm|mm)|measures?\b)", rest)

    def begin_piece(self, at: int, start: int) -> None:
        """A piece begins, under the heading remembered where there is one."""
        if self.pending_name is not None:
            name, heading, make = self.pending_name
            self.pending_name = None
            if heading.end <= self.open.heading.start:  # another section has begun since
                heading = Span(at, at)
            self.begin(_K.PIECE, name, heading, heading.end, make)
        else:
            self.begin(_K.PIECE, "", Span(at, at), at)
        self.in_rows = False
        self.last_number = 0

    def row(self, label: Label, after: int, span: Span) -> None:
        """A labelled row begins: in the open piece, or in a new one where its numbers start again."""
        label = self.with_lost_dash(label)
        self.end_statement()
        first = label.numbers[0] if label.numbers else None
        restarts = first is not None and self.in_rows and first == 1 and self.last_number >= 1
        if self.in_rows and self.pending_name is not None and (restarts or first is None or first <= 1):
            name, heading, make = self.pending_name
            self.pending_name = None
            # sentences after the heading belong to the new piece
            moved = [s for s in self.open.statements if s.span.start >= heading.end]
            self.open.statements = [s for s in self.open.statements if s.span.start < heading.end]
            self.begin(_K.PIECE, name, heading, heading.end, make)
            self.open.statements.extend(moved)
            self.last_number = 0
        elif restarts and self.pending_name is None and first == 1 and (self.last_number > 1 or self.founded()):
            moved = self.trailing_foundation()
            self.begin(_K.PIECE, "", Span(moved[0].span.start, moved[0].span.start) if moved else Span(label.span.start, label.span.start), moved[0].span.start if moved else label.span.start)
            self.open.statements.extend(moved)
        if self.pending_name is not None and not self.in_rows:
            name, heading, make = self.pending_name
            self.pending_name = None
            if not self.open.name:
                self.open.name, self.open.make = name, make
        self.pending_name = None if first is not None and first > 1 else self.pending_name
        self.in_rows = True
        self.label_alone = not self.folded[after : span.end].strip()
        if label.numbers:
            self.last_number = max(n for r in (label.by_size or (label.numbers,)) for n in r)
        self.statement = (label, after, span.end)
        self.split_inside(span)

    def with_lost_dash(self, label: Label) -> Label:
        """"Rows 25" right after Row 1 is "Rows 2-5" whose dash was lost in the printing."""
        if len(label.numbers) != 1 or label.by_size or not regex.match(r"(?:rows|rnds|rounds)\b", self.folded[label.span.start : label.span.end]):
            return label
        first, digits = self.last_number + 1, str(label.numbers[0])
        rest = digits.removeprefix(str(first))
        if not self.in_rows or rest == digits or not rest or not first < int(rest) < first + 100:
            return label
        return replace(label, numbers=tuple(range(first, int(rest) + 1)))

    def founded(self) -> bool:
        """Whether a foundation was written since the last row."""
        return bool(self.trailing_foundation())

    def trailing_foundation(self) -> list[Statement]:
        """The foundation sentence written since the last row, with what follows it."""
        loose: list[Statement] = []
        for s in reversed(self.open.statements):
            if s.label is not None:
                break
            loose.insert(0, s)
        for i, s in enumerate(loose):
            if self.foundation(self.folded[s.body.start : s.body.end]):
                moved = loose[i:]
                self.open.statements = self.open.statements[: len(self.open.statements) - len(moved)]
                return moved
        return []

    def split_inside(self, span: Span) -> None:
        """Rows that run on inside a paragraph."""
        if self.statement is None:
            return
        label, s, e = self.statement
        at = max(s, span.start - 40)
        if label is not None and (again := _INREFERENCE.search(self.folded, at, e)) and _INLABEL.search(self.folded, at, again.start()) is None:
            # "… (13 sc) Repeat Rows 2 and 3 twice more.": what is repeated is no more of this row
            self.statement = (label, s, again.start())
            self.loose(again.end(), Span(again.end(), e))
            return
        while True:
            found = _INLABEL.search(self.folded, at, e)
            if found is None:
                # "… (13 sc) Row⏎2: …": a label broken over the line end
                return
            inner = read_label(self.folded, found.end(), sizes=self.size_count, inside=True)
            before = self.folded[max(s, found.start() - 24) : found.start()]
            if inner is not None and not regex.search(r"(?:rep(?:eat)?|as|of|in|after|with|and|to|until|from)\s*$", before):
                inner_label, after = inner
                self.statement = (label, s, found.start())
                self.row(inner_label, after, Span(min(after, e), e))
                return
            at = found.end()

    def loose(self, start: int, span: Span) -> None:
        """A sentence without a label begins."""
        self.end_statement()
        self.statement = (None, start, span.end)
        self.split_inside(span)

    def continues(self, span: Span, line: str, index: int, lines: list[Span]) -> bool:
        """Whether this line goes on with the statement before it."""
        if self.statement is None:
            return False
        label, s, e = self.statement
        so_far = self.folded[s:e].rstrip()
        body = line.strip()
        previous = lines[index - 1]
        if not self.folded[previous.start : previous.end].strip() and not any(b == previous for b in self.blanked):
            k = index - 1
            while k > 0 and not self.folded[lines[k].start : lines[k].end].strip():
                k -= 1
            if not (so_far and not _END.search(so_far) and any(b.start >= lines[k].start for b in self.blanked)):
                return not so_far and label is not None
        if not so_far:
            return True
        if self.label_alone and label is not None and _BULLET.match(self.text.source[span.start : span.end]):
            return True
        if (body[:1] in "=[(<{" and not regex.match(r"[\[(]\s*rep", body)) or regex.match(r"\d+(?:\s*[(\[].*?[)\]])*\s*(?:sts?|sc|dc|hdc|tr|htr|stitches)\b", body):
            return True
        if _DANGLING.search(so_far) and _STITCHY.match(body):
            return True
        ended = _END.search(so_far) is not None
        if not ended and not self.folded[previous.start : previous.end].rstrip().endswith("..."):
            first_source = self.text.source[span.start : span.end].lstrip()[:1]
            if label is None and (first_source.isupper() or self.short(previous)) and self.deliberate(previous, body):
                return False
            if self.deliberate(previous, body) and first_source.isupper() and not regex.search(r"(?:,|\band|\bin|\bof|\bnext|\beach|\brep|\bfrom|\bthe|-)\s*$", so_far):
                return False
            return not (self.deliberate(previous, body) and regex.match(r"(?:change|switch|now|fo\b|cut|add|stuff|fill|a$|b$|c$|put|try)", body))
        if regex.match(r"(?:rep(?:eat)?|dec(?:rease)?|inc(?:rease)?|work)\s", body) and self.text.source[span.start : span.end].lstrip()[:1].isupper():
            return False
        return not self.deliberate(previous, body)

    def short(self, previous: Span) -> bool:
        """Whether a line is too short to have been broken by its width."""
        return len(self.text[previous].rstrip()) < 40

    def deliberate(self, previous: Span, body: str) -> bool:
        """Whether the line before was ended on purpose: the next word would still have fitted."""
        if not self.wrapped:
            return True
        room = self.wrap - len(self.text[previous].rstrip())
        word = body.split()[0] if body.split() else ""
        return self.wrap > 140 or room > len(word) + 8

    def piece_heading(self, span: Span, source_line: str, body: str, index: int, lines: list[Span], blank_before: bool) -> str | None:
        """A short line that names a part: remembered until its first row or chain is met."""
        bare = source_line.strip(_DRESS)
        if not bare:
            return None
        folded = self.folded[span.start : span.end].strip(_DRESS)
        split = regex.match(r"(?P<name>[A-Z][A-Za-z' ]{1,30}(?:\s*\([^)]{1,40}\))?)\s*(?P<sep>:|—|–| - |\.\s\.\s\.)\s*(?=\S)", source_line.strip())
        if split and self.open.kind is not _K.ABBREVIATIONS:
            offset = span.start + source_line.find(split.group())
            rest_at = offset + split.end()
            rest = self.folded[rest_at : span.end]
            labelled = read_label(self.folded, rest_at, sizes=self.size_count)
            if labelled is not None or (self.foundation(rest) and not _KEYISH.match(split["name"].lower())):
                self.end_statement()
                self.begin(_K.PIECE, split["name"].strip(), Span(offset, offset + split.end("name")), rest_at, _make_count(split["name"]))
                self.in_rows = False
                self.last_number = 0
                if labelled is not None:
                    self.row(labelled[0], labelled[1], span)
                else:
                    self.loose(rest_at, span)
                return split["name"]
        if len(bare) > 70:
            return None
        if bare.endswith((".", ",", ";")) and not source_line.strip().endswith(("...", ". . .")):
            return None
        if self.statement is not None and not blank_before and self.continues(span, body, index, lines):
            return None
        if regex.search(r"\d\s*(?:sts?|sc|dc|mm|cm|in|g|gr|oz|m|yds?|yards|(?:balls?|skeins?)(?!\s*\())\b", folded) or regex.match(r"(?:fasten|repeat|rep|change|switch|turn|stuff|with|work|do not|cut|place|join(?!ing\b)|sew|now|start|fo\b|size|all sizes|\d+(?:st|nd|rd|th)\s+size|ch\b|dec|inc|cont)", folded):
            return None
        titled = bare.isupper() or bool(regex.search(r"\(?make\s+(?:\d|one|two|three|four)", folded)) or source_line.rstrip().endswith(":")
        words = [w for w in regex.split(r"[\s/&-]+", regex.sub(r"\([^)]*\)", "", bare)) if w]
        if not titled and words and len(words) <= 6 and all(w[:1].isupper() or w.lower() in ("and", "of", "the", "for", "with", "in", "on", "to", "a") for w in words):
            titled = True
        if not titled or not words or not regex.search(r"[A-Za-z]{2}", bare):
            return None
        name = regex.sub(r"^\d+[.)]\s*", "", regex.sub(r"\s*\([^)]*\)\s*$", "", bare)).strip(_DRESS)
        if self.open.kind in (_K.NOTES, _K.MATERIALS, _K.ABBREVIATIONS, _K.SPECIAL, _K.GAUGE, _K.SIZES) and not self.next_rows(index, lines):
            return None
        self.end_statement()
        self.pending_name = (name, Span(span.start + source_line.find(bare), span.start + source_line.find(bare) + len(bare)), _make_count(bare))
        if self.open.kind in (_K.NOTES, _K.MATERIALS, _K.ABBREVIATIONS, _K.SPECIAL, _K.GAUGE, _K.SIZES, _K.FINISHING):
            follows = self.next_rows(index, lines)
            if follows:
                self.begin_piece(span.start, span.end)
        return name

    def next_rows(self, index: int, lines: list[Span]) -> bool:
        """Whether a row or a foundation chain follows soon, before another heading."""
        for span in lines[index + 1 : index + 9]:
            line = self.folded[span.start : span.end]
            if not line.strip():
                continue
            start = span.start + len(line) - len(line.lstrip())
            labelled = read_label(self.folded, start, sizes=self.size_count, bare=True)
            if labelled is not None and _STITCHY.search(self.folded[labelled[1] : span.end]) and (not labelled[0].numbers or labelled[0].numbers[0] == 1 or labelled[0].word != "R"):
                return not regex.match(r"\s*(?:sew|embroider|fold|attach|mark|weave|count|place|pin|cut|thread)", self.folded[labelled[1] : span.end])
            if self.foundation(line.strip()):
                return True
            if heading_kind(line, upper=False):
                return False
        return False


_KEYISH = regex.compile(r"(?:shell|popcorn|pc|mesh|block|square|corner|v-?st|cl|cluster|picot|puff|bobble|inc|dec|note|notes|gauge|cable|c\d)\b")


def _without_aside(sentence: str) -> str:
    """A sentence without what it says in brackets, where it chains a foundation: no turning chain is ten long."""
    return regex.sub(r"\([^)]*\)", "", sentence) if regex.match(r"\D{0,30}\d\d", sentence) else sentence


def _make_count(text: str) -> int | None:
    found = regex.search(r"\(?\s*(?:make|work)\s+(\d+|one|two|three|four|six|eight)", text.lower())
    if not found:
        found = regex.search(r"[x*×]\s*(\d+)\s*\)?\s*$", text.lower())
    if not found:
        return None
    return {"one": 1, "two": 2, "three": 3, "four": 4, "six": 6, "eight": 8}.get(found[1]) or int(found[1][:4])


def read_layout(text: Text) -> tuple[Layout, tuple[str, ...]]:
    """The layout of a manuscript and its size names. Never raises, whatever the text."""
    finder = _Finder(text)
    layout = finder.run()
    sections = tuple(replace(s, name=s.name.strip()) for s in layout.sections)
    return replace(layout, sections=sections), finder.sizes
