"""Lists of one value for each size as print gives them: 80 (90, 100), 7½ [8, 8½], 36 (40, 44) [48, 52], 2 (-, 4)."""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

from ...lint import regex
from ...lint.measures import number

FIGURE = r"(?:\d+\s\d/\d|(?<!\d)\d,\d{3}(?![\d,]\d)(?!\d)|\d+(?:\.\d+)?(?:\s?[½¼¾⅓⅔])?|[½¼¾⅓⅔])"
"""A figure as it stands in a list; 1,120 is one, where 88,104,112 are three."""

_LIST = regex.compile(rf"(?<![\d.,/½¼¾-]){FIGURE}(?P<apart>,)?\s?(?P<lists>(?:[(\[]\s*(?:{FIGURE}|-)(?:\s*,\s*(?:{FIGURE}|-))*\s*[)\]]\s?)+)(?![\[(])")
_VALUE = regex.compile(rf"{FIGURE}|-")


class Listed(NamedTuple):
    """A list and where it stands. None is a size without a value; ``apart`` where a comma stands before the bracket."""

    start: int
    end: int
    values: tuple[float | None, ...]
    apart: bool


@lru_cache(maxsize=8192)
def lists_in(folded: str) -> tuple[Listed, ...]:
    """Every list of two values and more in a stretch of the reading copy."""
    out: list[Listed] = []
    for match in _LIST.finditer(folded):
        end = match.start("lists") + len(match["lists"].rstrip())
        values = tuple(number(m.group()) if m.group() != "-" else None for m in _VALUE.finditer(match.group()))
        out.append(Listed(match.start(), end, values, bool(match["apart"])))
    return tuple(out)
