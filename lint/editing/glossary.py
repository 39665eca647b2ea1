"""What a name means in its manuscript and in the trade: the key's own words first, then the trade's tables."""

from __future__ import annotations

from dataclasses import dataclass

from ..rule import Subject
from ..syntax.lexer import lexer_for
from ..syntax.lexicon import Stitch, read_stitch
from ..text import Span
from ..trade.abbreviations import lookup
from ..trade.terms import Name as Term
from ..trade.terms import pair
from .kinds import NameKind
from .names import Name


@dataclass(frozen=True)
class Meaning:
    """What is known of one name. "" and None where nothing is.

    ``explained`` is the manuscript's own explanation, ``trade`` what the word is short for in the manuscript's terms;
    ``us`` and ``uk`` are the stitch's names in both. ``uses`` and ``makes`` count stitches.
    """

    word: str
    kind: NameKind
    explained: str = ""
    explained_at: Span | None = None
    trade: str = ""
    us: str = ""
    uk: str = ""
    uses: int | None = None
    makes: int | None = None
    sure: bool = True


def meaning(subject: Subject, name: Name) -> Meaning:
    """What a name of a manuscript means."""
    explained = name.entry.meaning if name.entry else ""
    at = name.defined[0] if name.defined else None
    if name.kind is NameKind.COLOUR:
        return Meaning(name.word, name.kind, _line(subject, at) if at else "", at)
    stitch = _stitch(subject, name.word)
    named = in_both_terms(stitch.kind) if stitch else ("", "")
    plain = stitch is not None and not stitch.group and stitch.kind not in ("cluster", "picot")
    trade, sure = _trade(subject, name.word)
    return Meaning(
        word=name.word,
        kind=name.kind,
        explained=explained,
        explained_at=at,
        trade=trade,
        us=named[0],
        uk=named[1],
        uses=stitch.uses if stitch and plain else None,
        makes=stitch.makes if stitch and plain else None,
        sure=sure,
    )


def _stitch(subject: Subject, word: str) -> Stitch | None:
    """The stitch a word is in this manuscript: its own definition before the trade's."""
    folded = " ".join(word.lower().split())
    own = dict(subject.pattern.vocabulary.stitches)
    if folded in own:
        return own[folded]
    tokens = lexer_for(subject.pattern.vocabulary).tokens(folded)
    if len(tokens) == 1 and tokens[0].type in ("STITCH", "SL") and isinstance(tokens[0].value, Stitch):
        return tokens[0].value
    return read_stitch(folded, subject.pattern.terms)


def in_both_terms(kind: str) -> tuple[str, str]:
    """An American stitch's name in American and in British terms, each with its abbreviation; "" where not known."""
    found = pair(kind, "US")
    return (_named(found.us), _named(found.uk)) if found else ("", "")


def _named(term: Term) -> str:
    return f"{term.name} ({' or '.join(term.abbr)})" if term.abbr else term.name


def _trade(subject: Subject, word: str) -> tuple[str, bool]:
    """What a word is short for in the manuscript's terms, and whether the table was sure of it."""
    if subject.pattern.terms == "UK" and (british := pair(word, "UK")):
        return british.uk.name, british.sure
    entries = lookup(word)
    if len({entry.name for entry in entries}) != 1:
        return "", False  # unknown, or short for several things
    return entries[0].name, entries[0].sure


def _line(subject: Subject, at: Span) -> str:
    """The line of the materials that names a colour."""
    line = subject.text.line_span(subject.text.line_number(at.start))
    return subject.text[line].strip(" \t•*-")
