"""The pages of all rules and settings, from their own fields: ``python -m tenterhook.rules.page`` writes them here."""

from __future__ import annotations

import re
from collections.abc import Iterable
from itertools import groupby
from pathlib import Path

from ..lint.rule import Rule
from ..lint.schema import RULES_SENTENCE, SETTINGS_OPENING, TABLE_SENTENCES, schema, sentence, table_of
from . import rules

PAGE = Path(__file__).parent / "README.md"
SETTINGS_PAGE = Path(__file__).parent / "settings.md"
_OPENING = """# The rules

One folder a family, one file a rule. A rule is one value: its name, severity, the reasons for it, a manuscript it speaks
up on and one it is quiet on, and the function that looks. To add one, write the file, write its cases under
`tests/cases/<family>/`, and run `python -m tenterhook.rules.page`, which writes this page; a stale page fails the tests.

The severity given is the usual one. **wrong** cannot come out as written; **query** is a question to the author; **style**
differs from the house style or the manuscript's own habit; **suggestion** is for the reader's comfort, and for what was
not read.
"""


def page(every: Iterable[Rule]) -> str:
    """The whole page as Markdown."""
    ordered = sorted(every, key=lambda rule: (rule.family, rule.name))
    parts = [_OPENING, _table(ordered)]
    for family, members in groupby(ordered, key=lambda rule: rule.family):
        parts.append(f"## {family.capitalize()}\n")
        parts += [_entry(rule) for rule in members]
    return "\n".join(parts).rstrip() + "\n"


def settings_page(every: Iterable[Rule]) -> str:
    """Every setting of the house style as Markdown."""
    parts = [f"# The settings of a house style\n\n{_one_line(SETTINGS_OPENING)}\n\nThis page is written by `python -m tenterhook.rules.page` from what the rules declare.\n"]
    for table, settings in schema(list(every)).items():
        parts.append(f"## {f'`[{table}]`' if table else 'At the top of the file'}\n")
        parts += [f"{_in_code(TABLE_SENTENCES[table])}\n"] if table in TABLE_SENTENCES else []
        parts.append("\n".join(f"- `{setting.name}`: {_in_code(sentence(setting))}" for setting in settings.values()) + "\n")
    parts.append(f"## `[rules]`\n\n{_in_code(RULES_SENTENCE)} [README.md](README.md) has them all.\n")
    return "\n".join(parts)


def _in_code(words: str) -> str:
    """Values, which a person types as they are, set as code."""
    return re.sub(r'"[^"]*"', lambda m: f"`{m[0]}`", words)


def _table(ordered: list[Rule]) -> str:
    lines = ["| rule | family | severity | what it says |", "|---|---|---|---|"]
    lines += [f"| [`{r.name}`](#{r.name}) | {r.family} | {r.severity.value} | {_title(r)} |" for r in ordered]
    return "\n".join(lines) + "\n"


def _entry(rule: Rule) -> str:
    parts = [
        f"### {rule.name}\n",
        f"{_title(rule)}. *Usually {rule.severity.value}.*\n",
        f"{_one_line(rule.why)}\n",
        f"What it looks like:\n\n{_fenced(rule.looks_like)}\n",
        f"What is better:\n\n{_fenced(rule.better)}\n",
        f"Let it stand: {_one_line(rule.let_stand)}\n",
    ]
    if rule.source:
        parts.append(f"Source: {_one_line(rule.source)}\n")
    for setting in rule.settings:
        parts.append(f"In the house style, `[{table_of(setting)}]` `{setting.name}`. {_in_code(sentence(setting))}\n")
    return "\n".join(parts)


def _title(rule: Rule) -> str:
    return _one_line(rule.title)


def _one_line(prose: str) -> str:
    return " ".join(prose.split())


def _fenced(manuscript: str) -> str:
    body = manuscript.strip("\n")
    fence = "```"
    while fence in body:
        fence += "`"
    return f"{fence}text\n{body}\n{fence}"


if __name__ == "__main__":
    PAGE.write_text(page(rules()), encoding="utf-8", newline="\n")
    SETTINGS_PAGE.write_text(settings_page(rules()), encoding="utf-8", newline="\n")
