"""A round that is not joined, where all the others are."""

from __future__ import annotations

from collections.abc import Iterator

from ...lint import regex
from ...lint.fabric.work import PieceWork, RowWork
from ...lint.finding import Because, Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.wording import name_of
from .rows import is_row, prose, row_words, written_rows

_CLOSES = regex.compile(r"join|\bsl(?:ip)?[ -]?st|\bss\b|slst|close|connect|fasten|finish off|end off|cut\b|break\b|turn\b|spiral|continu")
_ALWAYS = regex.compile(
    r"(?:join|close|sl st|ss)\b[^.;\n]{0,60}\b(?:each|every|all)\s+(?:the\s+)?(?:rnds?|rounds?)|(?:each|every|all)\s+(?:the\s+)?(?:rnds?|rounds?)\b[^.;\n]{0,60}\b(?:join|close|sl st)"
    r"|\b(?:rnds?|rounds?)\s+(?:is|are)\s+(?:always\s+)?(?:joined|closed)|always\s+(?:join|close)|joined\s+(?:rnds?|rounds?)|(?:join|close)\w*\s+(?:at\s+)?the\s+end\s+of\b"
)
_HABIT = 3


def check(subject: Subject) -> Iterator[Finding]:
    for piece in subject.work.pieces:
        found = _unjoined(subject, piece)
        if found is not None:
            yield found


def _unjoined(subject: Subject, piece: PieceWork) -> Finding | None:
    rounds = [r for r in written_rows(piece) if r.number is not None and not is_row(r)]
    joined = [r for r in rounds if r.joined or "join" in r.marks]
    open_ = [r for r in rounds if r not in joined]
    if len(joined) < _HABIT or len(open_) != 1:
        return None
    row = open_[0]
    at = rounds.index(row)
    if at == len(rounds) - 1 or (at == 0 and not _chained(subject, rounds)) or row.off or row.unread or row.marks & {"no-join", "turn", "turn-start", "off"}:
        return None
    if _CLOSES.search(row_words(subject, row)) or _ALWAYS.search(prose(subject, piece)):
        return None
    after = rounds[at + 1]
    if after.number != (row.number or 0) + 1 or regex.search(r"^[^,]*\b(?:join|attach)\b", row_words(subject, after)):
        return None
    if _CLOSES.search(subject.layout.folded[row.span.end : after.span.start].lower()):
        return None
    message = f"{name_of(row.label)} is not joined, where the other {len(joined)} rounds written out are. Is the join missing?"
    because = (Because(joined[0].label_span, f"{joined[0].label} is joined."),)
    return Finding(RULE.name, RULE.severity, message, row.span, row.label, (), because)


def _chained(subject: Subject, rounds: list[RowWork]) -> bool:
    """Whether every round but the first begins with a chain: the first is then not the centre of a spiral."""
    body = (subject.layout.folded[r.label_span.end : r.span.end].lower() for r in rounds[1:])
    return len(rounds) > _HABIT + 1 and all(regex.match(r"[\s:.–—*-]*(?:with \w+, |sl st [^,]*, )?(?:\d+\s?ch|ch|chain)\b", words) for words in body)


RULE = Rule(
    name="join-missing",
    severity=Severity.QUERY,
    title="One round is not joined",
    why="Where every round is joined, one that is not leaves a step, and the next round's starting chain stands in mid-air.",
    looks_like=(
        "Rnd 1: Ch 1, 8 sc in magic ring, join with sl st in first sc. (8)\nRnd 2: Ch 1, 2 sc in each st around, join with sl st in first sc. (16)\n"
        "Rnd 3: Ch 1, (sc in next st, 2 sc in next st) 8 times. (24)\nRnd 4: Ch 1, sc in each st around, join with sl st in first sc. (24)\n"
        "Rnd 5: Ch 1, sc in each st around, join with sl st in first sc. (24)\n"
    ),
    better=(
        "Rnd 1: Ch 1, 8 sc in magic ring, join with sl st in first sc. (8)\nRnd 2: Ch 1, 2 sc in each st around, join with sl st in first sc. (16)\n"
        "Rnd 3: Ch 1, (sc in next st, 2 sc in next st) 8 times, join with sl st in first sc. (24)\n"
        "Rnd 4: Ch 1, sc in each st around, join with sl st in first sc. (24)\nRnd 5: Ch 1, sc in each st around, join with sl st in first sc. (24)\n"
    ),
    let_stand="When that round goes on in a spiral.",
    check=check,
)
