"""Where a row's side is marked: Row 1 (RS): or Row 1: (RS)."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from ...lint import regex
from ...lint.finding import Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.style import Choice
from .habit import Use, departures, in_labels, in_words, plainly, sample

MARK = Choice("side-mark", "where the side of a row is marked", ("Row 1 (RS):", "Row 1: (RS)", "Row 1: RS"))

_MARK = regex.compile(r"[(\[]\s*(?:rs|ws|right\s+side|wrong\s+side)\b[^)\]]*[)\]]")
_BEGINS = regex.compile(r"(?P<open>[(\[])?(?:rs|ws|right\s+side|wrong\s+side)(?:\s+facing)?\b\s*[)\]]?\s*[:.,]")
_BARE = regex.compile(r"[:.]\s*(?:rs|ws|right\s+side|wrong\s+side)(?:\s+facing)?\s*[:.,]?\s*$")
_AFTER = regex.compile(r"(?P<label>.*\S)\s*(?P<stop>[:.])\s*(?P<side>[(\[][^)\]]*[)\]])\s*")
_BEFORE = regex.compile(r"(?P<label>.*\S)\s*(?P<side>[(\[][^)\]]*[)\]])\s*(?P<stop>[:.])\s*")


@lru_cache(maxsize=2048)
def _in_label(label: str, printed: str) -> tuple[Use, ...]:
    mark = _MARK.search(label)
    if mark is None:
        return (Use("Row 1: RS", 0, len(label)),) if _BARE.search(label) else ()
    behind = regex.search(r"[:.~—-]\s*$", label[: mark.start()]) is not None
    return (Use("Row 1: (RS)" if behind else "Row 1 (RS):", 0, len(label)),)


@lru_cache(maxsize=2048)
def _in_words(words: str, printed: str) -> tuple[Use, ...]:
    """A side that begins the row's words and is no part of its label."""
    begins = _BEGINS.match(words)
    return (Use("Row 1: (RS)" if begins["open"] else "Row 1: RS", 0, begins.end()),) if begins else ()


def _changed(printed: str, wanted: str) -> str | None:
    match = (_AFTER if wanted == "Row 1 (RS):" else _BEFORE).fullmatch(printed)
    if match is None or wanted == "Row 1: RS":
        return None
    label, side, stop = match["label"], match["side"], match["stop"]
    return f"{label} {side}{stop}" if wanted == "Row 1 (RS):" else f"{label}{stop} {side}"


def check(subject: Subject) -> Iterator[Finding]:
    for departure in departures(subject, MARK, in_labels(_in_label), in_words(_in_words)):
        yield plainly(subject, RULE.name, departure, lambda printed, wanted=departure.wanted: _changed(printed, wanted))


RULE = Rule(
    name="side-mark",
    severity=Severity.STYLE,
    title="The side of a row marked in another place",
    why="RS and WS tell a maker that they are where they should be. In the same place every time they are seen without being read.",
    looks_like=sample("Row 8: (WS) Ch 1, sc in each sc across, turn. (10 sc)", "Row {} (RS): Ch 1, sc in each sc across, turn. (10 sc)"),
    better=sample("Row 8 (WS): Ch 1, sc in each sc across, turn. (10 sc)", "Row {} (RS): Ch 1, sc in each sc across, turn. (10 sc)"),
    let_stand="When the side is part of a longer remark.",
    check=check,
    settings=(MARK,),
)
