"""Which findings stand by themselves, and which hang under which: however deep, all hang under the first cause."""

from __future__ import annotations

from collections.abc import Sequence

from ..finding import Finding


class Followers:
    """The causes among findings, and what follows from each, by their index."""

    def __init__(self, findings: Sequence[Finding]) -> None:
        self._below: dict[int, list[int]] = {}
        for index in range(len(findings)):
            self._below.setdefault(self._first_cause(index, findings), []).append(index)
        self.causes = frozenset(self._below)

    def below(self, cause: int) -> list[int]:
        return [index for index in self._below[cause] if index != cause]

    @staticmethod
    def _first_cause(index: int, findings: Sequence[Finding]) -> int:
        seen = {index}
        while True:
            cause = findings[index].follows
            if cause is None or not 0 <= cause < len(findings):
                return index
            if cause in seen:
                return min(seen)
            seen.add(cause)
            index = cause
