"""A query list that came back filled in: a workbook (.xlsx, read with openpyxl) or a file of comma-separated values.

It was in many hands, so it is read strictly where it matters and bounded everywhere: every line at fault is named, and
nothing is taken from a list that has one. A workbook is taken apart in a child process with limits, as documents are.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from io import StringIO
from pathlib import PurePath
from typing import Any

from ..confined import Refused, allow, confined
from ..finding import Asked, Severity
from ..queries import HEADS, Query, QueryList, State, unguarded
from ..stet import Stet
from ..words import one_line
from .toml_file import Faulty

MAX_BYTES = 8_000_000
MAX_UNPACKED = 50_000_000
"""The largest list read, in bytes, and the most its packed parts may come to."""

MAX_QUERIES = 50_000
_MOST_FAULTS = 8
_MOST_QUOTED = 30
_NEEDED = ("Number", "Answer", "State", "Check", "Exact words")
_LINES_A_SECOND = 500  # that a child may take for work done
_HEADS_WITHIN = 20  # lines among which the headings are looked for, should someone put some above them

@dataclass(frozen=True, slots=True)
class _Line:
    """One line of the list: its number in the sheet, and its cells by their headings."""

    number: int
    cells: Mapping[str, str]

    def __getitem__(self, head: str) -> str:
        return self.cells.get(head, "")


def read_answers(path: str) -> QueryList:
    """The list in a file. Raises Faulty."""
    try:
        with open(path, "rb") as file:
            data = file.read(MAX_BYTES + 1)
    except OSError as error:
        raise Faulty(path, f"this query list could not be read ({(error.strerror or str(error)).lower()})") from None
    try:
        if len(data) > MAX_BYTES:
            raise Refused(f"this file is larger than {MAX_BYTES // 1_000_000} MB, the most that is read")
        if data.startswith(b"PK\x03\x04"):
            found, _ = confined("beside.answers:in_workbook", data, "spreadsheet")
            lines = [_Line(number, cells) for number, cells in found["lines"]]
        elif PurePath(path).suffix.lower() in (".xls", ".xlsx", ".ods"):
            raise Refused("this is no workbook of the kind that is read; save it as .xlsx or .csv")
        else:
            lines = list(_under_headings(_comma_separated(data)))
        if not lines:
            wanted = ", ".join(f"“{head}”" for head in _NEEDED)
            raise Refused(f"no sheet of it has the headings of a query list ({wanted})")
    except Refused as refused:
        raise Faulty(path, refused.reason) from None
    return _list(path, lines[1:])


# -- tables ---------------------------------------------------------------------------------------------------------------


def in_workbook(data: bytes, arguments: Mapping[str, Any]) -> tuple[dict[str, Any], bytes]:
    """The task of a child process: the lines of a workbook's query list, none where it has none. Raises Refused, and what openpyxl does."""
    from io import BytesIO
    from zipfile import ZipFile

    with ZipFile(BytesIO(data)) as packed:
        if sum(part.file_size for part in packed.infolist()) > MAX_UNPACKED:
            raise Refused(f"this workbook unpacks to more than {MAX_UNPACKED // 1_000_000} MB, the most that is read")
    from openpyxl import load_workbook  # an extra, wanted here alone

    # Formulas as they stand, not what they come to: an answer that begins with = is an answer too.
    book: Any = load_workbook(BytesIO(data), read_only=True, data_only=False)
    for sheet in sorted(book.worksheets, key=lambda sheet: sheet.title != "Queries"):
        lines: list[tuple[int, Mapping[str, str]]] = []
        for line in _under_headings(sheet.iter_rows(values_only=True)):
            lines.append((line.number, line.cells))
            if len(lines) % _LINES_A_SECOND == 0:
                allow(1)
        if lines:
            return {"lines": lines}, b""
    return {"lines": []}, b""


def _comma_separated(data: bytes) -> Iterator[Sequence[object]]:
    import csv

    try:
        source = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise Refused("this query list is not UTF-8; save it as UTF-8 (“CSV UTF-8”), or as .xlsx") from None
    # A spreadsheet in a country with decimal commas puts semicolons.
    mark = max(",;\t", key=source.partition("\n")[0].count)
    try:
        for row in csv.reader(StringIO(source, newline=""), delimiter=mark):
            yield [unguarded(cell) for cell in row]
    except csv.Error as error:
        raise Refused(f"this query list could not be read ({error})") from None


def _under_headings(table: Iterable[Sequence[object]]) -> Iterator[_Line]:
    """The line of headings, and every line under it that is not empty; nothing where there are no headings."""
    heads: dict[int, str] = {}
    known = {head.lower(): head for head in HEADS}
    for number, row in enumerate(table, 1):
        if not heads:
            named = {at: known[head] for at, cell in enumerate(row[:200]) if (head := _words(cell).strip().lower()) in known}
            if set(_NEEDED) <= set(named.values()):
                heads = named
                yield _Line(number, {})
            elif number >= _HEADS_WITHIN:
                return
            continue
        cells = {head: _words(row[at]) for at, head in heads.items() if at < len(row)}
        if number > MAX_QUERIES:
            raise Refused(f"this list has more than {MAX_QUERIES} lines, the most that are read")
        if any(cells[head] for head in cells if head in ("Number", "Check", "Answer")):
            yield _Line(number, cells)


def _words(cell: object) -> str:
    if cell is None:
        return ""
    if isinstance(cell, float) and cell.is_integer():
        return str(int(cell))
    return one_line(str(cell))


# -- queries --------------------------------------------------------------------------------------------------------------


def _list(path: str, lines: Sequence[_Line]) -> QueryList:
    faults: list[str] = []
    queries = [_query(line, faults) for line in lines]
    seen: dict[int, int] = {}
    for line, query in zip(lines, queries, strict=True):
        before = seen.setdefault(query.asked.number, line.number)
        if before != line.number:
            faults.append(f"line {line.number}: number {query.asked.number} stands in line {before} already")
    if faults:
        more = [f"and {len(faults) - _MOST_FAULTS} more faults"] if len(faults) > _MOST_FAULTS else []
        raise Faulty(path, "; ".join([*faults[:_MOST_FAULTS], *more]))
    rounds = [_number(line, "List of round", [], 1) for line in lines]
    return QueryList(tuple(queries), max([*rounds, *(q.asked.round for q in queries)], default=0))


def _query(line: _Line, faults: list[str]) -> Query:
    state = line["State"].strip().lower() or State.OPEN.value
    if state not in set(State):
        faults.append(f"line {line.number}: the state is “{_short(line['State'])}”, but must be {', '.join(list(State)[:-1])} or {list(State)[-1]}")
    kind = line["Kind"].strip().lower() or Severity.WRONG.value
    if kind not in set(Severity):
        faults.append(f"line {line.number}: the kind is “{_short(line['Kind'])}”, but must be {', '.join(list(Severity)[:-1])} or {list(Severity)[-1]}")
        kind = Severity.WRONG.value
    if not line["Check"].strip():
        faults.append(f"line {line.number}: the column Check is empty; a line can only be answered as it came")
    answer = line["Answer"].strip()
    asked = Asked(_number(line, "Number", faults), _number(line, "Round", faults, 1), _answered(state, answer), answer)
    entry = Stet(
        line["Check"].strip(), Severity(kind), "", line["Exact words"], line["Piece"], line["Row"], line["Before"], line["After"],
        _number(line, "Which", faults, 1), _number(line, "Of", faults, 1), line["Question"], line.number,
    )  # fmt: skip
    return Query(asked, entry, line["Place"], line["Words"], line["Question"], line["Reason"], line["Proposed wording"], line["Manuscript"])


def _answered(state: str, answer: str) -> str:
    """An open query with an answer beside it is answered, whether or not the state was changed."""
    return State.ANSWERED.value if state == State.OPEN and answer else state


def _number(line: _Line, head: str, faults: list[str], usual: int | None = None) -> int:
    words = line[head].strip()
    if not words and usual is not None:
        return usual
    if words.isascii() and words.isdecimal() and 0 < len(words) < 8 and int(words):
        return int(words)
    faults.append(f"line {line.number}: {head} is “{_short(words)}”, but must be a number from 1")
    return 1


def _short(words: str) -> str:
    return words if len(words) <= _MOST_QUOTED else f"{words[:_MOST_QUOTED]}…"
