"""The set-ups of editors/ in the editors themselves, where they are installed."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

HERE = Path(__file__).parent
EDITORS = HERE.parents[1] / "editors"
EXAMPLES = HERE.parents[1] / "examples"
TEXT = "# Cowl\r\nteh \U0001f9f6 e\u0301é teh\f teh\r\nRow 1: makes 11\r\n"

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="the stand-in for the command is a shell script")


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A home folder, a manuscript in it, and a ``tenterhook`` command that serves the hand-made proof."""
    command = tmp_path / "bin" / "tenterhook"
    command.parent.mkdir()
    command.write_text(f'#!/bin/sh\nshift\nexec "{sys.executable}" "{HERE / "fake_server.py"}" "$@"\n')
    command.chmod(0o755)
    monkeypatch.setenv("PATH", f"{command.parent}{os.pathsep}{os.environ['PATH']}")
    for name in ("HOME", "XDG_CONFIG_HOME", "XDG_STATE_HOME", "XDG_DATA_HOME", "XDG_CACHE_HOME"):
        monkeypatch.setenv(name, str(tmp_path))
    (tmp_path / "cowl.txt").write_bytes(TEXT.encode())
    (tmp_path / "tenterhook.toml").touch()  # the folder asks for it
    return tmp_path


def run(*command: str, folder: Path) -> list[str]:
    done = subprocess.run(command, cwd=folder, capture_output=True, text=True, timeout=60, check=False)
    return (done.stdout + done.stderr).splitlines()


def neovim() -> str | None:
    beside = Path(sys.executable).with_name("nvim")
    path = str(beside) if beside.exists() else shutil.which("nvim")
    version = subprocess.run([path, "--version"], capture_output=True, text=True, check=False).stdout if path else ""
    found = re.match(r"NVIM v(\d+)\.(\d+)", version)
    return path if found and (int(found[1]), int(found[2])) >= (0, 11) else None


NEOVIM = r"""
local b = vim.api.nvim_get_current_buf()
local function line(n) return vim.api.nvim_buf_get_lines(b, n, n + 1, false)[1] end
vim.wait(10000, function() return #vim.diagnostic.get(b) > 0 end, 10)
for _, d in ipairs(vim.diagnostic.get(b)) do
  io.stdout:write("found " .. line(d.lnum):sub(d.col + 1, d.end_col) .. " " .. d.code .. "\n")
end
vim.api.nvim_win_set_cursor(0, { 2, 1 })
vim.lsp.buf.code_action({ apply = true, filter = function(action) return action.isPreferred end })
vim.wait(5000, function() return line(1):sub(1, 3) == "the" end, 10)
vim.wait(5000, function() return #vim.diagnostic.get(b) == 2 end, 10)
io.stdout:write("left " .. #vim.diagnostic.get(b) .. "\n")
vim.wait(5000, function() return #vim.lsp.inlay_hint.get({ bufnr = b }) > 0 end, 10)
io.stdout:write("hint " .. vim.lsp.inlay_hint.get({ bufnr = b })[1].inlay_hint.label .. "\n")
vim.wait(5000, function() return #vim.lsp.codelens.get(b) > 0 end, 10)
io.stdout:write("lens " .. vim.lsp.codelens.get(b)[1].command.title .. "\n")
vim.cmd("qa!")
"""


@pytest.mark.skipif(not neovim(), reason="Neovim 0.11 is not installed")
def test_neovim(home: Path):
    (home / "nvim").mkdir()
    shutil.copy(EDITORS / "neovim" / "tenterhook.lua", home / "nvim" / "init.lua")
    (home / "drive.lua").write_text(NEOVIM)
    said = run(neovim() or "", "--headless", "cowl.txt", "-c", "luafile drive.lua", folder=home)
    assert said == ["found teh word-mixed"] * 3 + ["left 2", "hint makes 11 sc", "lens proved 1 of 1 row"]


EMACS = r"""
(require 'eglot)
(find-file "cowl.txt")
(unless (eglot-current-server) (apply #'eglot--connect (eglot--guess-contact)))
(flymake-mode 1)
(let ((end (+ (float-time) 10)))
  (while (and (< (float-time) end) (not (flymake-diagnostics)))
    (flymake-start)
    (accept-process-output nil 0.1)))
(dolist (d (flymake-diagnostics))
  (princ (format "found %s\n" (buffer-substring (flymake-diagnostic-beg d) (flymake-diagnostic-end d)))))
"""


def emacs() -> list[str] | None:
    path = shutil.which("emacs")
    folders = [str(each) for each in Path("/usr/share/emacs/site-lisp/elpa-src").glob("*")]
    command = [path or "", "-Q", "--batch", *(word for folder in folders for word in ("-L", folder))]
    if not path or subprocess.run([*command, "-l", "eglot"], capture_output=True, check=False).returncode:
        return None
    return command


@pytest.mark.skipif(not shutil.which("emacs"), reason="Emacs is not installed")
def test_emacs(home: Path):
    command = emacs()
    if command is None:
        pytest.skip("Eglot is not installed")
    shutil.copy(EDITORS / "emacs" / "tenterhook.el", home / "init.el")
    (home / "drive.el").write_text(EMACS)
    said = run(*command, "-l", "init.el", "-l", "drive.el", folder=home)
    assert [line for line in said if line.startswith("found")] == ["found teh"] * 3, said
