"""What every worksheet for a person says alike of a row, and of a row in one size."""

from __future__ import annotations

from ..fabric.work import RowWork, SizeWork, Status
from ..words import one_line

UNKNOWN = "–"
"""Stands where nothing is known."""

NOTHING = SizeWork(None, None, None, None, None, {}, None, "")
"""The one line of a row that was worked in no size."""


def label(row: RowWork) -> str:
    """“Row 4”, and for an entry that stands for many rows “Row 5 ×1200”."""
    return one_line(row.label) + (f" ×{row.times}" if row.times > 1 else "")


def state(row: RowWork) -> str:
    return "not read" if row.status is Status.UNREAD else row.status.value


def shown(value: int | None) -> str:
    return UNKNOWN if value is None else str(value)


def difference(size: SizeWork) -> str:
    """Made less stated, with its sign; empty where one of them is not known or nothing was stated."""
    if size.made is None or size.stated is None:
        return ""
    return f"{size.made - size.stated:+d}" if size.made != size.stated else "0"
