"""What the pages share: the table of counts, row by row and size by size, and what is said of a manuscript at its head."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from xml.etree.ElementTree import Element

from ..fabric.work import PieceWork, RowWork
from ..manuscript.read import Unreadable
from ..proof import Proof
from ..trade.terms import in_terms
from ..words import count_of
from .counted import NOTHING, UNKNOWN, difference, label, shown, state
from .html import Child, e, scrolled

Links = Mapping[str, Sequence[Child]]
"""What is said of a row beside its counts, by the id of its row in the table."""


def facts(proof: Proof) -> list[str]:
    """Terms and sizes, in words."""
    pattern = proof.pattern
    return [
        f"{pattern.terms} terms" if pattern.terms else "terms not known",
        f"sizes {', '.join(pattern.sizes)}" if len(pattern.sizes) > 1 else "one size",
    ]


def tally(proof: Proof) -> str:
    """How many rows there are of each state."""
    rows = proof.work.tally()
    words = {"proved": "proved", "differs": "differ", "assumed": "assumed", "unread": "not read"}
    return f"{count_of(rows['total'], 'row')}: " + ", ".join(f"{rows[k]} {w}" for k, w in words.items())


def unread_files(failed: Sequence[Unreadable]) -> Element | None:
    """The files that could not be read, each with its reason."""
    if not failed:
        return None
    return e(
        "section",
        e("h2", "Files that could not be read", id="unread-files"),
        e("ul", [e("li", f"{entry.path}: {entry.reason}") for entry in failed]),
        aria_labelledby="unread-files",
    )


def row_id(name: str, number: int) -> str:
    """The id of a row in the table of the piece ``name``, rows counted from 0."""
    return f"{name}-r{number}"


def counts(piece: PieceWork, proof: Proof, name: str, title: str, links: Links | None = None) -> Element:
    """The table of a piece. ``name`` begins the ids of its rows; ``links`` has a column of its own."""
    rows = sum(row.times for row in piece.rows)
    heads = [head for head in _HEADS if head[0] != "Size" or len(proof.pattern.sizes) > 1]  # one size needs no column
    if links is not None:
        heads.insert(-1, ("Findings", None))
    table = e(
        "table",
        e("caption", f"{title}: {count_of(rows, 'row')}. Differences are made less stated; {UNKNOWN} stands where nothing is known."),
        e("thead", e("tr", [e("th", head, scope="col", class_=look) for head, look in heads])),
        e("tbody", [_rows(row, proof, row_id(name, n), links) for n, row in enumerate(piece.rows)]),
        id=f"{name}-counts",
    )
    return scrolled(table, f"Counts of {title}")


_HEADS = (
    ("Row", None), ("Side", None), ("Size", None), ("Worked into", "n"), ("Used", "n"), ("Made", "n"), ("Stated", "n"),
    ("Difference", "n"), ("Spaces", "n"), ("Kinds made", "kinds"), ("State", None), ("How it was worked out", "wide"),
)  # fmt: skip


def _rows(row: RowWork, proof: Proof, name: str, links: Links | None) -> Iterator[Element]:
    sizes = row.sizes or (NOTHING,)
    span = str(len(sizes)) if len(sizes) > 1 else None
    where = proof.text.where(row.label_span.start)
    for at, size in enumerate(sizes):
        first = at == 0
        yield e(
            "tr",
            e("th", label(row), e("span", f" {where}", class_="soft"), scope="row", rowspan=span) if first else None,
            e("td", row.side or UNKNOWN, rowspan=span) if first else None,
            e("td", size.size or UNKNOWN) if len(proof.pattern.sizes) > 1 else None,
            [e("td", shown(n), class_="n") for n in (size.base, size.used, size.made, size.stated)],
            e("td", difference(size), class_="n differs" if difference(size) not in ("", "0") else "n"),
            e("td", shown(size.spaces), class_="n"),
            e("td", in_terms(", ".join(f"{n} {kind}" for kind, n in size.kinds.items()), proof.work.terms) or UNKNOWN),
            e("td", state(row), rowspan=span, class_=row.status.value) if first else None,
            e("td", links.get(name, ()), rowspan=span) if first and links is not None else None,
            e("td", in_terms(size.working, proof.work.terms) or UNKNOWN),
            id=name if first else None,
        )
