"""The stitches a row says one repeat has, against what its repeat makes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ...lint import regex
from ...lint.finding import Because, Finding, Severity
from ...lint.pattern.pattern import Entry
from ...lint.rule import Rule, Subject
from ...lint.syntax.tree import Chain, Group, Make, Mark, Skip, Star, Step, Times
from ...lint.text import Span
from ...lint.wording import count_of

_STATED = regex.compile(r"[(\[]\s*(?P<n>\d{1,3})\s+(?:sts?|stitches)\s+(?:per|in\s+each|each|to\s+the)\s+(?:pattern\s+|patt\s+)?rep(?:eat)?\s*[)\]]")


def check(subject: Subject) -> Iterator[Finding]:
    folded = subject.layout.folded
    if not _STATED.search(folded):
        return
    for piece in subject.pattern.pieces:
        for entry in piece.entries:
            stars = [s for s in entry.tree.steps if isinstance(s, Star)] if entry.tree is not None and entry.written else []
            match = _STATED.search(folded, entry.span.start, entry.span.end)
            if match is not None and len(stars) == 1:
                yield from _judged(entry, stars[0], match)


def _judged(entry: Entry, star: Star, match: regex.Match[str]) -> Iterator[Finding]:
    made = _made(star.items)
    stated = int(match["n"])
    if made is None:
        return
    stitches, chains, spaces = made
    if stated in (stitches, stitches + spaces, stitches + chains) or (chains and stated == _worked_over(star.items)):
        return  # lace is counted by the stitches below it as well
    words = count_of(stitches, "stitch", "stitches") + (f" and {chains} chains, {stitches + chains} together" if chains else "")
    yield Finding(
        RULE.name,
        RULE.severity,
        f"One repeat of {entry.label} makes {words}, but the text says {stated}. Which is meant?",
        Span(*match.span()),
        place=entry.label,
        because=(Because(star.at.span(entry.origin), "the repeat"),),
    )


def _made(items: Sequence[Step]) -> tuple[int, int, int] | None:
    """The stitches, chains and chain spaces of some steps; None where a step is of a kind that is not simply added up."""
    stitches = chains = spaces = 0
    for step in items:
        if isinstance(step, Chain):
            number = 1 if step.count is None else step.count[0]
            if number is None or step.times is not None:
                return None
            chains, spaces = chains + number, spaces + 1
        elif isinstance(step, Make):
            number = _stitches(step)
            if number is None:
                return None
            stitches += number
        elif isinstance(step, Group):
            inside, times = _made(step.items), _times(step.times)
            if inside is None or times is None or step.scope is not None:
                return None
            stitches, chains, spaces = (a + times * b for a, b in zip((stitches, chains, spaces), inside, strict=True))
        elif not isinstance(step, Skip | Mark):
            return None
    return stitches, chains, spaces


def _worked_over(items: Sequence[Step]) -> int | None:
    """The stitches below that some steps take up; None where a step is in no one place."""
    over = 0
    for step in items:
        if isinstance(step, Skip | Make) and step.place is not None and step.place.how != "same":
            n = 1 if step.place.n is None else step.place.n[0]
        elif isinstance(step, Make) and step.place is None:
            n = 1 if step.count is None else step.count[0]
        else:
            n = 0 if isinstance(step, Chain | Mark | Make) else None
        if n is None:
            return None
        over += n
    return over


def _stitches(step: Make) -> int | None:
    place, count = step.place, 1 if step.count is None else step.count[0]
    if count is None or step.times is not None or step.evenly or step.stitch.group or step.word:
        return None
    if place is None:
        return count * step.stitch.makes
    if place.scope or place.last is not None or place.also or place.how not in ("next", "same", "first", "last", "here", "skipped", "corner"):
        return None
    places = 1 if place.n is None or step.tog else place.n[0]
    if places is None or place.plural:
        return None
    return (count if count == places else count * places) * step.stitch.makes


def _times(times: Times | None) -> int | None:
    if times is None:
        return 1
    return None if times.n[0] is None else times.n[0] + (1 if times.more else 0)


RULE = Rule(
    name="repeat-total",
    severity=Severity.WRONG,
    title="A repeat does not have the stitches stated for it",
    why="Where a row says how many stitches one repeat has, the maker counts each repeat by it, and the chart beside the text is read by the same number.",
    looks_like="US terms.\nCh 25.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (24 sc)\nRow 2: Ch 1, *sc in next 3 sts, 2 sc in next st; rep from * across, turn. (4 sts per repeat)\n",
    better="US terms.\nCh 25.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (24 sc)\nRow 2: Ch 1, *sc in next 3 sts, 2 sc in next st; rep from * across, turn. (5 sts per repeat)\n",
    let_stand="When the number is that of another row, as the chart's width may be.",
    check=check,
)
