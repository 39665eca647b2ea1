"""TOML that a person wrote, read as data: every fault in it is told with its line, and none is passed over.

A file is asked for what may stand in it; what is left over is a fault too. All of its faults are told at once.
"""

from __future__ import annotations

import tomllib
from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import Any, cast

from .. import regex
from ..text import Text

MAX_BYTES = 256_000
"""The largest file read, in bytes: some thousand entries."""

_MOST_FAULTS = 8
_KEY = r"(?:\"[^\"\n]*\"|'[^'\n]*'|[\w-]+)"
_HEADER = regex.compile(rf"[ \t]*(?P<many>\[\[?)[ \t]*(?P<keys>{_KEY}(?:[ \t]*\.[ \t]*{_KEY})*)[ \t]*\]")
_PAIR = regex.compile(rf"[ \t]*(?P<keys>{_KEY}(?:[ \t]*\.[ \t]*{_KEY})*)[ \t]*=")

Keys = tuple[str | int, ...]

_DEEP_KEY = regex.compile(r"""(?<![\w"'-])(?:(?:[\w-]+|"[^"\n]*"|'[^'\n]*')[ \t]*\.[ \t]*){50}""")
"""The library takes time by the square of a key's parts."""


class Faulty(Exception):
    """A file that cannot be taken as it is; ``reason`` names every line at fault, in words a person can act on."""

    def __init__(self, path: str, reason: str) -> None:
        super().__init__(f"{path}: {reason}")
        self.path = path
        self.reason = reason


class TomlFile:
    """A file as read, and the faults found in it. Raises Faulty where it is no TOML at all."""

    def __init__(self, path: str, source: str | None = None) -> None:
        self.path = path
        self.source = _source(path) if source is None else source
        self._faults: list[tuple[int, str]] = []
        if _DEEP_KEY.search(self.source):
            raise Faulty(path, "a key in it has more parts than any setting")
        try:
            self.data: Mapping[str, Any] = tomllib.loads(self.source)
        except tomllib.TOMLDecodeError as error:
            raise Faulty(path, f"this is not TOML: {_in_words(error)}") from None
        except (RecursionError, ValueError):
            raise Faulty(path, "this is not TOML that can be read: something in it is too deep or too long") from None

    @property
    def whole(self) -> Table:
        return Table(self, (), self.data)

    def fault(self, keys: Keys, words: str) -> None:
        line = self.line(keys)
        self._faults.append((line or 0, f"line {line}: {words}" if line else words))

    def finish(self) -> None:
        """Raises Faulty with everything that was found at fault."""
        if self._faults:
            more = len(self._faults) - _MOST_FAULTS
            told = [words for _, words in sorted(self._faults)[:_MOST_FAULTS]]
            told += [f"and {more} more faults"] if more > 0 else []
            raise Faulty(self.path, "; ".join(told))

    def line(self, keys: Keys) -> int | None:
        """The line, from 1, on which a key or the heading of a table stands; for one that is not found, its table's."""
        lines = _lines(self.source)
        while keys:
            if keys in lines:
                return lines[keys]
            keys = keys[:-1]
        return None


class Table:
    """One table of a file. Each reader gives the value, or None where it is missing or at fault."""

    def __init__(self, file: TomlFile, keys: Keys, data: Mapping[str, Any]) -> None:
        self.file = file
        self.keys = keys
        self.data = data

    @property
    def line(self) -> int | None:
        return self.file.line(self.keys)

    def fault(self, key: str, words: str) -> None:
        self.file.fault((*self.keys, key), words)

    def known(self, names: Collection[str], where: str = "", help: str = "") -> None:
        """Whatever has another key is at fault; the nearest name is offered."""
        for key in self.data:
            if key not in names:
                inside = f" in [{where}]" if where else ""
                self.fault(key, f"there is no setting {_quoted(key)}{inside}{near_miss(key, names, help)}")

    def text(self, key: str, *, least: int = 1) -> str | None:
        """Words of at least so many letters."""
        value = self.data.get(key)
        if value is None:
            return None
        if not isinstance(value, str) or len(value.strip()) < least:
            self.fault(key, f"{_quoted(key)} is {shown(value)}, but must be words in quotation marks")
            return None
        return value.strip()

    def texts(self, key: str) -> tuple[str, ...] | None:
        """One name, or a list of them."""
        value = self.data.get(key)
        if value is None:
            return None
        items = _items(value) or [value]
        if items and all(isinstance(item, str) and item.strip() for item in items):
            return tuple(item.strip() for item in items)
        self.fault(key, f"{_quoted(key)} is {shown(value)}, but must be a name or a list of names")
        return None

    def one_of(self, key: str, values: Sequence[str]) -> str | None:
        value = self.data.get(key)
        if value is None or (isinstance(value, str) and value in values):
            return value
        hint = near_miss(value, values) if isinstance(value, str) else ""
        self.fault(key, f"{_quoted(key)} is {shown(value)}, but must be {either(values)}{hint}")
        return None

    def several_of(self, key: str, values: Sequence[str]) -> tuple[str, ...] | None:
        """A list of some of the values, each once."""
        value = self.data.get(key)
        if value is None:
            return None
        items = _items(value)
        odd = next((item for item in items if not (isinstance(item, str) and item in values)), None)
        if odd is not None:
            hint = near_miss(odd, values) if isinstance(odd, str) else ""
            self.fault(key, f"{_quoted(key)} has {shown(odd)} in it, but may have only {either(values)}{hint}")
            return None
        if items and len(set(items)) == len(items):
            return tuple(items)
        self.fault(key, f"{_quoted(key)} is {shown(value)}, but must be a list of some of these, each once: {either(values)}")
        return None

    def number(self, key: str, least: float, most: float, unit: str = "") -> float | None:
        value = self.data.get(key)
        if value is None:
            return None
        if isinstance(value, bool) or not isinstance(value, int | float) or not least <= value <= most:
            self.fault(key, f"{_quoted(key)} is {shown(value)}, but must be a number from {least:g} to {most:g}{f', in {unit}' if unit else ''}")
            return None
        return float(value)

    def table(self, key: str) -> Table:
        """A table within; an empty one where it is missing or at fault."""
        value = self.data.get(key, {})
        if not isinstance(value, dict):
            self.fault(key, f"{_quoted(key)} is {shown(value)}, but must be a table headed [{key}]")
            value = {}
        return Table(self.file, (*self.keys, key), cast("Mapping[str, Any]", value))

    def tables(self, key: str) -> list[Table]:
        """Tables that each have the heading ``[[key]]``."""
        value = self.data.get(key)
        items = _items(value)
        if value is None or (items and all(isinstance(item, dict) for item in items)):
            return [Table(self.file, (*self.keys, key, i), item) for i, item in enumerate(items)]
        self.fault(key, f"{_quoted(key)} is {shown(value)}, but must be tables headed [[{key}]]")
        return []


def _items(value: object) -> list[Any]:
    """A list's items; none of anything else."""
    return cast("list[Any]", value) if isinstance(value, list) else []


def near_miss(name: str, names: Iterable[str], help: str = "") -> str:
    """“; did you mean “row-form”?”, or else ``help`` after a semicolon."""
    from difflib import get_close_matches  # wanted only where something is at fault

    close = get_close_matches(name.lower()[:80], list(names), n=1, cutoff=0.6)
    if close:
        return f"; did you mean {_quoted(close[0])}?"
    return f"; {help}" if help else ""


def either(values: Sequence[str]) -> str:
    quoted = [_quoted(v) for v in values]
    return quoted[0] if len(quoted) == 1 else f"{', '.join(quoted[:-1])} or {quoted[-1]}"


def shown(value: object) -> str:
    """A value in a few words."""
    if isinstance(value, str):
        return _quoted(value)
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, list):
        return "a list"
    if isinstance(value, dict):
        return "a table"
    words = str(value)
    return words if len(words) <= 40 else f"{words[:40]}…"


def _quoted(words: str) -> str:
    flat = " ".join(words.split())
    return f"“{flat[:60]}…”" if len(flat) > 60 else f"“{flat}”"


def _source(path: str) -> str:
    try:
        with open(path, "rb") as file:
            data = file.read(MAX_BYTES + 1)
    except OSError as error:
        raise Faulty(path, f"this file could not be read ({(error.strerror or str(error)).lower()})") from None
    if len(data) > MAX_BYTES:
        raise Faulty(path, f"this file is larger than {MAX_BYTES // 1000} kB, the most that is read")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise Faulty(path, "this file is not UTF-8; save it again as UTF-8 text") from None


def _in_words(error: tomllib.TOMLDecodeError) -> str:
    """The library's message, the place first as everywhere else."""
    found = regex.fullmatch(r"(?P<words>.*) \(at (?:line (?P<line>\d+), column \d+|end of document)\)", str(error), regex.DOTALL)
    if found is None:
        return str(error)
    words = found["words"][:1].lower() + found["words"][1:]
    return f"line {found['line']}: {words}" if found["line"] else f"at its end: {words}"


def _lines(source: str) -> dict[Keys, int]:
    """The line of every key and heading; tables with one heading are numbered from 0."""
    text, found = Text(source), dict[Keys, int]()
    table: Keys = ()
    numbers: dict[Keys, int] = {}
    inside = ""
    for number, span in enumerate(text.lines(), 1):
        line = text[span]
        quotes = next((q for q in ('"""', "'''") if line.count(q) % 2), "")
        if inside:
            inside = "" if inside == quotes else inside
            continue
        inside = quotes
        header = _HEADER.match(line)
        if header:
            table = _split(header["keys"])
            if header["many"] == "[[":
                numbers[table] = numbers.get(table, -1) + 1
                table = (*table, numbers[table])
            _note(found, table, number)
        elif pair := _PAIR.match(line):
            _note(found, (*table, *_split(pair["keys"])), number)
    return found


def _note(found: dict[Keys, int], keys: Keys, line: int) -> None:
    for end in range(1, len(keys) + 1):
        found.setdefault(keys[:end], line)


def _split(keys: str) -> Keys:
    return tuple(key.strip("\"'") for key in regex.findall(_KEY, keys))
