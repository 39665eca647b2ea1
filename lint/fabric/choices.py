"""Points where the trade's words allow more than one sense, and trying the senses in turn.

Working a row asks ``choose(key, options)``. What has been decided is answered at once; what has not takes the first
option and is remembered, so that the row can be worked again with the next one. Keys that start with ``piece:`` hold
for the whole piece, all others for the row alone.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

Key = tuple[Hashable, ...]


@dataclass
class Choices:
    """The decisions one run works under, and the open points it met."""

    decided: Mapping[Key, Any]
    met: dict[Key, tuple[Any, ...]] = field(default_factory=dict[Key, tuple[Any, ...]])

    def choose(self, key: Key, *options: Any) -> Any:
        if key in self.decided:
            return self.decided[key]
        if key not in self.met:
            self.met[key] = options
        return options[0]


def alternatives(decided: Mapping[Key, Any], met: Mapping[Key, tuple[Any, ...]], tried: set[frozenset[tuple[Key, Any]]]) -> Iterator[tuple[dict[Key, Any], int]]:
    """Every way to change one open point from its first option, with what the change costs (0 for the first)."""
    for key, options in met.items():
        for cost, option in enumerate(options):
            if cost == 0:
                continue
            fresh = {**decided, **{k: o[0] for k, o in met.items()}, key: option}
            mark = frozenset(fresh.items())
            if mark not in tried:
                tried.add(mark)
                yield fresh, cost
