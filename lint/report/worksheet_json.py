"""The count worksheet as JSON, for other programs. Lines count from 1; an unknown number is null."""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any

from ..fabric.work import PieceWork, RowWork, SizeWork
from ..proof import Proof
from ..text import Text

SCHEMA = 1
"""Raised when a reader of the old shape would misread the new one."""


def worksheet(path: str, proof: Proof) -> dict[str, Any]:
    """One manuscript's worksheet, piece by piece in text order."""
    return {"path": path, "pieces": [_piece(proof.text, piece) for piece in proof.work.pieces]}


def report(worksheets: Iterable[dict[str, Any]], *, ascii_only: bool = False) -> str:
    """The whole report on one line; ``ascii_only`` escapes every other character."""
    whole = {"schema": SCHEMA, "worksheets": list(worksheets)}
    return json.dumps(whole, ensure_ascii=ascii_only) + "\n"


def _piece(text: Text, piece: PieceWork) -> dict[str, Any]:
    return {"name": piece.name, "rows": [_row(text, row) for row in piece.rows]}


def _row(text: Text, row: RowWork) -> dict[str, Any]:
    entry: dict[str, Any] = {
        "label": row.label,
        "line": text.line_number(row.label_span.start),
        "side": row.side,
        "turned": row.turned,
        "status": row.status.value,
        "sizes": [_size(size) for size in row.sizes],
    }
    if text.origins:
        entry["where"] = text.where(row.label_span.start)
    if row.times > 1:
        entry["times"] = row.times
    return entry


def _size(size: SizeWork) -> dict[str, Any]:
    return {
        "size": size.size,
        "base": size.base,
        "used": size.used,
        "made": size.made,
        "stated": size.stated,
        "kinds": dict(size.kinds),
        "spaces": size.spaces,
        "working": size.working,
    }
