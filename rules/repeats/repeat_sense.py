"""How often a repeat is worked, where the words have two senses, and repeats that do not lie on one another."""

from __future__ import annotations

from collections.abc import Iterator

from ...lint import regex
from ...lint.fabric.work import PieceWork, RowWork, Status
from ...lint.finding import Because, Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.text import Span
from ...lint.wording import Facts, Met, count_of, met, name_of, number, stitches, words_at

_TIMES = regex.compile(r"\brep(?:eat)?s?\b[^.;:()\[\]]*?\*[^.;:()\[\]]*?\b(?P<n>\d+|two|three|four|five|six|seven|eight|nine|ten)\s+times\b(?!\s+(?:more|in\s+(?:all|total)))")
_MORE, _ALL = "means N more times", "means N times in all"


def check(subject: Subject) -> Iterator[Finding]:
    for m in met(subject, "repeat-sense"):
        yield m.finding(RULE.name, RULE.severity, f"{_neighbours(m.facts) if 'neighbour' in m.facts else _times(m)}{m.likewise}")
    yield from _between_pieces(subject)


def _times(m: Met) -> str:
    n = number(m.facts.get("n")) or 0
    taken, other = (n, n + 1) if m.facts.get("sense") == "all" else (n + 1, n)
    sense = f"{n} times in all" if taken == n else f"{n} more times, {taken} in all"
    return (
        f"{m.label} comes out only where its repeat is worked {sense}; as elsewhere in this part, “{count_of(n, 'time')}” would be {other}. "
        "Can it say how often in all, or how often more?"
    )


def _neighbours(facts: Facts) -> str:
    """A rib over a rib of another width: the number may divide, the posts do not lie on one another."""
    unit, period = number(facts.get("unit")) or 0, number(facts.get("period")) or 0
    return (
        f"One repeat of {facts.get('label')} takes {stitches(unit)}, but one repeat of {facts.get('neighbour')} leaves {period}: front posts come "
        "to lie on back posts. Does the repeat begin or end at another stitch?"
    )


def _between_pieces(subject: Subject) -> Iterator[Finding]:
    """The first row that takes the words in another sense than an earlier part did."""
    first: tuple[str, str, RowWork, PieceWork] | None = None
    for piece in subject.work.pieces:
        sense = next((s for s in (_MORE, _ALL) if any(s in r for r in piece.readings)), None)
        shown = next(_settled(subject, piece), None) if sense is not None else None
        if sense is None or shown is None:
            continue
        row, n, at = shown
        worked = f"{n} more times" if sense == _MORE else f"{n} times in all"
        if first is None:
            first = (sense, worked, row, piece)
        elif first[0] != sense:
            before = f"{first[2].label} of {first[3].name or 'the part before'}"
            message = f"“{words_at(subject, at)}” in {name_of(row.label)} comes out as {worked}, but the same words in {before} as {first[1]}. Can both say which is meant?"
            yield Finding(RULE.name, RULE.severity, message, at, row.label, (), (Because(first[2].label_span, f"read as {first[1]}"),))
            return


def _settled(subject: Subject, piece: PieceWork) -> Iterator[tuple[RowWork, str, Span]]:
    """The rows of a piece whose sum settles the sense, with the number of times and the words that have two senses."""
    for row in piece.rows:
        if row.written and row.source is None and row.status is Status.PROVED and all(s.base for s in row.sizes) and "repeat-sense" not in {t.kind for t in row.troubles}:
            found = _TIMES.search(subject.layout.folded, row.span.start, row.span.end)
            if found is not None:
                yield row, found["n"], Span(*found.span())


RULE = Rule(
    name="repeat-sense",
    severity=Severity.QUERY,
    title="A repeat whose number of times is meant in another sense here than elsewhere, or that does not lie on the repeat below",
    why=(
        "“Repeat from * 3 times” is three in all to one maker and three more to another. A pattern can be read in either sense, but not in both: "
        "the reader who has found out at one row goes wrong at the next."
    ),
    looks_like=(
        "Ch 25.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (24 sc)\n"
        "Row 2: Ch 1, *sc in next 5 sc, 2 sc in next sc; rep from * 3 times, turn. (28 sc)\n"
        "Row 3: Ch 1, *sc in next 6 sc, 2 sc in next sc; rep from * 4 times, turn. (32 sc)\n"
    ),
    better=(
        "Ch 25.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (24 sc)\n"
        "Row 2: Ch 1, *sc in next 5 sc, 2 sc in next sc; rep from * 3 more times, turn. (28 sc)\n"
        "Row 3: Ch 1, *sc in next 6 sc, 2 sc in next sc; rep from * 3 more times, turn. (32 sc)\n"
    ),
    let_stand="When the counts make it plain in every row and the words are the designer's own habit.",
    check=check,
)
