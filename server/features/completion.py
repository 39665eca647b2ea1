"""Completion: the next row's label, the key's abbreviations first, places there are below, the count worked out."""

from __future__ import annotations

from typing import TYPE_CHECKING

from lsprotocol import types as t

from ...lint import editing
from ...lint.editing.kinds import OfferKind
from ...lint.text import Span, Text
from ..analysis import Again, Proofed
from ..language_server import Server

if TYPE_CHECKING:
    from ...lint.editing.offers import Offer

MOST_READ = 100_000  # code points; a longer text is not proofed again for a count just begun

KINDS = {
    OfferKind.COUNT: t.CompletionItemKind.Value,
    OfferKind.LABEL: t.CompletionItemKind.Struct,
    OfferKind.PLACE: t.CompletionItemKind.Field,
    OfferKind.EXPLAINED: t.CompletionItemKind.Function,
    OfferKind.STITCH: t.CompletionItemKind.Function,
    OfferKind.COLOUR: t.CompletionItemKind.Color,
    OfferKind.STEP: t.CompletionItemKind.Keyword,
    OfferKind.ENTRY: t.CompletionItemKind.Text,
}


def items(found: list[Offer], on: Proofed) -> list[t.CompletionItem]:
    """Offers as the client takes them, kept in their order."""
    made: list[t.CompletionItem] = []
    for index, offer in enumerate(found):
        where = on.page.range(offer.span)
        typed = on.page.text[offer.span]
        made.append(
            t.CompletionItem(
                label=offer.words.strip(),
                kind=KINDS[offer.kind],
                detail=offer.detail or None,
                sort_text=f"{index:04}",
                # What is typed of a label or a count is not how it begins: "row" for "**Row 5", nothing for " (26 sc)".
                filter_text=typed + offer.words.strip() if offer.kind in (OfferKind.LABEL, OfferKind.COUNT) else None,
                preselect=True if index == 0 and offer.kind in (OfferKind.LABEL, OfferKind.COUNT) else None,
                text_edit=t.TextEdit(where, offer.words),
            )
        )
    return made


def begun_count(on: Proofed, offset: int, again: Again) -> list[Offer]:
    """The count of a row whose count has just been begun with a bracket: it is worked out from the row without it."""
    source = on.page.text.source
    begun = editing.offers.dangling(source, offset)
    if begun is None or len(source) > MOST_READ:
        return []
    closed = offset + (source[offset : offset + 1] in (")", "]") and offset < len(source))
    proof = again(Text(source[: begun.start] + source[closed:], on.page.text.name))
    without = Proofed(on.uri, on.version, on.edition, on.page, proof, ())
    span = Span(begun.start, closed)
    return [
        editing.offers.Offer(offer.kind, offer.words.lstrip(" ."), span, offer.detail)
        for offer in editing.offers.offers(without.subject, proof, without.names, begun.start)
        if offer.kind is OfferKind.COUNT
    ]


def register(server: Server) -> None:
    @server.feature(t.TEXT_DOCUMENT_COMPLETION, t.CompletionOptions(trigger_characters=["(", "["]))
    async def completion(params: t.CompletionParams) -> t.CompletionList | None:
        on = await server.proofed(params.text_document.uri)
        if on is None or on.proof is None:
            return None
        proof, offset = on.proof, on.page.offset(params.position)
        found: list[Offer] = []
        if editing.offers.dangling(on.page.text.source, offset):
            found = await server.analysis.run(on.uri, lambda again: begun_count(on, offset, again))
        triggered = params.context and params.context.trigger_kind is t.CompletionTriggerKind.TriggerCharacter
        if not found and not triggered:
            found = await server.answers.run(lambda: editing.offers.offers(on.subject, proof, on.names, offset))
        return t.CompletionList(is_incomplete=False, items=items(found, on))
