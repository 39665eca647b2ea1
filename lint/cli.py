"""The command line: arguments in, reports out, and an exit status that says what came of it.

0: nothing at or above the threshold; 1: findings; 2: something could not be done. Only argparse is imported at the
start, so that ``--version`` and a shell's completion answer at once.
"""

from __future__ import annotations

import argparse
import gc
import os
import sys
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, TypeVar

from .version import VERSION

if TYPE_CHECKING:
    from .manuscript.read import Manuscript, Unreadable
    from .proof import Proof
    from .queries import QueryList
    from .report.page import Page

Result = TypeVar("Result")

NOTHING, FINDINGS, FAILED = 0, 1, 2
STOPPED, PIPE_CLOSED = 130, 141  # what a shell reports for a program ended by SIGINT or SIGPIPE

_PLAIN_MARKS = str.maketrans(
    {"·": "-", "–": "-", "…": "...", "“": '"', "”": '"', "’": "'", "─": "-", "└": "-", "×": "x"}
)

_SEVERITIES = ("wrong", "query", "style", "suggestion")  # finding.Severity, without importing it
_SHEETS = ("counts", "sizes", "measurements", "steps", "findings", "queries", "scope")  # report.workbook.NAMES, likewise


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return the exit status. Bad usage raises SystemExit(2), as argparse does."""
    given = list(sys.argv[1:] if arguments is None else arguments)
    try:
        if given[:1] == ["serve"]:
            return _serve(given[1:])
        # One command makes many small values and ends: looking for cycles among them so often costs a tenth of its time.
        gc.set_threshold(50_000, 20, 20)
        chosen = _parser().parse_args(given)
        status = chosen.run(chosen)
        if sys.stdout is not None:
            sys.stdout.flush()
        return status
    except KeyboardInterrupt:
        _complain("stopped")
        return STOPPED
    except BrokenPipeError:
        _forget_output()
        return PIPE_CLOSED


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="tenterhook",
        description="Proofreads written crochet patterns: works every row in every size and says where the words and "
        "the fabric part company. Nothing leaves this machine.",
        epilog="Exit status: 0 nothing at or above the threshold, 1 findings, 2 something could not be done.",
    )
    parser.add_argument("--version", action="version", version=f"tenterhook {VERSION}")
    commands = parser.add_subparsers(title="commands", metavar="COMMAND", required=True)

    proof = commands.add_parser(
        "proof",
        help="report what does not come out, and what was not read",
        description="Proofs each manuscript and reports every finding with the sum behind it, and every row that was "
        "not read.",
        epilog="Exit status: 0 nothing at or above the threshold, 1 findings, 2 a file could not be read.",
    )
    _add_paths(proof)
    proof.add_argument(
        "--format",
        choices=("text", "lines", "json", "sarif", "html"),
        default="text",
        help="text to read, one finding a line, JSON or SARIF for a program, or a page (default: text)",
    )
    proof.add_argument(
        "--threshold",
        choices=_SEVERITIES,
        help="the mildest severity that makes the exit status 1; everything is reported all the same (default: what the "
        "house style says, or query)",
    )
    proof.add_argument(
        "--stet",
        nargs="+",
        metavar="FINDING",
        help="let these findings of one manuscript stand, each by the name the report gives it, such as row-total@row-4; "
        "put down in a file beside the manuscript",
    )
    proof.add_argument("--because", metavar="REASON", help="why they stand; goes with --stet")
    _add_answers(proof)
    proof.set_defaults(run=_proof)

    worksheet = commands.add_parser(
        "worksheet",
        help="show the count of every row in every size",
        description="Shows what every row is worked into, uses, makes and states, in every size, and how each number "
        "was worked out.",
        epilog="Exit status: 0 done, 2 a file could not be read.",
    )
    _add_paths(worksheet)
    worksheet.add_argument(
        "--format",
        choices=("table", "json", "html", "xlsx", "csv"),
        default="table",
        help="a table, JSON for a program, a page with pictures of the work, a workbook with the query list, or one sheet "
        "of it as comma-separated values (default: table)",
    )
    worksheet.add_argument("-o", "--output", metavar="OUT", help="the file to write, instead of standard output; a workbook needs one")
    worksheet.add_argument("--sheet", choices=_SHEETS, default=_SHEETS[0], help=f"the sheet that csv writes (default: {_SHEETS[0]})")
    _add_answers(worksheet)
    worksheet.set_defaults(run=_worksheet)

    recheck = commands.add_parser(
        "recheck",
        help="compare two versions of a manuscript: what is closed, still open and new",
        description="Proofs two versions of one manuscript and tells which findings are closed, still open or new, which "
        "rows come out otherwise, and where a correction broke something else.",
        epilog="Exit status: that of the new version: 0 nothing at or above the threshold, 1 findings, 2 a file could not "
        "be read.",
    )
    recheck.add_argument("old", metavar="OLD", help="the version before")
    recheck.add_argument("new", metavar="NEW", help="the version now")
    recheck.add_argument("--format", choices=("text", "json"), default="text", help="text to read, or JSON for a program (default: text)")
    recheck.add_argument("--threshold", choices=_SEVERITIES, help="as for proof (default: what the house style says, or query)")
    recheck.set_defaults(run=_recheck)

    markup = commands.add_parser(
        "markup",
        help="write a copy of a manuscript with every finding noted at its words",
        description="Writes the manuscript again with a note at the words of every finding that does not stand: comments in "
        "a Word file, highlights in a PDF, numbered notes in plain text and Markdown. The words themselves are not changed.",
        epilog="Exit status: 0 done, 2 the manuscript could not be read or OUT not be written.",
    )
    markup.add_argument("path", metavar="FILE", help="the manuscript, or - for standard input")
    markup.add_argument("-o", "--output", metavar="OUT", required=True, help="the marked-up file to write")
    markup.add_argument("--overwrite", action="store_true", help="write OUT even where there is such a file; never over FILE")
    markup.add_argument(
        "--mildest", choices=_SEVERITIES, default=_SEVERITIES[-1], help=f"the mildest findings to note (default: {_SEVERITIES[-1]})"
    )
    markup.add_argument("--replace", action="store_true", help="take out the notes of an earlier round first; without it they stay")
    markup.add_argument("--corrections", action="store_true", help="also make the certain corrections, as tracked changes of a Word file")
    markup.set_defaults(run=_markup)

    explain = commands.add_parser(
        "explain",
        help="explain one rule, or list all of them; or the settings of a house style",
        description="Explains a rule: why it matters, what it looks like, what is better, when to let it stand.",
    )
    explain.add_argument(
        "rule", nargs="?", metavar="RULE", help="the rule's name, or “settings”; without it, all rules are listed"
    )
    explain.set_defaults(run=_explain)

    # Only for the list of commands: main() hands everything after “serve” to the server.
    commands.add_parser("serve", help="run the language server for editors")
    return parser


def _add_paths(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "paths",
        nargs="+",
        metavar="PATH",
        help="a manuscript (plain text, Markdown, Word, OpenDocument, PDF or HTML), a folder of them, or - for standard input",
    )


def _add_answers(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--answers",
        metavar="QUERIES",
        help="the query list of the round before, filled in (.xlsx or .csv): numbers, answers and states are carried on",
    )


def _asked(chosen: argparse.Namespace) -> QueryList | None:
    """The query list that came back, or None. Raises Unreadable."""
    if chosen.answers is None:
        return None
    from .beside.desk import query_list

    return query_list(chosen.answers, alone=len(chosen.paths) == 1 and not os.path.isdir(chosen.paths[0]))


def _proof(chosen: argparse.Namespace) -> int:
    from .beside.desk import Desk
    from .finding import Severity
    from .manuscript.read import Unreadable

    if (chosen.stet or chosen.because) and not _let_stand(chosen):
        return FAILED
    try:
        desk = Desk(Severity(chosen.threshold) if chosen.threshold else None, _asked(chosen))
    except Unreadable as unreadable:
        _complain(str(unreadable))
        return FAILED
    loud: list[bool] = []

    def proofed(manuscript: Manuscript, write: Callable[[Proof], Result]) -> Result:
        done = desk.proof(manuscript.text)
        written = write(done)
        loud.append(bool(done.loud(desk.style_for(manuscript.text.name).threshold)))
        return written

    if chosen.format == "json":
        from .report import json_report

        entries, unreadable = _each(chosen, lambda m: proofed(m, lambda p: json_report.manuscript(m.text.name, p, m.remark)))
        _write(json_report.report(entries, unreadable, ascii_only=_is_narrow()))
    elif chosen.format == "sarif":
        from .report import sarif
        from .rule_sets import installed_rules

        logs, unreadable = _each(chosen, lambda m: proofed(m, lambda p: sarif.manuscript(m.text.name, p, m.remark)))
        _write(sarif.report(logs, unreadable, installed_rules(), ascii_only=_is_narrow()))
    elif chosen.format == "html":
        from itertools import count

        from .report import proof_html
        from .rule_sets import installed_rules

        number = count(1)
        parts, unreadable = _each(
            chosen, lambda m: proofed(m, lambda p: proof_html.part(m.text.name, p, next(number), m.remark))
        )
        _write(proof_html.report(parts, unreadable, installed_rules(), ascii_only=_is_narrow()))
    elif chosen.format == "lines":
        from .report import lines

        reports, unreadable = _each(chosen, lambda m: proofed(m, lambda p: lines.report(m.text.name, p)))
        _write("".join(reports))
    else:
        from .report import scope, terminal

        def written(manuscript: Manuscript, done: Proof) -> tuple[str, scope.Summary]:
            page = _page()
            terminal.manuscript(manuscript.text.name, done, page, manuscript.remark)
            return page.text(), scope.summary(manuscript.text.name, done)

        results, unreadable = _each(chosen, lambda m: proofed(m, lambda p: written(m, p)))
        end = _page()
        terminal.closing([summary for _, summary in results], unreadable if results else [], end)
        _write("\n\n".join([*(text for text, _ in results), end.text()]) if results else "")
    return FAILED if unreadable else FINDINGS if any(loud) else NOTHING


def _let_stand(chosen: argparse.Namespace) -> bool:
    """Put down what is to stand; whether it could be done."""
    from .beside.desk import Desk, let_stand
    from .manuscript.read import Unreadable, read

    if not chosen.stet or not (chosen.because or "").strip():
        _complain("--stet and --because go together: what stands, and why")
        return False
    if len(chosen.paths) != 1:
        _complain("--stet is for one manuscript at a time")
        return False
    try:
        let_stand(Desk().proof(read(chosen.paths[0])), chosen.stet, chosen.because)
    except Unreadable as unreadable:
        _complain(f"{unreadable.path}: {unreadable.reason}")
        return False
    return True


def _worksheet(chosen: argparse.Namespace) -> int:
    from .manuscript.read import Unreadable
    from .worksheets import check, put

    try:
        check(chosen.format, chosen.output, chosen.paths, chosen.answers)
        data, unreadable = _sheets(chosen) if chosen.format in ("xlsx", "csv") else _worksheet_text(chosen)
        if not chosen.output:
            _write(data if isinstance(data, str) else "")
        elif data:
            put(chosen.output, data.encode("utf-8-sig" if chosen.format == "csv" else "utf-8", "replace") if isinstance(data, str) else data)
    except Unreadable as failed:
        _complain(str(failed))
        return FAILED
    return FAILED if unreadable else NOTHING


def _sheets(chosen: argparse.Namespace) -> tuple[str | bytes, list[Unreadable]]:
    """The workbook, or one sheet of it; nothing where no manuscript could be read."""
    from . import worksheets
    from .beside.desk import Desk

    asked = _asked(chosen)
    desk = Desk(None, asked)
    done, unreadable = _each(chosen, lambda m: worksheets.manuscript(desk, m))
    if not done:
        return "", unreadable
    made = worksheets.comma_separated(done, asked, chosen.sheet) if chosen.format == "csv" else worksheets.workbook(done, asked)
    return made, unreadable


def _worksheet_text(chosen: argparse.Namespace) -> tuple[str, list[Unreadable]]:
    from .beside.desk import Desk

    desk = Desk()
    if chosen.format == "json":
        from .report import worksheet_json

        sheets, unreadable = _each(chosen, lambda m: worksheet_json.worksheet(m.text.name, desk.proof(m.text, rules=())))
        return worksheet_json.report(sheets, ascii_only=_is_narrow()), unreadable
    if chosen.format == "html":
        from itertools import count

        from .report import worksheet_html

        number = count(1)
        pages, unreadable = _each(
            chosen, lambda m: worksheet_html.sheet(m.text.name, desk.proof(m.text, rules=()), next(number), m.note)
        )
        return worksheet_html.report(pages, unreadable, ascii_only=_is_narrow()), unreadable
    from .report import worksheet_table

    def table(manuscript: Manuscript) -> str:
        page = _page()
        worksheet_table.manuscript(manuscript.text.name, desk.proof(manuscript.text, rules=()), page, manuscript.note)
        return page.text()

    tables, unreadable = _each(chosen, table)
    return "\n\n".join(tables), unreadable


def _recheck(chosen: argparse.Namespace) -> int:
    from .beside.desk import Desk
    from .finding import Severity
    from .manuscript.read import Unreadable
    from .recheck import recheck

    desk = Desk(Severity(chosen.threshold) if chosen.threshold else None)
    versions = (chosen.old, chosen.new)
    if versions == ("-", "-") or any(map(os.path.isdir, versions)):
        _complain("recheck compares two files, one of which may be standard input; neither a folder nor standard input twice")
        return FAILED
    proofs: list[Proof] = []
    for chosen.paths in ([path] for path in versions):
        proofs += _each(chosen, lambda m: desk.proof(m.text))[0]
    if len(proofs) != len(versions):
        return FAILED
    found = recheck(*proofs)
    if chosen.format == "json":
        from .report import recheck_json

        _write(recheck_json.report(found, ascii_only=_is_narrow()))
    else:
        from .report import recheck_text

        page = _page()
        recheck_text.report(found, page)
        _write(page.text())
    try:
        threshold = desk.style_for(chosen.new).threshold
    except Unreadable as failed:
        _complain(str(failed))
        return FAILED
    return FINDINGS if found.new.loud(threshold) else NOTHING


def _markup(chosen: argparse.Namespace) -> int:
    from .beside.desk import Desk
    from .finding import Severity
    from .manuscript.read import Unreadable
    from .markup.markup import Wishes, in_words, mark_up_file

    wishes = Wishes(Severity(chosen.mildest), chosen.replace, chosen.corrections, chosen.overwrite)
    try:
        marked = mark_up_file(chosen.path, chosen.output, Desk(), wishes)
    except Unreadable as unreadable:
        _complain(str(unreadable))
        return FAILED
    _write(f"{chosen.output}: {in_words(marked)}\n")
    return NOTHING


def _explain(chosen: argparse.Namespace) -> int:
    from .report import explain
    from .rule_sets import installed_rules

    rules, width = installed_rules(), _page().width
    if chosen.rule is None:
        _write(explain.rule_list(rules, width))
        return NOTHING
    if chosen.rule == "settings":
        _write(explain.settings_page(rules, width))
        return NOTHING
    for rule in rules:
        if rule.name == chosen.rule:
            _write(explain.rule_page(rule, width))
            return NOTHING
    meant = explain.near(chosen.rule, rules)
    hint = f"did you mean {' or '.join(meant)}?" if meant else "`tenterhook explain` lists them all"
    _complain(f"there is no rule “{chosen.rule}”; {hint}")
    return FAILED


def _serve(arguments: list[str]) -> int:
    from ..server.main import main as serve

    return int(serve(arguments) or 0)


def _each(chosen: argparse.Namespace, work: Callable[[Manuscript], Result]) -> tuple[list[Result], list[Unreadable]]:
    """What ``work`` gave for every manuscript, and the ones that could not be done, which are also named at once."""
    from .batch import each
    from .manuscript.find import manuscripts
    from .manuscript.read import Unreadable
    from .report.progress import Progress

    paths = manuscripts(chosen.paths)
    done: list[Result] = []
    unreadable: list[Unreadable] = []
    with Progress(len(paths)) as progress:
        for outcome in each(paths, work):
            if isinstance(outcome, Unreadable):
                unreadable.append(outcome)
            else:
                done.append(outcome)
            progress.advance()
    for entry in unreadable:
        _complain(f"{entry.path}: {entry.reason}")
    return done, unreadable


def _page() -> Page:
    """A page as wide as the terminal, coloured where standard output is one and colour is not declined."""
    from shutil import get_terminal_size

    from .report.page import USUAL, Page

    colour = (
        sys.stdout is not None
        and sys.stdout.isatty()
        and not os.environ.get("NO_COLOR")
        and os.environ.get("TERM") != "dumb"
    )
    return Page(get_terminal_size((USUAL, 24)).columns, colour)


def _write(text: str) -> None:
    if sys.stdout is not None:
        sys.stdout.write(_fit(text, sys.stdout.encoding))


def _complain(message: str) -> None:
    if sys.stderr is not None:
        sys.stderr.write(_fit(f"tenterhook: {' '.join(message.split())}\n", sys.stderr.encoding))


def _fit(text: str, encoding: str | None) -> str:
    """``text`` with what the encoding cannot hold written otherwise: a report is never lost to one letter."""
    encoding = encoding or "utf-8"
    try:
        text.encode(encoding)
    except UnicodeEncodeError:
        return text.translate(_PLAIN_MARKS).encode(encoding, "backslashreplace").decode(encoding)
    return text


def _is_narrow() -> bool:
    """Whether standard output can hold only some of the characters there are."""
    return not (getattr(sys.stdout, "encoding", None) or "utf-8").lower().startswith("utf")


def _forget_output() -> None:
    """Whoever read the output has gone: let the interpreter's last flush go nowhere instead of complaining."""
    from contextlib import suppress

    with suppress(OSError, ValueError, AttributeError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


if __name__ == "__main__":
    sys.exit(main())
