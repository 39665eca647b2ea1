"""On hovering: what a stitch means, uses and makes; what a row was worked on, leaves, and the sum, size by size."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import TYPE_CHECKING

from lsprotocol import types as t

from ...lint import editing
from ...lint.editing.kinds import NameKind
from ...lint.fabric.work import RowWork, SizeWork
from ...lint.text import Span, Text
from ..analysis import Proofed
from ..language_server import Server

if TYPE_CHECKING:
    from ...lint.editing.glossary import Meaning
    from ...lint.editing.hooks import HookMeaning
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


def _block(title: str, rest: str, lines: list[str], markdown: bool) -> str:
    head = f"**{_escaped(title)}**{_escaped(rest)}" if markdown else f"{title}{rest}"
    return "\n".join([head, *(f"- {_escaped(line)}" if markdown else f"  {line}" for line in lines)])


# Rows


def _size(size: SizeWork) -> str:
    said = f"worked on {_number(size.base)}, uses {_number(size.used)}, makes {_number(size.made)}"
    if size.stated is not None:
        said += f", stated {size.stated}"
    if size.spaces:
        said += f", spaces {size.spaces}"
    if size.working:
        said += f". {size.working}"
    return f"Size {size.size}: {said}" if size.size else said[:1].upper() + said[1:]


def _row(row: RowWork, text: Text, markdown: bool) -> str:
    side = f", {row.side}" if row.side else ""
    title = row.label + (f" ({row.times} times)" if row.times > 1 else "")
    lines = [
        *dict.fromkeys(_size(size) for size in row.sizes),
        *(f"Not read: “{text[span]}”" for span in row.unread),
        *(f"Read so: {reading}" for reading in row.readings),
    ]
    return _block(title, f"{side}, {STATUS[row.status.value]}", lines, markdown)


def words(place: editing.rows.Written, proof: Proof, markdown: bool) -> str:
    """What to say about a row, or about the first few of those one text stands for."""
    shown = place.rows if len(place.rows) <= MOST else place.rows[: MOST - 1]
    blocks = [_row(row, proof.text, markdown) for row in shown]
    if left := len(place.rows) - len(shown):
        blocks.append(f"… and {left} more rows, to {place.rows[-1].label}")
    return "\n\n".join(blocks)


# Names and hooks


def defined(found: Meaning, markdown: bool) -> str:
    """What a stitch, an abbreviation or a yarn means."""
    if found.kind is NameKind.COLOUR:
        return _block(found.word, f", a yarn: {found.explained}" if found.explained else ", a yarn", [], markdown)
    means = found.explained or found.trade
    lines = [f"US: {found.us}", f"UK: {found.uk}"] if found.us and found.uk else []
    if found.explained and found.trade and found.trade.lower() not in found.explained.lower() and not found.us:
        lines.append(f"In the trade: {found.trade}")
    if found.uses is not None and found.makes is not None:
        lines.append(f"Uses {_sts(found.uses)}, makes {_sts(found.makes)}")
    source = "" if found.explained else " (not in the key)" if means else ", not explained here"
    return _block(found.word, f": {means}{source}" if means else source, lines, markdown)


def _sts(number: int) -> str:
    return "1 stitch" if number == 1 else f"{number} stitches"


def hook_words(found: HookMeaning, markdown: bool) -> str:
    """What a hook's label is in millimetres, or what its millimetres are called."""
    means = f"US {' or '.join(found.names)}" if found.names else _either(found.mm)
    lines = [f"An old British {found.printed}: {_either(found.old)}"] if found.old else []
    return _block(found.printed, f" hook: {means}", lines, markdown)


def _either(sizes: tuple[float, ...]) -> str:
    return f"{' or '.join(f'{mm:g}' for mm in sizes)} mm"


def said(proof: Proof, on: Proofed, offset: int, markdown: bool) -> tuple[str, Span] | None:
    """What to say at an offset, and the stretch it is about."""
    return next(_said(proof, on, offset, markdown), None)


def _said(proof: Proof, on: Proofed, offset: int, markdown: bool) -> Iterator[tuple[str, Span]]:
    if named := editing.mentions.named_at(proof, offset):
        here, places = named
        yield "\n\n".join(words(place, proof, markdown) for place in places[:MOST]), here
    place = editing.rows.at(proof, offset)
    working = words(place, proof, markdown) if place else ""
    if found := on.names.at(offset):
        name, span = found
        told = defined(editing.glossary.meaning(on.subject, name), markdown)
        yield (f"{told}\n\n{'---' if markdown else ''}\n\n{working}" if working else told), span
    if place:
        yield working, place.span
    if hook := editing.hooks.hook_at(proof.text, offset):
        yield hook_words(hook, markdown), hook.span


def register(server: Server) -> None:
    document = server.client_capabilities.text_document
    formats = (document.hover and document.hover.content_format) if document else None
    kind = t.MarkupKind.Markdown if t.MarkupKind.Markdown in (formats or ()) else t.MarkupKind.PlainText

    @server.feature(t.TEXT_DOCUMENT_HOVER)
    async def hover(params: t.HoverParams) -> t.Hover | None:
        def make(proof: Proof, on: Proofed) -> t.Hover | None:
            found = said(proof, on, on.page.offset(params.position), markdown=kind is t.MarkupKind.Markdown)
            return t.Hover(t.MarkupContent(kind, found[0]), on.page.range(found[1])) if found else None

        return await server.answer(params.text_document.uri, make)
