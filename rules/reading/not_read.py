"""What was not read, said aloud: no silent gap."""

from __future__ import annotations

from collections.abc import Iterator

from ...lint import regex
from ...lint.fabric.work import PieceWork, RowWork, Status
from ...lint.finding import Because, Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.text import Span
from ...lint.wording import capital, likewise, listed, mid, name_of

_LONG = 60  # characters of the words shown
_MOST = 3  # places shown
# Kinds of work that are not followed at all, by the words that give them away.
_NOT_WORKED = (
    ("Tunisian crochet", regex.compile(r"\btunisian\b|\bt(?:ss|ks|ps|fs|rs)\b|\b(?:forward|return)\s+pass\b", regex.IGNORECASE)),
    ("hairpin lace", regex.compile(r"\bhairpin\b", regex.IGNORECASE)),
    ("corner-to-corner work", regex.compile(r"\bcorner[- ]to[- ]corner\b|\bc2c\b", regex.IGNORECASE)),
    ("filet told by blocks and meshes", regex.compile(r"\bfilet\b|\d\s+(?:open\s+|closed\s+)?(?:blocks?|blks?|meshe?s?)\b", regex.IGNORECASE)),
    ("a chart", regex.compile(r"\b(?:from|follow(?:ing)?|see|per|of|work)\s+(?:the\s+)?(?:chart|diagram)\b", regex.IGNORECASE)),
)


def check(subject: Subject) -> Iterator[Finding]:
    for gap in subject.text.gaps:
        yield Finding(RULE.name, RULE.severity, gap.message, Span(gap.offset, gap.offset))
    for piece in subject.work.pieces:
        by_words: dict[Span, list[int]] = {}
        for at, row in enumerate(piece.rows):
            if row.status in (Status.UNREAD, Status.ASSUMED) and (row.written or row.unread):
                by_words.setdefault(row.span, []).append(at)
        for members in by_words.values():
            yield _finding(subject, piece, members)


def _finding(subject: Subject, piece: PieceWork, members: list[int]) -> Finding:
    row = piece.rows[members[0]]
    spans = [s for s in sorted(set(row.unread)) if s != row.span]
    message = f"{_what(subject, piece, members[0], spans)}.{_not_worked(subject.text[row.span])}{_taken(row)}{likewise([piece.rows[at] for at in members[1:]])}"
    because = tuple(Because(s, "nor was this") for s in spans[1:])
    return Finding(RULE.name, RULE.severity, capital(message), spans[0] if spans else row.span, row.label, (), because)


def _what(subject: Subject, piece: PieceWork, at: int, spans: list[Span]) -> str:
    row = piece.rows[at]
    name = name_of(row.label)
    if spans:
        words = list(dict.fromkeys(_short(subject.text[s]) for s in spans))
        shown = [f"“{w}”" for w in words[:_MOST]]
        return f"{name} was not read whole: {listed(shown) if len(words) <= _MOST else ', '.join(shown) + ' and more'}"
    kinds = {t.kind for t in row.troubles}
    if "row-reference" in kinds:
        return f"{name} was not worked, as it is not clear which row it repeats"
    if kinds & {"repeat-open", "repeat-target"}:
        return f"{name} was not worked, as it is not clear where its repeat begins and ends"
    if all(s.base is None for s in row.sizes):
        if at:
            return f"{name} could not be checked: how many stitches {mid(name_of(piece.rows[at - 1].label))} leaves is not known"
        return f"{name} could not be checked: what it is worked into is not in the text"
    return f"{name} could not be worked"


def _not_worked(words: str) -> str:
    kinds = [kind for kind, given_away in _NOT_WORKED if given_away.search(words)]
    return f" This program does not work {listed(kinds)}." if kinds else ""


def _taken(row: RowWork) -> str:
    stated = list(dict.fromkeys(str(n) for s in row.sizes if (n := s.stated if s.stated is not None else s.made) is not None))
    return f" Taken on the designer's word: {listed(stated)}." if row.status is Status.ASSUMED and stated else ""


def _short(words: str) -> str:
    words = " ".join(words.split())
    return words if len(words) <= _LONG else f"{words[:_LONG].rstrip()}…"


RULE = Rule(
    name="not-read",
    severity=Severity.SUGGESTION,
    title="Words that were not read, and rows taken on the designer's word",
    why="A row that was not read was not checked either. This says which, so that an editor can work it by hand.",
    looks_like="Ch 12.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (11 sc)\nRow 2: Ch 1, twirl the yarn about the flag of each sc, turn. (11 sc)\n",
    better="Ch 12.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (11 sc)\nRow 2: Ch 1, sc in each sc across, turn. (11 sc)\n",
    let_stand="Always, once the row has been checked by hand.",
    check=check,
)
