"""A raised column that is worked so that it sinks to the other face."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import pairwise

from ...lint.fabric.work import PieceWork, RowWork, Status
from ...lint.finding import Because, Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.text import Span
from ...lint.wording import capital, in_terms, name_of, row_list
from .columns import (
    Flip,
    PostRow,
    article,
    first_by_number,
    has_cables,
    is_round,
    next_with_posts,
    other,
    plain_stitches,
    post_rows,
    posts_in_words,
    prose,
    row_words,
    side_is_stated,
    source_of,
    stands_out,
    within,
)

_BY_DESIGN = re.compile(
    r"basket ?-?weave|\bwoven|\bweave\b(?! in)|waffle|reversible|both (?:sides|faces)|two[- ]sided|double[- ]sided|checker|chequer|seed stitch|moss stitch"
    r"|change(?:s)? (?:sides?|faces?)|swap(?:s|ped)? (?:over|sides?)"
)
_ENOUGH = 3  # rows that keep their columns, before one that does not is worth a question
_ENOUGH_WHOLE = 4  # the same where every column of the row changes at once


def check(subject: Subject) -> Iterator[Finding]:
    for piece in subject.work.pieces:
        if not any(row.posts for row in piece.rows):
            continue
        found = list(_against_the_parity(subject, piece))
        if not found:
            rows = post_rows(subject, piece)
            found = list(_odd_one_out(subject, piece, rows)) or list(_changed_columns(subject, piece, rows))
        yield from found


# -- pieces whose columns all stand out on one face ---------------------------------------------------------------------


def _odd_one_out(subject: Subject, piece: PieceWork, rows: Sequence[PostRow]) -> Iterator[Finding]:
    """The rows, few and all of the same words, whose columns stand out on another face than those of all the other rows."""
    faces: list[tuple[PostRow, str]] = []
    for r in rows:
        face = {stands_out(r.row.side or "", post) for post in r.posts}
        if len(face) != 1 or r.row.status is not Status.PROVED:
            return
        faces.append((r, face.pop()))
    tally = Counter(face for _, face in faces)
    if len(tally) != 2 or _BY_DESIGN.search(prose(subject, piece)):
        return
    cables = has_cables(subject, piece)
    if not all(_is_flat(r.row) for r, _ in faces) or any(b.at != a.at + 1 for (a, _), (b, _) in pairwise(faces)):
        return  # columns that are not worked in every row cannot be compared
    if not cables and any(plain_stitches(r.row) in (0, 1, 2, None) for r, _ in faces):
        return
    (usual, most), (_, few) = tally.most_common()
    crossing = {face for r, face in faces if r.row.crossings}
    if most < (2 if cables else _ENOUGH_WHOLE) or most < 2 * few:
        if len(crossing) != 1:
            return
        usual = crossing.pop()
    odd = [r for r, face in faces if face != usual]
    texts = {tuple(dict.fromkeys(p.span for p in r.row.posts)) for r in odd}
    if len(texts) != 1 or any(b.at == a.at + 1 for a, b in pairwise(odd)):
        return
    if not cables and len(odd) > 1:
        return
    yield _odd_finding(subject, piece, odd[0].row, usual, [r for r, face in faces if face == usual])


# -- columns followed stitch by stitch ----------------------------------------------------------------------------------


def _changed_columns(subject: Subject, piece: PieceWork, rows: Sequence[PostRow]) -> Iterator[Finding]:
    events: list[tuple[int, PostRow, bool]] = []
    echo = False
    for i, here in enumerate(rows):
        if not here.flips:
            echo = False
            continue
        if echo:  # the column is put right again
            echo = False
            continue
        after = next_with_posts(rows, i)
        back = after is not None and bool(after.flips) and after.turned_from & {other(f) for f in here.turned_from} != frozenset()
        events.append((i, here, back))
        echo = back
    if not events:
        return
    cables = has_cables(subject, piece)
    designed = _BY_DESIGN.search(prose(subject, piece)) is not None
    keeping = [r for r in rows if r.keeps and not r.flips]
    texts = {e.words for _, e, _ in events}
    if len(keeping) < len(events) and not (cables and len(texts) == 1):
        return
    if len(texts) > (2 if cables else 1) or (len(events) > 1 and not cables):
        return
    said: set[tuple[Span, ...]] = set()
    for i, here, back in events:
        blamed = _row_before_at_fault(rows, i, [e for _, e, _ in events])
        if blamed is not None:
            before, flip = blamed
            said.add(next(e.words for _, e, _ in events if flip in e.flips))
            yield _odd_finding(subject, piece, before.row, flip.below, [here, *keeping], flip)
            continue
        if here.words in said or not _asks(piece, rows, i, back, keeping, cables=cables, designed=designed):
            continue
        said.add(here.words)
        yield _finding(subject, piece, here.row, here.flips, keeping)


def _row_before_at_fault(rows: Sequence[PostRow], i: int, events: Sequence[PostRow]) -> tuple[PostRow, Flip] | None:
    """The row whose columns a row puts right, where its words change the face again when a later row repeats them."""
    here = rows[i]
    before = rows[i - 1] if i and rows[i - 1].at == here.at - 1 else None
    if before is None or before.flips:
        return None
    words = {p.span for p in before.row.posts}
    for later in events:
        if later.at > here.at:
            for flip in later.flips:
                if flip.span in words and flip.below in {other(f) for f in here.turned_from}:
                    return before, flip
    return None


def _asks(piece: PieceWork, rows: Sequence[PostRow], i: int, back: bool, keeping: Sequence[PostRow], *, cables: bool, designed: bool) -> bool:
    """Whether a row with columns that change face is worth a question, on the evidence of the rest of the piece."""
    here = rows[i]
    row = here.row
    last = not any(r.at > here.at for r in rows)
    source = source_of(row, first_by_number(piece))
    strays = source is not None and source.side is not None and source.side != row.side
    flat = _is_flat(row)
    both = len(here.turned_from) > 1
    alike = [r for r in keeping if r.row.side == row.side]
    if both and not here.keeps:  # every column at once, both ways: basketweave, or words of the row before repeated
        return back and not designed and len(keeping) >= _ENOUGH_WHOLE and (strays or not cables or len(alike) >= 2)
    whole = len(here.posts) == 1 and plain_stitches(row) in (0, 1, 2, None)
    if whole and not (flat and sum(len(r.posts) == 1 for r in alike) >= 2):
        return False  # a fold or a ridge
    below = piece.rows[here.at - 1] if here.at else None
    if cables and flat and not both and below is not None and below.crossings and not designed:
        return True  # a cable that sinks as soon as it is crossed
    if row.crossings and here.keeps == here.turned_from and not designed:
        return True  # one strand of a crossing sinks, the other does not
    if designed and not (cables and not both and (back or strays)):
        return False
    if strays and flat and len(keeping) >= 2:
        return True
    if cables and not both:
        if (here.keeps and not alike) or not keeping:
            return False
        return (back or last or flat) and (len(keeping) >= (1 if flat else _ENOUGH))
    if both and not back:
        return False
    return (back or last) and len(keeping) >= (_ENOUGH if back or flat else _ENOUGH_WHOLE)


def _is_flat(row: RowWork) -> bool:
    """Whether it is sure that the work is turned before and after the row: its words or its label say so."""
    if row.joined or is_round(row):
        return False
    return "no-turn" not in row.marks


# -- rows on a base that could not be followed ---------------------------------------------------------------------------


def _against_the_parity(subject: Subject, piece: PieceWork) -> Iterator[Finding]:
    """Rows that repeat a row of the other side, where that side has so far had the other post throughout."""
    if not any(row.source is not None and not row.posts for row in piece.rows) or not posts_in_words(subject.layout.folded[piece.span.start : piece.span.end]):
        return
    if _BY_DESIGN.search(prose(subject, piece)):
        return
    numbers = first_by_number(piece)
    kinds: dict[int, frozenset[str]] = {}
    for row in piece.rows:
        if row.written:
            origin = source_of(row, numbers) if row.source is not None else row
            kinds[row.index] = posts_in_words(row_words(subject, origin)) if origin is not None else frozenset()
    written = [r for r in piece.rows if r.written and r.side is not None and len(kinds[r.index]) == 1 and _is_flat(r)]
    known = {r.index for r in written}
    for at, row in enumerate(piece.rows):
        source = source_of(row, numbers)
        if row.index not in known or source is None or source.side in (None, row.side) or row.side is None:
            continue
        below = piece.rows[at - 1] if at else None
        if below is None or (below.status is Status.PROVED and row.posts):
            continue  # its columns can be followed
        (post,) = kinds[row.index]
        agreeing = [r for r in written if r.side == row.side and post not in kinds[r.index]]
        same = [r for r in written if r.side == row.side and post in kinds[r.index]]
        across = [r for r in written if r.side != row.side and post in kinds[r.index]]
        if len(agreeing) >= 2 and len(same) == 1 and across:
            face = stands_out(row.side, post)
            word, better = _stitch_names(subject, source, post)
            yield Finding(
                RULE.name, RULE.severity,
                f"{name_of(row.label)} is {article(row.side)} row and repeats {source.label}, {article(source.side)} row: its {word} would stand out on the {face}, "
                f"where {row_list(agreeing[-2:])}, on the same side, have {better} and stand out on the {other(face)}. Is {agreeing[-1].label} meant?",
                row.span, row.label, (), (Because(source.label_span, f"{source.label} is {article(source.side)} row."),),
            )  # fmt: skip


# -- words -----------------------------------------------------------------------------------------------------------------


def _finding(subject: Subject, piece: PieceWork, row: RowWork, flips: Sequence[Flip], keeping: Sequence[PostRow]) -> Finding:
    first = flips[0]
    side = row.side or "RS"
    at = next((i for i, r in enumerate(piece.rows) if r is row), 0)
    below = piece.rows[at - 1]
    word, better = _stitch_names(subject, row, first.post)
    face = other(first.below)
    own = within(first.span, row.span)
    turned = f" on the {side}{_assumed(subject, piece)}"
    source = source_of(row, first_by_number(piece))
    by = f", which repeats {source.label}," if source is not None else ""
    some = "some of the columns" if _keeps_some(row) else "columns"
    alike = [r.row for r in keeping if r.row.side == row.side and r.row.label != row.label]
    words = (
        f"{name_of(row.label)}{by} works {word}{turned} around {some} that stand out on the {first.below} in {below.label}; "
        f"they would stand out on the {face} from here. {better} keeps them on the {first.below}"
    )
    if alike:
        words += f", as in {row_list(alike[:1])}"
    because = (Because(below.label_span, f"In {below.label} these columns stand out on the {first.below}."),)
    return Finding(RULE.name, RULE.severity, f"{capital(words)}. Is the change of face meant?", first.span if own else row.span, row.label, (), because)


def _odd_finding(subject: Subject, piece: PieceWork, row: RowWork, usual: str, fellows: Sequence[PostRow], at: Flip | None = None) -> Finding:
    """Told from the row below where its columns stand out on the usual face, else from the rows that follow."""
    below = [p for p in row.posts if p.below == usual and p.rows < 2]
    first = below[0] if below else row.posts[0]
    post, span = first.post, first.span
    if at is not None:
        post, span = at.post, at.span
    elif below:
        return _finding(subject, piece, row, [Flip(post, usual, span)], fellows)
    word, better = _stitch_names(subject, row, post)
    side = row.side or "RS"
    after = [r.row for r in fellows if r.row.index > row.index][:2]
    own = within(span, row.span)
    words = (
        f"{name_of(row.label)} works {word} on the {side}{_assumed(subject, piece)}, which stand out on the {other(usual)}; "
        f"in {row_list(after or [fellows[0].row])} the columns stand out on the {usual}. {better} would begin them there. Is the change of face meant?"
    )
    because = (Because(fellows[0].row.label_span, f"In {fellows[0].row.label} the columns stand out on the {usual}."),)
    return Finding(RULE.name, RULE.severity, words, span if own else row.span, row.label, (), because)


def _assumed(subject: Subject, piece: PieceWork) -> str:
    return "" if side_is_stated(subject, piece) else " (taking the first row as an RS row)"


def _keeps_some(row: RowWork) -> bool:
    return any(p.below and row.side is not None and stands_out(row.side, p.post) == p.below for p in row.posts)


def _stitch_names(subject: Subject, row: RowWork, post: str) -> tuple[str, str]:
    """The stitch written and the one of the other post, as the manuscript's terms name them."""
    kinds = [k for s in row.sizes[:1] for k in s.kinds if k.startswith(f"{post}P") and "tog" not in k]
    if len(kinds) == 1:
        name = in_terms(kinds[0], subject.work.terms)
        return name, ("BP" if post == "F" else "FP") + name[2:]
    return ("a front post stitch", "a back post stitch") if post == "F" else ("a back post stitch", "a front post stitch")


RULE = Rule(
    name="post-side",
    severity=Severity.QUERY,
    title="A raised column changes to the other face",
    why=(
        "A front post stitch stands out towards the maker, a back post stitch away. To keep a column on the right side it is FP on RS rows "
        "and BP on WS rows; one row with the wrong post, or a repeat of a row worked on the other side, sinks the column. The counts stay right, "
        "so nobody sees it until the piece is made. In ribbing and basketweave the change is the design, and the rule learns that from the piece."
    ),
    looks_like=(
        "Ch 15.\nRow 1 (RS): Dc in 4th ch from hook (skipped chs count as dc) and in each ch across, turn. (13 dc)\n"
        "Row 2: Ch 1, sc in first 5 sts, BPdc around each of next 3 sts, sc in last 5 sts, turn. (13)\n"
        "Row 3: Ch 1, sc in first 5 sts, FPdc around each of next 3 sts, sc in last 5 sts, turn. (13)\n"
        "Rows 4-6: Rep Rows 2 and 3, then Row 2 once more.\n"
        "Row 7: Ch 1, sc in first 5 sts, BPdc around each of next 3 sts, sc in last 5 sts, turn. (13)\n"
        "Row 8: Rep Row 2.\n"
    ),
    better=(
        "Ch 15.\nRow 1 (RS): Dc in 4th ch from hook (skipped chs count as dc) and in each ch across, turn. (13 dc)\n"
        "Row 2: Ch 1, sc in first 5 sts, BPdc around each of next 3 sts, sc in last 5 sts, turn. (13)\n"
        "Row 3: Ch 1, sc in first 5 sts, FPdc around each of next 3 sts, sc in last 5 sts, turn. (13)\n"
        "Rows 4-6: Rep Rows 2 and 3, then Row 2 once more.\n"
        "Row 7: Ch 1, sc in first 5 sts, FPdc around each of next 3 sts, sc in last 5 sts, turn. (13)\n"
        "Row 8: Rep Row 2.\n"
    ),
    let_stand="When the column is to sink there: a band of the other texture, a fold, a design that reads on both sides.",
    check=check,
    source="The truth table follows from what front and back post mean; it is set out in the family's tests.",
)
