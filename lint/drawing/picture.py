"""The pictures of a piece: each a drawing, what it shows in words, and what it leaves out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from xml.etree.ElementTree import Element

from ..fabric.row import ANY, SPACE
from ..fabric.trace import TracedPiece
from ..fabric.work import RowWork, Status
from ..words import row_list
from .ground import Fan, Straight
from .grounds import laid_out
from .in_words import row_in_words
from .layout import Layout
from .parts import Omission, Part, parts
from .svg import svg
from .window import Window, window_for

MOST_PICTURES = 60
"""Pictures of one manuscript; further pieces are not drawn, and said not to be."""

_WHY = {
    "not read": ("was", "were", "not read"),
    "not known": ("is", "are", "worked on a row that is not known"),
    "nothing made": ("makes", "make", "no stitch"),
    "not worked": ("could", "could", "not be followed stitch by stitch"),
    "too wide": ("is", "are", "too wide"),
    "too much": ("comes", "come", "after more stitches than are drawn of one piece"),
}


@dataclass(frozen=True, eq=False)
class Picture:
    """One drawing. ``lines`` are its rows in words, in working order; ``notes`` say what it takes for granted and leaves out."""

    title: str
    description: str
    drawing: Element | None
    notes: tuple[str, ...]
    lines: tuple[tuple[RowWork, str], ...]
    kinds: frozenset[str]
    changes: frozenset[str]


def pictures(piece: TracedPiece, name: str) -> Iterator[Picture]:
    """Every picture of a piece. ``name`` begins the ids in them, and must be used for no other piece of the page."""
    number = 0
    for part in parts(piece):
        if not part.rows:
            yield Picture(piece.work.name, "", None, tuple(_unread(part)), (), frozenset(), frozenset())
            continue
        for drawn, layout in laid_out(part):
            number += 1
            yield _picture(piece, drawn, layout, f"{name}-{number}")


def _picture(piece: TracedPiece, part: Part, layout: Layout, name: str) -> Picture:
    window = window_for(layout)
    rows = [r.work for r in part.rows]
    said = row_list(rows)
    title = f"{piece.work.name}, {said}" if piece.work.name else said
    notes = tuple(_notes(piece, part, layout, window))
    shape = "in rounds, from the middle out"
    if isinstance(layout.ground, Straight | Fan):
        shape = "in rows, from the bottom up" if isinstance(layout.ground, Straight) else "in rows that open from one point"
    description = " ".join((f"Chart of {title} as seen from the right side, {shape}. Each row in words follows the picture.", *notes))
    cells = [c for r in part.rows for c in r.stitches or ()]
    return Picture(
        title, description, svg(layout, window, f"Chart of {title}", description, name), notes,
        tuple((r.work, row_in_words(r)) for r in part.rows), frozenset(c.kind for c in cells if c.kind not in (SPACE, ANY)),
        frozenset(_changes(layout)),
    )  # fmt: skip


def _notes(piece: TracedPiece, part: Part, layout: Layout, window: Window) -> Iterator[str]:
    if piece.size is not None:
        yield f"Drawn in size {piece.size}, the first of the sizes."
    if piece.multiple is not None:
        n, plus, chains = piece.multiple
        yield f"The pattern is for any multiple of {n}{f' plus {plus}' if plus else ''}; drawn on {chains} chains."
    turned = any(r.turned for r in piece.work.rows)
    if piece.side_assumed and turned and not part.starts_later:
        yield "Nothing says which side is the right side; the first row is taken to have it facing."
    if part.starts_later and layout.base:
        yield "The short lines at the start are the row below."
    if isinstance(layout.ground, Straight) and part.rows[0].circular and not turned:
        yield "These rounds are drawn straight, each from right to left; their ends meet in the work."
    yield from _cut(window)
    for omission in part.left_out:
        yield _left_out(omission)
    yield from _states(part, layout)
    yield from _unread(part)


def _cut(window: Window) -> Iterator[str]:
    if not window.cut:
        return
    repeat = window.repeat
    if window.sector is not None:
        yield f"A part of each round is drawn: {window.shown} of the {window.whole} stitches and spaces of the widest."
    else:
        yield f"Stitches between the two broken lines are left out: {window.shown} of the {window.whole} stitches and spaces of the widest row are drawn."
    if repeat is not None and repeat.length > 1:
        yield f"What is drawn shows the repeat of {repeat.length} stitches and spaces whole."


def _left_out(omission: Omission) -> str:
    said = row_list(omission.rows)
    if omission.like:
        return f"{said} {'is' if len(omission.rows) == 1 else 'are'} not drawn: worked as {row_list(omission.like)}, on the same stitches."
    return f"{said} {'is' if len(omission.rows) == 1 else 'are'} not drawn, for want of room."


def _states(part: Part, layout: Layout) -> Iterator[str]:
    differ = [r.work for r in part.rows if r.work.status is Status.DIFFERS]
    if differ:
        yield f"{row_list(differ)} {'differs' if len(differ) == 1 else 'differ'} from what the text says; see the table."
    assumed = [r.work for r in part.rows if r.work.status is Status.ASSUMED]
    if assumed:
        yield f"{row_list(assumed)} {'is' if len(assumed) == 1 else 'are'} taken on the designer’s word."
    cells = [c for r in part.rows for c in r.stitches or ()]
    if any(c.spot is not None and c.spot.beyond for c in cells):
        yield "Stitches in broken lines have no stitch left to go into."
    if any(row.left_over for row in layout.rows):
        yield "Ringed stitches are left over."
    short = [r.work for r in part.rows if any(t.kind == "repeat-fit" for t in r.work.troubles)]
    if short:
        yield f"The repeat of {row_list(short)} does not fit; what is drawn goes as far as whole repeats do."
    if any(c.spot is not None and c.spot.lies == "unsaid" for c in cells):
        yield "Where the text does not say which stitches of a crossing lie on top, neither is broken."
    if any(c.kind.startswith(("FP", "BP")) and not c.face for c in cells):
        yield "A post stitch with a ring at its foot is worked on a side that is not known."


def _unread(part: Part) -> Iterator[str]:
    reasons: dict[str, list[RowWork]] = {}
    for row, reason in part.unread:
        reasons.setdefault(reason, []).append(row)
    for reason, rows in reasons.items():
        one, many, rest = _WHY[reason]
        yield f"{row_list(rows)} {one if len(rows) == 1 else many} {rest}, so {'it is' if len(rows) == 1 else 'they are'} not drawn."


def _changes(layout: Layout) -> Iterable[str]:
    for row in layout.rows:
        for s in row.stitches:
            if s.is_post:
                yield {"RS": "raised", "WS": "sunk"}.get(s.cell.face, "face not known")
            if len(s.feet) > 1:
                yield "together"
            if s.lies:
                yield "crossed"
            if s.spot.picots:
                yield "picot"
            if s.cell.kind == SPACE or s.cell.tch:
                yield "ch"
        if row.turning_chain:
            yield "ch"
        if row.join:
            yield "sl st"
    if any(b.cell.kind == "ch" for b in layout.base):
        yield "ch"
