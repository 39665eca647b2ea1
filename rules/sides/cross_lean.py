"""A crossing that leans the other way than its words or its fellows say."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from typing import cast

from ...lint import regex
from ...lint.fabric.work import Crossing, PieceWork, RowWork
from ...lint.finding import Because, Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.syntax.layout import KeyEntry
from ...lint.syntax.lexer import Vocabulary
from ...lint.syntax.statement import read_statement
from ...lint.syntax.tree import Make, Mark, Skip
from ...lint.text import Span
from ...lint.wording import name_of, row_list
from .rows import row_words, within, written_rows

_LEANS = regex.compile(
    r"\b(?:leans?|leaning|slants?|slanting|slopes?|crosses)\s+(?:up\s+)?(?:to(?:wards?)?\s+)?(?:the\s+|its\s+)?(?P<a>left|right)\b|\b(?P<b>left|right)[- ](?:leaning|slanting|cross(?:ing)?|twist)\b"
)
_UNSURE = regex.compile(r"left[- ]hand|seen from|as seen|(?:on|from)\s+(?:the\s+)?(?:ws|wrong\s+side)|mirror")
_LEAN = {"F": "left", "B": "right"}
_PASS = {"left": "in front of", "right": "behind"}
_USUAL = 3  # rows that cross one way, before one that crosses the other is worth a question


def check(subject: Subject) -> Iterator[Finding]:
    yield from _definitions(subject)
    told = any(c.way for row in subject.work.rows() for c in row.crossings)
    for piece in subject.work.pieces:
        yield from _rows(subject, piece, told=told)
        yield from _against_its_column(subject, piece)


def crossing_way(words: str) -> str | None:
    """The lean of one crossing told in words, "left" or "right"; None where it is not told, or not told once.

    The stitches skipped first are worked last. In front of the others they lean to the left, behind them to the right,
    whichever side faces the maker: a cross keeps its hand when it is looked at from behind.
    """
    found = _ways(words)
    return _LEAN[found[0]] if found is not None and len(found) == 1 else None


def _ways(words: str) -> list[str] | None:
    """How the skipped stitches of a crossing pass the others, as often as it is told; None where nothing crosses."""
    words = words.lower()
    steps = read_statement(words, words, Vocabulary()).steps
    start = next((i for i, s in enumerate(steps) if isinstance(s, Skip)), None)
    if start is None or not any(isinstance(s, Make) and s.place is not None and s.place.how == "skipped" for s in steps[start:]):
        return None
    values = [s.value for s in steps[start:] if isinstance(s, Mark) and s.what == "cross"]
    return [str(cast("tuple[str, bool]", v)[0]) for v in values if isinstance(v, tuple)]


def _way(crossing: Crossing) -> str:
    """In front or behind as the maker sees it, "" where it is not told."""
    if crossing.seen_from_rs and crossing.side == "WS" and crossing.way:
        return "B" if crossing.way == "F" else "F"
    return crossing.way


def _stated(words: str) -> str | None:
    ways = {m["a"] or m["b"] for m in _LEANS.finditer(words)}
    return ways.pop() if len(ways) == 1 else None


def _definitions(subject: Subject) -> Iterator[Finding]:
    told: dict[str, tuple[KeyEntry, str]] = {}
    for entry in subject.layout.key:
        words = " ".join(subject.layout.folded[entry.span.start : entry.span.end].lower().split())
        if not entry.special and "skip" not in words and "miss" not in words:
            continue
        ways = _ways(entry.meaning)
        if ways is None or len(ways) > 1 or _UNSURE.search(words):
            continue
        stated = _stated(words)
        if not ways:
            leans = next((m["a"] for m in _LEANS.finditer(words) if m["a"]), None)
            if leans is not None and stated == leans:
                yield _untold(entry.span, f"“{entry.words[0]}”", leans, "")
            continue
        way = _LEAN[ways[0]]
        if stated is not None and stated != way:
            yield _contrary(entry.span, f"“{entry.words[0]}”", stated, way, "")
            continue
        for name in entry.words:
            told[" ".join(name.lower().split())] = (entry, way)
    done: set[Span] = set()
    for name, (entry, way) in told.items():
        for this, that in (("front", "back"), ("left", "right"), ("f", "b"), ("l", "r")):
            twin = _twin(name, this, that)
            if twin in told and told[twin][0].span != entry.span and told[twin][1] == way and told[twin][0].span not in done:
                later = max(entry, told[twin][0], key=lambda e: e.span.start)
                earlier = min(entry, told[twin][0], key=lambda e: e.span.start)
                if later.span in done:
                    continue
                done.add(later.span)
                where = "in front" if way == "left" else "behind"
                yield Finding(
                    RULE.name, RULE.severity,
                    f"“{later.words[0]}” and “{earlier.words[0]}” are worked the same way, with the skipped stitches {where}, so both lean to the {way}. Is one of them to cross the other way?",
                    later.span, "", (), (Because(earlier.span, f"“{earlier.words[0]}” is told here."),),
                )  # fmt: skip


def _twin(name: str, this: str, that: str) -> str:
    """The name of the crossing to the other side: "c4b" of "c4f", "back cable" of "front cable"; the name itself if none."""
    if len(this) > 1:
        return re.sub(rf"\b{this}\b", that, name)
    return name.replace(this, that) if re.fullmatch(rf"c?\d*{this}c?|\d+/\d+{this}c", name) else name


def _contrary(span: Span, name: str, stated: str, way: str, place: str) -> Finding:
    return Finding(
        RULE.name, RULE.severity,
        f"{name} is said to lean to the {stated}, but skipped stitches worked {_PASS[way]} the others lean to the {way}; "
        f"worked {_PASS[stated]} them they would lean to the {stated}. Which is meant?",
        span, place,
    )  # fmt: skip


def _untold(span: Span, name: str, stated: str, place: str) -> Finding:
    return Finding(
        RULE.name, RULE.severity,
        f"{name} is said to lean to the {stated}, but not whether the skipped stitches are worked in front of the others or behind: in front they lean to the left, "
        f"behind to the right. Are they worked {_PASS[stated]} them?",
        span, place,
    )  # fmt: skip


def _rows(subject: Subject, piece: PieceWork, *, told: bool) -> Iterator[Finding]:
    """Rows that say how their one crossing leans; ``told`` where any crossing of the text is told to pass in front or behind."""
    for row in written_rows(piece):
        crossings = [c for c in row.crossings if within(c.span, row.span)]
        if len({c.span for c in crossings}) != 1:
            continue
        words = " ".join(row_words(subject, row).split())
        stated, way = _stated(words), _way(crossings[0])
        if stated is None or _UNSURE.search(words.replace("as seen from the right side", "").replace("as seen from the rs", "")):
            continue
        if not way:
            if not told and any(m["a"] for m in _LEANS.finditer(words)):
                yield _untold(crossings[0].span, f"The crossing of {row.label}", stated, row.label)
        elif stated != _LEAN[way]:
            yield _contrary(row.span, f"The crossing of {row.label}", stated, _LEAN[way], row.label)


def _against_its_column(subject: Subject, piece: PieceWork) -> Iterator[Finding]:
    """One row that crosses a column the other way than every other row that is written out does."""
    groups: dict[tuple[str, str, int], list[tuple[RowWork, Crossing, str]]] = {}
    for row in written_rows(piece):
        words = row_words(subject, row).split(":", 1)[-1]
        start = row.span.end - len(words)
        crossings = list(dict.fromkeys(c for c in row.crossings if within(c.span, row.span)))
        if any(not _way(c) for c in crossings):
            continue
        for crossing in crossings:
            before = regex.sub(r"\W+", " ", words[: max(0, crossing.span.start - start)]).strip()
            groups.setdefault((before, row.side or "", len(row.crossings)), []).append((row, crossing, _way(crossing)))
    for rows in groups.values():
        tally = Counter(way for _, _, way in rows)
        if len(tally) != 2 or min(tally.values()) != 1 or max(tally.values()) < _USUAL:
            continue
        usual = tally.most_common(1)[0][0]
        at, (row, crossing, way) = next((i, r) for i, r in enumerate(rows) if r[2] != usual)
        if at in (0, len(rows) - 1) and len(rows) < _USUAL + 2:
            continue
        fellows = [r for r, _, w in rows if w == usual]
        yield Finding(
            RULE.name, RULE.severity,
            f"{name_of(row.label)} works the skipped stitches {_PASS[_LEAN[way]]} the others and so leans to the {_LEAN[way]}, where {row_list(fellows)} "
            f"{'works' if len(fellows) == 1 else 'work'} them {_PASS[_LEAN[usual]].removesuffix(' of')} and {'leans' if len(fellows) == 1 else 'lean'} to the {_LEAN[usual]}. "
            "Is the column to cross the other way here?",
            crossing.span, row.label, (), (Because(fellows[0].label_span, f"{fellows[0].label} crosses the usual way."),),
        )  # fmt: skip


RULE = Rule(
    name="cross-lean",
    severity=Severity.QUERY,
    title="A crossing leans the other way than the text says",
    why=(
        "The stitches skipped first are worked last. Worked in front of the others they lean to the left, behind them to the right. "
        "Two cables that should mirror each other, or one that should twist the same way all along, show such a slip at once."
    ),
    looks_like="C4R (leans to the right): Sk next 2 sts, FPtr around each of next 2 sts, working in front of sts just made, FPtr around each of 2 skipped sts.\n",
    better="C4R (leans to the right): Sk next 2 sts, FPtr around each of next 2 sts, working behind sts just made, FPtr around each of 2 skipped sts.\n",
    let_stand="When the lean is described for a left-handed maker, or as seen from the other side.",
    check=check,
    source="A lesson on two-by-two cables in turned rows for the front cross; for WS rows our own derivation, checked in the family's tests.",
)
