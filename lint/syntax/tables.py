"""The clause grammar's LALR tables, kept between runs: building them costs more than proofing a small manuscript.

They are kept only in a folder that belongs to the user and that nobody else may write to, under a name made of the
grammar, the versions concerned and nothing from a manuscript. Where that is not to be had, they are built anew.
"""

from __future__ import annotations

import hashlib
import os
import stat
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any


def _folder() -> Path | None:
    """The user's own cache folder, made if need be; None where it is not the user's alone."""
    base = os.environ.get("XDG_CACHE_HOME") or (Path.home() / ".cache")
    folder = Path(base) / "tenterhook"
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        info = folder.stat()
    except (OSError, RuntimeError):
        return None
    if hasattr(os, "getuid") and (info.st_uid != os.getuid() or info.st_mode & (stat.S_IWGRP | stat.S_IWOTH)):
        return None
    return folder


def kept(grammar: str, version: str, build: Callable[[], Any], load: Callable[[Any], Any]) -> Any:
    """The parser of a grammar: loaded where it was kept before, else built and kept."""
    folder = _folder()
    if folder is None:
        return build()
    name = hashlib.sha256(f"{grammar}\0{version}\0{sys.version}".encode()).hexdigest()[:32]
    path = folder / f"clause-{name}.tables"
    try:
        with path.open("rb") as file:
            return load(file)
    except Exception:  # a missing, torn or foreign file is no reason to fail: build
        parser = build()
    try:
        fresh = path.with_suffix(f".{os.getpid()}")
        with fresh.open("wb") as file:
            parser.save(file)
        fresh.replace(path)
    except Exception:  # keeping the tables is a convenience only
        pass
    return parser
