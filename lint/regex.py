"""The functions of ``re`` for the patterns that stand in this program, which are kept between runs.

There are some five hundred, and compiling them takes three times as long as proofing a leaflet. What the compiler makes
of a pattern is a list of numbers that never changes, so it is kept in the user's cache folder, as Python keeps its own
in ``__pycache__``; the function that ``re`` itself ends with checks the list and makes the pattern of it. In a Python
where that cannot be done, ``re`` is asked as usual.

Nothing from a manuscript may be kept: a pattern with words of one in it is for ``re`` itself.
"""

from __future__ import annotations

import atexit
import marshal
import re
import sys
from collections.abc import Callable, Iterator
from contextlib import suppress
from functools import cache
from importlib import import_module
from re import DOTALL, IGNORECASE, MULTILINE, Match, Pattern, escape
from typing import Any

from .cache import cache_folder, keep
from .version import VERSION

__all__ = [
    "DOTALL", "IGNORECASE", "MULTILINE", "Match", "Pattern",
    "compile", "escape", "findall", "finditer", "fullmatch", "match", "search", "split", "sub",
]  # fmt: skip


@cache
def compile(pattern: str, flags: int = 0) -> Pattern[str]:
    """As in ``re``. Raises re.error for what is no pattern."""
    try:
        return _shelf().pattern(pattern, int(flags))
    except (AttributeError, TypeError, ValueError, RuntimeError):  # not the Python this was written for, or a torn file
        return re.compile(pattern, flags)


def search(pattern: str, string: str, flags: int = 0) -> Match[str] | None:
    """As in ``re``, like all that follow."""
    return compile(pattern, flags).search(string)


def match(pattern: str, string: str, flags: int = 0) -> Match[str] | None:
    return compile(pattern, flags).match(string)


def fullmatch(pattern: str, string: str, flags: int = 0) -> Match[str] | None:
    return compile(pattern, flags).fullmatch(string)


def split(pattern: str, string: str, maxsplit: int = 0, flags: int = 0) -> list[str | Any]:
    return compile(pattern, flags).split(string, maxsplit)


def findall(pattern: str, string: str, flags: int = 0) -> list[Any]:
    return compile(pattern, flags).findall(string)


def finditer(pattern: str, string: str, flags: int = 0) -> Iterator[Match[str]]:
    return compile(pattern, flags).finditer(string)


def sub(pattern: str, repl: str | Callable[[Match[str]], str], string: str, count: int = 0, flags: int = 0) -> str:
    return compile(pattern, flags).sub(repl, string, count)


class _Shelf:
    """Code of patterns by pattern and flags: what an earlier run kept, and what this one had to compile."""

    def __init__(self) -> None:
        self._engine: Any = import_module("_sre")
        folder = cache_folder()
        # The engine's number changes with its code, Python's with the tables of letters that a pattern may name.
        self._path = folder and folder / f"patterns-{VERSION}-{sys.hexversion:x}-{self._engine.MAGIC}.{sys.implementation.cache_tag}"
        self._kept: dict[tuple[str, int], tuple[Any, ...]] = {}
        if self._path:
            with suppress(Exception):  # a missing or torn file is no reason to fail
                self._kept = marshal.loads(self._path.read_bytes())
        self._is_new = False

    def pattern(self, pattern: str, flags: int) -> Pattern[str]:
        code = self._kept.get((pattern, flags))
        if code is None:
            code = self._kept[pattern, flags] = _code(pattern, flags)
            if not self._is_new:
                self._is_new = True
                atexit.register(self._keep)
        return self._engine.compile(pattern, *code)

    def _keep(self) -> None:
        if self._path:
            keep(self._path, marshal.dumps(self._kept))


_shelf = cache(_Shelf)


def _code(pattern: str, flags: int) -> tuple[Any, ...]:
    """What the engine is given beside the pattern itself: flags, code, and the groups by number and name."""
    parsed: Any = import_module("re._parser").parse(pattern, flags)
    code: list[Any] = import_module("re._compiler")._code(parsed, flags)
    names: dict[str, int] = parsed.state.groupdict
    numbers = {number: name for name, number in names.items()}
    named = tuple(numbers.get(n) for n in range(parsed.state.groups))
    return int(flags | parsed.state.flags), [int(n) for n in code], parsed.state.groups - 1, dict(names), named
