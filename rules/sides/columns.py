"""Raised columns of a piece: which face every post stitch stands out on, and which face the post below it did.

The truth table: a front post stands out towards the maker, a back post away. So FP on RS rows and BP on WS rows stand out on
the RS, BP on RS rows and FP on WS rows on the WS.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from ...lint.fabric.work import PieceWork, RowWork, Status
from ...lint.rule import Subject
from ...lint.syntax.layout import SectionKind
from ...lint.text import Span

_POST_WORD = re.compile(
    r"\b(?P<front>fp|front[ -]posts?|(?:sc|hdc|htr|dc|tr|dtr)fp?|raised\s+(?:\w+\s+)?front|r(?:htr|tr|dtr)f)"
    r"(?=(?:s?[ch]|h?dc|h?tr|d?tr)?\d?(?:tog)?\b)|\b(?P<back>bp|back[ -]posts?|(?:sc|hdc|htr|dc|tr|dtr)bp?|raised\s+(?:\w+\s+)?back|r(?:htr|tr|dtr)b)(?=(?:s?[ch]|h?dc|h?tr|d?tr)?\d?(?:tog)?\b)"
)
_TOGETHER = re.compile(r"tog\b|together|\bdec", re.IGNORECASE)


def other(side: str) -> str:
    """The other side of the fabric."""
    return "WS" if side == "RS" else "RS"


def article(side: str) -> str:
    """“an RS”, “a WS”, as it is read aloud."""
    return f"an {side}" if side == "RS" else f"a {side}"


def stands_out(side: str, post: str) -> str:
    """The side a post stitch stands out on, from the side it is worked on and its kind ("F" or "B")."""
    return side if post == "F" else other(side)


def post_for(side: str, face: str) -> str:
    """The post ("F" or "B") that stands out on ``face`` when worked on ``side``."""
    return "F" if side == face else "B"


@dataclass(frozen=True)
class Flip:
    """Post stitches worked so that they stand out on another face than the posts they go around."""

    post: str
    below: str
    span: Span


@dataclass(frozen=True)
class PostRow:
    """The posts of one row: the faces kept, the columns that change, the posts on plain stitches."""

    row: RowWork
    at: int  # place in the piece's list of rows
    keeps: frozenset[str]
    flips: tuple[Flip, ...]
    posts: frozenset[str]

    @property
    def turned_from(self) -> frozenset[str]:
        return frozenset(f.below for f in self.flips)

    @property
    def words(self) -> tuple[Span, ...]:
        return tuple(dict.fromkeys(f.span for f in self.flips))


def turns_are_known(piece: PieceWork) -> bool:
    """Whether the turns that the words ask for are the ones the sides were worked out with."""
    return not any("turn" in row.marks and not row.turned for row in piece.rows[:-1])


def post_rows(subject: Subject, piece: PieceWork) -> list[PostRow]:
    """Every row with posts whose side is known, in working order."""
    out: list[PostRow] = []
    if not turns_are_known(piece):
        return out
    for at, row in enumerate(piece.rows):
        if not row.posts or row.side is None:
            continue
        sure = row.status is Status.PROVED and at > 0 and piece.rows[at - 1].status in (Status.PROVED, Status.DIFFERS)
        followed = dict.fromkeys((p.post, p.below, p.span) for p in row.posts if p.rows < 2) if sure else {}
        keeps: set[str] = set()
        flips: dict[tuple[str, str, Span], Flip] = {}
        for post, below, span in followed:
            if not below:
                continue
            if stands_out(row.side, post) == below:
                keeps.add(below)
            elif not _TOGETHER.search(subject.text.source[span.start : span.end]):  # a decrease may bridge two columns
                flips[post, below, span] = Flip(post, below, span)
        out.append(PostRow(row, at, frozenset(keeps), tuple(flips.values()), frozenset(p.post for p in row.posts)))
    return out


def plain_stitches(row: RowWork) -> int | None:
    """How many stitches of the row are no posts, or None where that is not known."""
    if not row.sizes or not row.sizes[0].kinds:
        return None
    return sum(n for kind, n in row.sizes[0].kinds.items() if not kind.startswith(("FP", "BP")))


def posts_in_words(text: str) -> frozenset[str]:
    """The kinds of post ("F", "B") that a row's own words name."""
    return frozenset("F" if m["front"] else "B" for m in _POST_WORD.finditer(text.lower()))


def is_row(row: RowWork) -> bool:
    return row.label.lower().startswith("row")


def is_round(row: RowWork) -> bool:
    """Whether it is labelled as a round."""
    return row.label.lower().startswith("r") and not is_row(row)


def within(inner: Span, outer: Span) -> bool:
    """Whether words stand whole in a place: a row's own, not those of a row it repeats."""
    return outer.start <= inner.start and inner.end <= outer.end


def row_words(subject: Subject, row: RowWork) -> str:
    return subject.layout.folded[row.span.start : row.span.end].lower()


def first_by_number(piece: PieceWork) -> dict[int, RowWork]:
    """The first row of every number."""
    found: dict[int, RowWork] = {}
    for row in piece.rows:
        if row.number is not None:
            found.setdefault(row.number, row)
    return found


def source_of(row: RowWork, by_number: Mapping[int, RowWork]) -> RowWork | None:
    """The row whose words a row repeats, followed to the words themselves."""
    seen: set[int] = set()
    current = row
    while current.source is not None and current.source not in seen:
        seen.add(current.source)
        found = by_number.get(current.source)
        if found is None or found.index >= current.index:
            return None
        current = found
    return current if current is not row else None


def written_rows(piece: PieceWork) -> Iterator[RowWork]:
    """Rows that stand in the text by their own label and words."""
    for row in piece.rows:
        if row.written and row.source is None:
            yield row


def side_is_stated(subject: Subject, piece: PieceWork) -> bool:
    """Whether the text says anywhere which side a row of this piece is worked on."""
    conventions = subject.pattern.conventions
    if not turns_are_known(piece):
        return False
    noted = conventions is not None and (conventions.side_odd is not None or conventions.all_rs)
    return noted or any(row.side_mark is not None for row in piece.rows)


def prose(subject: Subject, piece: PieceWork) -> str:
    """Everything said outside the rows that may explain a piece: titles, notes, definitions, the key and loose sentences."""
    parts: list[str] = []
    folded = subject.layout.folded
    for section in subject.layout.sections:
        if section.kind in (SectionKind.MATERIALS, SectionKind.FINISHING):
            continue
        if section.kind is SectionKind.PIECE:
            parts.append(folded[section.heading.start : section.heading.end])
            if section.span.touches(piece.span):
                parts += [folded[s.body.start : s.body.end] for s in section.statements if s.label is None]
                parts += [s.label.remark for s in section.statements if s.label is not None]
        else:
            parts.append(folded[section.span.start : section.span.end])
    return " ".join(" ".join(parts).lower().split())


def has_cables(subject: Subject, piece: PieceWork) -> bool:
    """Whether stitches cross in the piece, or its rows name a cable."""
    if any(row.crossings for row in piece.rows):
        return True
    words = " ".join(row_words(subject, row) for row in written_rows(piece))
    return re.search(r"\bcables?\b|\bc[2-9]\d?[fb]\b|\bcross(?:ed|es|ing)?\b|\btwist", words) is not None


def next_with_posts(rows: Sequence[PostRow], i: int) -> PostRow | None:
    """The row after a row of posts, when it has posts too."""
    if i + 1 < len(rows) and rows[i + 1].at == rows[i].at + 1:
        return rows[i + 1]
    return None
