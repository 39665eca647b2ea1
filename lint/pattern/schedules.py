"""Shaping told by its frequency: "dec 1 st at each end of every 4th row 6 times, then every alt row 3 times. 22 sts remain".

What the words say in numbers; whether they come to the stitches stated is the fabric's business. Words that allow two
sums ("next and every foll 4th row 6 times": six in all, or seven) give both.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

from .. import regex
from ..syntax.lexer import NUMBER_WORDS, number_of
from .references import vector

_WORDS = "|".join(NUMBER_WORDS)
_N = rf"(?:\d+(?:\s*[(\[][\d, -]+[)\]])*|{_WORDS})"
_ROWS = r"(?:rows?|rnds?|rounds?)"
_FOLLOWING = r"(?:foll(?:owing)?\.?\s+)?"
_EVERY = rf"every\s+{_FOLLOWING}(?:(?P<other>other|alt(?:ernate)?\.?|second)\s+|(?P<nth>\d+)(?:st|nd|rd|th)\s+)?{_FOLLOWING}{_ROWS}"
_HEAD = regex.compile(
    rf"(?<![a-z])(?:(?P<word>dec(?:reas(?:e|ing))?|inc(?:reas(?:e|ing))?)(?:\s+(?P<k>\d+|{_WORDS})\s+(?:sts?|sc|h?dc|h?tr|stitch(?:es)?))?|(?:work\s+)?(?:sc|h?dc|h?tr)(?P<tog>2|3)tog)"
    r"\s+(?:at\s+|on\s+)?(?P<where>each\s+(?:end|side|edge)|both\s+(?:ends|sides|edges)|beg(?:inning)?\s+and\s+end|(?:the\s+)?(?:beg(?:inning)?|end|armhole\s+edge|neck\s+edge|one\s+end))\s+"
    r"(?:of\s+|on\s+|in\s+)?(?:the\s+)?"
)
_PHASE = regex.compile(
    rf"(?P<next>(?:next|this)\s+{_ROWS}(?!\s*\d)|(?:next|this|\d+(?:st|nd|rd|th))(?=\s+and\b))?(?P<link>\s*,?\s*(?:and|then)\s+(?:then\s+)?(?:at\s+|on\s+|in\s+)?)?"
    rf"(?:{_EVERY}|(?:next\s+|foll(?:owing)?\s+)?(?P<rows>\d+|{_WORDS})\s+{_FOLLOWING}(?P<alt>alt(?:ernate)?\.?\s+)?{_ROWS})?"
)
_TIMES = regex.compile(rf"\s*,?\s*(?:a\s+total\s+of\s+)?(?P<n>{_N})\s+(?P<more>more\s+)?times?(?P<all>\s+(?:in\s+(?:all|total)|altogether))?|\s*,?\s*(?P<w>once|twice|thrice)(?P<more2>\s+more)?")
_THEN = regex.compile(r"\s*[,;]?\s*(?:and\s+)?then\s+(?:at\s+|on\s+|in\s+)?(?=every|next|foll|\d|the)(?:the\s+)?")
_STS = rf"(?P<n>{_N})\s*(?:sts?|sc|h?dc|h?tr|stitches)(?![a-z])"
_REMAIN = tuple(
    regex.compile(pattern)
    for pattern in (
        rf"(?:until|to)\s+(?:there\s+are\s+|you\s+have\s+)?{_STS}",
        rf"{_STS}\s*(?:(?:are\s+)?left|remain|rem\b|in\s+(?:all|total))",
        rf"[(\[=–—]\s*{_STS}",
        rf"[.;:]\s*{_STS}\s*\.?\s*$",
    )
)
"""The ways to say what the shaping ends on, the plainest first: other stitches may be spoken of besides."""
_ROWS_SAID = regex.compile(rf"(?:over|for|in)\s+(?:the\s+)?(?:next\s+)?(?P<a>\d+)\s+{_ROWS}|\((?P<b>\d+)\s+{_ROWS}\)")


@dataclass(frozen=True)
class Schedule:
    """``pace``: stitches gained (lost, below 0) by one shaping; ``times``: every sense of how often, by size.

    ``until`` is the number of stitches it is to end on, by size; () where none is stated. ``rows`` is a number of rows
    the words say and cannot take, else None.
    """

    pace: int
    times: tuple[tuple[int, ...], ...]
    until: tuple[int | None, ...]
    rows: int | None = None
    every: int = 1


@dataclass(frozen=True)
class _Phase:
    """One frequency: ``senses`` of how often, by size; () where it goes on until a number is reached."""

    senses: tuple[tuple[int, ...], ...]
    every: int


def read_schedule(folded: str) -> Schedule | None:
    """The shaping a sentence tells by its frequency, or None."""
    head = _HEAD.search(folded)
    if head is None:
        return None
    phases: list[_Phase] = []
    at = head.end()
    while True:
        found = _PHASE.match(folded, at)
        phase, end = (None, at) if found is None or found.end() == at else _phase(folded, found)
        if phase is None:
            break
        phases.append(phase)
        at = end
        then = _THEN.match(folded, at)
        if then is None:
            break
        at = then.end()
    if not phases:
        return None
    k = int(head["tog"]) - 1 if head["tog"] else number_of(head["k"] or "") or 1
    ends = 2 if regex.match(r"each|both|beg\w*\s+and", head["where"]) else 1
    growing = (head["word"] or "").startswith("inc")
    remain = next((found for pattern in _REMAIN if (found := pattern.search(folded, at))), None)
    times = _summed(phases)
    return Schedule(
        (1 if growing else -1) * k * ends, times, vector(remain["n"]) if remain else (), _impossible_rows(folded, at, phases, times), phases[0].every
    )


def _phase(folded: str, found: regex.Match[str]) -> tuple[_Phase | None, int]:
    """What a frequency says, with the number of times after it, and where it ends."""
    every = 2 if found["other"] or found["alt"] else int(found["nth"] or 1)
    first = 1 if found["next"] else 0
    words = found.group()
    if found["rows"]:
        n = number_of(found["rows"])
        return (None, found.end()) if n is None else (_Phase(((n + first,),), every), found.end())
    if "every" not in words:
        return (_Phase(((1,),), 1), found.end()) if first else (None, found.end())
    times = _TIMES.match(folded, found.end())
    if times is None:
        return _Phase((), every), found.end()
    said = tuple(n or 0 for n in vector(times["n"])) if times["n"] else ({"once": 1, "twice": 2, "thrice": 3}[times["w"]],)
    with_first = tuple(n + first for n in said)
    if times["all"] or not first:
        senses: tuple[tuple[int, ...], ...] = (said,)
    elif times["more"] or times["more2"] or "then" in (found["link"] or ""):
        senses = (with_first,)
    else:
        senses = (said, with_first)
    return _Phase(senses, every), times.end()


def _summed(phases: list[_Phase]) -> tuple[tuple[int, ...], ...]:
    """Every sum of the phases' senses; () where one of them has no number."""
    if not all(phase.senses for phase in phases):
        return ()
    sums: list[tuple[int, ...]] = []
    for senses in product(*(phase.senses for phase in phases)):
        longest = max(len(s) for s in senses)
        if all(len(s) in (1, longest) for s in senses):
            sums.append(tuple(sum(s[i if len(s) > 1 else 0] for s in senses) for i in range(longest)))
    return tuple(dict.fromkeys(sums))


def _impossible_rows(folded: str, at: int, phases: list[_Phase], times: tuple[tuple[int, ...], ...]) -> int | None:
    """A number of rows stated that one shaping every so many rows cannot take, whether it begins or ends the shaping."""
    said = _ROWS_SAID.search(folded, at)
    if said is None or len(phases) != 1 or not times or any(len(t) > 1 for t in times):
        return None
    rows, every = int(said["a"] or said["b"]), phases[0].every
    possible = {n * every + over for (n,) in times for over in range(1 - every, every)}
    return None if rows in possible else rows
