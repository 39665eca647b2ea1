"""Open documents: the client's edits applied to texts whose lines end where the protocol says, and nowhere else."""

from __future__ import annotations

import logging
from collections.abc import Sequence
from functools import cached_property
from urllib.parse import unquote

from lsprotocol import types as t
from pygls.workspace import TextDocument, Workspace

from ..lint.text import Text
from .columns import Columns, Page

_log = logging.getLogger(__name__)


class Document(TextDocument):
    """One open document. ``text`` is immutable and made anew by every change."""

    _text: Text | None = None

    @property
    def text(self) -> Text:
        source = self.source
        if self._text is None or self._text.source is not source:
            self._text = Text(source, self.path or self.uri)
        return self._text

    @property
    def lines(self) -> Sequence[str]:
        starts = self.text.line_starts
        source = self.text.source
        cut = tuple(source[a:b] for a, b in zip(starts, (*starts[1:], len(source)), strict=True))
        return cut[:-1] if cut[-1] == "" else cut

    @property
    def page(self) -> Page:
        return Page(self.text, self.position_codec.encoding)

    def apply_change(self, change: t.TextDocumentContentChangeEvent) -> None:
        if isinstance(change, t.TextDocumentContentChangePartial):
            where = self.page.span(change.range)
            source = self.text.source
            self._source = source[: where.start] + change.text + source[where.end :]
        else:
            self._source = change.text


class Documents(Workspace):
    """The open documents of a session."""

    @cached_property
    def _columns(self) -> Columns:
        return Columns(self.position_encoding)

    def _create_text_document(
        self, doc_uri: str, source: str | None = None, version: int | None = None, language_id: str | None = None
    ) -> Document:
        return Document(
            doc_uri,
            source=source,
            version=version,
            language_id=language_id,
            sync_kind=self._sync_kind,
            position_codec=self._columns,
        )

    def opened(self, uri: str) -> Document | None:
        """The document if the client has it open; never one read from the disk."""
        document = self.text_documents.get(unquote(uri))
        return document if isinstance(document, Document) else None

    def update_text_document(
        self, text_doc: t.VersionedTextDocumentIdentifier, change: t.TextDocumentContentChangeEvent
    ) -> None:
        if self.opened(text_doc.uri) is None:
            _log.warning("ignoring a change to a document that is not open: %s", text_doc.uri)
            return
        super().update_text_document(text_doc, change)
