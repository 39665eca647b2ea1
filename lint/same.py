"""Remembering what was worked out of a large value, by which value it is and not by what is in it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Generic, TypeVar, cast

T = TypeVar("T")


@dataclass(frozen=True, slots=True, eq=False)
class Same(Generic[T]):
    """A value that equals itself alone, as an argument of a function that remembers: nothing in it is compared."""

    value: T

    def __hash__(self) -> int:
        return id(self.value)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Same) and cast("Same[object]", other).value is self.value
