"""Two versions compared, as JSON. A finding is as in the report of a proof; lines are those of its own version."""

from __future__ import annotations

import json
from typing import Any

from ..fabric.work import RowWork
from ..proof import Proof
from ..recheck import Fresh, Recheck, RowPair, StillOpen, numbers
from ..version import VERSION
from .json_report import finding

SCHEMA = 1
"""Raised when a reader of the old shape would misread the new one."""


def report(found: Recheck, *, ascii_only: bool = False) -> str:
    """The whole report on one line; ``ascii_only`` escapes every other character."""
    whole = {
        "schema": SCHEMA,
        "version": VERSION,
        "old": _version(found.old),
        "new": _version(found.new),
        "closed": [finding(found.old, index) for index in found.closed],
        "open": [_open(found, still) for still in found.open],
        "fresh": [_fresh(found, fresh) for fresh in found.fresh],
        "rows": [_row(pair) for pair in found.changed],
        "added": [_label(piece, row) for piece, row in found.added],
        "gone": [_label(piece, row) for piece, row in found.gone],
    }
    return json.dumps(whole, ensure_ascii=ascii_only) + "\n"


def _version(proof: Proof) -> dict[str, Any]:
    return {"path": proof.text.name, "rows": proof.work.tally()}


def _open(found: Recheck, still: StillOpen) -> dict[str, Any]:
    return {"old": finding(found.old, still.old), "new": finding(found.new, still.new), "reworded": still.reworded}


def _fresh(found: Recheck, fresh: Fresh) -> dict[str, Any]:
    """``came`` is how it came about; ``because`` the row that was changed, ``closed`` the findings its correction closed."""
    return {
        "finding": finding(found.new, fresh.new),
        "came": fresh.came.value,
        "because": fresh.because.label if fresh.because is not None else None,
        "closed": [found.old.handles[index] for index in fresh.closed],
    }


def _row(pair: RowPair) -> dict[str, Any]:
    return {
        "piece": pair.piece,
        "label": pair.new.label,
        "was": pair.old.label,
        "reworded": pair.reworded,
        "status": {"old": pair.old.status.value, "new": pair.new.status.value},
        "old": _sizes(pair.old),
        "new": _sizes(pair.new),
    }


def _sizes(row: RowWork) -> list[dict[str, Any]]:
    return [dict(zip(("size", "base", "used", "made", "stated"), numbers(size), strict=True)) for size in row.sizes]


def _label(piece: str, row: RowWork) -> dict[str, Any]:
    return {"piece": piece, "label": row.label}
