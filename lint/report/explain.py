"""A rule's page, from its own fields, and the list of all rules by family."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence
from itertools import groupby

from ..rule import Rule
from ..schema import RULES_SENTENCE, SETTINGS_OPENING, TABLE_SENTENCES, schema, sentence, table_of
from ..words import count_of


def rule_page(rule: Rule, width: int = 80) -> str:
    """What one rule looks for, why, what it looks like, what is better, and when to let it stand."""
    parts = [
        f"{rule.name} ({rule.severity.value}, {rule.family})",
        _filled(rule.title, width),
        _headed("Why", _filled(rule.why, width - 2)),
        _headed("What it looks like", rule.looks_like),
        _headed("What is better", rule.better),
        _headed("When to let it stand", _filled(rule.let_stand, width - 2)),
        _headed("Source", _filled(rule.source, width - 2)),
        *(_headed(f"In the house style: [{table_of(s)}] {s.name}", _filled(f"{sentence(s)}", width - 2)) for s in rule.settings),
    ]
    return "\n".join(part + "\n" for part in parts if part)


def rule_list(rules: Iterable[Rule], width: int = 80) -> str:
    """Every rule with its title, family by family."""
    every = sorted(rules, key=lambda rule: (rule.family, rule.name))
    if not every:
        return "No rules are installed.\n"
    room = max(len(rule.name) for rule in every)
    blocks: list[str] = []
    for family, members in groupby(every, key=lambda rule: rule.family):
        lines = [
            textwrap.fill(
                rule.title,
                width,
                initial_indent=f"  {rule.name:<{room}}  ",
                subsequent_indent=" " * (room + 4),
                break_long_words=False,
            )
            for rule in members
        ]
        blocks.append("\n".join([family.capitalize(), *lines]))
    closing = f"{count_of(len(every), 'rule')}. `tenterhook explain NAME` shows the page of one."
    return "\n\n".join([*blocks, textwrap.fill(closing, width)]) + "\n"


def settings_page(rules: Sequence[Rule], width: int = 80) -> str:
    """Every setting of the house style, table by table, with what it may be."""
    blocks = [_filled(SETTINGS_OPENING, width)]
    for table, settings in schema(rules).items():
        lines = [f"[{table}]" if table else "At the top of the file"]
        lines += [textwrap.indent(_filled(TABLE_SENTENCES[table], width - 2), "  ")] if table in TABLE_SENTENCES else []
        for setting in settings.values():
            lines.append(f"  {setting.name}")
            lines.append(textwrap.fill(sentence(setting), width, initial_indent="    ", subsequent_indent="    ", break_long_words=False))
        blocks.append("\n".join(lines))
    return "\n\n".join([*blocks, f"[rules]\n{textwrap.indent(_filled(RULES_SENTENCE, width - 2), '  ')}"]) + "\n"


def near(name: str, rules: Sequence[Rule]) -> list[str]:
    """Rule names that a person may have meant by ``name``, nearest first, at most three."""
    from difflib import get_close_matches

    wanted = name.lower().replace("_", "-").replace(" ", "-")
    names = [rule.name for rule in rules]
    return get_close_matches(wanted, names, n=3, cutoff=0.6) or [n for n in names if wanted and wanted in n][:3]


def _filled(prose: str, width: int) -> str:
    paragraphs = (" ".join(part.split()) for part in prose.strip().split("\n\n"))
    return "\n\n".join(textwrap.fill(part, width, break_long_words=False) for part in paragraphs if part)


def _headed(heading: str, body: str) -> str:
    body = body.strip("\n")
    return f"{heading}\n{textwrap.indent(body, '  ')}" if body.strip() else ""
