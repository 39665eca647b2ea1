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
from functools import cached_property, partial
from itertools import count
from threading import Event
from typing import TYPE_CHECKING, TypeVar

from lsprotocol import types as t

from ..lint import editing
from ..lint.corrections import sure_corrections
from ..lint.fabric.memory import Memory
from ..lint.finding import Edit, Finding
from ..lint.manuscript.read import MAX_BYTES, Unreadable
from ..lint.rule import Subject
from ..lint.style import Style
from ..lint.text import Span, Text
from .columns import Page
from .convert import Dialect, diagnostics
from .documents import Document
from .worker import Worker

if TYPE_CHECKING:
    from ..lint.editing.names import Names
    from ..lint.proof import Proof

T = TypeVar("T")

Again = Callable[[Text], "Proof"]

_log = logging.getLogger(__name__)

FAILED = "This text could not be proofed: something went wrong in Tenterhook. The server's log says what."

Prove = Callable[[Text, Memory | None], "Proof"]
"""Proofs a text. The memory, where there is one, keeps what was worked for the next state of the same text."""


@dataclass(frozen=True)
class Proofed:
    """A document as it was when it was proofed. ``diagnostics`` stand in the order of ``proof.findings``.

    ``typed`` is the line (from 0) that was being typed, ``proof`` None where proofing failed, ``serial`` a number no
    other proof of the session has. The corrections in the proof need not have been tried: ``tried`` keeps, by index,
    the findings whose corrections have been, and ``Analysis.tried`` sees to it.
    """

    uri: str
    version: int | None
    edition: int
    page: Page
    proof: Proof | None
    diagnostics: tuple[t.Diagnostic, ...]
    typed: int | None = None
    serial: int = 0
    tried: dict[int, Finding] = field(default_factory=dict[int, Finding], compare=False, repr=False)

    @cached_property
    def subject(self) -> Subject:
        """What the rules saw, for those parts of lint that ask for it; only where there is a proof."""
        proof = self.proof
        assert proof is not None
        return Subject(proof.text, proof.layout, proof.pattern, proof.work, Style())

    @cached_property
    def names(self) -> Names:
        return editing.names.find_names(self.subject)

    def standing(self, span: Span) -> frozenset[int]:
        """The findings, by index, in a span or right beside it, without those that somebody has let stand."""
        findings = self.proof.findings if self.proof else ()
        return frozenset(
            index
            for index, finding in enumerate(findings)
            if not finding.stands
            and (finding.span.touches(span) or span.start == finding.span.end or span.end == finding.span.start)
        )

    def told(self, held: Collection[int] = ()) -> list[t.Diagnostic]:
        """What to show: the findings nobody has let stand, without those held back, by index."""
        findings = self.proof.findings if self.proof else ()
        stand = {index for index, finding in enumerate(findings) if finding.stands}
        return [d for index, d in enumerate(self.diagnostics) if index not in held and index not in stand]

    def edit(self, edits: Sequence[Edit], versioned: bool) -> t.WorkspaceEdit:
        """Edits for the client; one that names the version is refused by the client if the text has moved on."""
        changes = [t.TextEdit(self.page.range(each.span), each.text) for each in edits]
        if versioned:
            document = t.OptionalVersionedTextDocumentIdentifier(self.uri, self.version)
            return t.WorkspaceEdit(document_changes=[t.TextDocumentEdit(document, changes)])
        return t.WorkspaceEdit(changes={self.uri: changes})


@dataclass(eq=False)
class Desk:
    """One open document and how far its proofing has come. ``edition`` counts the changes.

    ``memory`` is for the thread that proofs, and for no other.
    """

    document: Document
    edition: int = 0
    typed: int | None = None
    closed: bool = False
    latest: Proofed | None = None
    task: asyncio.Task[None] | None = None
    memory: Memory = field(default_factory=Memory)
    arrival: asyncio.Event = field(default_factory=asyncio.Event)


class Analysis:
    """Keeps a proof of every open document; to be used from the event loop only."""

    def __init__(self, prove: Prove, dialect: Callable[[], Dialect], arrived: Callable[[Proofed], None]) -> None:
        self._prove = prove
        self._dialect = dialect
        self._arrived = arrived
        self._worker = Worker("proofs")
        self._desks: dict[str, Desk] = {}
        self._serials = count(1)

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

    def again(self) -> None:
        """Proof every open document anew: something other than the texts has changed."""
        for desk in self._desks.values():
            desk.edition += 1
            self._start(desk)

    def latest(self) -> list[Proofed]:
        """The last finished proof of every open document."""
        return [desk.latest for desk in self._desks.values() if desk.latest is not None]

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

    async def tried(self, on: Proofed, asked: Collection[int]) -> Sequence[Finding]:
        """The findings of a proof; those asked for, by index, have the corrections that hold, and the others none."""
        assert on.proof is not None
        proof = on.proof
        new = [i for i in asked if i not in on.tried and proof.findings[i].corrections]
        if new:
            found = [f if i in new else f.with_corrections(()) for i, f in enumerate(proof.findings)]
            held = await self.run(on.uri, lambda again: _try(again, proof.text, found))
            on.tried.update((i, held[i]) for i in new)
        return [on.tried.get(i, f.with_corrections(())) if i in asked else f.with_corrections(()) for i, f in enumerate(proof.findings)]

    async def run(self, uri: str, job: Callable[[Again], T]) -> T:
        """A job that proofs changed states of a document, done where proofs are made. Cancelling it stops it before
        its next proof.
        """
        stopped = Event()
        desk = self._desks.get(uri)
        memory = desk.memory if desk else None

        def again(text: Text) -> Proof:
            if stopped.is_set():
                raise asyncio.CancelledError
            return self._prove(text, memory)

        try:
            return await self._worker.run(partial(job, again))
        except asyncio.CancelledError:
            stopped.set()
            raise

    async def prove(self, uri: str, page: Page) -> Proofed:
        """A text proofed that is no open document, one from a folder."""
        proof, found = await self._worker.run(partial(_work, self._prove, None, self._dialect(), uri, page))
        return Proofed(uri, None, 0, page, proof, found, serial=next(self._serials))

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
        work = partial(_work, self._prove, desk.memory, self._dialect(), document.uri, page)
        proof, found = await self._worker.run(work)
        return Proofed(document.uri, version, edition, page, proof, found, typed, next(self._serials))


def _warm_up(prove: Prove) -> None:
    try:
        prove(Text(""), None)
        editing.load()
    except Exception:
        _log.exception("a first proof of nothing failed")
    # What is loaded by now stays: going over it again at every collection costs a keystroke tens of milliseconds.
    gc.collect()
    gc.freeze()


def _try(prove: Again, text: Text, found: Sequence[Finding]) -> Sequence[Finding]:
    return sure_corrections(text.source, found, lambda changed: prove(Text(changed, text.name)).findings)


def _work(
    prove: Prove, memory: Memory | None, dialect: Dialect, uri: str, page: Page
) -> tuple[Proof | None, tuple[t.Diagnostic, ...]]:
    if len(page.text) > MAX_BYTES:
        return None, (dialect.remark(f"This text is not proofed: it has more than {MAX_BYTES:,} characters."),)
    try:
        proof = prove(page.text, memory)
        return proof, diagnostics(proof.findings, page, uri, dialect)
    except Unreadable as unreadable:
        return None, (dialect.remark(f"This text is {unreadable.reason}."),)
    except Exception:
        _log.exception("%s could not be proofed", uri)
        return None, (dialect.remark(FAILED),)
