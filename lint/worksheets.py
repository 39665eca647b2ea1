"""Worksheets as files: what may be written where, and the workbook or the one sheet of it that is asked for."""

from __future__ import annotations

import os
from collections.abc import Sequence
from importlib.util import find_spec
from pathlib import PurePath
from typing import TYPE_CHECKING

from .beside.desk import Desk
from .manuscript.find import manuscripts
from .manuscript.read import Unreadable
from .output import write_whole
from .queries import QueryList, State

if TYPE_CHECKING:
    from .manuscript.read import Manuscript
    from .report import sheets

WANTS = "writing a workbook wants XlsxWriter: python3 -m pip install 'tenterhook[spreadsheet]'; --format csv does without"


def check(form: str, output: str | None, paths: Sequence[str], answers: str | None) -> None:
    """Raises Unreadable where the output cannot or must not be written: nothing a person wrote is written over."""
    if answers and form not in ("xlsx", "csv"):
        raise Unreadable(answers, "--answers goes with --format xlsx or csv; `tenterhook proof` takes it with any format")
    if form == "xlsx" and not output:
        raise Unreadable("xlsx", "a workbook is not for standard output; name the file to write: -o OUT.xlsx")
    if form == "xlsx" and find_spec("xlsxwriter") is None:
        raise Unreadable("xlsx", WANTS)
    if not output:
        return
    if os.path.isdir(output):
        raise Unreadable(output, "this is a folder; name the file to write")
    if any(_same(output, path) for path in manuscripts(paths) if isinstance(path, str)):
        raise Unreadable(output, "this is the manuscript itself; give the output another name")
    if answers and _same(output, answers):
        raise Unreadable(output, "this is the query list that came back; give the new one another name")
    if _holds_answers(output):
        raise Unreadable(output, "this query list has been filled in; read it with --answers, or give the output another name")


def _same(one: str, other: str) -> bool:
    try:
        return os.path.samefile(one, other)
    except OSError:
        return False


def _holds_answers(path: str) -> bool:
    """Whether someone has filled in a query list that is there. A file that is none is simply replaced."""
    if PurePath(path).suffix.lower() not in (".xlsx", ".csv") or not os.path.isfile(path):
        return False
    from .beside.answers import read_answers
    from .beside.toml_file import Faulty

    try:
        return any(q.asked.state == State.ANSWERED for q in read_answers(path).queries)
    except Faulty:
        return False


def manuscript(desk: Desk, read: Manuscript) -> sheets.Manuscript:
    """What the sheets want to know of a manuscript. Raises Unreadable."""
    from .report.sheets import Manuscript
    from .rule_sets import installed_rules
    from .style import Allowance

    path = read.text.name
    setting = next((s for rule in installed_rules() for s in rule.settings if isinstance(s, Allowance) and s.name == "gauge-size"), None)
    off = desk.style_for(path).allowance(setting) if setting is not None else None
    return Manuscript(path, desk.proof(read.text), desk.margin_for(path).unprinted, (10 if off is None else off) / 100, read.note)


def workbook(done: Sequence[sheets.Manuscript], asked: QueryList | None) -> bytes:
    from .report import workbook, xlsx
    from .report.sheets import Desk as Sheets

    return xlsx.workbook(workbook.sheets(Sheets(tuple(done), asked or QueryList())))


def comma_separated(done: Sequence[sheets.Manuscript], asked: QueryList | None, name: str) -> str:
    from .report import csv_sheet, workbook
    from .report.sheets import Desk as Sheets

    return csv_sheet.table(workbook.sheet(name, Sheets(tuple(done), asked or QueryList())))


def put(path: str, data: bytes) -> None:
    """Raises Unreadable where the file cannot be written."""
    try:
        write_whole(path, data)
    except OSError as error:
        raise Unreadable(path, f"this file could not be written ({(error.strerror or str(error)).lower()})") from None
