"""The user's own cache folder: what costs more to build than to keep, and nothing from a manuscript."""

from __future__ import annotations

import os
import stat
from contextlib import suppress
from pathlib import Path


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


def keep(path: Path, content: bytes) -> None:
    """Put ``content`` at ``path`` whole or not at all. Keeping is a convenience: a failure is no error."""
    fresh = path.with_suffix(f".{os.getpid()}")
    try:
        fresh.write_bytes(content)
        fresh.replace(path)
    except OSError:
        with suppress(OSError):
            fresh.unlink()
