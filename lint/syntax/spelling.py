"""Slips of the typing hand in the words that steer a row: "repeal from *", "aroudn", "intonext".

A word nobody knows is read as the one steering word it is a single slip away from: a letter too many, too few, wrong,
or two changed about; or as the steering words it is made of, their spaces lost. About 3 rows in 100 of printed
patterns have such a slip. Only the words below are mended into, and only words of five letters and more; never a
number, and never one abbreviation into another.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import lru_cache

from .lexer import Lexer, Token

_STEERING = (
    "repeat", "around", "across", "stitch", "stitches", "counts", "counted", "chain", "chains", "double", "single", "treble", "crochet", "cluster",
    "shell", "shells", "popcorn", "popcorns", "first", "between", "corner", "corners", "space", "spaces", "through", "turning", "working", "until",
    "together", "remaining", "following", "remain", "foundation", "beginning", "starting", "increase", "decrease", "ending",
)  # fmt: skip
# Words of their own, one letter away from a steering word.
_OTHERS = frozenset((
    "aground", "chair", "chairs", "clutter", "counter", "counters", "county", "decreased", "doable", "doubled", "doubly", "increased", "regain", "repent",
    "retain", "shall", "shelf", "spade", "spades", "spaced", "spacer", "spare", "spared", "spares", "spice", "spices", "staring", "starling", "startling",
    "stitched", "stitcher", "switch", "switches", "switched", "though", "tremble", "trough", "tuning", "wording", "worming",
))  # fmt: skip
_GLUED = re.compile(r"(?:(?:into|in|of)(?:the)?(?:next|each|last|first|same|every)?|(?:the)?(?:next|each|last|first|same|every)|(?:next|each|last|first|same)(?:sts?|sc|dc|ch|hdc|tr)|fromhook|repfrom)")
_PART = re.compile(r"into|in|of|the|next|each|last|first|same|every|sts?|sc|hdc|dc|tr|ch|from|hook|rep")


def _one_slip(a: str, b: str) -> bool:
    """Whether ``a`` is ``b`` but for one letter too many, too few or wrong, or two neighbours changed about."""
    if a[0] != b[0] or not -1 <= len(a) - len(b) <= 2:
        return False
    start = next((i for i, (x, y) in enumerate(zip(a, b, strict=False)) if x != y), min(len(a), len(b)))
    one, two = a[start:], b[start:]
    if len(a) == len(b):
        return one[1:] == two[1:] or (one[:2] == two[1::-1] and one[2:] == two[2:])
    if len(a) == len(b) + 2:
        return one[2:] == two and a[start - 2 : start] == one[:2]  # two letters typed twice: "stititch"
    return one[1:] == two or one == two[1:]


@lru_cache(maxsize=4096)
def mended(word: str) -> str | None:
    """What an unknown word was meant to be; None where nothing or more than one thing would do."""
    if len(word) < 5 or word in _OTHERS:
        return None
    if _GLUED.fullmatch(word):
        return " ".join(_PART.findall(word))
    found = [w for w in _STEERING if _one_slip(word, w)]
    return found[0] if len(found) == 1 else None


def read_tokens(lexer: Lexer, folded: str, source: str) -> Sequence[Token]:
    """The tokens of a statement with such slips mended; every offset is the one in the words as printed."""
    tokens = lexer.tokens(folded, source)
    slips = [(t.start, t.end, meant) for t in tokens if t.type == "WORD" and (meant := mended(str(t.value)))]
    if not slips:
        return tokens
    texts = ["", ""]
    printed: list[int] = []  # where each letter of the mended text stands in the printed one
    at = 0
    for start, end, meant in slips:
        texts = [texts[0] + folded[at:start] + meant, texts[1] + source[at:start] + meant]
        printed += [*range(at, start), *(min(start + k, end) for k in range(len(meant)))]
        at = end
    printed += range(at, len(folded) + 1)
    again = lexer.tokens(texts[0] + folded[at:], texts[1] + source[at:])
    return [t._replace(start=printed[t.start], end=printed[t.end]) for t in again]
