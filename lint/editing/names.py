"""The names a manuscript goes by: abbreviations, special stitches and colours, where each is explained and where used.

A name is found under each of its spellings ("sc", "s.c.", "Sc") and in the plural. What the key explains is looked for
wherever the manuscript speaks of the work; a stitch no key explains, in rows and recipes alone.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import cached_property

from .. import regex
from ..rule import Subject
from ..syntax.layout import KeyEntry, SectionKind
from ..syntax.lexicon import read_stitch
from ..text import Span
from ..trade.abbreviations import folded as fold_word
from ..vocabulary_use import spelled, uses, uses_in_recipes
from .kinds import NameKind

_Place = tuple[int, int]


@dataclass(frozen=True)
class Name:
    """One name. ``defined`` are the places that explain it, ``used`` all others, both without a plural's ending."""

    kind: NameKind
    word: str
    defined: tuple[Span, ...] = ()
    used: tuple[Span, ...] = ()
    entry: KeyEntry | None = field(default=None, repr=False)

    @property
    def places(self) -> tuple[Span, ...]:
        """Every place, in the order of the text."""
        return tuple(sorted((*self.defined, *self.used)))


@dataclass(frozen=True)
class Names:
    """Every name of one manuscript; no two share a place."""

    all: tuple[Name, ...]

    @cached_property
    def _placed(self) -> tuple[tuple[Span, Name], ...]:
        every = ((span, name) for name in self.all for span in (*name.defined, *name.used))
        return tuple(sorted(every, key=lambda each: each[0].start))

    def at(self, offset: int) -> tuple[Name, Span] | None:
        """The name an offset stands in or right behind, and its place."""
        found = bisect_right(self._placed, offset, key=lambda each: each[0].start)
        if found and offset <= self._placed[found - 1][0].end:
            span, name = self._placed[found - 1]
            return name, span
        return None


# Words of a key that are everyday words as well: "in" for inches. Only their entry is theirs.
_EVERYDAY = frozenset(["a", "an", "and", "as", "at", "by", "do", "for", "from", "go", "in", "ins", "is", "it", "me", "no", "of", "off", "on", "or", "so", "the", "to", "up", "us", "we", "with"])
_SPEAKING = frozenset(
    {
        SectionKind.ABBREVIATIONS,
        SectionKind.SPECIAL,
        SectionKind.NOTES,
        SectionKind.GAUGE,
        SectionKind.PIECE,
        SectionKind.FINISHING,
    }
)
_LETTER = regex.compile(r"(?:[A-HK-Z]|MC|CC\d?)")
_DECLARED = regex.compile(
    r"[(\[](?P<bracket>[A-HK-Z]|MC|CC\d?)[)\]]"
    r"|(?i:\b(?:colou?r|yarn|shade))[ \t]+(?P<word>[A-HK-Z]|MC|CC\d?)\b"
    r"|(?m:^)[ \t•*-]*(?P<line>[A-HK-Z]|MC|CC\d?)[ \t]*(?:[:=]|[–—-][ \t])"
)
_SAID_BEFORE = regex.compile(
    r"(?i:\b(?:with|in|to|of|using|and|or|off|drop|drops|carry|cut|join|joining|colou?r|yarn|change|changing|attach|pick up))[ \t]+\Z|[(\[/][ \t]*\Z"
)
_SAID_AFTER = regex.compile(r"[ \t]*[,.;:)\]/]|[ \t]*$", regex.MULTILINE)


def find_names(subject: Subject) -> Names:
    """Every name of a manuscript."""
    colours = tuple(_colours(subject))
    letters = {name.word for name in colours}
    explained = [each for each in _explained(subject) if each.word not in letters]
    words = _Words(explained)
    for use in (*uses(subject), *uses_in_recipes(subject)):
        if use.type in ("STITCH", "SL", "GROUPNAME") or (use.type == "LOOPS" and use.word in ("blo", "flo")):
            words.add(use.word, use.span.start, subject.pattern.terms)
    words.look(subject)
    return Names((*words.names(subject), *colours))


@dataclass(frozen=True)
class _Explained:
    word: str
    entry: KeyEntry
    at: Span

    @property
    def kind(self) -> NameKind:
        return NameKind.STITCH if self.entry.special else NameKind.ABBREVIATION


def _explained(subject: Subject) -> Iterator[_Explained]:
    """Each word that an entry of the key or a definition explains; of a word and its plural, the word."""
    seen: set[tuple[str, Span]] = set()
    for entry in subject.layout.key:
        place = entry.words_span
        for word in entry.words:
            if any(word != other and fold_word(word) in _plurals(other) for other in entry.words):
                continue
            found = re.compile(rf"(?<![a-z]){spelled(word)}").search(subject.layout.folded, place.start, place.end)
            if not word.strip() or found is None or (fold_word(word).lower(), place) in seen:
                continue
            seen.add((fold_word(word).lower(), place))
            yield _Explained(word, entry, Span(*found.span()))


def _plurals(word: str) -> frozenset[str]:
    plain = fold_word(word)
    return frozenset({plain + "s", plain + "es", plain + "(s)"})


def _singular(word: str, terms: str | None) -> str:
    """A stitch as the rows spell it, without the mark of a plural: "dc" for "dcs" and "dc's"."""
    plain = " ".join(word.rstrip(".").split())
    for ending in ("'s", "es", "s"):
        short = plain.removesuffix(ending)
        if short != plain and len(short) > 1 and read_stitch(short, terms) == read_stitch(plain, terms):
            return short
    return plain


class _Words:
    """Gathers the places of words: those the key explains, and stitches named in the rows without an explanation."""

    def __init__(self, explained: Iterable[_Explained]) -> None:
        self.explained: dict[str, list[_Explained]] = {}
        self.used: dict[str, set[_Place]] = {}
        self._read: dict[str, tuple[str, int]] = {}
        for each in explained:
            self.explained.setdefault(fold_word(each.word).lower(), []).append(each)

    def add(self, printed: str, start: int, terms: str | None) -> None:
        """A stitch met in a row; one the key explains is found when the text is looked through."""
        known = self._read.get(printed)
        if known is None:
            word = _singular(printed, terms)
            known = self._read[printed] = fold_word(word).lower(), min(len(printed), len(word))
        key, length = known
        if key not in self.explained:
            self.used.setdefault(key, set()).add((start, start + length))

    def look(self, subject: Subject) -> None:
        """Look through the text for every explained word, the longest first: the "shell" of "beg shell" is no shell."""
        keys = [key for key in self.explained if len(key) > 1 and key not in _EVERYDAY]
        if not keys:
            return
        keys.sort(key=len, reverse=True)
        bodies = "|".join(f"(?P<w{i}>{spelled(self.explained[key][0].word)})" for i, key in enumerate(keys))
        pattern = re.compile(rf"(?<![a-z'])(?:{bodies})(?:'?s|es)?(?![a-z]|\d*tog)")
        own = {(each.at.start, each.at.end) for entries in self.explained.values() for each in entries}
        folded = subject.layout.folded
        for section in subject.layout.sections:
            if section.kind not in _SPEAKING:
                continue
            for match in pattern.finditer(folded, section.span.start, section.span.end):
                key = keys[int((match.lastgroup or "w0")[1:])]
                place = match.span(match.lastgroup or 0)
                ordinal = key == "st" and match.group() == "st" and folded[place[0] - 1 : place[0]].isdigit()
                if place not in own and not ordinal:
                    self.used.setdefault(key, set()).add(place)

    def names(self, subject: Subject) -> Iterator[Name]:
        """Every word with its places; where two would share one, the longer has it."""
        taken = bytearray(len(subject.text))
        for key in sorted({*self.explained, *self.used}, key=len, reverse=True):
            found = self.explained.get(key, [])
            defined = tuple(sorted(each.at for each in found))
            free = [Span(*place) for place in sorted(self.used.get(key, ())) if not any(taken[slice(*place)])]
            for span in (*defined, *free):
                taken[span.start : span.end] = b"\1" * len(span)
            if found:
                yield Name(found[-1].kind, found[-1].word, defined, tuple(free), found[-1].entry)
            elif free:
                yield Name(NameKind.STITCH, _plainest(subject, free), (), tuple(free))


def _plainest(subject: Subject, spans: Iterable[Span]) -> str:
    """A name as the rows print it most plainly: in small letters where it ever stands so."""
    printed = [subject.text[span] for span in spans]
    return next((word for word in printed if word == word.lower()), printed[0])


def _colours(subject: Subject) -> Iterator[Name]:
    """The letters that stand for the yarns of a manuscript: "Osier (A)", "Colour B:", "MC"."""
    source = subject.text.source
    declared: dict[str, list[Span]] = {}
    for section in subject.layout.of(SectionKind.MATERIALS):
        for match in _DECLARED.finditer(source, section.body.start, section.body.end):
            group = match.lastgroup or "bracket"
            declared.setdefault(match[group], []).append(Span(*match.span(group)))
    if not declared:
        return
    used: dict[str, list[Span]] = {letter: [] for letter in declared}
    letter = re.compile(rf"(?<![A-Za-z\d'-])(?:{'|'.join(sorted(declared, key=len, reverse=True))})(?![A-Za-z\d'-])")
    for section in subject.layout.sections:
        if section.kind not in _SPEAKING:
            continue
        for match in letter.finditer(source, section.span.start, section.span.end):
            before, after = source[max(0, match.start() - 16) : match.start()], source[match.end() : match.end() + 4]
            if len(match.group()) > 1 or _SAID_BEFORE.search(before) or _SAID_AFTER.match(after):
                used[match.group()].append(Span(*match.span()))
    for word, defined in declared.items():
        yield Name(NameKind.COLOUR, word, tuple(defined[:1]), tuple(sorted([*defined[1:], *used[word]])))


def is_colour(word: str) -> bool:
    """Whether a word has the look of a colour's letter."""
    return _LETTER.fullmatch(word) is not None
