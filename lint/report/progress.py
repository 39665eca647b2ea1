"""How far a long run has come, on standard error; nothing where that is no terminal."""

from __future__ import annotations

import os
import sys
import threading
from types import TracebackType
from typing import Any

MANY = 20
"""Above this number of manuscripts the progress is shown from the start."""

PATIENCE = 2.0
"""Seconds after which it is shown for any number."""


class Progress:
    """A line that tells how many of ``total`` manuscripts are done, and goes away at the end."""

    def __init__(self, total: int) -> None:
        self._total = total
        self._done = 0
        self._bar: Any = None
        self._task: Any = None
        self._timer: threading.Timer | None = None
        self._lock = threading.Lock()
        self._closed = False

    def __enter__(self) -> Progress:
        if _wanted():
            if self._total > MANY:
                self._show()
            else:
                self._timer = threading.Timer(PATIENCE, self._show)
                self._timer.daemon = True
                self._timer.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._timer:
            self._timer.cancel()
        with self._lock:
            self._closed = True
            if self._bar is not None:
                self._bar.stop()

    def advance(self) -> None:
        with self._lock:
            self._done += 1
            if self._bar is not None:
                self._bar.update(self._task, completed=self._done)

    def _show(self) -> None:
        from rich.console import Console
        from rich.progress import BarColumn, MofNCompleteColumn, TextColumn, TimeElapsedColumn
        from rich.progress import Progress as Bar

        with self._lock:
            if self._closed:
                return
            self._bar = Bar(
                TextColumn("Reading manuscripts"),
                BarColumn(),
                MofNCompleteColumn(),
                TimeElapsedColumn(),
                console=Console(stderr=True),
                transient=True,
            )
            self._task = self._bar.add_task("", total=self._total, completed=self._done)
            self._bar.start()


def _wanted() -> bool:
    return sys.stderr is not None and sys.stderr.isatty() and os.environ.get("TERM") != "dumb"
