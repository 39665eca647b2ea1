"""What the rows of a piece say: their words, their turns, the rows they repeat, and what the text says around them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from ...lint import regex
from ...lint.fabric.work import PieceWork, RowWork
from ...lint.rule import Subject
from ...lint.syntax.layout import SectionKind
from ...lint.text import Span

_POST_WORD = regex.compile(
    r"\b(?P<front>fp|front[ -]posts?|(?:sc|hdc|htr|dc|tr|dtr)fp?|raised\s+(?:\w+\s+)?front|r(?:htr|tr|dtr)f)"
    r"(?=(?:s?[ch]|h?dc|h?tr|d?tr)?\d?(?:tog)?\b)|\b(?P<back>bp|back[ -]posts?|(?:sc|hdc|htr|dc|tr|dtr)bp?|raised\s+(?:\w+\s+)?back|r(?:htr|tr|dtr)b)(?=(?:s?[ch]|h?dc|h?tr|d?tr)?\d?(?:tog)?\b)"
)


def article(side: str) -> str:
    """“an RS”, “a WS”, as it is read aloud."""
    return f"an {side}" if side == "RS" else f"a {side}"


def turns_are_known(piece: PieceWork) -> bool:
    """Whether the turns that the words ask for are the ones the sides were worked out with."""
    return not any("turn" in row.marks and not row.turned for row in piece.rows[:-1])


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
