"""A rule's own text is its first test: it speaks up on what it says it looks like, and not on what is better."""

from __future__ import annotations

import re

import pytest
from tenterhook.lint.proof import proof
from tenterhook.lint.rule import Rule
from tenterhook.lint.style import Style
from tenterhook.lint.text import Text
from tenterhook.rules import rules
from tenterhook.rules.page import PAGE, page

EVERY = list(rules())
STRICT = Style(strict=True)


def spoken(manuscript: str) -> set[str]:
    return {f.rule for f in proof(Text(manuscript), STRICT, EVERY, corrections=False).findings}


@pytest.mark.parametrize("rule", EVERY, ids=lambda rule: rule.name)
def test_speaks_up_on_what_it_looks_like(rule: Rule) -> None:
    assert rule.name in spoken(rule.looks_like)


@pytest.mark.parametrize("rule", EVERY, ids=lambda rule: rule.name)
def test_is_quiet_on_what_is_better(rule: Rule) -> None:
    assert rule.name not in spoken(rule.better)


def test_names_are_plain_hyphenated_words_and_used_once() -> None:
    names = [rule.name for rule in EVERY]
    assert len(set(names)) == len(names)
    assert [n for n in names if not re.fullmatch(r"[a-z]+(-[a-z]+)*", n)] == []


@pytest.mark.parametrize("rule", EVERY, ids=lambda rule: rule.name)
def test_prose_is_a_title_and_whole_sentences(rule: Rule) -> None:
    assert rule.title[0].isupper() and rule.title[-1] not in ":;,"
    for prose in (rule.why, rule.let_stand):
        assert prose == prose.strip()
        assert prose.rstrip("”\")")[-1] in ".?!", prose


def test_the_page_is_up_to_date() -> None:
    assert PAGE.read_text(encoding="utf-8") == page(EVERY), "run python -m tenterhook.rules.page"
