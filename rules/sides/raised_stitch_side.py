"""Popcorns and bobbles on the row where they show on the wrong face."""

from __future__ import annotations

import re
from collections.abc import Iterator

from ...lint.fabric.work import RowWork
from ...lint.finding import Because, Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.text import Span
from ...lint.wording import likewise, name_of
from .columns import other
from .rows import article, prose, row_words, side_is_stated, within

_HELPED = re.compile(
    r"push|pop(?:s|ped|ping)?\s+(?:it|them|out|to|through|toward)|back\s+to\s+front|from\s+(?:the\s+)?(?:back|behind)|(?:to|toward|towards|on|onto|at)\s+(?:the\s+)?(?:rs|right\s+side|front)\b"
    r"|(?:from|on)\s+(?:the\s+)?(?:ws|wrong\s+side)|stand(?:s)?\s+out|reversible|both\s+(?:sides|faces)|either\s+side|wrong[- ]side\s+popcorn|ws\s+popcorn"
)
_BOBBLE_ROWS = re.compile(r"(?:bobbles?|loop\s+st(?:itche)?s?)\b[^.;]{0,30}\b(?:are|is)\s+(?:always\s+|only\s+)*(?:worked|made)\s+(?:only\s+)?(?:on|in)\s+(?:the\s+)?(?P<side>rs|ws|right[- ]side|wrong[- ]side)\s+rows?")


def check(subject: Subject) -> Iterator[Finding]:
    for piece in subject.work.pieces:
        raised = [r for r in piece.rows if r.raised and r.side is not None]
        if not raised or not side_is_stated(subject, piece):
            continue
        said = prose(subject, piece)
        bobbles = _BOBBLE_ROWS.search(said)
        done: set[Span] = set()
        for row in raised:
            if _is_flat_guess(row):
                continue
            for kind, span in row.raised:
                if span in done:
                    continue
                words = ""
                if kind == "popcorn" and row.side == "WS" and not _HELPED.search(row_words(subject, row)) and not _HELPED.search(_meaning(subject, "popcorn", said)):
                    words = "popcorns"
                elif kind == "bobble" and bobbles is not None and row.side != ("RS" if bobbles["side"][0] == "r" else "WS"):
                    words = "bobbles"
                if words:
                    others = [r for r in raised if r is not row and any(s == span for _, s in r.raised) and r.side == row.side]
                    done.add(span)
                    yield _finding(row, span, words, others)


def _is_flat_guess(row: RowWork) -> bool:
    """Whether the side of a round rests on turns that nobody wrote."""
    return row.joined and row.side_mark is None and row.side == "WS" and not row.turned


def _meaning(subject: Subject, word: str, said: str) -> str:
    """What the key and the prose say of a stitch: its definition, and every sentence that names it."""
    parts = [e.meaning.lower() for e in subject.layout.key if any(word in w.lower() or w.lower() in ("pc", "pop", "pcn") for w in e.words)]
    parts += [s for s in re.split(r"(?<=[.;])\s", said) if re.search(rf"{word}|\bpc\b|\bpop\b", s)]
    return " ".join(" ".join(parts).split())


def _finding(row: RowWork, span: Span, words: str, others: list[RowWork]) -> Finding:
    own = within(span, row.span)
    more = likewise(others)
    side = row.side or "WS"
    if words == "popcorns":
        message = (
            f"{name_of(row.label)} is worked on the WS, and popcorns closed from front to back stand out towards the maker: on the WS. "
            f"Are they to be pushed through to the RS, or closed from back to front?{more}"
        )
    else:
        message = f"{name_of(row.label)} is {article(side)} row, and the text has bobbles on {other(side)} rows. Is the row meant?{more}"
    because = () if own else (Because(span, "These are the words the row repeats."),)
    return Finding(RULE.name, RULE.severity, message, span if own else row.span, row.label, (), because)


RULE = Rule(
    name="raised-stitch-side",
    severity=Severity.QUERY,
    title="A raised stitch stands out on the wrong side",
    why=(
        "A popcorn stands out towards the maker. Made on a WS row it shows on the wrong side, unless the hook enters its first stitch from back "
        "to front or it is pushed through. Bobbles do the opposite, so they are made on WS rows; a puff looks the same from both sides."
    ),
    looks_like=(
        "Popcorn: 5 dc in same st, drop loop, insert hook in first of these dc from front to back, pull dropped loop through.\nCh 10.\n"
        "Row 1 (RS): Sc in 2nd ch from hook and in each ch across, turn. (9 sc)\n"
        "Row 2 (WS): Ch 2 (not a st), dc in first 2 sts, *popcorn in next st, dc in next st; rep from * 2 more times, dc in last st, turn. (9 sts)\n"
    ),
    better=(
        "Popcorn: 5 dc in same st, drop loop, insert hook in first of these dc from back to front, pull dropped loop through.\nCh 10.\n"
        "Row 1 (RS): Sc in 2nd ch from hook and in each ch across, turn. (9 sc)\n"
        "Row 2 (WS): Ch 2 (not a st), dc in first 2 sts, *popcorn in next st, dc in next st; rep from * 2 more times, dc in last st, turn. (9 sts)\n"
    ),
    let_stand="When the popcorns are meant for that face.",
    check=check,
    source="Published stitch guides: the hook enters front to back on RS rows, back to front on WS rows.",
)
