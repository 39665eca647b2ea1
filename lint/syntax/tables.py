"""The clause grammar's LALR tables, kept between runs: building them costs more than proofing a small manuscript.

They are kept only in a folder that belongs to the user and that nobody else may write to, under a name made of the
grammar, the versions concerned and nothing from a manuscript. Where that is not to be had, they are built anew.
"""

from __future__ import annotations

import hashlib
import sys
from collections.abc import Callable
from io import BytesIO
from typing import Any

from ..cache import cache_folder, keep


def kept(grammar: str, version: str, build: Callable[[], Any], load: Callable[[Any], Any]) -> Any:
    """The parser of a grammar: loaded where it was kept before, else built and kept."""
    folder = cache_folder()
    if folder is None:
        return build()
    name = hashlib.sha256(f"{grammar}\0{version}\0{sys.version}".encode()).hexdigest()[:32]
    path = folder / f"clause-{name}.tables"
    try:
        with path.open("rb") as file:
            return load(file)
    except Exception:  # a missing, torn or foreign file is no reason to fail: build
        parser = build()
    tables = BytesIO()
    try:
        parser.save(tables)
    except Exception:  # keeping the tables is a convenience only
        return parser
    keep(path, tables.getvalue())
    return parser
