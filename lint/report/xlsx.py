"""A workbook in the format of spreadsheets (Office Open XML, ECMA-376), by XlsxWriter.

Every formula is written with its value, so that a viewer that computes nothing shows the same numbers. Words are
written as text in cells of the format for text, so that they stay words when someone edits them.
"""

from __future__ import annotations

from collections.abc import Sequence
from io import BytesIO
from textwrap import wrap
from typing import Any

from .sheets import Cell, Column, Sheet, Sum

MOST_ROWS = 200_000
"""Lines of one sheet. The format takes 1,048,576; long before that a spreadsheet is of no use to a person."""

LONGEST = 32_000
"""Characters of a cell; the format takes 32,767."""

_LINE, _MOST_LINES = 15, 20
"""The height of a line in points, and of how many lines a row is at most."""


def workbook(sheets: Sequence[Sheet]) -> bytes:
    """The file. Raises ImportError where XlsxWriter is not installed."""
    from importlib import import_module  # an extra, wanted here alone, and without types

    data = BytesIO()
    book: Any = import_module("xlsxwriter").Workbook(data, {"in_memory": True})
    # The same manuscript gives the same file.
    book.set_properties({"title": "Worksheet", "created": _fixed_date()})
    looks = _Looks(book)
    for sheet in sheets:
        _write(book, sheet, looks)
    book.close()
    return data.getvalue()


def _fixed_date() -> Any:
    from datetime import UTC, datetime

    return datetime(2000, 1, 1, tzinfo=UTC).replace(tzinfo=None)


class _Looks:
    def __init__(self, book: Any) -> None:
        self.head = book.add_format({"bold": True, "text_wrap": True, "valign": "top", "align": "left", "bottom": 1, "indent": 1})
        self.words = book.add_format({"num_format": "@", "valign": "top", "align": "left", "indent": 1})
        self.wrapped = book.add_format({"num_format": "@", "valign": "top", "align": "left", "indent": 1, "text_wrap": True})
        self.number = book.add_format({"valign": "top"})
        self.length = book.add_format({"valign": "top", "num_format": "0.0#"})
        self.differs = book.add_format({"bold": True, "font_color": "#9C0006", "bg_color": "#FFE2E2"})


def _write(book: Any, sheet: Sheet, looks: _Looks) -> None:
    page = book.add_worksheet(sheet.name)
    for at, column in enumerate(sheet.columns):
        page.set_column(at, at, column.width, looks.wrapped if column.wraps else None, {"hidden": True} if column.kept else {})
        page.write_string(0, at, column.head, looks.head)
    page.set_row(0, _LINE * max((_lines(column.head, column) for column in sheet.columns), default=1))
    shown = sheet.rows[:MOST_ROWS]
    for number, row in enumerate(shown, 1):
        tall = max((_lines(cell, column) for cell, column in zip(row, sheet.columns, strict=True) if column.wraps), default=1)
        if tall > 1:
            page.set_row(number, _LINE * min(tall, _MOST_LINES))
        for at, (cell, column) in enumerate(zip(row, sheet.columns, strict=True)):
            _cell(page, number, at, cell, column, looks)
    left = len(sheet.rows) - len(shown)
    if left:
        page.write_string(len(shown) + 1, 0, f"{left} more lines are not in this sheet; --format csv has all of them.", looks.words)
    _furnish(page, sheet, len(shown), looks)


def _lines(cell: Cell, column: Column) -> int:
    """How many lines words take in a column; spreadsheets do not all find the height of a row by themselves."""
    return sum(1 for _ in wrap(cell, max(4, column.width - 2))) if isinstance(cell, str) and len(cell) > column.width - 2 else 1


def _cell(page: Any, row: int, at: int, cell: Cell, column: Column, looks: _Looks) -> None:
    if cell is None:
        return
    if isinstance(cell, Sum):
        page.write_formula(row, at, cell.formula, looks.length if isinstance(cell.value, float) else looks.number, cell.value)
    elif isinstance(cell, str):
        if cell:
            page.write_string(row, at, cell[:LONGEST], looks.wrapped if column.wraps else looks.words)
        elif column.wraps:
            page.write_blank(row, at, None, looks.wrapped)
    else:
        page.write_number(row, at, cell, looks.length if isinstance(cell, float) else looks.number)


def _furnish(page: Any, sheet: Sheet, rows: int, looks: _Looks) -> None:
    """What helps a person: headings that stay, filters, choices, differences that stand out, and a page that prints."""
    last = len(sheet.columns) - 1
    page.freeze_panes(1, 0)
    page.set_landscape()
    page.set_paper(9)
    page.fit_to_pages(1, 0)
    page.repeat_rows(0)
    if not rows:
        return
    page.autofilter(0, 0, rows, last)
    for at, column in enumerate(sheet.columns):
        if column.differs:
            page.conditional_format(1, at, rows, at, {"type": "cell", "criteria": "not between", "minimum": 0, "maximum": 0, "format": looks.differs, "stop_if_true": False})
        if column.choices:
            page.data_validation(1, at, rows, at, {"validate": "list", "source": [str(choice) for choice in column.choices], "ignore_blank": True})
