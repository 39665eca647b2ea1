"""Every fact table: parsed whole, a source and a certainty beside each entry, read only when asked for."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from tenterhook.lint.trade import abbreviations, hooks, stitches, symbols, terms, units, yarns
from tenterhook.lint.trade.tables import TABLES, source_of, table

# Tables of tables; everything else at the top of a file is a row or a list of rows.
NESTED = {
    "abbreviations": {*abbreviations.KINDS, "clash"},
    "stitches": {"basic", "worked", "circle"},
    "symbols": {"symbol", "change"},
    "units": {"unit"},
}


def rows(name: str) -> Iterator[tuple[str, dict[str, Any]]]:
    for key, value in table(name).items():
        if key == "sources":
            continue
        if isinstance(value, list):
            yield from ((f"{name}.{key}[{i}]", row) for i, row in enumerate(value))
        elif key in NESTED.get(name, ()):
            yield from ((f"{name}.{key}.{sub}", row) for sub, row in value.items())
        else:
            yield f"{name}.{key}", value
            if key == "steel":
                yield from ((f"{name}.steel.{sub}", row) for sub, row in value["number"].items())


EVERY = [(name, where, row) for name in TABLES for where, row in rows(name)]


@pytest.mark.parametrize("name, where, row", EVERY, ids=[where for _, where, _ in EVERY])
def test_every_entry_names_a_source_and_its_certainty(name: str, where: str, row: dict[str, Any]) -> None:
    assert row["certainty"] in ("read", "memory"), where
    assert source_of(name, row).strip(" ,"), where
    url = table(name)["sources"][row["source"]]["url"]
    assert url == "" or url.startswith("http"), where


def test_the_tables_are_as_long_as_the_lists_they_were_made_from() -> None:
    assert len(EVERY) > 290
    assert len(abbreviations.entries()) >= 90
    assert len(abbreviations.clashes()) == 16
    assert len(hooks.hooks()) == 32
    assert len(hooks.steel_hooks()) == 16
    assert len(yarns.weights()) == 8
    assert len(stitches.basics()) == 7
    assert len(terms.pairs()) == 15
    assert len(terms.word_pairs()) == 15
    assert len(units.units()) == 10
    assert len(symbols.symbols()) == 13


@pytest.mark.parametrize("name", TABLES)
def test_no_source_is_listed_that_nothing_uses_or_mentions(name: str) -> None:
    used = {row["source"] for _, row in rows(name)}
    notes = " ".join(str(row.get("note", "")) for _, row in rows(name))
    assert not [key for key in table(name)["sources"] if key not in used and key not in notes]


def test_every_row_becomes_a_typed_value_with_a_source() -> None:
    loaded: list[Any] = [
        *abbreviations.entries(),
        *abbreviations.clashes(),
        *hooks.hooks(),
        *hooks.steel_hooks().values(),
        *stitches.basics().values(),
        *stitches.workings().values(),
        *terms.pairs(),
        *terms.word_pairs(),
        *terms.historic(),
        *units.units().values(),
        *units.tolerances(),
        *units.customary(),
        *yarns.weights(),
        *symbols.symbols().values(),
        *symbols.changes().values(),
    ]
    for item in loaded:
        assert item.source and isinstance(item.sure, bool)
    assert {item.sure for item in loaded} == {True, False}


def test_an_unknown_table_is_an_error() -> None:
    with pytest.raises(FileNotFoundError):
        table("needles")


def test_importing_the_facts_reads_nothing_and_they_are_parsed_once(tmp_path: Path) -> None:
    program = (
        "import sys\n"
        "from tenterhook.lint.trade import abbreviations, hooks, stitches, symbols, terms, units, yarns\n"
        "print('tomllib' in sys.modules, 'importlib.resources' in sys.modules)\n"
        "print(hooks.millimetres('H-8'), 'tomllib' in sys.modules)\n"
    )
    for parsed in (True, False):
        done = subprocess.run(
            [sys.executable, "-S", "-c", _paths() + program],
            capture_output=True, text=True, check=True, env={**os.environ, "XDG_CACHE_HOME": str(tmp_path)},
        )  # fmt: skip
        assert done.stdout.split("\n")[:2] == ["False False", f"(5.0,) {parsed}"]


def _paths() -> str:
    # Without site (-S) the interpreter imports as little as it can; the package is found by its mapped folders.
    from tenterhook import lint

    return (
        "import sys, types\n"
        "for name, folder in (('tenterhook', ''), ('tenterhook.lint', "
        f"{lint.__path__[0]!r})):\n"
        "    module = types.ModuleType(name); module.__path__ = [folder]; sys.modules[name] = module\n"
    )
