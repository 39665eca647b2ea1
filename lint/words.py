"""Small wordings that reports and rules share: counted nouns, lists, row labels, and text made fit to print."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Sequence
from itertools import groupby

from .fabric.work import RowWork
from .finding import Severity

_REPLACED = "\N{REPLACEMENT CHARACTER}"
_SPACES = frozenset("\t\n\v\f\r\x85\u2028\u2029")
_OVERRIDES = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")

_COUNTED = {
    Severity.WRONG: ("wrong", "wrong"),
    Severity.QUERY: ("query", "queries"),
    Severity.STYLE: ("point of style", "points of style"),
    Severity.SUGGESTION: ("suggestion", "suggestions"),
}


def printable(char: str) -> str:
    """The character, or one that stands for it where a terminal would obey it instead of showing it."""
    if " " <= char <= "~":
        return char
    if char in _SPACES:
        return " "
    if char in _OVERRIDES or unicodedata.category(char) in ("Cc", "Cs"):
        return _REPLACED
    return char


def one_line(text: str) -> str:
    """``text`` on one line, without anything a terminal would obey."""
    return "".join(map(printable, " ".join(text.split()) if any(c in _SPACES for c in text) else text))


def count_of(number: int, one: str, many: str = "") -> str:
    return f"{number} {one if number == 1 else many or one + 's'}"


def severity_count(severity: Severity, number: int) -> str:
    """“2 queries”, “1 wrong”."""
    return count_of(number, *_COUNTED[severity])


def listed(words: Sequence[str]) -> str:
    """“A, B and C”."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"


def sizes_in_words(sizes: Sequence[str]) -> str:
    """“size M”, “sizes M and L”."""
    return f"size{'s' if len(sizes) > 1 else ''} {listed(sizes)}"


def row_list(rows: Iterable[RowWork]) -> str:
    """Labels of rows, runs of numbers drawn together: “Rows 5–12 and 14, Rnd 3”."""
    parts: list[str] = []
    for word, group in groupby(rows, _label_word):
        members = list(group)
        if not word:
            parts += (row.label for row in members)
            continue
        runs: list[list[int]] = []
        for row in members:
            number = row.number or 0
            if runs and number == runs[-1][1] + 1:
                runs[-1][1] = number
            else:
                runs.append([number, number])
        spelled = [numbers for first, last in runs for numbers in _run(first, last)]
        plural = "s" if len(members) > 1 else ""
        parts.append(f"{word}{plural} {listed(spelled)}")
    return ", ".join(parts)


def _run(first: int, last: int) -> list[str]:
    return [f"{first}–{last}"] if last > first + 1 else [str(number) for number in range(first, last + 1)]


def _label_word(row: RowWork) -> str:
    """“Row” for a plain numbered label, "" for any other."""
    word, _, number = row.label.partition(" ")
    return word if row.number is not None and row.times == 1 and number == str(row.number) else ""
