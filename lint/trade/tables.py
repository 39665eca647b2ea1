"""Reading the fact tables: each TOML file once, on first use, with the source of every entry spelled out.

The rows become frozen dataclasses without field-by-field equality: each is made once, so the same row is the same
object, and the classes are built in less time when the modules are imported.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from pkgutil import get_data
from typing import Any

from ..cache import kept

TABLES = ("abbreviations", "stitches", "terms", "hooks", "yarns", "units", "symbols")
"""The names of the tables that come with the package."""

Row = Mapping[str, Any]


@lru_cache(maxsize=len(TABLES))
def table(name: str) -> Row:
    """One table as parsed; ``name`` is one of ``TABLES``.

    Raises FileNotFoundError for any other name, and tomllib.TOMLDecodeError if the installed file is damaged.
    """
    source = get_data(__package__ or __name__, f"{name}.toml") or b""
    return kept(name, source, lambda: _parsed(source))


def _parsed(source: bytes) -> Row:
    import tomllib  # not imported where the table was kept

    return tomllib.loads(source.decode())


def source_of(name: str, row: Row) -> str:
    """Where an entry of table ``name`` was found: the source's name and, where there is one, its address.

    Raises KeyError where the entry names a source its table does not list.
    """
    source: Row = table(name)["sources"][row["source"]]
    return f"{source['name']}, {source['url']}" if source["url"] else str(source["name"])


def is_sure(row: Row) -> bool:
    """True where the entry was read in its source, False where it is remembered only."""
    return row["certainty"] == "read"
