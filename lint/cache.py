"""The user's own cache folder: what costs more to build than to keep, and nothing from a manuscript."""

from __future__ import annotations

import marshal
import os
import stat
import sys
from collections.abc import Callable
from contextlib import suppress
from importlib.util import source_hash
from pathlib import Path
from typing import Any


def cache_folder() -> Path | None:
    """The folder, made if need be; None where it cannot be made, is not the user's, or others may write to it."""
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


def kept(name: str, source: bytes, build: Callable[[], Any]) -> Any:
    """What is built from ``source``: loaded where it was kept before, else built and kept.

    It must be plain data, such as lists, dicts, strings and numbers, and depend on ``source`` alone.
    """
    folder = cache_folder()
    if folder is None:
        return build()
    # The hash is that of .pyc files: it changes with Python's own, and loads no library for cryptography.
    path = folder / f"{name}-{source_hash(source).hex()}.{sys.implementation.cache_tag}"
    with suppress(Exception):  # a missing, torn or foreign file is no reason to fail: build
        return marshal.loads(path.read_bytes())
    built = build()
    keep(path, marshal.dumps(built))
    return built


def keep(path: Path, content: bytes) -> None:
    """Put ``content`` at ``path`` whole or not at all. Keeping is a convenience: a failure is no error."""
    fresh = path.with_suffix(f".{os.getpid()}")
    try:
        fresh.write_bytes(content)
        fresh.replace(path)
    except OSError:
        with suppress(OSError):
            fresh.unlink()
