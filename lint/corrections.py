"""Corrections are offered only when they have been tried: the finding gone, and no other come instead.

A rule puts forward what may be right; here each is applied to the text and the whole manuscript proofed again. That
costs a proof for each, so their number is bounded, and what could not be tried is not offered.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence

from . import regex
from .finding import Correction, Edit, Finding
from .text import Span, Text

_MOST_TRIES = 20  # proofs spent on one manuscript
_MOST_READ = 100_000  # code points proofed again in all; a longer manuscript is not tried at all
_MOST_SHOWN = 400  # code points of the lines that a correction changes
_NUMBER = regex.compile(r"(?<![\w.])\d+(?![\w.]*\d)")

_TIMES = regex.compile(r"(?:(?<=[)\]\s])[x×]\s*(?P<x>\d+)\b(?!\s*[a-z]))|\b(?P<n>\d+)(?=\s+(?:more\s+)?times\b)")

Again = Callable[[str], Sequence[Finding]]


def sure_corrections(source: str, found: Sequence[Finding], again: Again) -> list[Finding]:
    """The findings with those of their corrections that hold; the gravest are tried first. ``again`` proofs a text.

    What hangs under a finding in the same row has to go with it.
    """
    tries = min(_MOST_TRIES, _MOST_READ // max(1, len(source)))
    before = Counter(_mark(f) for f in found)
    out = list(found)
    for i in sorted((i for i, f in enumerate(found) if f.corrections), key=lambda i: found[i].severity.rank):
        kept: list[Correction] = []
        for correction in found[i].corrections:
            if tries <= 0:
                break
            changed = correction.apply(source)
            if changed == source:
                continue
            tries -= 1
            gone = [_mark(f) for j, f in enumerate(found) if j == i or (f.follows == i and f.place == found[i].place)]
            if _holds(gone, before, again(changed)):
                kept.append(correction)
        out[i] = found[i].with_corrections(kept)
    return out


def certain_together(source: str, found: Sequence[Finding], again: Again) -> Correction | None:
    """One change that makes every certain correction, or as many as go together; None where there is none.

    Certain is what is the only correction of its finding, after all have been tried.
    """
    edits: list[Edit] = []
    before = Counter(_mark(f) for f in found)
    for finding in sure_corrections(source, found, again):
        if len(finding.corrections) != 1:
            continue
        new = [e for e in finding.corrections[0].edits if e not in edits]
        if any(e.span.touches(other.span) or e.span == other.span for e in new for other in edits):
            continue
        left = Counter(_mark(f) for f in again(Correction("", (*edits, *new)).apply(source)))
        if sum(left.values()) < sum(before.values()) and left <= before:
            edits += new
            before = left
    return Correction("Make every certain correction", tuple(edits)) if edits else None


def as_changed(text: Text, correction: Correction) -> str:
    """The lines that a correction changes, each as it would read."""
    lines: dict[Span, list[Edit]] = {}
    for edit in correction.edits:
        first, last = text.line_number(edit.span.start), text.line_number(edit.span.end)
        lines.setdefault(text.line_span(first).to(text.line_span(last)), []).append(edit)
    changed = [" ".join(Correction("", _moved(edits, -line.start)).apply(text[line]).split()) for line, edits in sorted(lines.items())]
    whole = " / ".join(changed)
    return whole if len(whole) <= _MOST_SHOWN else f"{whole[: _MOST_SHOWN - 1]}…"


def _moved(edits: Sequence[Edit], by: int) -> tuple[Edit, ...]:
    return tuple(Edit(Span(e.span.start + by, e.span.end + by), e.text) for e in edits)


def _mark(finding: Finding) -> tuple[object, ...]:
    """What stays the same about a finding while offsets and numbers move."""
    return finding.rule, finding.severity, finding.place


def _holds(gone: Sequence[tuple[object, ...]], before: Counter[tuple[object, ...]], after: Sequence[Finding]) -> bool:
    left = Counter(_mark(f) for f in after)
    allowed = before.copy()
    allowed.subtract(gone)
    return all(n <= allowed[m] for m, n in left.items())


def change_numbers(text: Text, span: Span, changes: Mapping[int, tuple[int, int]], of: int = 1) -> tuple[Edit, ...]:
    """Edits for a count such as “45 (50, 54) dc”: ``changes`` gives, by place in the list, the number that stands
    there and the one to put. () where the span does not hold exactly ``of`` numbers, or others than expected."""
    numbers = list(_NUMBER.finditer(text.source, span.start, span.end))
    if len(numbers) != of:
        return ()
    edits: list[Edit] = []
    for at, (old, new) in changes.items():
        if not 0 <= at < of or int(numbers[at][0]) != old:
            return ()
        edits.append(Edit(Span(*numbers[at].span()), str(new)))
    return tuple(edits)


def change_times(text: Text, span: Span, by: Sequence[int]) -> list[Correction]:
    """For a row with one counted repeat: corrections that work it more or fewer times. Nothing for any other row."""
    found = list(_TIMES.finditer(text.source, span.start, span.end))
    if len(found) != 1:
        return []
    group = "x" if found[0]["x"] else "n"
    times = int(found[0][group])
    at = Span(*found[0].span(group))
    return [Correction(f"Work the repeat {times + n} times instead of {times}", (Edit(at, str(times + n)),)) for n in by if times + n > 1]
