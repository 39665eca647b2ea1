"""Stated multiples: "a multiple of 6 plus 2", "6n + 2", "multiples of 4 sts + 3, plus 2 for the base ch", "an odd number"."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace

from ..syntax.lexer import NUMBER_WORDS, number_of
from ..text import Span
from .pattern import Entry, Multiple

_N = r"(?:\d+|(?:" + "|".join(sorted(NUMBER_WORDS, key=len, reverse=True)) + r")\b)"
_WHAT = r"(?:sts?|stitches|ch(?:s|ains?)?)(?![a-z])"
_PLUS = r"\s*[,(]?\s*(?:plus|\+|and|add)\s*(?:another\s+|an?\s+(?:extra\s+)?(?=\d))?"
_FOR_CHAIN = r"(?=[^.;)\n]{0,24}(?:(?:base|foundation|turning|starting|beg)[a-z]*\s+ch|for\s+(?:the\s+)?turn))"
_STATED = re.compile(
    rf"(?:(?:mult(?:iple)?s?\.?|factor)\s+(?:of\s+)?|divisible\s+by\s+)(?P<n>{_N})(?:\s*(?P<what>{_WHAT}))?\s*(?:{_PLUS}(?P<plus>{_N}))?(?:\s*(?P<what2>{_WHAT}))?(?:{_PLUS}(?P<more>{_N}){_FOR_CHAIN})?"
    rf"|(?:patt(?:ern)?\s+)?rep(?:eat)?\s+(?:of\s+)?(?P<n2>\d+)\s*\+\s*(?P<plus2>\d+)(?P<incl>,?\s*including\s+(?:the\s+)?(?:base|foundation)\s+ch)?"
    r"|(?<![\w.])(?P<n3>\d+)\s?n\b(?:\s*\+\s*(?P<plus3>\d+))?"
    r"|an?\s+(?:uneven|(?P<odd>odd)|even)\s+(?:number|no\.?)(?:\s+of\s+(?P<what4>sts?|stitches|ch(?:s|ains?)?))?"
)


def stated_multiples(folded: str, start: int, end: int) -> Iterator[Multiple]:
    """Every multiple stated in a stretch of the text."""
    for m in _STATED.finditer(folded, start, end):
        multiple = _read(m)
        if multiple is not None:
            yield multiple


def _read(m: re.Match[str]) -> Multiple | None:
    """The multiple a match states, or None for a multiple of less than 2."""
    if m["n"] is None and m["n2"] is None and m["n3"] is None:
        odd = m["odd"] is not None or "uneven" in m.group()
        return Multiple(2, int(odd), Span(m.start(), m.end()), not (m["what4"] or "").startswith("st"))
    n = number_of((m["n"] or m["n2"] or m["n3"])[:5]) or 0
    plus = number_of((m["plus"] or m["plus2"] or m["plus3"] or "0")[:5]) or 0
    if n < 2:
        return None
    what = m["what2"] or m["what"] or ""
    if m["more"]:
        return Multiple(n, plus + (number_of(m["more"]) or 0), Span(m.start(), m.end()))
    return Multiple(n, plus, Span(m.start(), m.end()), not what.startswith("st"))


def with_multiple(entries: list[Entry]) -> list[Entry]:
    """A multiple stated in a sentence of its own, beside the chain it is meant for, put with the chain."""
    out: list[Entry] = []
    for entry in entries:
        before = out[-1] if out else None
        if before is not None and before.kind == entry.kind == "foundation" and not before.ring and not entry.ring:
            if before.multiple is not None and not before.chains and entry.chains:
                out[-1] = replace(entry, multiple=entry.multiple or before.multiple)
                continue
            if entry.multiple is not None and not entry.chains and before.chains:
                out[-1] = replace(before, multiple=before.multiple or entry.multiple)
                continue
        out.append(entry)
    return out
