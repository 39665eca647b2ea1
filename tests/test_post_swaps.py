"""Front and back post swapped, one phrase at a time, in every sound text of the family's cases.

Some swaps contradict nothing: the rest of the text would do as well with either post. What may never happen is that a
swap is asked about in another row than its own. How many are found is held by a floor, which only rises.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import islice

import pytest
from tenterhook.lint.proof import proof
from tenterhook.lint.style import Style
from tenterhook.lint.text import Span, Text
from test_cases import CASES, Case

FOUND = 0.55
"""Of all swaps, the share that is found in the row they were planted in."""

EVERY = 3
"""One swap of so many is tried: each costs a proof."""

POST = re.compile(r"\b(?P<a>f|b)p(?=(?:s|d|hd|ht|t|dt)[cr])|\b(?P<b>front|back)(?= post)|\b(?:dc|d?tr|r?d?tr)(?P<c>f|b)p?\b", re.IGNORECASE)
ROW = re.compile(r"\W*(?:(?:rows?|rnds?|rounds?|r)\s*\d|\d+(?:st|nd|rd|th)\b)", re.IGNORECASE)
OTHER = {"f": "b", "b": "f", "front": "back", "back": "front"}
SOUND = [c for c in CASES if c.file.startswith("sides/") and c.title.startswith("quiet")]


def swaps(text: str) -> Iterator[tuple[str, Span]]:
    """The text with one post after the other swapped, and where the row stands."""
    start = 0
    for line in text.splitlines(keepends=True):
        for m in POST.finditer(line) if ROW.match(line) else ():
            name = "a" if m["a"] else "b" if m["b"] else "c"
            word = OTHER[m[name].lower()]
            word = word.upper() if m[name].isupper() else word
            at, end = m.span(name)
            yield text[: start + at] + word + text[start + end :], Span(start, start + len(line))
        start += len(line)


def outcome(text: str, row: Span) -> str:
    """Whether a swap was found in its row, in another, or not at all."""
    asked = [f.span for f in proof(Text(text, "swapped"), Style(strict=True)).findings if f.rule == "post-side"]
    if not asked:
        return "missed"
    return "found" if any(s.start in row or s.touches(row) for s in asked) else "elsewhere"


def test_words_are_swapped() -> None:
    text = "Row 2: FPdc around next st, trB round next st, front post dc in next st.\nFPdc\n"
    assert [t.split("\n")[0] for t, _ in swaps(text)] == [
        "Row 2: BPdc around next st, trB round next st, front post dc in next st.",
        "Row 2: FPdc around next st, trF round next st, front post dc in next st.",
        "Row 2: FPdc around next st, trB round next st, back post dc in next st.",
    ]


@pytest.fixture(scope="module")
def outcomes() -> list[tuple[Case, str]]:
    return [(case, outcome(text, row)) for case in SOUND for text, row in islice(swaps(case.text), 0, None, EVERY)]


def test_a_swap_is_never_asked_about_in_another_row(outcomes: list[tuple[Case, str]]) -> None:
    assert [case.title for case, found in outcomes if found == "elsewhere"] == []


def test_most_swaps_are_found(outcomes: list[tuple[Case, str]]) -> None:
    assert len(outcomes) > 500 / EVERY
    assert sum(found == "found" for _, found in outcomes) / len(outcomes) >= FOUND
