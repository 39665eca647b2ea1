"""Adding to a manuscript's key: an entry for a word its rows use, written as the others are."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from ..finding import Correction, Edit
from ..rule import Subject
from ..syntax.layout import KeyEntry
from ..text import Span
from ..vocabulary_use import key_entries
from .glossary import meaning
from .names import Name

if TYPE_CHECKING:
    from ..text import Text


@dataclass(frozen=True, slots=True)
class _Dress:
    """What stands between a word and its meaning, and between two entries."""

    middle: str
    between: str


def entry_for(subject: Subject, name: Name) -> Correction | None:
    """The entry a name lacks, in its place in the key; None without a key, a sure meaning, or where it has one."""
    entries = [e for e in key_entries(subject) if not e.special]
    if name.defined or len(entries) < 2:
        return None
    means = meaning(subject, name)
    dress = _dress(subject.text, entries)
    if not means.trade or not means.sure or dress is None:
        return None
    word = _spelled_out(name.word)
    edit = _placed(subject.text, entries, dress, word, means.trade)
    return Correction(f"Add “{word}” to the abbreviations: {means.trade}", (edit,))


def _spelled_out(word: str) -> str:
    """The usual capitals of a post stitch: "FPdc" for "fpdc"."""
    return word[:2].upper() + word[2:] if word[:2] in ("fp", "bp") and len(word) > 2 else word


def _dress(text: Text, entries: list[KeyEntry]) -> _Dress | None:
    first, second = entries[0], entries[1]
    meaning_at = text.source.find(first.meaning.split()[0], first.words_span.end, first.span.end) if first.meaning else -1
    between = text.source[first.span.end : second.words_span.start]
    if meaning_at < 0 or not 0 < len(between) <= 12:
        return None
    return _Dress(text.source[first.words_span.end : meaning_at], between)


def _placed(text: Text, entries: list[KeyEntry], dress: _Dress, word: str, means: str) -> Edit:
    new = f"{word}{dress.middle}{means}"
    keys = [entry.words[0].lower() for entry in entries]
    before = len(entries)
    if keys == sorted(keys):
        before = next((at for at, key in enumerate(keys) if key > word.lower()), len(entries))
    if before == 0:
        start = entries[0].words_span.start
        return Edit(Span(start, start), f"{new}{dress.between}")
    end = entries[before - 1].span.end
    if text.source[end - 1 : end] == "." and "." not in dress.between:
        end -= 1  # the stop that closes a running list
    return Edit(Span(end, end), f"{dress.between}{new}")
