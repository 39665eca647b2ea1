"""On hovering a row: what it was worked on, what it leaves, and the sum, size by size."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import TYPE_CHECKING

from lsprotocol import types as t

from ...lint.fabric.work import RowWork, SizeWork
from ...lint.text import Text
from .. import rows
from ..analysis import Proofed
from ..language_server import Server

if TYPE_CHECKING:
    from ...lint.proof import Proof

MOST = 4  # rows told in full where one text stands for many

_MARKS = re.compile(r"([\\`*_\[\]<>|#~])")

STATUS = {
    "proved": "proved: it comes out as written",
    "differs": "differs: it does not come out as written",
    "assumed": "assumed: taken on the designer's word",
    "unread": "unread: not read whole, so not proved",
}


def _escaped(words: str) -> str:
    return _MARKS.sub(r"\\\1", words)


def _number(value: int | None) -> str:
    return "unknown" if value is None else str(value)


def _size(size: SizeWork) -> str:
    said = f"worked on {_number(size.base)}, uses {_number(size.used)}, makes {_number(size.made)}"
    if size.stated is not None:
        said += f", stated {size.stated}"
    if size.spaces:
        said += f", spaces {size.spaces}"
    if size.working:
        said += f". {size.working}"
    return f"Size {size.size}: {said}" if size.size else said[:1].upper() + said[1:]


def _row(row: RowWork, text: Text, markdown: bool) -> Iterator[str]:
    side = f", {row.side}" if row.side else ""
    title = row.label + (f" ({row.times} times)" if row.times > 1 else "")
    yield f"{f'**{_escaped(title)}**' if markdown else title}{side}, {STATUS[row.status.value]}"
    for line in (
        *dict.fromkeys(_size(size) for size in row.sizes),
        *(f"Not read: “{text[span]}”" for span in row.unread),
        *(f"Read so: {reading}" for reading in row.readings),
    ):
        yield f"- {_escaped(line)}" if markdown else f"  {line}"


def words(place: rows.Written, proof: Proof, markdown: bool) -> str:
    """What to say about a row, or about the first few of those one text stands for."""
    shown = place.rows if len(place.rows) <= MOST else place.rows[: MOST - 1]
    blocks = ["\n".join(_row(row, proof.text, markdown)) for row in shown]
    if left := len(place.rows) - len(shown):
        blocks.append(f"… and {left} more rows, to {place.rows[-1].label}")
    return "\n\n".join(blocks)


def register(server: Server) -> None:
    document = server.client_capabilities.text_document
    formats = (document.hover and document.hover.content_format) if document else None
    kind = t.MarkupKind.Markdown if t.MarkupKind.Markdown in (formats or ()) else t.MarkupKind.PlainText

    @server.feature(t.TEXT_DOCUMENT_HOVER)
    async def hover(params: t.HoverParams) -> t.Hover | None:
        def make(proof: Proof, on: Proofed) -> t.Hover | None:
            place = rows.at(proof, on.page.offset(params.position))
            if place is None:
                return None
            value = words(place, proof, markdown=kind is t.MarkupKind.Markdown)
            return t.Hover(t.MarkupContent(kind, value), on.page.range(place.span))

        return await server.answer(params.text_document.uri, make)
