"""Numbers as lists print them: in figures, letters, Roman numerals or words."""

from __future__ import annotations

from collections.abc import Callable

from .. import regex

_ONES = (
    "zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve",
    "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen",
)  # fmt: skip
_TENS = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]
_ORDINALS = {"one": "first", "two": "second", "three": "third", "five": "fifth", "eight": "eighth", "nine": "ninth", "twelve": "twelfth"}
_ROMAN = (
    (1000, "m"), (900, "cm"), (500, "d"), (400, "cd"), (100, "c"), (90, "xc"), (50, "l"), (40, "xl"), (10, "x"),
    (9, "ix"), (5, "v"), (4, "iv"), (1, "i"),
)  # fmt: skip
_MOST = 3_000  # beyond it letters and Roman numerals would only grow long


def roman(n: int) -> str:
    """“iv”; in figures where Roman numerals have no number."""
    if not 0 < n <= _MOST:
        return str(n)
    out = ""
    for value, letters in _ROMAN:
        out += letters * (n // value)
        n %= value
    return out


def letters(n: int) -> str:
    """“a” to “z”, then “aa”, “bb” and so on, as word processors go on after z."""
    return chr(ord("a") + (n - 1) % 26) * ((n - 1) // 26 + 1) if 0 < n <= _MOST else str(n)


def web_letters(n: int) -> str:
    """“a” to “z”, then “aa”, “ab” and so on, as web pages go on after z."""
    out = ""
    while n > 0:
        n, rest = divmod(n - 1, 26)
        out = chr(ord("a") + rest) + out
    return out


def ordinal(n: int) -> str:
    """“3rd”."""
    ending = "th" if n // 10 % 10 == 1 else {1: "st", 2: "nd", 3: "rd"}.get(n % 10, "th")
    return f"{n}{ending}"


def in_words(n: int) -> str:
    """“Three”; in figures from a hundred."""
    return _spelled(n).capitalize() if 0 <= n < 100 else str(n)


def ordinal_in_words(n: int) -> str:
    """“Third”; in figures from a hundred."""
    if not 0 <= n < 100:
        return ordinal(n)
    head, dash, last = _spelled(n).rpartition("-")
    last = _ORDINALS.get(last) or (last[:-1] + "ieth" if last.endswith("y") else last + "th")
    return (head + dash + last).capitalize()


def _spelled(n: int) -> str:
    if n < 20:
        return _ONES[n]
    return _TENS[n // 10 - 2] + (f"-{_ONES[n % 10]}" if n % 10 else "")


FORMATS: dict[str, Callable[[int], str]] = {
    "decimal": str,
    "decimalZero": lambda n: f"{n:02d}",
    "lowerLetter": letters,
    "upperLetter": lambda n: letters(n).upper(),
    "lowerRoman": roman,
    "upperRoman": lambda n: roman(n).upper(),
    "ordinal": ordinal,
    "cardinalText": in_words,
    "ordinalText": ordinal_in_words,
    "none": lambda n: "",
}
"""By the names that ECMA-376 has for them (part 1, section 17.18.59); the others count in scripts of their own."""


def whole(words: str | None) -> int | None:
    """The number that a file's own figures give; None for anything else, and for more figures than a list can need."""
    return int(words) if words and regex.fullmatch(r"\d{1,9}", words) else None
