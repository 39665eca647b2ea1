"""A proof as JSON, for other programs. Lines and columns count from 1, columns in code points, ends exclusive."""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any

from ..finding import Asked, Because, Correction, Edit, Finding
from ..manuscript.read import Unreadable
from ..proof import Proof
from ..stet import Stet
from ..text import Span, Text
from ..version import VERSION

SCHEMA = 1
"""Raised when a reader of the old shape would misread the new one."""


def manuscript(path: str, proof: Proof, remark: str = "") -> dict[str, Any]:
    """One manuscript's entry. ``follows`` counts from 0 in the list of findings it stands in.

    A finding that stands keeps its place in the list; ``stands`` is the editor's reason, null for all others.
    Lines and columns of a document are those of its text as it was read. Where it stands in the document itself is said
    besides: ``where`` for a person, ``origins`` for a program; and ``remark`` says how the document was read.
    """
    pattern, work = proof.pattern, proof.work
    return {
        "path": path,
        "terms": pattern.terms,
        "sizes": list(pattern.sizes),
        "rows": work.tally(),
        "findings": [finding(proof, index) for index in range(len(proof.findings))],
        "stand": len(proof.stand),
        "spent": [_spent(stet) for stet in proof.spent],
        **({"remark": remark} if proof.text.origins else {}),
        **({"closed": [_asked(asked) for asked in proof.closed]} if proof.closed else {}),
    }


def report(manuscripts: Iterable[dict[str, Any]], unreadable: Iterable[Unreadable], *, ascii_only: bool = False) -> str:
    """The whole report on one line; ``ascii_only`` escapes every other character."""
    whole = {
        "schema": SCHEMA,
        "version": VERSION,
        "manuscripts": list(manuscripts),
        "unreadable": [{"path": entry.path, "reason": entry.reason} for entry in unreadable],
    }
    return json.dumps(whole, ensure_ascii=ascii_only) + "\n"


def finding(proof: Proof, index: int) -> dict[str, Any]:
    """One finding of a proof."""
    found = proof.findings[index]
    return {**_finding(proof.text, found, proof.handles[index]), **_in_document(proof.text, found.span)}


def _finding(text: Text, finding: Finding, handle: str) -> dict[str, Any]:
    return {
        "rule": finding.rule,
        "severity": finding.severity.value,
        "message": finding.message,
        "place": finding.place,
        "sizes": list(finding.sizes),
        **_range(text, finding.span),
        "because": [_because(text, because) for because in finding.because],
        "follows": finding.follows,
        "corrections": [_correction(text, correction) for correction in finding.corrections],
        "handle": handle,
        "stands": finding.stands or None,
        **({"query": _asked(finding.asked)} if finding.asked else {}),
    }


def _asked(asked: Asked) -> dict[str, Any]:
    """A query of the list that came back; ``again`` where it had been closed or stood, and is open again."""
    return {"number": asked.number, "round": asked.round, "state": asked.state, "answer": asked.answer or None, "again": asked.again}


def _spent(stet: Stet) -> dict[str, Any]:
    """An entry whose finding is gone; ``line`` is its line in the side file."""
    return {"rule": stet.rule, "place": stet.place, "because": stet.because, "line": stet.line}


def _in_document(text: Text, span: Span) -> dict[str, Any]:
    """Where the words of a finding stand in a document; nothing for plain text."""
    if not text.origins:
        return {}
    origins: list[dict[str, object]] = []
    for stretch in text.origins_of(span):
        start, end = max(span.start, stretch.span.start), min(span.end, stretch.span.end)
        if start < end:
            origins.append(stretch.origin.facts(start - stretch.span.start, end - stretch.span.start))
    return {"where": text.where(span.start), "origins": origins}


def _because(text: Text, because: Because) -> dict[str, Any]:
    return {"message": because.message, **_range(text, because.span)}


def _correction(text: Text, correction: Correction) -> dict[str, Any]:
    return {"title": correction.title, "edits": [_edit(text, edit) for edit in correction.edits]}


def _edit(text: Text, edit: Edit) -> dict[str, Any]:
    return {**_range(text, edit.span), "text": edit.text}


def _range(text: Text, span: Span) -> dict[str, Any]:
    return {"start": _place(text, span.start), "end": _place(text, span.end)}


def _place(text: Text, offset: int) -> dict[str, int]:
    place = text.place(offset)
    return {"line": place.line, "column": place.column}
