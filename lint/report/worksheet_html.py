"""The count worksheet as a page: the table of every piece, and pictures of the work."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from xml.etree.ElementTree import Element

from ..drawing.key import entries
from ..drawing.picture import MOST_PICTURES, Picture, pictures
from ..fabric.trace import trace
from ..fabric.work import PieceWork, RowWork, Status
from ..manuscript.read import Unreadable
from ..proof import Proof
from ..trade.symbols import CREDIT
from ..trade.terms import in_terms
from ..version import VERSION
from .counts_html import counts, facts, tally, unread_files
from .html import Child, e, page

STYLE = """
figure { margin: 1rem 0; } .frame { overflow-x: auto; border: 1px solid var(--line); padding: .3rem; }
svg.work { display: block; max-width: none; background: var(--paper); }
svg .ink { fill: none; stroke: var(--ink); stroke-width: 1.2; stroke-linecap: round; stroke-linejoin: round; }
svg .fill { fill: var(--ink); } svg text { font: 11px system-ui, sans-serif; fill: var(--ink); }
svg .turn .ink { stroke: var(--second); } svg .turn .fill { fill: var(--second); } svg text.name { font-size: 9px; }
svg text.label { paint-order: stroke; stroke: var(--paper); stroke-width: 3px; }
svg .base, svg .cut { stroke: var(--soft) !important; } svg .halo { stroke: var(--paper) !important; stroke-width: 5; }
svg .band { fill: none; stroke: var(--band); stroke-width: 14; stroke-linejoin: round; } svg .assumed .band { stroke: var(--shade); }
svg .assumed .ink { stroke-dasharray: 3 2; } svg .beyond, svg .left { stroke: var(--wrong) !important; } svg .beyond { stroke-dasharray: 3 3; }
.key { display: grid; grid-template-columns: max-content 1fr; gap: .3rem 1rem; align-items: center; margin: 0; } .key dd { margin: 0; }
.key dt svg { display: inline-block; vertical-align: middle; } figcaption p { margin: .2rem 0; }
@media print { .frame { overflow: visible; border: 0; } .frame svg { max-width: 100%; height: auto; max-height: 23cm; }
  svg .turn .ink { stroke: #555; } svg .turn .fill { fill: #555; } }
"""


@dataclass(frozen=True)
class Sheet:
    """One manuscript's part of the page."""

    path: str
    body: Element
    kinds: frozenset[str]
    changes: frozenset[str]
    uk: bool


def sheet(path: str, proof: Proof, number: int, remark: str = "") -> Sheet:
    """One manuscript's worksheet. ``number`` tells its ids from those of the other manuscripts of the page."""
    kinds: set[str] = set()
    changes: set[str] = set()
    left = MOST_PICTURES
    sections: list[Child] = []
    contents: list[Child] = []
    traced = trace(proof.pattern)
    for at, (piece, follows) in enumerate(zip(proof.work.pieces, traced, strict=True), 1):
        if not piece.rows:
            continue
        name = f"m{number}-p{at}"
        drawn: list[Picture] = []
        for picture in pictures(follows, name):
            if left <= 0:
                break
            left -= 1
            drawn.append(picture)
            kinds |= picture.kinds
            changes |= picture.changes
        title = piece.name or "Rows"
        links = e("a", title, href=f"#{name}-title"), ": ", e("a", "counts", href=f"#{name}-counts"), ", ", e("a", "pictures", href=f"#{name}-pictures")
        contents.append(e("li", links))
        sections.append(_piece(piece, proof, name, title, drawn, full=left <= 0))
    body = e(
        "article",
        e("h2", path, id=f"m{number}-title"),
        e("p", " · ".join((*facts(proof), tally(proof)))),
        e("p", f"Note: {remark}.") if remark else None,
        e("nav", e("ul", contents), aria_label=f"Pieces of {path}") if len(contents) > 1 else None,
        sections or e("p", "No rows were found, so there is nothing to work."),
        aria_labelledby=f"m{number}-title",
        id=f"m{number}",
    )
    return Sheet(path, body, frozenset(kinds), frozenset(changes), proof.pattern.terms == "UK")


def report(sheets: Iterable[Sheet], unreadable: Iterable[Unreadable], *, ascii_only: bool = False) -> str:
    """The whole page."""
    done, failed = list(sheets), list(unreadable)
    names = ", ".join(s.path for s in done[:3]) + (" …" if len(done) > 3 else "")
    contents = e(
        "nav", e("ul", [e("li", e("a", s.path, href=f"#{s.body.get('id')}")) for s in done]), aria_label="Manuscripts"
    )
    return page(
        f"Worksheet: {names}" if done else "Worksheet", STYLE,
        e("header", e("h1", "Count worksheet"), e("p", f"Made by Tenterhook {VERSION}.", class_="soft")),
        contents if len(done) > 1 else None,
        e("main", unread_files(failed), [s.body for s in done], id="report"),
        e("footer", _key(done), _scope()),
        ascii_only=ascii_only,
    )  # fmt: skip


# -- one piece ------------------------------------------------------------------------------------------------------------


def _piece(piece: PieceWork, proof: Proof, name: str, title: str, drawn: list[Picture], *, full: bool) -> Element:
    readings = list(dict.fromkeys((*piece.readings, *(f"{r.label}: {reading}" for r in piece.rows for reading in r.readings))))
    return e(
        "section",
        e("h3", title, id=f"{name}-title"),
        counts(piece, proof, name, title),
        [e("h4", "How it was read"), e("ul", [e("li", reading) for reading in readings])] if readings else None,
        e("h4", f"Pictures of {title}" if len(drawn) > 1 else f"A picture of {title}", id=f"{name}-pictures"),
        [_picture(picture, proof.work.terms) for picture in drawn] or e("p", "Nothing of it is drawn."),
        e("p", f"The page holds {MOST_PICTURES} pictures and no more; the rest is not drawn.") if full else None,
        aria_labelledby=f"{name}-title",
    )


# -- pictures -------------------------------------------------------------------------------------------------------------


def _picture(picture: Picture, terms: str | None) -> Element:
    if picture.drawing is None:
        return e("div", [e("p", note) for note in picture.notes])
    return e(
        "figure",
        e("div", picture.drawing, class_="frame", tabindex="0", role="group", aria_label=f"Chart of {picture.title}"),
        e(
            "figcaption",
            e("p", e("strong", picture.title), ", as seen from the right side."),
            [e("p", note) for note in picture.notes],
            e("details", e("summary", "The same in words"), e("ul", [_line(row, in_terms(words, terms)) for row, words in picture.lines]), open="open"),
        ),
    )


def _line(row: RowWork, words: str) -> Element:
    side = f" ({row.side})" if row.side else ""
    state = {Status.DIFFERS: "differs", Status.ASSUMED: "assumed"}.get(row.status)
    return e("li", e("strong", f"{row.label}{side}"), [", ", e("strong", state, class_=state)] if state else None, f": {words}.")


def _key(sheets: list[Sheet]) -> Child:
    kinds = frozenset(k for s in sheets for k in s.kinds)
    changes = frozenset(c for s in sheets for c in s.changes)
    if not kinds:
        return None
    lines: list[Child] = []
    for entry in entries(kinds, changes, uk=any(s.uk for s in sheets)):
        lines += [e("dt", entry.sample), e("dd", e("strong", entry.name), f": {entry.words}")]
    return e(
        "section",
        e("h2", "Key to the pictures", id="key"),
        e("p", "Everything is drawn as seen from the right side, rows on the wrong side too. Every other row has a second colour. Loops, colours, markers and slip stitches that only travel are not drawn."),
        e("dl", lines, class_="key"),
        e("p", CREDIT, class_="soft"),
        aria_labelledby="key",
    )


def _scope() -> Element:
    return e(
        "section",
        e("h2", "What this worksheet is", id="scope"),
        e("p", "The counts are worked from the words of each row on the row below, in every size. Rows that are not proved are named as differing, assumed or not read, and nothing is claimed about what was not read. Pictures show how the rows are put together, not how the finished work drapes, stretches or looks."),
        aria_labelledby="scope",
    )
