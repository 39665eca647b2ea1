"""The rules of installed packages: found by entry point, the answer kept while nothing is installed or taken away."""

from __future__ import annotations

import os
from collections.abc import Iterator
from importlib.metadata import entry_points
from pathlib import Path

import pytest
from tenterhook.lint import rule_sets
from tenterhook.lint.cache import keep

OFFER = """[tenterhook.rules]
house = house_rules:all_rules
"""
MODULE = """
from dataclasses import replace
from tenterhook.lint.rule_sets import GROUP
from tenterhook.rules.counts.row_total import RULE

def all_rules():
    yield replace(RULE, name="house-total")
"""


@pytest.fixture
def cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    rule_sets.installed_rules.cache_clear()
    yield tmp_path / "cache" / "tenterhook"
    rule_sets.installed_rules.cache_clear()


def names() -> list[str]:
    rule_sets.installed_rules.cache_clear()
    return [rule.name for rule in rule_sets.installed_rules()]


def test_a_package_installed_and_taken_away_is_seen(cache: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    site = tmp_path / "site"
    site.mkdir()
    monkeypatch.syspath_prepend(str(site))
    before = names()
    assert "row-total" in before and "house-total" not in before
    info = site / "house_rules-1.0.dist-info"
    info.mkdir()
    (info / "METADATA").write_text("Metadata-Version: 2.1\nName: house-rules\nVersion: 1.0\n")
    (info / "entry_points.txt").write_text(OFFER)
    (site / "house_rules.py").write_text(MODULE)
    os.utime(site, ns=(1, 1))  # a clock too coarse to tell the two moments apart must not decide the test
    assert {"row-total", "house-total"} <= set(names())
    (info / "entry_points.txt").unlink()
    os.utime(site, ns=(2, 2))
    assert names() == before


def test_the_kept_answer_is_what_the_packages_say(cache: Path) -> None:
    first, second = names(), names()
    assert first == second
    (kept,) = cache.glob("rules-*.txt")
    assert kept.read_text("utf-8").splitlines()[1:] == list(dict.fromkeys(e.value for e in entry_points(group=rule_sets.GROUP)))


@pytest.mark.parametrize("content", [b"", b"\xff\xfe", b"1 2 3\nno_such_module:rules\n", b"\0" * 4096])
def test_a_torn_or_stale_answer_is_asked_for_anew(cache: Path, content: bytes) -> None:
    first = names()
    (kept,) = cache.glob("rules-*.txt")
    kept.write_bytes(content)
    assert names() == first


def test_without_a_cache_folder_the_packages_are_asked(cache: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "file").write_text("")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "file"))
    assert "row-total" in names()


def test_what_cannot_be_kept_is_let_go(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    keep(tmp_path / "file" / "rules.txt", b"1")
    keep(tmp_path / "nowhere" / "rules.txt", b"1")
    assert [p.name for p in tmp_path.iterdir()] == ["file"]
