"""One sheet as comma-separated values (RFC 4180): numbers as numbers, sums as what they come to.

A spreadsheet takes a cell that begins with = + - or @ for a formula, even in such a file. Words that do are written
with an apostrophe before them; it is taken away again when a list is read back.
"""

from __future__ import annotations

import csv
from io import StringIO

from ..queries import guarded
from .sheets import Cell, Sheet, Sum


def table(sheet: Sheet) -> str:
    """The headings and every line."""
    out = StringIO()
    writer = csv.writer(out)
    writer.writerow([guarded(column.head) for column in sheet.columns])
    writer.writerows([_cell(cell) for cell in row] for row in sheet.rows)
    return out.getvalue()


def _cell(cell: Cell) -> str | int | float:
    if cell is None:
        return ""
    value = cell.value if isinstance(cell, Sum) else cell
    if isinstance(value, str):
        return guarded(value)
    return round(value, 6) if isinstance(value, float) else value
