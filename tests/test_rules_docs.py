"""A rule's own text is its first test: it speaks up on what it says it looks like, and not on what is better."""

from __future__ import annotations

import re

import pytest
from tenterhook.lint.proof import proof
from tenterhook.lint.rule import Rule
from tenterhook.lint.style import OFF, Choice, Style
from tenterhook.lint.text import Text
from tenterhook.rules import rules
from tenterhook.rules.page import PAGE, SETTINGS_PAGE, page, settings_page

EVERY = list(rules())
# What is off unless a house asks for it is asked for here, by its first form.
ASKED: dict[str, str | tuple[str, ...]] = {
    s.name: s.values if s.ordered else s.values[0] for rule in EVERY for s in rule.settings if isinstance(s, Choice) and s.usual == OFF
}


def spoken(manuscript: str, rule: Rule) -> set[str]:
    asked = {name: value for name, value in ASKED.items() if name == rule.name}
    return {f.rule for f in proof(Text(manuscript), Style(strict=True, choices=asked), EVERY, corrections=False).findings}


@pytest.mark.parametrize("rule", EVERY, ids=lambda rule: rule.name)
def test_speaks_up_on_what_it_looks_like(rule: Rule) -> None:
    assert rule.name in spoken(rule.looks_like, rule)


@pytest.mark.parametrize("rule", EVERY, ids=lambda rule: rule.name)
def test_is_quiet_on_what_is_better(rule: Rule) -> None:
    assert rule.name not in spoken(rule.better, rule)


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
    assert SETTINGS_PAGE.read_text(encoding="utf-8") == settings_page(EVERY), "run python -m tenterhook.rules.page"
