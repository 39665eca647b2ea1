"""American and British words: stitch pairs, companion words, older names (terms.toml, a source for each).

Pairs must never be swapped one after the other: dc and tr are in both systems with other meanings.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from .. import regex
from .abbreviations import folded
from .tables import Row, is_sure, source_of, table

Terms = Literal["US", "UK"]
Strength = Literal["strong", "weak", "none"]


@dataclass(frozen=True, eq=False)
class Name:
    """One side of a pair: the name, other names, abbreviations, and how much it tells about a text's terms."""

    name: str
    also: tuple[str, ...]
    abbr: tuple[str, ...]
    tells: Strength


@dataclass(frozen=True, eq=False)
class Pair:
    """One stitch in both terms."""

    us: Name
    uk: Name
    source: str
    sure: bool
    note: str = ""

    @property
    def strength(self) -> Strength:
        """What the stronger side tells."""
        told = {self.us.tells, self.uk.tells}
        return "strong" if "strong" in told else "weak" if "weak" in told else "none"


@dataclass(frozen=True, eq=False)
class WordPair:
    """A companion word in both terms, no stitch. ``both`` are forms at home in either; ``craft`` "knitting" or ""."""

    us: tuple[str, ...]
    uk: tuple[str, ...]
    both: tuple[str, ...]
    tells: Strength
    craft: str
    source: str
    sure: bool
    note: str = ""


@dataclass(frozen=True, eq=False)
class Historic:
    """An older name and the American abbreviation of the stitch it means there."""

    old: tuple[str, ...]
    means: str
    where: str
    source: str
    sure: bool


def _name(row: Row) -> Name:
    return Name(row["name"], tuple(row.get("also", ())), tuple(row["abbr"]), row["tells"])


@lru_cache(maxsize=1)
def pairs() -> tuple[Pair, ...]:
    """Every stitch pair of the table."""
    return tuple(
        Pair(_name(row["us"]), _name(row["uk"]), source_of("terms", row), is_sure(row), row.get("note", ""))
        for row in table("terms")["stitch"]
    )


@lru_cache(maxsize=1)
def word_pairs() -> tuple[WordPair, ...]:
    """Every companion word: skip and miss, gauge and tension, colour spellings."""
    return tuple(
        WordPair(
            us=tuple(row["us"]),
            uk=tuple(row["uk"]),
            both=tuple(row.get("both", ())),
            tells=row["tells"],
            craft=row.get("craft", ""),
            source=source_of("terms", row),
            sure=is_sure(row),
            note=row.get("note", ""),
        )
        for row in table("terms")["word"]
    )


@lru_cache(maxsize=1)
def historic() -> tuple[Historic, ...]:
    """Every older name of the table."""
    return tuple(
        Historic(tuple(row["old"]), row["means"], row["where"], source_of("terms", row), is_sure(row))
        for row in table("terms")["historic"]
    )


def _plain_name(word: str) -> str:
    return regex.sub(r"[\s-]+", " ", word.lower()).strip()


def _is(side: Name, word: str) -> bool:
    return folded(word) in {folded(a) for a in side.abbr} or _plain_name(word) in {
        _plain_name(n) for n in (side.name, *side.also)
    }


def pair(word: str, terms: Terms) -> Pair | None:
    """The pair whose ``terms`` side an abbreviation or a name is, or None: pair("dc", "UK") is the US single crochet.

    Where British lists use one spelling twice, the plainer stitch comes first.
    """
    return next((p for p in pairs() if _is(p.us if terms == "US" else p.uk, word)), None)


def to_uk(word: str) -> str | None:
    """The British abbreviation of a stitch in American terms ("sc" gives "dc"), or None."""
    found = pair(word, "US")
    return found.uk.abbr[0] if found else None


def to_us(word: str) -> str | None:
    """The American abbreviation of a stitch in British terms ("dc" gives "sc"), or None."""
    found = pair(word, "UK")
    return found.us.abbr[0] if found else None


STITCH = regex.compile(r"\b(?P<post>[FB]P)?(?P<stitch>sc|hdc|dc|tr|dtr|trtr)(?P<tog>\d*tog)?\b")
"""An American abbreviation among other words, of a post stitch or a decrease too."""


def in_terms(words: str, terms: str | None) -> str:
    """American stitch names among words as a manuscript in these terms says them."""
    if terms != "UK":
        return words
    return STITCH.sub(lambda m: f"{m['post'] or ''}{to_uk(m['stitch']) or m['stitch']}{m['tog'] or ''}", words)


def tells(word: str) -> tuple[Terms, Strength] | None:
    """Which terms a word points to and how strongly, or None where it points nowhere.

    Stitches first ("sc" is strong for US, "htr" for UK, "dc" says nothing), then companion words ("miss" is weak for
    UK: American leaflets print it as well).
    """
    by_abbr, by_word = _told()
    return by_abbr.get(folded(word)) or by_word.get(_plain_name(word))


@lru_cache(maxsize=1)
def _told() -> tuple[dict[str, tuple[Terms, Strength]], dict[str, tuple[Terms, Strength]]]:
    by_abbr: dict[str, tuple[Terms, Strength]] = {}
    by_word: dict[str, tuple[Terms, Strength]] = {}
    for found in pairs():
        sides: tuple[tuple[Terms, Name], ...] = (("US", found.us), ("UK", found.uk))
        for terms, side in sides:
            for abbr in side.abbr if side.tells != "none" else ():
                by_abbr.setdefault(folded(abbr), (terms, side.tells))
    for words in word_pairs():
        if words.tells != "none":
            by_word.update((word, ("US", words.tells)) for word in words.us)
            by_word.update((word, ("UK", words.tells)) for word in words.uk)
    return by_abbr, by_word
