"""Popcorns, bobbles, loop stitches and ridges on the row where they show on the wrong face."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Sequence

from ...lint import regex
from ...lint.fabric.row import other_side
from ...lint.fabric.work import PieceWork, RowWork
from ...lint.finding import Because, Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.syntax.labels import side_named
from ...lint.text import Span
from ...lint.wording import likewise, name_of, row_list
from .rows import article, first_by_number, is_round, prose, row_words, side_is_stated, source_of, within

_HELPED = regex.compile(
    r"push|pop(?:s|ped|ping)?\s+(?:it|them|out|to|through|toward)|back\s+to\s+front|from\s+(?:the\s+)?(?:back|behind)|(?:to|toward|towards|on|onto|at)\s+(?:the\s+)?(?:rs|right\s+side|front)\b"
    r"|(?:from|on)\s+(?:the\s+)?(?:ws|wrong\s+side)|stand(?:s)?\s+out|reversible|both\s+(?:sides|faces)|either\s+side|wrong[- ]side\s+popcorn|ws\s+popcorn"
)
_ROWS_SAID = (
    r"{0}\b[^.;]{{0,30}}\b(?:are|is)\s+(?:always\s+|only\s+)*(?:worked|made)\s+(?:only\s+)?(?:on|in)\s+(?:the\s+)?(?P<side>rs|ws|right[- ]side|wrong[- ]side)\s+rows?"
    r"|\b(?:work|make)\s+(?:all\s+(?:the\s+)?|the\s+)?{0}\s+(?:only\s+)?(?:on|in)\s+(?:the\s+)?(?P<side2>rs|ws|right[- ]side|wrong[- ]side)\s+rows?"
)
"""A note on which rows a stitch is worked on."""
_BOBBLES, _LOOPS = r"bobbles?", r"(?:loop|lp|fur)\s+st(?:itche)?s?"
_LOOP_NAME = regex.compile(rf"(?:{_LOOPS})$")
_BACK_LOOP = regex.compile(r"\b(?:\w+[ -]?)?blo\b|\bbl\b|\bblp\b|\btbl\b|\bback[- ](?:half[- ])?(?:loops?|lps?)\b")
_FRONT_LOOP = regex.compile(r"\b(?:\w+[ -]?)?flo\b|\bfl\b|\bflp\b|\bfront[- ](?:half[- ])?(?:loops?|lps?)\b")
_USED_LATER = regex.compile(r"\b(?:unused|free|remaining|unworked|skipped)\s+(?:front\s+|back\s+)?(?:loops?|lps?)\b|\bfold|\bhem\b|\bloops?\s+of\s+(?:row|rnd|round)")
_USUAL = 3  # rows that agree, before one that does not is worth a question


def check(subject: Subject) -> Iterator[Finding]:
    for piece in subject.work.pieces:
        if not side_is_stated(subject, piece):
            continue
        said = prose(subject, piece)
        yield from _popcorns(subject, piece, said)
        bobbles = [(r, span) for r in piece.rows for kind, span in r.raised if kind == "bobble"]
        yield from _on_far_side(_BOBBLES, "bobbles", bobbles, said)
        loops = {d.stitch.kind for d in subject.pattern.definitions if _LOOP_NAME.fullmatch(d.name)}
        yield from _on_far_side(_LOOPS, "loop stitches", [(r, r.span) for r in piece.rows for s in r.sizes[:1] if loops & set(s.kinds)], said)
        yield from _ridges(subject, piece)


def _popcorns(subject: Subject, piece: PieceWork, said: str) -> Iterator[Finding]:
    """Popcorns stand out towards the maker, unless they are closed from back to front or pushed through."""
    raised = [r for r in piece.rows if r.side is not None and any(kind == "popcorn" for kind, _ in r.raised)]
    done: set[Span] = set()
    for row in raised:
        if row.side != "WS" or _is_flat_guess(row) or _HELPED.search(row_words(subject, row)) or _HELPED.search(_meaning(subject, "popcorn", said)):
            continue
        for kind, span in row.raised:
            if kind != "popcorn" or span in done:
                continue
            done.add(span)
            others = [r for r in raised if r is not row and any(s == span for _, s in r.raised) and r.side == row.side]
            yield _finding(
                row, span,
                f"{name_of(row.label)} is worked on the WS, and popcorns closed from front to back stand out towards the maker: on the WS. "
                f"Are they to be pushed through to the RS, or closed from back to front?{likewise(others)}",
            )  # fmt: skip


def _on_far_side(pattern: str, noun: str, worked: Sequence[tuple[RowWork, Span]], said: str) -> Iterator[Finding]:
    """What falls on the far side of the work, on a row where it falls on the face that the text, or every other row, does not have it on."""
    worked = [(r, span) for r, span in worked if r.side is not None and not _is_flat_guess(r)]
    note = re.search(_ROWS_SAID.format(pattern), said)
    if note is not None:
        meant = side_named((note["side"] or note["side2"]).replace("-", " "))
        wrong = [(r, span) for r, span in worked if r.side != meant]
        for row, span in {span: (r, span) for r, span in reversed(wrong)}.values():
            others = [r for r, s in wrong if s == span and r is not row]
            yield _finding(row, span, f"{name_of(row.label)} is {article(row.side or '')} row, and the text has {noun} on {meant} rows. Is the row meant?{likewise(others)}")
        return
    rows = list({r.index: r for r, _ in worked}.values())
    by_side = Counter(r.side for r in rows)
    if len(by_side) != 2 or min(by_side.values()) != 1 or max(by_side.values()) < _USUAL or _HELPED.search(said) or any(r.joined for r in rows):
        return
    (usual, _), _ = by_side.most_common()
    row, span = next((r, span) for r, span in worked if r.side != usual)
    fellows = [r for r in rows if r.side == usual]
    yield _finding(
        row, span,
        f"{name_of(row.label)} is {article(row.side or '')} row, where {row_list(fellows)}, the other rows with {noun}, are {usual} rows: here they would fall on the other face. "
        "Is the row meant?",
    )  # fmt: skip


def _ridges(subject: Subject, piece: PieceWork) -> Iterator[Finding]:
    """The loop left free makes a ridge: one row that leaves it on the other face than all the rest, RS and WS rows alike."""
    text = subject.layout.folded[piece.span.start : piece.span.end].lower()
    if not _BACK_LOOP.search(text) or not _FRONT_LOOP.search(text) or _USED_LATER.search(text):
        return
    numbers = first_by_number(piece)
    rows: list[tuple[RowWork, str, str]] = []
    for row in piece.rows:
        words = row_words(subject, source_of(row, numbers) or row)
        loops = {"back" for _ in _BACK_LOOP.finditer(words)} | {"front" for _ in _FRONT_LOOP.finditer(words)}
        if len(loops) == 1 and row.side is not None and not row.posts:
            if row.joined or is_round(row):
                return
            loop = loops.pop()
            rows.append((row, loop, row.side if loop == "back" else other_side(row.side)))
    tally = Counter(face for _, _, face in rows)
    if len(tally) != 2 or min(tally.values()) != 1 or max(tally.values()) < _USUAL:
        return
    usual = tally.most_common(1)[0][0]
    at, (row, loop, face) = next((i, r) for i, r in enumerate(rows) if r[2] != usual)
    fellows = [r for r, _, f in rows if f == usual]
    if len({r.side for r in fellows}) != 2 or at < 2 or at == len(rows) - 1:
        return
    alike = next(((r, other_loop) for r, other_loop, f in rows if f == usual and r.side == row.side), None)
    as_in = f", as in {alike[0].label}" if alike is not None else ""
    yield _finding(
        row, row.span,
        f"{name_of(row.label)}, {article(row.side or '')} row, is worked in the {loop} loops, which leaves its ridge on the {face}; in {row_list(fellows)} the ridges are on the {usual}. "
        f"The {'front' if loop == 'back' else 'back'} loops would leave it there{as_in}. Which loops are meant?",
    )  # fmt: skip


def _is_flat_guess(row: RowWork) -> bool:
    """Whether the side of a round rests on turns that nobody wrote."""
    return row.joined and row.side_mark is None and row.side == "WS" and not row.turned


def _meaning(subject: Subject, word: str, said: str) -> str:
    """What the key and the prose say of a stitch: its definition, and every sentence that names it."""
    parts = [e.meaning.lower() for e in subject.layout.key if any(word in w.lower() or w.lower() in ("pc", "pop", "pcn") for w in e.words)]
    parts += [s for s in regex.split(r"(?<=[.;])\s", said) if re.search(rf"{word}|\bpc\b|\bpop\b", s)]
    return " ".join(" ".join(parts).split())


def _finding(row: RowWork, span: Span, message: str) -> Finding:
    own = within(span, row.span)
    because = () if own else (Because(span, "These are the words the row repeats."),)
    return Finding(RULE.name, RULE.severity, message, span if own else row.span, row.label, (), because)


RULE = Rule(
    name="raised-stitch-side",
    severity=Severity.QUERY,
    title="A raised stitch stands out on the wrong side",
    why=(
        "A popcorn stands out towards the maker. Made on a WS row it shows on the wrong side, unless the hook enters its first stitch from back "
        "to front or it is pushed through. Bobbles and the loops of loop stitch fall on the far side, so they are made on WS rows; a puff looks the "
        "same from both sides. A row worked in the back loops leaves its ridge towards the maker, one in the front loops away."
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
