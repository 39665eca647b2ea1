"""Patterns kept between runs: they are what ``re`` makes, and nothing from a manuscript is among them."""

from __future__ import annotations

import ast
import json
import marshal
import os
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from tenterhook.lint import regex

ROOT = Path(__file__).parent.parent

PROOF = """
import json, sys, time
from tenterhook.lint.proof import proof
from tenterhook.lint.text import Text
print(json.dumps([f.message for f in proof(Text(open(sys.argv[1], encoding="utf-8").read())).findings]))
"""


def proofed(cache: Path) -> list[str]:
    """The messages of a submitted leaflet, proofed in a process of its own."""
    leaflet = ROOT / "examples" / "submitted" / "32-tuppence-vole.txt"
    environment = {**os.environ, "XDG_CACHE_HOME": str(cache)}
    done = subprocess.run([sys.executable, "-c", PROOF, str(leaflet)], capture_output=True, text=True, check=True, env=environment)
    return json.loads(done.stdout)


def test_kept_patterns_are_those_of_re(tmp_path: Path) -> None:
    first = proofed(tmp_path)
    (path,) = (tmp_path / "tenterhook").glob("patterns-*")
    kept = marshal.loads(path.read_bytes())
    assert len(kept) > 300
    engine = regex.import_module("_sre")
    for (pattern, flags), code in kept.items():
        made, plain = engine.compile(pattern, *code), re.compile(pattern, flags)
        assert made == plain  # compares the code too
        assert (made.groups, made.groupindex, made.flags) == (plain.groups, plain.groupindex, plain.flags)
    assert not [pattern for pattern, _ in kept if re.search("vole|tuppence", pattern, re.IGNORECASE)]
    assert proofed(tmp_path) == first
    path.write_bytes(path.read_bytes()[:-100])
    assert proofed(tmp_path) == first
    assert marshal.loads(path.read_bytes()) == kept


@pytest.mark.parametrize("pattern", [r"(?P<n>\d+)(?:-(?P<m>\d))?", r"(?i:ch)|sc", "[½é-ü]+", "", r"(a)(?P<b>b)\1"])
@pytest.mark.parametrize("flags", [0, re.IGNORECASE, re.MULTILINE | re.DOTALL])
def test_a_pattern_is_compiled_as_re_does(pattern: str, flags: int) -> None:
    made, plain = regex.compile(pattern, flags), re.compile(pattern, flags)
    assert made == plain
    assert (made.groups, made.groupindex) == (plain.groups, plain.groupindex)


def test_what_is_no_pattern_is_told_as_re_tells_it() -> None:
    with pytest.raises(re.error):
        regex.compile("(")


def test_the_functions_do_as_those_of_re() -> None:
    assert regex.sub(r"(\d)", r"<\1>", "a1b2", count=1) == "a<1>b2"
    assert regex.split(r",\s*", "a, b,c", maxsplit=1) == ["a", "b,c"]
    assert regex.findall("SC", "sc Sc", regex.IGNORECASE) == ["sc", "Sc"]
    assert [m.span() for m in regex.finditer("b", "abab")] == [(1, 2), (3, 4)]
    assert regex.match("b", "ab") is regex.fullmatch("a", "ab") is None
    assert (found := regex.search("^b", "a\nb", regex.MULTILINE)) and found.start() == 2


# What is fixed: a name in capitals is a constant, and these put together constants only.
OF_CONSTANTS = {
    "lint/measures_yarn.py:_named_weights",
    "lint/regex.py",
    "lint/syntax/lexer.py:_master",
    "rules/materials/notions.py",
    "rules/words/word_mixed.py:_compiled",
    "rules/words/word_mixed.py:_spellings",
}


def not_fixed(path: Path) -> Iterator[str]:
    """Patterns that a function puts together from what may be the manuscript's."""
    name = path.relative_to(ROOT).as_posix()
    for function in ast.walk(ast.parse(path.read_text("utf-8"))):
        if not isinstance(function, ast.FunctionDef) or {name, f"{name}:{function.name}"} & OF_CONSTANTS:
            continue
        for call in ast.walk(function):
            if isinstance(call, ast.Call) and isinstance(call.func, ast.Attribute) and ast.unparse(call.func.value) == "regex":
                parts = list(ast.walk(call.args[0]))
                if any(isinstance(p, ast.Call | ast.Attribute) or (isinstance(p, ast.Name) and p.id != p.id.upper()) for p in parts):
                    yield f"{name}: {ast.unparse(call)}"


def test_a_pattern_with_words_of_a_manuscript_is_not_kept() -> None:
    sources = [path for package in ("lint", "rules") for path in (ROOT / package).rglob("*.py")]
    assert [found for path in sources for found in not_fixed(path)] == []


def test_a_pattern_with_words_of_a_manuscript_is_seen(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(f"{__name__}.ROOT", tmp_path)
    path = tmp_path / "rule.py"
    path.write_text("def check(name):\n    regex.search(rf'{_N} {name}', text)\n    regex.search(rf'{_N}', text)\n", "utf-8")
    assert len(list(not_fixed(path))) == 1
