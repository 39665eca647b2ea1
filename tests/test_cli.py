"""The commands: what they print, what they refuse, and the exit status, in this process and in one of their own."""

from __future__ import annotations

import io
import json
import os
import re
import subprocess
import sys
import tomllib
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

import pytest
from handmade import COWL
from tenterhook.lint import cli
from tenterhook.lint import proof as pipeline
from tenterhook.lint.finding import Severity
from tenterhook.lint.manuscript.plain import MAX_LINE
from tenterhook.lint.proof import Proof
from tenterhook.lint.report import progress
from tenterhook.lint.text import Text
from tenterhook.lint.version import VERSION
from test_report_json import check_proof, check_worksheet

CLEAN = """\
Harbour Mat

US terms.

Abbreviations
ch - chain
sc - single crochet
st(s) - stitch(es)

Mat

Row 1: Ch 11, sc in 2nd ch from hook and in each ch across, turn. (10 sts)
Row 2: Ch 1, sc in each st across, turn. (10 sts)
"""
FAULTY = CLEAN.replace(
    "Row 2: Ch 1, sc in each st across, turn. (10 sts)", "Row 2: Ch 1, sc in each st across, turn. (12 sts)"
)


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty folder, and the process standing in it."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "80")
    return tmp_path


@pytest.fixture
def handmade(monkeypatch: pytest.MonkeyPatch, cowl: Proof) -> Callable[[Sequence[Severity]], None]:
    """Makes the pipeline give the hand-made proof, with only the findings of the given severities."""

    def give(severities: Sequence[Severity] = tuple(Severity)) -> None:
        findings = tuple(
            replace(finding, follows=None) if len(severities) < len(Severity) else finding
            for finding in cowl.findings
            if finding.severity in severities
        )

        def proof(text: Text, style: object = None, rules: object = None, margin: object = None) -> Proof:
            if "spoilt" in text.source:
                raise KeyError(text.source)
            return replace(cowl, text=text, findings=findings)

        monkeypatch.setattr(pipeline, "proof", proof)

    give()
    return give


def command(*arguments: str | Path, given: str = "", **environment: str) -> subprocess.CompletedProcess[str]:
    """The program run in a process of its own."""
    return subprocess.run(
        [sys.executable, "-m", "tenterhook.lint.cli", *map(str, arguments)],
        input=given,
        capture_output=True,
        text=True,
        encoding="utf-8",
        env={**os.environ, "COLUMNS": "80", **environment},
        check=False,
    )


# In this process, on a hand-made proof.


@pytest.mark.parametrize(
    ("severities", "threshold", "status"),
    [
        ((), "suggestion", 0),
        (("suggestion",), "style", 0),
        (("suggestion",), "suggestion", 1),
        (("style",), None, 0),
        (("query",), None, 1),
        (("query",), "wrong", 0),
        (("wrong",), "wrong", 1),
        (("wrong", "query", "style", "suggestion"), None, 1),
    ],
)
@pytest.mark.parametrize("form", ["text", "lines", "json"])
def test_the_exit_status_follows_the_threshold(
    folder: Path,
    handmade: Callable[[Sequence[Severity]], None],
    capsys: pytest.CaptureFixture[str],
    severities: tuple[str, ...],
    threshold: str | None,
    status: int,
    form: str,
) -> None:
    handmade([Severity(name) for name in severities])
    (folder / "cowl.md").write_text(COWL, encoding="utf-8")
    extra = ["--threshold", threshold] if threshold else []
    assert cli.main(["proof", "--format", form, *extra, "cowl.md"]) == status
    assert capsys.readouterr().err == ""


@pytest.mark.usefixtures("handmade")
def test_json_of_readable_and_unreadable(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / "cowl.md").write_text(COWL, encoding="utf-8")
    assert cli.main(["proof", "--format", "json", "x.pdf", "cowl.md"]) == 2
    written = capsys.readouterr()
    report = check_proof(written.out)
    assert [manuscript["path"] for manuscript in report["manuscripts"]] == ["cowl.md"]
    assert [entry["path"] for entry in report["unreadable"]] == ["x.pdf"]
    assert written.err.startswith("tenterhook: x.pdf: ")


@pytest.mark.usefixtures("handmade")
@pytest.mark.parametrize("form", ["text", "lines", "json"])
def test_what_the_pipeline_cannot_take_is_told_without_a_traceback(
    folder: Path, capsys: pytest.CaptureFixture[str], form: str
) -> None:
    (folder / "a.md").write_text("spoilt", encoding="utf-8")
    (folder / "b.md").write_text(COWL, encoding="utf-8")
    assert cli.main(["proof", "--format", form, "a.md", "b.md"]) == 2
    written = capsys.readouterr()
    assert "tenterhook: a.md: Tenterhook failed on this manuscript (KeyError in tests/test_cli.py" in written.err
    assert "Traceback" not in written.err + written.out
    assert "b.md" in written.out
    assert cli.main(["worksheet", "a.md", "b.md"]) == 2


@pytest.mark.usefixtures("handmade")
def test_the_text_report_ends_with_an_overview_and_its_scope(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for name in ("a.md", "b.txt", "old.txt"):
        data = COWL.encode() if name != "old.txt" else COWL.replace("Cowl", "Caf\u00e9 Cowl").encode("cp1252")
        (folder / name).write_bytes(data)
    assert cli.main(["proof", "."]) == 1
    written = capsys.readouterr().out
    assert written.index("./a.md") < written.index("./b.txt") < written.index("Manuscript ")
    assert written.index("Manuscript ") < written.index("What this report covers")
    assert "read as Windows-1252" in written
    assert "\x1b" not in written


@pytest.mark.usefixtures("handmade")
def test_worksheets(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / "cowl.md").write_text(COWL, encoding="utf-8")
    assert cli.main(["worksheet", "cowl.md"]) == 0
    assert "9 sc + 8 FPdc + 9 sc = 26" in capsys.readouterr().out
    assert cli.main(["worksheet", "--format", "json", "cowl.md", "missing.md"]) == 2
    written = capsys.readouterr()
    assert [sheet["path"] for sheet in check_worksheet(written.out)["worksheets"]] == ["cowl.md"]
    assert written.err == "tenterhook: missing.md: there is no such file; check the name\n"


def terminal_like(monkeypatch: pytest.MonkeyPatch, stream: str) -> io.StringIO:
    screen = io.StringIO()
    screen.isatty = lambda: True  # type: ignore[method-assign]
    monkeypatch.setattr(sys, stream, screen)
    monkeypatch.setenv("TERM", "xterm")
    return screen


@pytest.mark.usefixtures("handmade")
@pytest.mark.parametrize(
    ("environment", "coloured"),
    [({}, True), ({"NO_COLOR": ""}, True), ({"NO_COLOR": "1"}, False), ({"TERM": "dumb"}, False)],
)
def test_colour_on_a_terminal_unless_declined(
    folder: Path, monkeypatch: pytest.MonkeyPatch, environment: dict[str, str], coloured: bool
) -> None:
    (folder / "cowl.md").write_text(COWL, encoding="utf-8")
    monkeypatch.delenv("NO_COLOR", raising=False)
    screen = terminal_like(monkeypatch, "stdout")
    for name, value in environment.items():
        monkeypatch.setenv(name, value)
    assert cli.main(["proof", "cowl.md"]) == 1
    assert ("\x1b[" in screen.getvalue()) == coloured


@pytest.mark.usefixtures("handmade")
@pytest.mark.parametrize("columns", [60, 80, 120])
def test_the_report_fits_the_terminal(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], columns: int
) -> None:
    (folder / "cowl.md").write_text(COWL, encoding="utf-8")
    monkeypatch.setenv("COLUMNS", str(columns))
    cli.main(["proof", "cowl.md"])
    cli.main(["worksheet", "cowl.md"])
    widths = {len(line) for line in capsys.readouterr().out.splitlines()}
    assert max(widths) <= columns
    assert max(widths) > columns - 25


@pytest.mark.usefixtures("handmade")
def test_progress_is_for_terminals_and_many_manuscripts(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for number in range(progress.MANY + 1):
        (folder / f"{number:02}.md").write_text(COWL, encoding="utf-8")
    screen = terminal_like(monkeypatch, "stderr")
    cli.main(["proof", "--format", "lines", "00.md"])
    assert screen.getvalue() == ""
    cli.main(["proof", "--format", "lines", "."])
    assert "Reading manuscripts" in screen.getvalue()


@pytest.mark.usefixtures("handmade")
def test_progress_shows_when_one_manuscript_takes_long(monkeypatch: pytest.MonkeyPatch) -> None:
    screen = terminal_like(monkeypatch, "stderr")
    monkeypatch.setattr(progress, "PATIENCE", 0.0)
    with progress.Progress(1) as shown:
        assert shown._timer is not None
        shown._timer.join(10)
        shown.advance()
    assert "Reading manuscripts" in screen.getvalue()


def test_stopped_by_the_user(folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    def proof(*_: object, **__: object) -> Proof:
        raise KeyboardInterrupt

    monkeypatch.setattr(pipeline, "proof", proof)
    (folder / "cowl.md").write_text(COWL, encoding="utf-8")
    assert cli.main(["proof", "cowl.md"]) == 130
    assert capsys.readouterr().err == "tenterhook: stopped\n"


@pytest.mark.usefixtures("handmade")
@pytest.mark.parametrize("form", ["text", "lines", "json"])
def test_a_narrow_encoding_loses_nothing(folder: Path, monkeypatch: pytest.MonkeyPatch, form: str) -> None:
    (folder / "caf\u00e9.md").write_text(COWL, encoding="utf-8")
    buffer = io.BytesIO()
    monkeypatch.setattr(sys, "stdout", io.TextIOWrapper(buffer, encoding="ascii"))
    assert cli.main(["proof", "--format", form, "caf\u00e9.md"]) == 1
    written = buffer.getvalue().decode("ascii")
    if form == "json":
        (manuscript,) = check_proof(written)["manuscripts"]
        assert manuscript["path"] == "caf\u00e9.md"
    else:
        assert '"shells" is used' in written


def test_the_server_gets_the_rest_of_the_line(monkeypatch: pytest.MonkeyPatch) -> None:
    from tenterhook.server import main as server

    given: list[object] = []

    def serve(arguments: object) -> int:
        given.append(arguments)
        return 1

    monkeypatch.setattr(server, "main", serve)
    assert cli.main(["serve", "--tcp", "localhost", "7000"]) == 1
    assert given == [["--tcp", "localhost", "7000"]]


def test_the_version_is_the_one_of_the_package() -> None:
    project = tomllib.loads((Path(__file__).parent.parent / "pyproject.toml").read_text(encoding="utf-8"))
    assert project["project"]["version"] == VERSION


# In a process of their own.


def test_the_version_needs_none_of_the_large_libraries() -> None:
    script = (
        "import sys\n"
        "from tenterhook.lint.cli import main\n"
        "try: main(['--version'])\n"
        "except SystemExit as stop: assert not stop.code\n"
        "print(sorted({'lark', 'rich', 'pygls', 'lsprotocol', 'importlib.metadata'} & set(sys.modules)))\n"
    )
    run = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert run.stdout == f"tenterhook {VERSION}\n[]\n"


@pytest.mark.parametrize(
    "arguments",
    [
        (),
        ("proof",),
        ("worksheet",),
        ("proof", "--format", "xml", "a.txt"),
        ("proof", "--threshold", "fatal", "a.txt"),
        ("unravel", "a.txt"),
    ],
)
def test_bad_usage_is_told(arguments: tuple[str, ...]) -> None:
    run = command(*arguments)
    assert (run.returncode, run.stdout) == (2, "")
    assert "usage: tenterhook" in run.stderr
    assert "Traceback" not in run.stderr


@pytest.mark.parametrize("arguments", [(), ("proof",), ("worksheet",), ("explain",)])
def test_help(arguments: tuple[str, ...]) -> None:
    run = command(*arguments, "--help")
    assert (run.returncode, run.stderr) == (0, "")
    assert "usage: tenterhook" in run.stdout


def test_a_reader_that_goes_away_is_no_fault(folder: Path) -> None:
    (folder / "cowl.md").write_text(COWL, encoding="utf-8")
    reading, writing = os.pipe()
    os.close(reading)
    run = subprocess.run(
        [sys.executable, "-m", "tenterhook.lint.cli", "explain"], stdout=writing, stderr=subprocess.PIPE, check=False
    )
    os.close(writing)
    assert (run.returncode, run.stderr) == (141, b"")


def test_a_clean_manuscript(folder: Path) -> None:
    (folder / "mat.txt").write_text(CLEAN, encoding="utf-8")
    run = command("proof", "mat.txt", "--threshold", "suggestion")
    assert (run.returncode, run.stderr) == (0, "")
    assert "2 rows: 2 proved, 0 differ, 0 assumed, 0 not read." in run.stdout
    assert command("proof", "--format", "lines", "mat.txt").stdout == ""


def test_a_faulty_manuscript_in_every_format(folder: Path) -> None:
    path = folder / "mat.txt"
    path.write_text(FAULTY, encoding="utf-8")
    line = FAULTY.splitlines().index("Row 2: Ch 1, sc in each st across, turn. (12 sts)") + 1

    text = command("proof", path.name)
    assert (text.returncode, text.stderr) == (1, "")
    assert re.search(rf"(?m)^1\. Wrong · .*Row 2, line {line} +row-total@row-2$", text.stdout)
    assert "^" in text.stdout
    assert "2 rows: 1 proved, 1 differ" in text.stdout

    lines = command("proof", "--format", "lines", path.name)
    assert lines.returncode == 1
    assert re.fullmatch(rf"mat\.txt:{line}:\d+: wrong: .*12.* \[row-total\]\n", lines.stdout)

    report = command("proof", "--format", "json", path.name)
    assert report.returncode == 1
    (manuscript,) = check_proof(report.stdout)["manuscripts"]
    assert manuscript["terms"] == "US"
    (finding,) = manuscript["findings"]  # type: ignore[misc]
    assert (finding["rule"], finding["severity"], finding["start"]["line"]) == ("row-total", "wrong", line)

    sheet = command("worksheet", "--format", "json", path.name)
    assert sheet.returncode == 0
    rows = check_worksheet(sheet.stdout)["worksheets"][0]["pieces"][0]["rows"]  # type: ignore[index]
    assert [(row["label"], row["status"], row["sizes"][0]["made"], row["sizes"][0]["stated"]) for row in rows] == [
        ("Row 1", "proved", 10, 10),
        ("Row 2", "differs", 10, 12),
    ]
    assert "differs" in command("worksheet", path.name).stdout


def test_standard_input(folder: Path) -> None:
    run = command("proof", "--format", "json", "-", given=FAULTY)
    assert run.returncode == 1
    assert [manuscript["path"] for manuscript in check_proof(run.stdout)["manuscripts"]] == ["-"]


def test_unreadable_files_are_named_and_the_others_are_still_read(folder: Path) -> None:
    (folder / "empty.txt").write_bytes(b"")
    with (folder / "large.txt").open("wb") as large:
        large.truncate(50_000_000)
    (folder / "binary.txt").write_bytes(bytes(range(256)) * 4)
    (folder / "none").mkdir()
    (folder / "line.txt").write_bytes(b"sc, " * (MAX_LINE // 4 + 1))
    (folder / "mat.docx").write_bytes(b"PK\x03\x04")
    (folder / "good.txt").write_text(CLEAN, encoding="utf-8")
    names = ["empty.txt", "large.txt", "binary.txt", "none", "line.txt", "mat.docx", "missing.txt"]
    run = command("proof", "--format", "json", *names, "good.txt")
    assert run.returncode == 2
    assert "Traceback" not in run.stderr
    report = check_proof(run.stdout)
    assert [manuscript["path"] for manuscript in report["manuscripts"]] == ["good.txt"]
    reasons = {str(entry["path"]): str(entry["reason"]) for entry in report["unreadable"]}
    assert list(reasons) == names
    for name, words in zip(
        names,
        ["empty", "8 MB", "not text", "no manuscripts", "line 1 is longer", "cannot be unpacked", "no such file"],
        strict=True,
    ):
        assert words in reasons[name]
        assert f"tenterhook: {name}: " in run.stderr


@pytest.mark.parametrize(
    "source",
    [
        "Row 1: " + "(" * 10_000,
        "Row 1: " + "[" * 10_000 + "sc" + "]" * 10_000,
        "Row 1: Ch 4, " + "* " * 10_000 + "rep from * across.",
        "Row 1: " + "sc, " * (MAX_LINE // 4 - 10),
        "Row 99999999999999999999: Ch 99999999999999999999, sc 99999999999999999999 times.\nRows 1-999999999: sc.\n",
    ],
    ids=["open brackets", "nested brackets", "stars", "a line of a megabyte", "large numbers"],
)
def test_odd_manuscripts_are_read_all_the_same(folder: Path, source: str) -> None:
    (folder / "odd.txt").write_text(source, encoding="utf-8")
    for arguments in (("proof", "--format", "json"), ("proof",), ("worksheet",)):
        run = command(*arguments, "odd.txt")
        assert run.returncode in (0, 1), run.stderr
        assert "Traceback" not in run.stderr


def test_explain_lists_explains_and_hints() -> None:
    every = command("explain")
    assert (every.returncode, every.stderr) == (0, "")
    assert "row-total" in every.stdout
    one = command("explain", "row-total")
    assert one.returncode == 0
    assert one.stdout.startswith("row-total (wrong, counts)\n")
    missed = command("explain", "row-totals")
    assert (missed.returncode, missed.stdout) == (2, "")
    assert "there is no rule “row-totals”; did you mean row-total or " in missed.stderr


def test_json_is_the_same_each_time(folder: Path) -> None:
    (folder / "mat.txt").write_text(FAULTY, encoding="utf-8")
    first, second = (json.loads(command("proof", "--format", "json", "mat.txt").stdout) for _ in range(2))
    assert first == second


def test_the_report_in_the_readme_is_what_is_printed(monkeypatch: pytest.MonkeyPatch) -> None:
    root = Path(__file__).parent.parent
    monkeypatch.chdir(root)
    shown = (root / "README.md").read_text("utf-8").split("## What a report looks like")[1].split("```text\n")[1].split("```")[0]
    printed = command("proof", "examples/submitted/32-tuppence-vole.txt").stdout
    for part in shown.split("[...]"):
        assert part.strip() in printed
