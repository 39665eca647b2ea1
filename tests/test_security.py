"""What SECURITY.md promises and no other test holds: watched by Python's own audit hooks (PEP 578) in a process apart."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from functools import cache
from pathlib import Path

import pytest
from documents import word
from tenterhook.lint.cache import cache_folder
from tenterhook.lint.manuscript.find import manuscripts

ROOT = Path(__file__).parent.parent
MARK = "plover_nest"
LURE = f"{MARK}.txt"
PYTHON = f"__import__('pathlib').Path('{LURE}').touch()"
HOSTILE = f"""\
{PYTHON}
US terms. {{{{ {PYTHON} }}}} ${{{PYTHON}}} `touch {LURE}` %(x)s {{0.__class__}}
\x1b]0;{MARK}\x07<script>{MARK}</script> file:///etc/passwd http://{MARK}.invalid/x https://{MARK}.invalid

Abbreviations
{MARK}: {PYTHON}

Ch 11.
Row 1: Sc in 2nd ch from hook and in each ch across, turn. (11 sc) eval({PYTHON})
Row 2: Ch 1, sc in each {PYTHON} across. (10 sc)
"""

WATCHED = """
import json, os, sys
seen = []
def watch(event, arguments):
    if event == "open":
        path, mode, flags = arguments
        if isinstance(path, (str, bytes)) and (flags or 0) & (os.O_WRONLY | os.O_RDWR | os.O_CREAT):
            seen.append(["write", os.path.realpath(os.fsdecode(path))])
    elif event.startswith(("socket.", "urllib.", "ftplib.", "smtplib.", "http.")):
        seen.append(["network", event])
    elif event in ("os.system", "os.exec", "os.posix_spawn", "os.fork", "os.forkpty", "os.startfile", "pty.spawn", "webbrowser.open"):
        seen.append(["process", event])
    elif event == "subprocess.Popen":
        seen.append(["child", [str(part) for part in arguments[1]]])
    elif event == "compile":
        seen.append(["code", str(arguments[0])])
    elif event in ("os.mkdir", "os.remove", "os.rename", "os.rmdir", "os.symlink", "os.link", "os.chmod", "os.truncate", "shutil.rmtree"):
        seen.append(["change", os.path.realpath(os.fsdecode(arguments[0]))])
sys.addaudithook(watch)
from tenterhook.lint.cli import main
out, sys.stdout = sys.stdout, open(os.devnull, "w")
seen.clear()
for arguments in json.loads(sys.argv[1]):
    try:
        main(arguments)
    except SystemExit:
        pass
json.dump([entry for entry in seen if entry[0] != "code" or MARK in entry[1]], out)
"""


@cache
def _folder(base: Path) -> Path:
    folder = base / "leaflets"
    folder.mkdir()
    (folder / "hostile.md").write_text(HOSTILE, "utf-8")
    (folder / "hostile.html").write_text(f"<!doctype html><p>Row 1: Ch 11.<img src='http://{MARK}.invalid/x'><script>{PYTHON}</script>", "utf-8")
    (folder / "strap.docx").write_bytes(word(["Row 1: Ch 11.", HOSTILE.replace("\x1b", "").replace("\x07", "")]))
    for module in ("json", "rich", "lxml", "tenterhook", "sitecustomize"):
        (folder / f"{module}.py").write_text(f"{PYTHON}\nraise SystemExit('loaded')\n", "utf-8")
    return folder


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Manuscripts that want to be run, and Python files with names of modules beside them."""
    return _folder(tmp_path_factory.mktemp("hostile"))


@pytest.fixture(scope="module")
def cache_home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("cache")


def environment(cache_home: Path) -> dict[str, str]:
    return os.environ | {"XDG_CACHE_HOME": str(cache_home), "PYTHONDONTWRITEBYTECODE": "1"}


@pytest.fixture(scope="module")
def seen(folder: Path, cache_home: Path) -> list[tuple[str, object]]:
    """What every command did, in every format, that an audit hook can see."""
    commands = [["proof", "--format", form, "."] for form in ("text", "lines", "json", "sarif", "html")]
    commands += [["worksheet", "--format", form, "."] for form in ("table", "json", "html", "csv")]
    commands += [["recheck", "--format", form, "hostile.md", "hostile.html"] for form in ("text", "json")]
    commands += [["explain"], ["explain", "row-total"], ["explain", "settings"]]
    code = WATCHED.replace("MARK", repr(MARK))
    run = subprocess.run(
        [sys.executable, "-P", "-c", code, json.dumps(commands)],
        cwd=folder, env=environment(cache_home), capture_output=True, text=True, check=True, timeout=120,
    )  # fmt: skip
    return [(kind, what) for kind, what in json.loads(run.stdout)]


def test_nothing_leaves_the_machine(seen: list[tuple[str, object]]) -> None:
    assert [what for kind, what in seen if kind == "network"] == []


def test_nothing_is_written_but_to_the_user_s_cache(seen: list[tuple[str, object]], cache_home: Path) -> None:
    written = {str(what) for kind, what in seen if kind in ("write", "change")} - {os.path.realpath(os.devnull)}
    own = str(cache_home.resolve())
    assert {path for path in written if not path.startswith(own)} == set()
    assert written, "the watch sees what is written"


def test_no_word_of_a_manuscript_becomes_code(seen: list[tuple[str, object]], folder: Path) -> None:
    assert [what for kind, what in seen if kind in ("code", "process")] == []
    assert not (folder / LURE).exists()


def test_the_only_child_is_the_program_itself(seen: list[tuple[str, object]]) -> None:
    children = {tuple(what) for kind, what in seen if kind == "child" and isinstance(what, list)}
    assert {child[:4] for child in children} == {(sys.executable, "-P", "-m", "tenterhook.lint.confined")}
    assert {child[4] for child in children} == {"manuscript.word:read", "manuscript.html:read"}


def test_python_files_beside_a_manuscript_are_not_run(folder: Path, cache_home: Path) -> None:
    """The command as installed, started in the folder of the manuscripts."""
    program = Path(sys.executable).with_name("tenterhook")
    run = subprocess.run([program, "proof", "--format", "lines", "."], cwd=folder, env=environment(cache_home), capture_output=True, text=True, timeout=60)
    assert run.returncode == 1 and "row-total" in run.stdout, run
    assert "loaded" not in run.stdout + run.stderr
    assert not (folder / LURE).exists()


LISTENING = """
import sys
seen = []
sys.addaudithook(lambda event, arguments: seen.append(event) if event in ("socket.bind", "socket.connect", "socket.getaddrinfo", "socket.sendto") else None)
from tenterhook.server.main import main
status = main([])
sys.stderr.write(f"seen {seen} status {status}")
"""


def test_the_server_opens_no_port_unless_it_is_told_to() -> None:
    run = subprocess.run([sys.executable, "-c", LISTENING], stdin=subprocess.DEVNULL, capture_output=True, text=True, timeout=60)
    assert "seen [] status" in run.stderr, run


@pytest.mark.skipif(not hasattr(os, "getuid"), reason="this system has no permissions of that kind")
def test_a_cache_that_others_may_write_to_is_not_used(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What is kept there is loaded again, so nobody else may put it there."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    folder = cache_folder()
    assert folder == tmp_path / "tenterhook" and folder.stat().st_mode & 0o777 == 0o700
    for mode in (0o770, 0o702):
        folder.chmod(mode)
        assert cache_folder() is None
    folder.chmod(0o700)
    monkeypatch.setattr(os, "getuid", lambda: folder.stat().st_uid + 1)
    assert cache_folder() is None


@pytest.mark.skipif(sys.platform == "win32", reason="making a link needs a right of its own there")
def test_a_link_does_not_lead_out_of_the_folder_asked_for(tmp_path: Path) -> None:
    (tmp_path / "private").mkdir()
    (tmp_path / "private" / "letter.txt").write_text("Row 1: Ch 11.\n", "utf-8")
    (tmp_path / "leaflets").mkdir()
    (tmp_path / "leaflets" / "strap.txt").write_text("Row 1: Ch 11.\n", "utf-8")
    (tmp_path / "leaflets" / "more").symlink_to(tmp_path / "private", target_is_directory=True)
    assert manuscripts([str(tmp_path / "leaflets")]) == [str(tmp_path / "leaflets" / "strap.txt")]


def test_every_promise_names_a_test_that_is_there() -> None:
    page = (ROOT / "SECURITY.md").read_text("utf-8")
    named = re.findall(r"`([\w/]+\.py)::(test_\w+)`", page)
    assert len(named) >= 25
    missing = [f"{file}::{test}" for file, test in named if f"def {test}(" not in (ROOT / "tests" / file).read_text("utf-8")]
    assert missing == []
    promises = [line for line in page.splitlines() if line.startswith("- **")]
    assert [line for line in promises if "::test_" not in _whole(page, line)] == []


def _whole(page: str, line: str) -> str:
    """A promise with the lines that belong to it."""
    return re.split(r"\n(?=- |\n|#)", page[page.index(line) :])[0]
