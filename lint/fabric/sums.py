"""The sum of a row in words, as an editor would jot it down: “1 dc + 7 × (4 BPdc + 4 FPdc) + 4 BPdc + 1 dc = 62”.

Spaces are no stitches and have no term. A turning chain that counts keeps a term of its own: that it was counted is seen.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from .row import SPACE, Row, Run, Segment

_MOST_PARTS = 240
"""Parts of a row that are looked at; what comes after them is “…”."""

_MOST_SAID = 12
_LONGEST_REPEAT = 8  # terms


class _Term(NamedTuple):
    n: int
    kind: str
    chain: bool = False  # a turning chain stands for it


class _Part(NamedTuple):
    times: int
    terms: tuple[_Term, ...]

    @property
    def single(self) -> bool:
        return self.times == 1 and len(self.terms) == 1


def sum_in_words(row: Row) -> str:
    """The terms and what they come to; "" for a row without stitches."""
    parts = _joined(_parts(row.segments[:_MOST_PARTS]))
    said = [_said(part) for part in _repeats(_absorbed(parts))]
    if len(said) > _MOST_SAID:
        said = [*said[: _MOST_SAID - 1], "…"]
    elif len(row.segments) > _MOST_PARTS:
        said.append("…")
    return f"{' + '.join(said)} = {row.stitches}" if said else ""


def _said(part: _Part) -> str:
    inner = " + ".join(f"{term.n} {term.kind}" for term in part.terms)
    if part.times == 1:
        return inner
    return f"{part.times} × {inner}" if len(part.terms) == 1 else f"{part.times} × ({inner})"


def _parts(segments: Sequence[Segment]) -> Iterator[_Part]:
    for block, times in segments:
        terms = _terms(block)
        if len(terms) == 1 and terms[0].n == 1:
            yield _Part(1, (terms[0]._replace(n=times),))
        elif times == 1:
            yield from (_Part(1, (term,)) for term in terms)
        elif terms:
            yield _Part(times, terms)


def _terms(block: tuple[Run, ...]) -> tuple[_Term, ...]:
    """The stitches of a block, like neighbours added up."""
    terms: list[_Term] = []
    for cell, n in block:
        if cell.kind == SPACE:
            continue
        term = _Term(n, cell.kind, cell.tch > 0)
        if terms and terms[-1][1:] == term[1:]:
            terms[-1] = term._replace(n=terms[-1].n + n)
        else:
            terms.append(term)
    return tuple(terms)


def _joined(parts: Iterator[_Part]) -> list[_Part]:
    """Parts of one kind side by side as one term."""
    out: list[_Part] = []
    for part in parts:
        before = out[-1] if out else None
        if before is not None and len(part.terms) == len(before.terms) == 1 and before.terms[0][1:] == part.terms[0][1:]:
            together = sum(p.times * p.terms[0].n for p in (before, part))
            out[-1] = _Part(1, (part.terms[0]._replace(n=together),))
        else:
            out.append(part)
    return out


def _absorbed(parts: list[_Part]) -> list[_Part]:
    """A repeat with the single terms before and after it that say the same once more taken in."""
    out: list[_Part] = []
    i = 0
    while i < len(parts):
        part = parts[i]
        i += 1
        if part.times > 1:
            once, k = [_Part(1, (term,)) for term in part.terms], len(part.terms)
            while out[-k:] == once:
                del out[-k:]
                part = part._replace(times=part.times + 1)
            while parts[i : i + k] == once:
                i += k
                part = part._replace(times=part.times + 1)
        out.append(part)
    return out


def _repeats(parts: list[_Part]) -> Iterator[_Part]:
    """Single terms that come again and again, as a repeat."""
    i = 0
    while i < len(parts):
        period, times = max(((p, _times(parts, i, p)) for p in range(2, _LONGEST_REPEAT + 1)), key=lambda found: (found[0] * found[1] if found[1] > 1 else 0, -found[0]))
        if times > 1:
            yield _Part(times, tuple(part.terms[0] for part in parts[i : i + period]))
            i += period * times
        else:
            yield parts[i]
            i += 1


def _times(parts: Sequence[_Part], at: int, period: int) -> int:
    """How often the parts from here on come in a row."""
    once = parts[at : at + period]
    if len(once) < period or not all(part.single for part in once):
        return 1
    times = 1
    while parts[at + times * period : at + (times + 1) * period] == once:
        times += 1
    return times
