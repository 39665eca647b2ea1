"""Another name for a stitch, a colour or an abbreviation, wherever it stands; another number for a row."""

from __future__ import annotations

from collections.abc import Iterator

from .. import regex
from ..finding import Edit
from ..proof import Proof
from ..text import Span, Text
from ..trade.abbreviations import folded
from . import mentions, rows
from .kinds import NameKind
from .names import Name, Names, is_colour

_WORD = regex.compile(r"[^\W_](?:[\w .'’-]{0,28}[\w.])?")


class NotRenamed(ValueError):
    """Why something cannot go by the name asked for, in words for the one who asked."""


def rename(text: Text, names: Names, name: Name, new: str) -> tuple[Edit, ...]:
    """Every place of a name changed to ``new``; capitals and plurals are kept. Raises ``NotRenamed``."""
    new = " ".join(new.split())
    if not _WORD.fullmatch(new) or new.isdigit():
        raise NotRenamed(f"“{new}” cannot be the name of a stitch or a yarn: a name is a word or two.")
    taken = next((n for n in names.all if n is not name and folded(n.word).lower() == folded(new).lower()), None)
    if taken is not None:
        raise NotRenamed(f"“{taken.word}” is in this manuscript already. Two things under one name could not be told apart.")
    if name.kind is NameKind.COLOUR and not is_colour(new):
        raise NotRenamed("A yarn goes by one capital letter, or by MC or CC.")
    return tuple(Edit(span, _cased(new, text[span], name)) for span in name.places if text[span] != new)


def _cased(new: str, printed: str, name: Name) -> str:
    """The new word with the capital the old one has at the start of a sentence."""
    if name.kind is not NameKind.COLOUR and printed != name.word and printed[:1].isupper() and name.word[:1].islower():
        return new.upper() if printed.isupper() and len(printed) > 1 else new[:1].upper() + new[1:]
    return new


def renumber(proof: Proof, place: rows.Written, new: str) -> tuple[Edit, ...]:
    """A row's number changed in its label and wherever it is named. Raises ``NotRenamed``."""
    number, found = place.rows[0].number, regex.search(r"\d{1,4}\b", new)
    if len(place.rows) != 1 or number is None:
        raise NotRenamed("Only a row with one number of its own can be given another.")
    if found is None:
        raise NotRenamed("A row goes by a number: write the new one.")
    piece = mentions.piece_at(proof, place.span.start)
    if piece is None or any(row.number == int(found[0]) for row in piece.rows):
        raise NotRenamed(f"There is a row {found[0]} in this piece already.")
    spans = {*_figures(proof.text, place.label_span, number)}
    for mention in mentions.naming(proof, place):
        spans.update(_figures(proof.text, mention.span, number))
    return tuple(Edit(span, found[0]) for span in sorted(spans))


def _figures(text: Text, span: Span, number: int) -> Iterator[Span]:
    for match in regex.finditer(r"(?<!\d)0*(\d+)", text[span]):
        if int(match[1][:9]) == number:
            yield Span(span.start + match.start(), span.start + match.end())
