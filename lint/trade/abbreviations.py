"""The abbreviations of American patterns: what each stands for, how else it is spelled, where it clashes.

Source: abbreviations.toml, which names a source for every entry and says whether it was read or is remembered.
British stitch abbreviations are in ``terms``.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from .. import regex
from .tables import is_sure, source_of, table

KINDS = ("stitch", "variant", "decrease", "group", "place", "action", "term", "mark", "colour", "unit")
_COUNTED = ("stitch", "variant", "decrease", "group", "place")


@dataclass(frozen=True, eq=False)
class Entry:
    """One abbreviation with one meaning.

    ``name`` is what it stands for and ``other_names`` further words for the same; ``aliases`` are other spellings,
    ``plural`` is "" where none is in use. ``standard``: believed to be in the trade standard's list. ``sure`` is False
    where the entry is remembered and was not read.
    """

    abbr: str
    name: str
    kind: str
    aliases: tuple[str, ...]
    plural: str
    other_names: tuple[str, ...]
    standard: bool
    source: str
    sure: bool
    note: str = ""


@dataclass(frozen=True, eq=False)
class Clash:
    """One spelling with several meanings in use."""

    abbr: str
    meanings: tuple[str, ...]
    source: str
    sure: bool


@lru_cache(maxsize=1)
def entries() -> tuple[Entry, ...]:
    """Every abbreviation of the table; one with two meanings stands twice."""
    return tuple(
        Entry(
            abbr=abbr,
            name=row["name"],
            kind=kind,
            aliases=tuple(row.get("aliases", ())),
            plural=row.get("plural", ""),
            other_names=tuple(row.get("also", ())),
            standard=row["standard"],
            source=source_of("abbreviations", row),
            sure=is_sure(row),
            note=row.get("note", ""),
        )
        for kind in KINDS
        for abbr, row in table("abbreviations")[kind].items()
    )


def folded(word: str) -> str:
    """A spelling without what does not tell abbreviations apart: case, dots, spaces and inner hyphens.

    A closing hyphen stays ("ch-" is a chain already made), and a single letter keeps its case ("B" is a bobble,
    "b" is not). "S.C.", "s c" and "sc" fold alike.
    """
    plain = regex.sub(r"[‐‑‒–−]", "-", word.strip()).replace("’", "'")
    closing = "-" if plain.endswith("-") else ""
    plain = regex.sub(r"[\s.\-]+", "", plain)
    return (plain if len(plain) == 1 else plain.lower()) + closing


@lru_cache(maxsize=1)
def _by_spelling() -> dict[str, tuple[Entry, ...]]:
    found: dict[str, list[Entry]] = {}
    for entry in entries():
        for spelling in _spellings(entry):
            same = found.setdefault(folded(spelling), [])
            if entry not in same:
                same.append(entry)
    return {spelling: tuple(same) for spelling, same in found.items()}


def _spellings(entry: Entry) -> Iterator[str]:
    yield entry.abbr
    yield from entry.aliases
    if entry.plural:
        yield entry.plural


def lookup(word: str) -> tuple[Entry, ...]:
    """Every meaning a spelling has in the table, the closest spelling first; () for a word that is not in it.

    Case, dots, spaces and inner hyphens are passed over, plurals and "sc's" found; two entries mean a clash
    ("MC" is the main colour and the magic circle).
    """
    plain = regex.sub(r"['’]s$", "", word.strip())
    found = _by_spelling().get(folded(plain), ())
    if not found and len(plain) > 2 and plain.endswith("s"):
        singular = _by_spelling().get(folded(plain[:-1]), ())
        found = tuple(entry for entry in singular if entry.kind in _COUNTED)
    return tuple(sorted(found, key=lambda entry: (plain not in _spellings(entry), plain != entry.abbr)))


@lru_cache(maxsize=1)
def clashes() -> tuple[Clash, ...]:
    """Every spelling that is known to stand for several things."""
    return tuple(
        Clash(abbr, tuple(row["meanings"]), source_of("abbreviations", row), is_sure(row))
        for abbr, row in table("abbreviations")["clash"].items()
    )


def clash(word: str) -> Clash | None:
    """The clash a spelling is known for, or None."""
    return next((c for c in clashes() if folded(c.abbr) == folded(word)), None)
