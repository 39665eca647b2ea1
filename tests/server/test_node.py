"""A client of another make, on Node, that shares no code with the server's library; skipped where it is not to be had."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

HERE = Path(__file__).parent
NODE = HERE / "node"
TEXT = "# Cowl\r\nteh \U0001f9f6 e\u0301é teh\f teh\r\nRow 1: makes 11\r\n"


@pytest.fixture(scope="session")
def node() -> str:
    """Node, with the protocol package beside the probe; installed once, and left there for the next time."""
    found, npm = shutil.which("node"), shutil.which("npm")
    if not found or not npm:
        pytest.skip("Node is not installed")
    if not (NODE / "node_modules" / "vscode-languageserver-protocol").exists():
        install = [npm, "install", "--no-audit", "--no-fund", "--no-package-lock", "--silent", "--fetch-retries=0"]
        try:
            done = subprocess.run(install, cwd=NODE, capture_output=True, timeout=45, check=False)
        except subprocess.TimeoutExpired:
            pytest.skip("the protocol package did not come in time")
        if done.returncode:
            pytest.skip("the protocol package is not to be had")
    return found


def probe(node: str, file: Path, script: str, line: int = 0, keys: int = 0) -> dict[str, Any]:
    command = [node, str(NODE / "probe.mjs"), str(file), str(line), str(keys), sys.executable, str(HERE / script)]
    done = subprocess.run(command, capture_output=True, text=True, timeout=60, check=False)
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def test_the_same_words_are_underlined(node: str, tmp_path: Path) -> None:
    file = tmp_path / "cowl.txt"
    file.write_bytes(TEXT.encode())
    told = probe(node, file, "fake_server.py")
    assert told["underlined"] == ["teh"] * 3
    assert told["encoding"] == "utf-16"
    assert told["code"] == 0


def test_every_keystroke_is_answered_and_nothing_is_left_behind(node: str) -> None:
    example = HERE.parents[1] / "examples" / "submitted" / "32-tuppence-vole.txt"
    told = probe(node, example, "real_server.py", line=50, keys=6)
    assert {"repeat-open", "base-short"} <= set(told["codes"])
    assert told["left"] == len(told["codes"]), "what was typed was taken back"
    assert told["code"] == 0
