"""A row that forgets to turn, or a round of a spiral that turns."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import takewhile

from ...lint import regex
from ...lint.fabric.work import PieceWork, RowWork, Status
from ...lint.finding import Because, Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.syntax.layout import SectionKind
from ...lint.text import Span
from ...lint.wording import name_of
from .rows import is_row, row_words, written_rows

_TURN = regex.compile(r"\bturn(?:ed|s)?\b(?!ing)")
_TURN_NOTE = regex.compile(r"\bturn(?:ed|s)?\b(?!ing|\s+(?:ch\b|chain|cuff|brim|right|inside|rs|ws|\w+\s+(?:rs|ws)\b))")
_STOPS = regex.compile(r"fasten|cut\b|break\b|end off|finish off|join|leave|rotate|do not|don't|without|continue|pivot|work(?:ing)? (?:down|along|around)")
_OWN_CHAIN = regex.compile(r"[^:.]*[:.]\s*ch")
_HABIT = 3  # other rows that say it


def check(subject: Subject) -> Iterator[Finding]:
    for piece in subject.work.pieces:
        yield from _forgotten(subject, piece)
        yield from _in_a_spiral(subject, piece)


def _is_numbered(row: RowWork) -> bool:
    return row.number is not None and is_row(row)


def _forgotten(subject: Subject, piece: PieceWork) -> Iterator[Finding]:
    rows = [r for r in written_rows(piece) if _is_numbered(r)]
    if len(rows) < _HABIT + 1 or any(r.joined or not _is_numbered(r) for r in piece.rows):
        return
    at_end = [r for r in rows if "turn" in r.marks]
    ends = not any(r.source == rows[-1].number for r in piece.rows)  # a last row that others repeat is turned before them
    silent = [r for r in rows if not _TURN.search(row_words(subject, r)) and not (ends and r is rows[-1]) and r is not piece.rows[-1]]
    if len({r.span for r in silent}) != 1 or len(at_end) < _HABIT or len(at_end) < len(rows) - len(silent) - 1 or any("turn-start" in r.marks and r.number != 1 for r in rows) or _noted(subject):
        return
    row = silent[0]
    if row.status is Status.UNREAD or row.unread or row.off or row.marks & {"no-turn", "off", "join", "turn-start"} or _STOPS.search(row_words(subject, row)):
        return
    at = next(i for i, r in enumerate(piece.rows) if r is row)
    told = list(takewhile(lambda r: r.span == row.span, piece.rows[at:]))
    if len(told) > 1 and not _OWN_CHAIN.match(row_words(subject, row)):
        return  # "Rows 4-9: Sc in each st across." may be no more than a summary
    if at + len(told) == len(piece.rows):
        return
    last, after = told[-1], piece.rows[at + len(told)]
    if after.number != (last.number or 0) + 1 or after.span.start < row.span.end or _STOPS.search(row_words(subject, after).split(",")[0]):
        return
    between = subject.layout.folded[row.span.end : after.span.start].lower()
    if regex.search(r"\bturn|\brow|\b(?:rs|ws|right side|wrong side)\b", regex.sub(r"\b(?:next|following)\s+rows?\b", "", between)) or _STOPS.search(between):
        return
    if row.side_mark is not None and row.side_mark == after.side_mark:
        return
    because = (Because(at_end[0].label_span, f"{at_end[0].label} says to turn."),)
    silent_ones = f"{name_of(row.label)} does" if last is row else f"Rows {row.number}–{last.number} do"
    message = f"{silent_ones} not say to turn, where the other {len(at_end)} rows written out do. Is the work turned before {after.label}?"
    yield Finding(RULE.name, RULE.severity, message, row.span, row.label, (), because)


def _noted(subject: Subject) -> bool:
    """Whether anything outside the rows speaks of turning: then a row need not."""
    folded = subject.layout.folded
    for section in subject.layout.sections:
        if section.kind in (SectionKind.MATERIALS, SectionKind.FINISHING, SectionKind.ABBREVIATIONS):
            continue
        spans = [s.body for s in section.statements if s.label is None] if section.kind is SectionKind.PIECE else [section.body]
        for span in spans:
            words = folded[span.start : span.end].lower()
            if any(regex.search(r"\b(?:each|every|all|always|end|row|rows)\b", s) and _TURN_NOTE.search(s) for s in regex.split(r"[.;\n]", words)):
                return True
    return False


def _in_a_spiral(subject: Subject, piece: PieceWork) -> Iterator[Finding]:
    if subject.pattern.conventions is None:
        return
    conventions = subject.pattern.conventions.within(piece.span, [p.span for p in subject.work.pieces])
    rounds = [r for r in written_rows(piece) if r.label.lower().startswith("r") and not _is_numbered(r)]
    turning = [r for r in rounds if r.marks & {"turn", "turn-start"} or r.turn_inside is not None]
    if len(turning) != 1 or (len(rounds) == 1 and not conventions.spiral):
        return
    row = turning[0]
    spiral = conventions.spiral and not any(r.joined for r in rounds)
    quiet = conventions.no_turn and len(rounds) >= 2
    if not spiral and not (row.turn_inside is not None and (quiet or (row.joined and len(rounds) >= _HABIT))):
        return
    words = row_words(subject, row)
    found = next((m for m in _TURN.finditer(words) if not regex.search(r"(?:not|never|without|n't)\s*$", words[: m.start()])), None)
    if found is None or regex.search(r"short row|back and forth|fasten off|flat|rows?\b(?!\s*\d)", words) or row.off:
        return
    at = row.turn_inside or Span(row.span.start + found.start(), row.span.start + found.end())
    if at.start not in row.span:
        at = row.span
    # the last round may be turned for what follows; only a turn in the middle of its words is odd then
    rest = words[found.end() :]
    if row is rounds[-1] and row.turn_inside is None and not regex.search(r"\d|\brep", regex.sub(r"\([^)]*\)|=\s*\d+.*", "", rest)):
        return
    kind = "a spiral, which is never turned" if conventions.spiral else "rounds that are not turned"
    note = next((n for n in conventions.notes if n.kind in ("spiral", "turn")), None)
    because = (Because(note.span, "The text says how the rounds go on."),) if note is not None else ()
    message = f"{name_of(row.label)} says to turn, but the piece is worked in {kind}. Is the turn meant?"
    yield Finding(RULE.name, RULE.severity, message, at, row.label, (), because)


RULE = Rule(
    name="turn-missing",
    severity=Severity.QUERY,
    title="A turn is missing, or stands where nothing is turned",
    why=(
        "Where every row says to turn, the one that does not makes a reader stop: is the next row worked over the same side? "
        "A turn inside a spiral reverses the work half way."
    ),
    looks_like=(
        "Ch 11.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (10)\nRow 2: Ch 1, sc in each st across, turn. (10)\n"
        "Row 3: Ch 1, hdc in each st across. (10)\nRow 4: Ch 1, sc in each st across, turn. (10)\n"
        "Row 5: Ch 1, hdc in each st across, turn. (10)\nRow 6: Ch 1, sc in each st across, turn. (10)\n"
    ),
    better=(
        "Ch 11.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (10)\nRow 2: Ch 1, sc in each st across, turn. (10)\n"
        "Row 3: Ch 1, hdc in each st across, turn. (10)\nRow 4: Ch 1, sc in each st across, turn. (10)\n"
        "Row 5: Ch 1, hdc in each st across, turn. (10)\nRow 6: Ch 1, sc in each st across, turn. (10)\n"
    ),
    let_stand="When the work is really not turned there; “do not turn” would say so.",
    check=check,
)
