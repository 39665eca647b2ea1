"""A crossing that leans the other way than its words or its fellows say."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator

from ...lint.fabric.work import PieceWork, RowWork
from ...lint.finding import Because, Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.syntax.layout import KeyEntry
from ...lint.text import Span
from ...lint.wording import name_of, row_list
from .rows import row_words, within, written_rows

_SKIPS = re.compile(r"\b(?:sk|skip|miss)\b")
_GOES_BACK = re.compile(r"(?:working|work|passing|crossing|going|keeping)\s+(?:in\s+(?:the\s+)?)?(?P<fb>front|behind|back)\b|\bin\s+(?P<front>front)\s+of\b")
_LAST = re.compile(r"\b(?:sk|skipped|missed)\s+(?:sts?|stitch(?:es)?|posts?|(?:fp|bp)?(?:dc|tr|dtr)s?)\b|\b(?:skipped|missed)\b")
_LEANS = re.compile(
    r"\b(?:leans?|leaning|slants?|slanting|slopes?|crosses)\s+(?:up\s+)?(?:to(?:wards?)?\s+)?(?:the\s+|its\s+)?(?P<a>left|right)\b|\b(?P<b>left|right)[- ](?:leaning|slanting|cross(?:ing)?|twist)\b"
)
_UNSURE = re.compile(r"left[- ]hand|seen from|as seen|(?:on|from)\s+(?:the\s+)?(?:ws|wrong\s+side)|mirror")
_WAY = {"F": "left", "B": "right"}
_USUAL = 3  # rows that cross one way, before one that crosses the other is worth a question


def check(subject: Subject) -> Iterator[Finding]:
    yield from _definitions(subject)
    for piece in subject.work.pieces:
        yield from _rows(subject, piece)
        yield from _against_its_column(subject, piece)


def crossing_way(words: str) -> str | None:
    """The lean of one crossing told in words, "left" or "right"; None where it is not told, or not told once.

    The stitches skipped first are worked last. In front of the others they lean to the left, behind them to the right,
    whichever side faces the maker: a cross keeps its hand when it is looked at from behind.
    """
    skips = _SKIPS.search(words)
    if skips is None:
        return None
    ways = list(_GOES_BACK.finditer(words, skips.end()))
    last = list(_LAST.finditer(words, skips.end()))
    if len(ways) != 1 or not last or last[-1].start() < ways[0].start():
        return None
    if not re.search(r"(?:fp|bp|dc|tr|dtr|post|rt|rdt)", words[skips.end() : ways[0].start()]):
        return None
    return _WAY["F" if (ways[0]["fb"] or ways[0]["front"]) == "front" else "B"]


def _stated(words: str) -> str | None:
    ways = {m["a"] or m["b"] for m in _LEANS.finditer(words)}
    return ways.pop() if len(ways) == 1 else None


def _definitions(subject: Subject) -> Iterator[Finding]:
    told: dict[str, tuple[KeyEntry, str]] = {}
    for entry in subject.layout.key:
        words = " ".join(subject.layout.folded[entry.span.start : entry.span.end].lower().split())
        way = crossing_way(words)
        if way is None or _UNSURE.search(words):
            continue
        stated = _stated(words)
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
    where = "in front of" if way == "left" else "behind"
    back = "behind" if way == "left" else "in front of"
    return Finding(
        RULE.name, RULE.severity,
        f"{name} is said to lean to the {stated}, but skipped stitches worked {where} the others lean to the {way}; worked {back} them they would lean to the {stated}. Which is meant?",
        span, place,
    )  # fmt: skip


def _rows(subject: Subject, piece: PieceWork) -> Iterator[Finding]:
    if not _LEANS.search(subject.layout.folded[piece.span.start : piece.span.end].lower()):
        return
    for row in written_rows(piece):
        words = " ".join(row_words(subject, row).split())
        stated, way = _stated(words), crossing_way(words)
        if stated is not None and way is not None and stated != way and not _UNSURE.search(words):
            yield _contrary(row.span, f"The crossing of {row.label}", stated, way, row.label)


def _against_its_column(subject: Subject, piece: PieceWork) -> Iterator[Finding]:
    """One row that crosses a column the other way than every other row does, written out without a name of its own."""
    groups: dict[tuple[str, str, int], list[tuple[RowWork, str]]] = {}
    for row in written_rows(piece):
        if not row.crossings:
            continue
        words = row_words(subject, row)
        full = [c for c in row.crossings if within(c[0], row.span) and _LAST.search(words[c[0].start - row.span.start : c[0].end - row.span.start])]
        ways = {c[1] for c in full}
        if len(ways) != 1 or len(full) != len(row.crossings) or not ways <= {"F", "B"} or any(c[4] for c in full) or len({c[0] for c in full}) != 1:
            continue
        body = words.split(":", 1)[-1]
        skip = _SKIPS.search(body)
        if skip is None:
            continue
        before = re.sub(r"\W+", " ", body[: skip.start()]).strip()
        groups.setdefault((before, row.side or "", len(full)), []).append((row, ways.pop()))
    for rows in groups.values():
        tally = Counter(way for _, way in rows)
        if len(tally) != 2 or min(tally.values()) != 1 or max(tally.values()) < _USUAL:
            continue
        usual = tally.most_common(1)[0][0]
        row, way = next((r, w) for r, w in rows if w != usual)
        if row is rows[-1][0] and len(rows) < _USUAL + 2:
            continue
        fellows = [r for r, w in rows if w == usual]
        mine, theirs = ("in front of", "behind") if way == "F" else ("behind", "in front")
        span = row.crossings[0][0]
        yield Finding(
            RULE.name, RULE.severity,
            f"{name_of(row.label)} works the skipped stitches {mine} the others and so leans to the {_WAY[way]}, where {row_list(fellows)} "
            f"{'works' if len(fellows) == 1 else 'work'} them {theirs} and {'leans' if len(fellows) == 1 else 'lean'} to the {_WAY[usual]}. "
            "Is the column to cross the other way here?",
            span, row.label, (), (Because(fellows[0].label_span, f"{fellows[0].label} crosses the usual way."),),
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
