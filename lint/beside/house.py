"""The house style, as ``tenterhook.toml`` sets it.

What may stand in it is what the rules declare as their settings, and the few settings that hold for all of a run.
"""

from __future__ import annotations

from collections.abc import Sequence

from ..finding import Severity
from ..rule import Rule
from ..schema import TERMS, THRESHOLD, schema
from ..style import OFF, Allowance, Choice, Chosen, HouseText, Style
from .toml_file import Table, TomlFile

_HELP = "`tenterhook explain settings` lists them all"
_ON_OFF = ("on", OFF)
_LEAST_TEXT = 12
"""A house text of fewer letters is a slip of the pen."""


def read_house_style(path: str, rules: Sequence[Rule]) -> Style:
    """The settings of a file. Raises Faulty, which names every line at fault."""
    file = TomlFile(path)
    tables = schema(rules)
    whole = file.whole
    whole.known(["terms", "threshold", "rules", *filter(None, tables)], help=_HELP)
    terms = whole.one_of("terms", (*TERMS.values, OFF))
    threshold = whole.one_of("threshold", THRESHOLD.values)
    choices: dict[str, Chosen] = {}
    allowances: dict[str, float] = {}
    texts: dict[str, str] = {}
    off = _switched_off(whole.table("rules"), rules)
    for name in ("style", "tolerances", "cautions"):
        table = whole.table(name)
        table.known(tables[name], name, _HELP)
        for setting in tables[name].values():
            if isinstance(setting, Choice):
                if (chosen := _chosen(table, setting)) is not None:
                    choices[setting.name] = chosen
            elif isinstance(setting, Allowance):
                if (number := table.number(setting.name, 0, setting.most, setting.unit)) is not None:
                    allowances[setting.name] = number
            elif (words := _house_text(table, setting)) is not None:
                texts[setting.name] = words
    file.finish()
    # A caution is the business of the rule that bears its name.
    off |= {rule.name for rule in rules for s in rule.settings if isinstance(s, HouseText) and texts.get(s.name) == OFF}
    return Style(
        threshold=Severity(threshold or THRESHOLD.usual),
        off=frozenset(off),
        terms=terms if terms in TERMS.values else None,
        choices=choices,
        allowances=allowances,
        texts={name: words for name, words in texts.items() if words != OFF},
    )


def _switched_off(table: Table, rules: Sequence[Rule]) -> set[str]:
    names = [rule.name for rule in rules]
    table.known(names, "rules", "`tenterhook explain` lists every rule")
    return {name for name in table.data if name in names and table.one_of(name, _ON_OFF) == OFF}


def _chosen(table: Table, setting: Choice) -> Chosen | None:
    if setting.ordered and isinstance(table.data.get(setting.name), list):
        return table.several_of(setting.name, setting.values)
    return table.one_of(setting.name, (*(() if setting.ordered else setting.values), *setting.beside))


def _house_text(table: Table, setting: HouseText) -> str | None:
    words = table.text(setting.name)
    if words is None or words == OFF:
        return words
    if len(words) < _LEAST_TEXT:
        table.fault(setting.name, f"“{setting.name}” is “{words}”, but must be the words the house prints, or “off”")
        return None
    return words
