"""Proofing open documents: coalesced, off the event loop, every finished proof handed on with its version.

Results are never thrown away because newer text waits: someone typing without a pause still sees a steady stream.
Edits that arrive during a proof are taken together in the next one.
"""

from __future__ import annotations

import asyncio
import gc
import logging
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, field
from functools import partial
from typing import TYPE_CHECKING

from lsprotocol import types as t

from ..lint.corrections import sure_corrections
from ..lint.finding import Finding
from ..lint.manuscript.read import MAX_BYTES
from ..lint.text import Text
from .columns import Page
from .convert import Dialect, diagnostics
from .documents import Document
from .worker import Worker

if TYPE_CHECKING:
    from ..lint.proof import Proof

_log = logging.getLogger(__name__)

FAILED = "This text could not be proofed: something went wrong in Tenterhook. The server's log says what."

Prove = Callable[[Text], "Proof"]


@dataclass(frozen=True)
class Proofed:
    """A document as it was when it was proofed. ``diagnostics`` stand in the order of ``proof.findings``.

    ``typed`` is the line (from 0) that was being typed, ``proof`` None where proofing failed. The corrections in the
    proof need not have been tried; see ``Analysis.tried``.
    """

    uri: str
    version: int | None
    edition: int
    page: Page
    proof: Proof | None
    diagnostics: tuple[t.Diagnostic, ...]
    typed: int | None


@dataclass(eq=False)
class Desk:
    """One open document and how far its proofing has come. ``edition`` counts the changes."""

    document: Document
    edition: int = 0
    typed: int | None = None
    closed: bool = False
    latest: Proofed | None = None
    task: asyncio.Task[None] | None = None
    arrival: asyncio.Event = field(default_factory=asyncio.Event)


class Analysis:
    """Keeps a proof of every open document; to be used from the event loop only."""

    def __init__(self, prove: Prove, dialect: Callable[[], Dialect], arrived: Callable[[Proofed], None]) -> None:
        self._prove = prove
        self._dialect = dialect
        self._arrived = arrived
        self._worker = Worker("proofs")
        self._desks: dict[str, Desk] = {}

    def warm_up(self) -> None:
        """Proof nothing at all, so that what proofing needs is loaded before the first text comes."""
        self._worker.run(partial(_warm_up, self._prove))

    def open(self, document: Document) -> None:
        self.close(document.uri)
        desk = self._desks[document.uri] = Desk(document)
        self._start(desk)

    def change(self, uri: str, typed: int | None) -> None:
        """Take note that a document has changed; ``typed`` is the line being typed, if it is one."""
        if desk := self._desks.get(uri):
            desk.edition += 1
            desk.typed = typed
            self._start(desk)

    def close(self, uri: str) -> bool:
        """Forget a document; a proof still under way is dropped. Whether it was known."""
        desk = self._desks.pop(uri, None)
        if desk is None:
            return False
        desk.closed = True
        desk.arrival.set()
        return True

    def edition(self, uri: str) -> int:
        """How many changes a document has seen; -1 if it is not open."""
        desk = self._desks.get(uri)
        return desk.edition if desk else -1

    async def current(self, uri: str) -> Proofed | None:
        """The proof of the text as it stands now, waiting for it; None for a document that is not open."""
        desk = self._desks.get(uri)
        if desk is None:
            return None
        wanted = desk.edition
        while not desk.closed and (desk.latest is None or desk.latest.edition < wanted):
            await desk.arrival.wait()
        return None if desk.closed else desk.latest

    async def tried(self, proof: Proof, asked: Collection[int]) -> Sequence[Finding]:
        """The findings of a proof; those asked for, by index, have the corrections that hold, and the others none."""
        found = [f if i in asked else f.with_corrections(()) for i, f in enumerate(proof.findings)]
        if not any(f.corrections for f in found):
            return found
        return await self._worker.run(partial(_try, self._prove, proof.text, found))

    def _start(self, desk: Desk) -> None:
        if desk.task is None:
            desk.task = asyncio.get_running_loop().create_task(self._keep_up(desk))

    async def _keep_up(self, desk: Desk) -> None:
        try:
            while not desk.closed and (desk.latest is None or desk.latest.edition < desk.edition):
                desk.latest = await self._proof(desk)
                arrival, desk.arrival = desk.arrival, asyncio.Event()
                arrival.set()
                if not desk.closed:
                    self._hand_on(desk.latest)
        finally:
            desk.task = None

    def _hand_on(self, proofed: Proofed) -> None:
        try:
            self._arrived(proofed)
        except Exception:
            _log.exception("the proof of %s could not be handed on", proofed.uri)

    async def _proof(self, desk: Desk) -> Proofed:
        document, edition, typed = desk.document, desk.edition, desk.typed
        version, page = document.version, document.page
        proof, found = await self._worker.run(partial(_work, self._prove, self._dialect(), document.uri, page))
        return Proofed(document.uri, version, edition, page, proof, found, typed)


def _warm_up(prove: Prove) -> None:
    try:
        prove(Text(""))
    except Exception:
        _log.exception("a first proof of nothing failed")
    # What is loaded by now stays: going over it again at every collection costs a keystroke tens of milliseconds.
    gc.collect()
    gc.freeze()


def _try(prove: Prove, text: Text, found: Sequence[Finding]) -> Sequence[Finding]:
    return sure_corrections(text.source, found, lambda changed: prove(Text(changed, text.name)).findings)


def _work(prove: Prove, dialect: Dialect, uri: str, page: Page) -> tuple[Proof | None, tuple[t.Diagnostic, ...]]:
    if len(page.text) > MAX_BYTES:
        return None, (dialect.remark(f"This text is not proofed: it has more than {MAX_BYTES:,} characters."),)
    try:
        proof = prove(page.text)
        return proof, diagnostics(proof.findings, page, uri, dialect)
    except Exception:
        _log.exception("%s could not be proofed", uri)
        return None, (dialect.remark(FAILED),)
