"""A mark that names a side the row cannot be worked on, by the turns before it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from ...lint import regex
from ...lint.fabric.row import other_side
from ...lint.fabric.work import PieceWork, RowWork
from ...lint.finding import Because, Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.wording import name_of
from .rows import article, is_round, is_row, row_words, turns_are_known

_JOINS_IN = regex.compile(r"^[^.;:]*(?:[:.)]\s*)?(?:with\s+(?:the\s+)?(?:rs|ws|right\s+side|wrong\s+side)|(?:re)?join\b|attach\b|turn\b)")
_FACING = regex.compile(r"with\s+(?:the\s+)?(?:rs|ws|right\s+side|wrong\s+side)\s+(?:facing|of)|\b(?:re)?join\s+(?:new\s+|the\s+)?(?:yarn|colou?r|with)|\battach\b")
_BETWEEN = regex.compile(r"turn|fasten|cut\b|break\b|join|attach|rotate|side|work even|until")


def check(subject: Subject) -> Iterator[Finding]:
    for piece in subject.work.pieces:
        if not turns_are_known(piece):
            continue
        note = _against_note(subject, piece)
        if note is not None:
            yield note
        else:
            yield from _against_marks(subject, piece)
        yield from _ends(subject, piece)
        yield from _after_open_rows(subject, piece)


def _marked(piece: PieceWork) -> list[tuple[int, RowWork]]:
    return [(i, r) for i, r in enumerate(piece.rows) if r.side_mark is not None and r.side is not None]


def _against_marks(subject: Subject, piece: PieceWork) -> Iterator[Finding]:
    marked = _marked(piece)
    trusted: tuple[int, RowWork] | None = None
    out_of_step = False
    found: list[Finding] = []
    agreeing = 0
    for i, row in marked:
        if row.side_mark == row.side:
            trusted, out_of_step = (i, row), False
            agreeing += 1
            continue
        if trusted is None or out_of_step:
            out_of_step = True
            continue
        out_of_step = True
        start, before = trusted
        way = piece.rows[start : i + 1]
        if not _followed(subject, way):
            continue
        turns = sum(r.times for r in way[:-1] if r.turned)
        count = "once" if turns == 1 else "twice" if turns == 2 else f"{turns} times" if turns else "not at all"
        between = f"{before.label} is marked {before.side_mark} and the work is turned {count} before {row.label}"
        message = f"{name_of(row.label)} is marked {row.side_mark}, but {between}, which makes it {article(row.side or '')} row. Which is right?"
        found.append(
            Finding(
                RULE.name, RULE.severity, message, row.label_span, row.label, (),
                (Because(before.label_span, f"{before.label} is marked {before.side_mark}."),),
            )
        )  # fmt: skip
    yield from found[:2]


def _followed(subject: Subject, way: Sequence[RowWork]) -> bool:
    """Whether every turn from the first row to the last is sure: no gap in the numbers, no new start, nothing unsaid."""
    first, last = way[0], way[-1]
    if first.number is None or last.number is None:
        return False
    for before, after in pairwise(way):
        if before.number is None or after.number is None or after.number - before.number != before.times:
            return False
        if before.off or "off" in before.marks or (_JOINS_IN.match(row_words(subject, after)) and after.written):
            return False
        if _FACING.search(row_words(subject, after)):
            return False
        if before.span.end < after.span.start and _BETWEEN.search(subject.layout.folded[before.span.end : after.span.start].lower()):
            return False
        round_ = is_round(before)
        said = bool(before.marks & {"turn", "turn-start"}) or "turn-start" in after.marks or "no-turn" in before.marks
        conventions = subject.pattern.conventions
        noted = conventions is not None and (conventions.no_turn or conventions.all_rs)
        if round_ and not said and not noted:
            return False
        if not round_ and not said and before.joined:
            return False
    # where no turn is written anywhere, only marks that are seen to alternate count
    if any(r.marks & {"turn", "turn-start", "no-turn"} for r in way):
        return True
    return is_row(first) and last.number - first.number == 1 and first.side_mark != last.side_mark


def _against_note(subject: Subject, piece: PieceWork) -> Finding | None:
    """A note says which rows are RS rows, and every mark of the piece says the contrary."""
    conventions = subject.pattern.conventions
    if conventions is None or conventions.side_odd is None or len(subject.work.pieces) > 1:
        return None
    marked = [r for _, r in _marked(piece) if r.number is not None and is_row(r)]
    if not marked:
        return None

    def noted(row: RowWork) -> str:
        assert conventions is not None and conventions.side_odd is not None
        return conventions.side_odd if (row.number or 1) % 2 else other_side(conventions.side_odd)

    if any(r.side_mark == noted(r) for r in marked):
        return None
    note = next((n for n in conventions.notes if n.kind == "side"), None)
    row = marked[0]
    because = (Because(note.span, f"The note has odd-numbered rows on the {conventions.side_odd}."),) if note is not None else ()
    message = f"{name_of(row.label)} is marked {row.side_mark}, but the notes make odd-numbered rows {conventions.side_odd} rows, and so {row.label} {article(noted(row))} row. Which is right?"
    return Finding(RULE.name, RULE.severity, message, row.label_span, row.label, (), because)


def _ends(subject: Subject, piece: PieceWork) -> Iterator[Finding]:
    """“Ending with a WS row” where the last row of the range is an RS row."""
    for i, row in enumerate(piece.rows):
        if row.ends_side is None or row.side is None or row.ends_side == row.side or row.number is None or row.joined:
            continue
        anchor = next((j for j in range(i, -1, -1) if piece.rows[j].side_mark is not None), None)
        if anchor is None and i and piece.rows[0].number != 1:
            continue
        way = piece.rows[anchor or 0 : i + 1]
        if any(b.number is None or a.number is None or b.number - a.number != a.times or a.off for a, b in pairwise(way)):
            continue
        if anchor is None:
            if not any(r.turned for r in way):
                continue
            basis, because = f"counting from {way[0].label} as an RS row", ()
        else:
            mark = piece.rows[anchor]
            basis = f"counting from {mark.label}, which is marked {mark.side_mark}"
            because = (Because(mark.label_span, f"{mark.label} is marked {mark.side_mark}."),)
        message = (
            f"The text ends with {article(row.ends_side)} row here, but {basis}, the last row, {row.label}, is {article(row.side)} row. "
            "Is the number of rows meant, or the side?"
        )
        yield Finding(RULE.name, RULE.severity, message, row.span, row.label, (), because)


def _after_open_rows(subject: Subject, piece: PieceWork) -> Iterator[Finding]:
    """“Until it measures 20 cm, ending with an RS row”, and then a row marked RS."""
    if not any(row.turned for row in piece.rows):
        return
    entries = next((p.entries for p in subject.pattern.pieces if p.span == piece.span), ())
    for before, after in pairwise(entries):
        if before.kind != "open" or before.ends_side is None or after.kind != "row" or after.side != before.ends_side:
            continue
        row = next((r for r in piece.rows if r.span == after.span), None)
        if row is None or _JOINS_IN.match(row_words(subject, row)) or _FACING.search(row_words(subject, row)) or _BETWEEN.search(subject.layout.folded[before.span.end : after.span.start].lower()):
            continue
        message = (
            f"{name_of(row.label)} is marked {after.side}, but the rows before it end with {article(before.ends_side)} row, "
            f"and after a turn the next is {article(other_side(before.ends_side))} row. Which is right?"
        )
        because = (Because(before.span, f"The rows before it end with {article(before.ends_side)} row."),)
        yield Finding(RULE.name, RULE.severity, message, row.label_span, row.label, (), because)


RULE = Rule(
    name="side-order",
    severity=Severity.QUERY,
    title="A side that the turns do not lead to",
    why=(
        "The work is turned after every row, so the sides alternate. A mark that breaks the order means a row is missing or doubled, or the mark "
        "is wrong; whatever is worked by side, posts, popcorns, colours, then lands on the other face."
    ),
    looks_like=(
        "Ch 11.\nRow 1 (RS): Sc in 2nd ch from hook and in each ch across, turn. (10)\nRow 2 (WS): Ch 1, sc in each st across, turn. (10)\n"
        "Row 3 (RS): Ch 1, sc in each st across, turn. (10)\nRow 4 (RS): Ch 1, sc in each st across, turn. (10)\n"
    ),
    better=(
        "Ch 11.\nRow 1 (RS): Sc in 2nd ch from hook and in each ch across, turn. (10)\nRow 2 (WS): Ch 1, sc in each st across, turn. (10)\n"
        "Row 3 (RS): Ch 1, sc in each st across, turn. (10)\nRow 4 (WS): Ch 1, sc in each st across, turn. (10)\n"
    ),
    let_stand="When the yarn is cut and joined again on the same side, and the text shows it.",
    check=check,
)
