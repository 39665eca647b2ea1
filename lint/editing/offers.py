"""What may be typed next at a place in a pattern: the next row's label, stitches, places on the row below, the count."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from .. import regex
from ..fabric.work import PieceWork, RowWork
from ..proof import Proof
from ..rule import Subject
from ..syntax.layout import SectionKind, Statement
from ..text import Span
from ..trade.abbreviations import entries
from ..trade.terms import pairs, to_uk
from . import rows
from .glossary import meaning
from .keys import entry_for
from .kinds import NameKind, OfferKind
from .names import Names
from .stated import CountStyle, count_style, count_words


@dataclass(frozen=True, slots=True)
class Offer:
    """Words to put in the place of ``span``, which ends where one types."""

    kind: OfferKind
    words: str
    span: Span
    detail: str = ""


_TYPED = regex.compile(r"[^\W\d_][\w.-]*\Z")
_PLACED = regex.compile(
    r"\b(?P<prep>into|in|around|over)\s+(?:the\s+)?(?P<which>(?:each|every|next|first|last|same)\s+)?(?P<noun>[\w-]*(?:\s[\w-]*)?)\Z",
    regex.IGNORECASE,
)
_OPENED = regex.compile(r"(?P<gap>[ \t]*)(?P<open>[(\[–—]|-(?=\s))\s*\d*\Z")
_STEPS = ("turn", "join with sl st in first st", "rep from * across", "sk next st", "fasten off")
_FIRST_ROW = ("2nd ch from hook", "3rd ch from hook", "4th ch from hook", "each ch across", "ring")


def offers(subject: Subject, proof: Proof, names: Names, offset: int) -> list[Offer]:
    """What may be typed at an offset, the likeliest first; nothing in prose."""
    begun = [section for section in proof.layout.sections if section.span.start <= offset]
    section = begun[-1] if begun else None
    if section is None:
        return []
    if section.kind is SectionKind.ABBREVIATIONS:
        return list(_entries(subject, names, offset))
    if section.kind is not SectionKind.PIECE:
        return []
    piece = next((p for p in proof.work.pieces if p.span == section.span or p.span.touches(section.span)), None)
    line = proof.text.line_span(proof.text.line_number(offset))
    typed = proof.text.source[line.start : offset]
    statement = _statement(section.statements, offset)
    labelled = statement is not None and statement.label is not None and statement.label.span.end <= offset
    found: list[Offer] = []
    if piece is not None and piece.rows and _begins_a_label(typed) and not proof.text.source[offset : line.end].strip():
        found.extend(_next_label(proof, piece, line.start, offset))
        if found and typed.strip():
            return found
    if labelled and statement is not None:
        found.extend(_in_row(subject, proof, names, piece, statement, offset))
    return found


def _statement(statements: tuple[Statement, ...], offset: int) -> Statement | None:
    found = [s for s in statements if s.span.start <= offset]
    return found[-1] if found else None


# The next row's label


def _begins_a_label(typed: str) -> bool:
    return regex.fullmatch(r"[\s*_>•-]*(?:r\w{0,4}\s*\d{0,4}|\d{0,4})[\s*:.)]*", typed, regex.IGNORECASE) is not None


def _next_label(proof: Proof, piece: PieceWork, line: int, offset: int) -> Iterator[Offer]:
    """The label after the last one above, dressed as it is; the other side where the last two take turns."""
    above = [place for place in rows.written(piece) if place.label and place.span.start < line]
    numbers = [row.number for place in above for row in place.rows if row.number is not None]
    if not above or not numbers:
        return
    last = above[-1]
    label = proof.text[last.label_span]
    start = proof.text.line_span(proof.text.line_number(last.label_span.start)).start
    dress = proof.text.source[start : last.label_span.start]
    if dress.strip(" \t*_>•-") or not regex.search(r"\d", label):
        return
    words = regex.sub(r"\d[\d\s,–—&()to-]*\d|\d+", str(max(numbers) + 1), label, count=1)
    words = regex.sub(r"^((?:row|rnd|round))s\b", r"\1", words, flags=regex.IGNORECASE)
    words = regex.sub(r"\((?!\s*(?:rs|ws|right|wrong))[^)]*\)", "", words, flags=regex.IGNORECASE)
    sides = [regex.search(r"\b(RS|WS)\b", proof.text[place.label_span]) for place in above[-2:]]
    if len(sides) == 2 and sides[0] and sides[1] and sides[0][1] != sides[1][1]:
        words = regex.sub(r"\b(?:RS|WS)\b", sides[0][1], words)
    elif sides[-1]:
        words = regex.sub(r"\s*\(\s*(?:RS|WS)\s*\)", "", words)
    yield Offer(OfferKind.LABEL, f"{dress}{words.rstrip()} ", Span(line, offset), f"after {last.label}")


# Inside a row


def _in_row(
    subject: Subject, proof: Proof, names: Names, piece: PieceWork | None, statement: Statement, offset: int
) -> Iterator[Offer]:
    before = proof.text.source[statement.body.start : offset]
    if not before.strip() or before[-1:].isdigit():
        yield from _stitches(subject, proof, names, offset, "")
        return
    row = _row_at(piece, offset)
    if not proof.text.source[offset : statement.body.end].strip():
        yield from _count(proof, row, offset)
    if placed := _PLACED.search(before):
        start = offset - len(placed["noun"])
        yield from _places(proof, piece, row, placed, Span(start, offset))
        return
    typed = _TYPED.search(before)
    yield from _stitches(subject, proof, names, offset, typed.group() if typed else "")


def _row_at(piece: PieceWork | None, offset: int) -> RowWork | None:
    found = [row for row in (piece.rows if piece else ()) if row.written and row.span.start <= offset]
    return found[-1] if found else None


def _count(proof: Proof, row: RowWork | None, offset: int) -> Iterator[Offer]:
    if row is None or any(size.stated is not None for size in row.sizes):
        return
    style: CountStyle = count_style(proof, row.span)
    words = count_words(proof, row, style.named)
    if words is None:
        return
    gap = proof.text.source[offset - 1 : offset]
    lead = style.lead.lstrip() if gap.isspace() else style.lead
    stop = "." if style.stop and gap not in ".! " else ""
    yield Offer(OfferKind.COUNT, f"{stop}{lead}{style.before}{words}{style.after}", Span(offset, offset), "worked out")


def dangling(source: str, offset: int) -> Span | None:
    """A count just begun at an offset: the opening bracket or dash, with what is typed of its number."""
    found = _OPENED.search(source, max(0, offset - 8), offset)
    return Span(found.start("open"), offset) if found else None


def _places(
    proof: Proof, piece: PieceWork | None, row: RowWork | None, placed: regex.Match[str], span: Span
) -> Iterator[Offer]:
    below = _below(piece, row)
    which = (placed["which"] or "").strip().lower()
    if below is None:
        if not which:
            yield from (Offer(OfferKind.PLACE, words, span, "first row") for words in _FIRST_ROW)
        return
    nouns: dict[str, str] = {}
    for size in below.sizes:
        for kind in size.kinds:
            name = (to_uk(kind) or kind) if proof.work.terms == "UK" else kind
            nouns.setdefault(name, f"{size.kinds[kind]} on {below.label}")
        for place, number in size.places.items():
            nouns.setdefault(place, f"{number} on {below.label}")
    made = next((size.made for size in below.sizes), None)
    every = {"st": f"{made} on {below.label}" if made is not None else below.label, **nouns}
    for noun, detail in every.items():
        if which == "each" or which == "every":
            yield Offer(OfferKind.PLACE, f"{noun} across", span, detail)
        elif which:
            yield Offer(OfferKind.PLACE, noun, span, detail)
        else:
            yield from (Offer(OfferKind.PLACE, f"{word} {noun}", span, detail) for word in ("next", "each"))


def _below(piece: PieceWork | None, row: RowWork | None) -> RowWork | None:
    if piece is None or row is None:
        return None
    above = [other for other in piece.rows if other.index < row.index]
    return above[-1] if above else None


def _stitches(subject: Subject, proof: Proof, names: Names, offset: int, typed: str) -> Iterator[Offer]:
    """Abbreviations of the key first, then stitches of the trade in the manuscript's terms, colours and steps."""
    span = Span(offset - len(typed), offset)
    capital = typed[:1].isupper()
    said: set[str] = set()
    explained = [name for name in names.all if name.kind is not NameKind.COLOUR]
    for name in sorted(explained, key=lambda n: (not n.defined, -len(n.used), n.word)):
        own = meaning(subject, name)
        said.add(name.word.lower())
        kind = OfferKind.EXPLAINED if name.defined else OfferKind.STITCH
        yield Offer(kind, _cased(name.word, capital), span, own.explained or own.trade or "used in this manuscript")
    for word, detail in _trade(proof.pattern.terms):
        if word.lower() not in said:
            yield Offer(OfferKind.STITCH, _cased(word, capital), span, detail)
    for name in names.all:
        if name.kind is NameKind.COLOUR:
            yield Offer(OfferKind.COLOUR, name.word, span, meaning(subject, name).explained)
    yield from (Offer(OfferKind.STEP, _cased(step, capital), span) for step in _STEPS)


def _cased(word: str, capital: bool) -> str:
    return word[:1].upper() + word[1:] if capital else word


def _trade(terms: str | None) -> Iterator[tuple[str, str]]:
    if terms == "UK":
        yield from ((pair.uk.abbr[0], pair.uk.name) for pair in pairs() if pair.uk.abbr)
        return
    for entry in entries():
        if entry.kind in ("stitch", "variant", "decrease", "group") and entry.standard:
            yield entry.abbr, entry.name


# In the key


def _entries(subject: Subject, names: Names, offset: int) -> Iterator[Offer]:
    """Entries for the stitches that the rows use and the key leaves out, on a line of their own."""
    line = subject.text.line_span(subject.text.line_number(offset))
    typed = subject.text.source[line.start : offset]
    if len(typed.strip()) > 12 or subject.text.source[offset : line.end].strip():
        return
    for name in names.all:
        correction = None if name.defined else entry_for(subject, name)
        if correction is not None:
            words = correction.edits[0].text.strip(" \t\r\n;,")
            yield Offer(OfferKind.ENTRY, words, Span(line.start, offset), correction.title)
