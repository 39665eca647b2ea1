"""Which rows give their stitch count: every row, or those in which it changes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache

from ...lint import regex
from ...lint.fabric.work import PieceWork, RowWork
from ...lint.finding import Because, Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.style import AS_FIRST, AS_MOSTLY, OFF, Choice
from ...lint.syntax.tree import Count, Tree
from ...lint.vocabulary_use import rows_of
from ...lint.wording import row_list
from .habit import Use, forms_in, in_trees, is_odd

GIVEN = Choice("count-given", "which rows give a stitch count", ("every row", "when it changes"))

_NEAR = 200
"""A count in words of its own stands within so many letters behind its row."""

_SAID_AFTER = regex.compile(r"\d+\s*(?:[(\[][^)\]]*[)\]]\s*)*(?:sts?|stitches|sc|hdc|dc|htr|tr|loops?|sps?|spaces)\b")


@dataclass(frozen=True)
class _Given:
    """A written row whose stitches are known: whether they are stated, and whether the row before had as many."""

    row: RowWork
    stated: bool
    same: bool


@lru_cache(maxsize=2048)
def _find(tree: Tree, words: str) -> tuple[Use, ...]:
    return (Use("given" if any(isinstance(step, Count) for step in tree.steps) else "silent", 0, 0),)


def check(subject: Subject) -> Iterator[Finding]:
    chosen = subject.style.choice(GIVEN)
    if chosen == OFF or ("", "silent") not in forms_in(subject, in_trees(_find)):
        return
    stated = _stated(subject)
    rows = [given for piece in subject.work.pieces for given in _rows(piece, stated)]
    basis = f"the house style gives it {'in every row' if chosen == 'every row' else 'where it changes'}"
    if chosen == AS_FIRST:
        if not rows or not rows[0].stated:
            return
        kept = next((given for given in rows if given.same), None)
        chosen = "every row" if kept is not None and kept.stated else "when it changes"
        basis = f"the first rows here give it {'in every row' if chosen == 'every row' else 'where it changes'}"
    silent = [given.row for given in rows if not given.stated and (chosen == "every row" or not given.same)]
    if chosen == AS_MOSTLY:
        told = sum(given.stated for given in rows if not given.same)
        if not is_odd(len(silent), told):
            return
        basis = f"the other rows that change the count give it ({told} times)"
    if silent:
        first_row = silent[0]
        yield Finding(
            RULE.name,
            Severity.STYLE,
            f"{row_list(silent)} {'gives' if len(silent) == 1 else 'give'} no stitch count; {basis}.",
            first_row.label_span,
            first_row.label,
            because=tuple(Because(row.label_span, f"{row.label} gives none") for row in silent[1:6]),
        )


def _stated(subject: Subject) -> dict[int, bool]:
    """Whether each row that has words of its own gives a count, in them or in the words after it."""
    rows = rows_of(subject)
    ends = [row.label_origin for row in rows[1:]] + [len(subject.text)]
    return {
        row.label_origin: any(isinstance(step, Count) for step in row.tree.steps)
        or _SAID_AFTER.search(subject.layout.folded, row.statement.body.end, min(end, row.statement.body.end + _NEAR)) is not None
        for row, end in zip(rows, ends, strict=False)  # no rows, no ends
        if row.tree is not None
    }


def _rows(piece: PieceWork, stated: Mapping[int, bool]) -> Iterator[_Given]:
    before: tuple[int | None, ...] = ()
    for row in piece.rows:
        made = tuple(size.made for size in row.sizes)
        # A row that only makes chains is not one to count in.
        if row.written and row.number is not None and row.label_span.start in stated and made and None not in made and row.sizes[0].kinds:
            yield _Given(row, stated[row.label_span.start], made == before)
        before = made


RULE = Rule(
    name="count-given",
    severity=Severity.STYLE,
    title="A row without its stitch count",
    why="Counts are the first thing that readers ask for. A row that changes the number of stitches and does not say so is where they lose their place.",
    looks_like="Rnd 1: 6 sc in magic ring. (6 sc)\n"
    + "".join(f"Rnd {n}: *{f'sc in next {n - 2} sts, ' if n > 2 else ''}2 sc in next st; rep from * around. ({6 * n} sc)\n" for n in range(2, 8))
    + "Rnd 8: *Sc in next 6 sts, 2 sc in next st; rep from * around.\n",
    better="Rnd 1: 6 sc in magic ring. (6 sc)\n"
    + "".join(f"Rnd {n}: *{f'sc in next {n - 2} sts, ' if n > 2 else ''}2 sc in next st; rep from * around. ({6 * n} sc)\n" for n in range(2, 8))
    + "Rnd 8: *Sc in next 6 sts, 2 sc in next st; rep from * around. (48 sc)\n",
    let_stand="When the count follows in words of its own.",
    check=check,
    settings=(GIVEN,),
)
