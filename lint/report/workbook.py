"""All sheets of a workbook, in order."""

from __future__ import annotations

from collections.abc import Iterator

from ..version import VERSION
from .counts_html import facts, tally
from .counts_sheet import counts, sizes_by_row
from .measures_sheet import measurements, steps
from .query_sheet import findings, queries
from .scope import scope, summary
from .sheets import Cell, Column, Desk, Sheet, words

NAMES = ("counts", "sizes", "measurements", "steps", "findings", "queries", "scope")
"""What one sheet is asked for by."""


def sheets(desk: Desk) -> tuple[Sheet, ...]:
    counted = counts(desk)
    return (counted, sizes_by_row(desk, counted), measurements(desk), steps(desk), findings(desk), queries(desk), _scope(desk))


def sheet(name: str, desk: Desk) -> Sheet:
    """One of NAMES."""
    if name == "sizes":
        return sizes_by_row(desk, counts(desk))
    return {"counts": counts, "measurements": measurements, "steps": steps, "findings": findings, "queries": queries, "scope": _scope}[name](desk)


def _scope(desk: Desk) -> Sheet:
    columns = (Column("What", 24, wraps=True), Column("In words", 110, wraps=True))
    return Sheet("Scope", columns, tuple(_said(desk)))


def _said(desk: Desk) -> Iterator[tuple[Cell, ...]]:
    yield "Made by", f"Tenterhook {VERSION}"
    yield "Round", desk.asked.round + 1
    for manuscript in desk.manuscripts:
        proof = manuscript.proof
        yield "Manuscript", words(manuscript.path)
        yield "", words(" · ".join((*facts(proof), tally(proof))))
        if manuscript.remark:
            yield "Note", words(manuscript.remark)
        readings = dict.fromkeys(r for piece in proof.work.pieces for r in piece.readings)
        for reading in readings:
            yield "Read so", words(reading)
    for sentence in scope([summary(m.path, m.proof) for m in desk.manuscripts]) if desk.manuscripts else ():
        yield "Scope", words(sentence)
    yield "Sums", "Left over is worked into less used. A difference is made less stated. An empty cell is a number that is not known. Skipped stitches are those of the first size."
    yield "Queries", "Fill in Answer, and in State one of: open, answered, stands, closed. Leave the columns after it as they are; the list is read back by them with --answers."
