"""A post stitch around something that has no post."""

from __future__ import annotations

from collections.abc import Iterator

from ...lint.fabric.row import COLUMN_ROWS
from ...lint.fabric.work import PieceWork, RowWork, Status
from ...lint.finding import Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.wording import count_of, in_terms, met, number


def check(subject: Subject) -> Iterator[Finding]:
    for m in met(subject, "post-missing"):
        named = m.facts.get("named")
        if named is not None:
            if m.row is None or not _is_followed(m.piece, m.row):
                continue
            word, rows = in_terms(str(named), subject.work.terms), count_of(number(m.facts.get("rows")) or 1, m.row_word.lower())
            yield m.finding(
                RULE.name, RULE.severity,
                f"{m.label} goes around the {word} {rows} below, but at that place no post stitch lies below. Is another row meant, or another stitch?{m.likewise}",
            )  # fmt: skip
            continue
        found = str(m.facts.get("found") or "something else")
        below = m.below.label if m.below is not None else "the foundation"
        yield m.finding(
            RULE.name, RULE.severity,
            f"{m.label} works a post stitch around {found} of {below}, and {found} has no post. "
            f"Is a plain stitch meant there, or another stitch to go around?{m.likewise}",
        )  # fmt: skip


def _is_followed(piece: PieceWork, row: RowWork) -> bool:
    """Whether the rows right below, in which a post could lie, were read whole."""
    at = next((i for i, r in enumerate(piece.rows) if r is row), 0)
    return all(r.status in (Status.PROVED, Status.DIFFERS) for r in piece.rows[max(0, at - COLUMN_ROWS) : at])


RULE = Rule(
    name="post-missing",
    severity=Severity.QUERY,
    title="A post stitch has no post to go around",
    why="A post is the stem of a stitch. A chain or a chain space has none, so the hook has nothing to go around.",
    looks_like=(
        "Ch 13.\nRow 1 (RS): Sc in 2nd ch from hook and in each ch across, turn. (12 sc)\n"
        "Row 2: Ch 2 (not a st), dc in first 2 sts, (ch 1, sk next st, dc in next st) 5 times, turn. (7 dc, 5 ch-1 sps)\n"
        "Row 3: Ch 2 (not a st), dc in first dc, (FPdc around next ch-1 sp, dc in next dc) 5 times, dc in last dc, turn.\n"
    ),
    better=(
        "Ch 13.\nRow 1 (RS): Sc in 2nd ch from hook and in each ch across, turn. (12 sc)\n"
        "Row 2: Ch 2 (not a st), dc in first 2 sts, (ch 1, sk next st, dc in next st) 5 times, turn. (7 dc, 5 ch-1 sps)\n"
        "Row 3: Ch 2 (not a st), dc in first dc, (dc in next ch-1 sp, FPdc around next dc) 5 times, dc in last dc, turn.\n"
    ),
    let_stand="When the hook is to go around the whole chain on purpose.",
    check=check,
)
