"""How each stitch is drawn in a chart of symbols (symbols.toml). American names; the table names a source for every entry."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from .tables import is_sure, source_of, table

Form = Literal["line", "cross", "dot", "oval", "bundle", "loop"]

CREDIT = "Chart symbols follow those of the Craft Yarn Council’s www.YarnStandards.com, drawn anew."
"""The line its booklet of standards asks publishers to print beside its symbols (edition of 5 February 2018)."""


@dataclass(frozen=True, eq=False)
class Symbol:
    """One symbol: its form, the short bars across a stem, the stems of a bundle, and the whole in words."""

    kind: str
    form: Form
    bars: int
    legs: int
    drawn: str
    source: str
    sure: bool


@dataclass(frozen=True, eq=False)
class Change:
    """What is done to a symbol, in words: stems that meet, that cross, that hook around a post."""

    name: str
    drawn: str
    source: str
    sure: bool


@lru_cache(maxsize=1)
def symbols() -> dict[str, Symbol]:
    """Every symbol by the stitch it stands for."""
    return {
        kind: Symbol(kind, row["form"], row.get("bars", 0), row.get("legs", 1), row["drawn"], source_of("symbols", row), is_sure(row))
        for kind, row in table("symbols")["symbol"].items()
    }


@lru_cache(maxsize=1)
def changes() -> dict[str, Change]:
    """Every change by its name in the table."""
    return {
        name: Change(name, row["drawn"], source_of("symbols", row), is_sure(row))
        for name, row in table("symbols")["change"].items()
    }
