"""The page of all rules, from their own fields: ``python -m tenterhook.rules.page`` writes it beside this file."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import groupby
from pathlib import Path

from ..lint.rule import Rule
from . import rules

PAGE = Path(__file__).parent / "README.md"
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
