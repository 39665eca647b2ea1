"""What was worked for a text, kept for the text after the next change: most of its rows come out as they did."""

from __future__ import annotations

from collections.abc import Hashable
from typing import Any


class Memory:
    """Rows worked, by all that their working depends on. Not to be shared between threads.

    It holds what the last two workings asked for and no more, so it grows with the text and not with the number of
    changes.
    """

    def __init__(self) -> None:
        self._now: dict[Hashable, Any] = {}
        self._before: dict[Hashable, Any] = {}

    def turn_over(self) -> None:
        """A new working begins: what the one before the last asked for is forgotten."""
        self._now, self._before = {}, self._now

    def get(self, key: Hashable) -> Any:
        """What is kept under ``key``, or None."""
        found = self._now.get(key)
        if found is None:
            found = self._before.get(key)
            if found is not None:
                self._now[key] = found
        return found

    def keep(self, key: Hashable, value: Any) -> None:
        """Keep a ``value``, which is not None, under ``key``."""
        self._now[key] = value
