"""Every setting of a house style: what the rules declare, and the few that hold for all of a run; and each in words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from .finding import Severity
from .rule import Rule
from .style import AS_FIRST, AS_MOSTLY, OFF, Allowance, Choice, HouseText, Setting

TERMS = Choice("terms", "the terms a manuscript is expected in", ("US", "UK"), OFF)
THRESHOLD = Choice("threshold", "the mildest severity that makes the exit status 1", tuple(s.value for s in Severity), "query")

def schema(rules: Sequence[Rule]) -> Mapping[str, Mapping[str, Setting]]:
    """Every setting but the rules' own switches, by the table it stands in ("" for the top of the file) and its name."""
    tables: dict[str, dict[str, Setting]] = {"": {"terms": TERMS, "threshold": THRESHOLD}, "style": {}, "tolerances": {}, "cautions": {}}
    for rule in sorted(rules, key=lambda rule: (rule.family, rule.name)):
        for setting in rule.settings:
            tables[table_of(setting)].setdefault(setting.name, setting)
    return tables


def table_of(setting: Setting) -> str:
    """The table of the file that a rule's setting stands in."""
    return "style" if isinstance(setting, Choice) else "tolerances" if isinstance(setting, Allowance) else "cautions"


SETTINGS_OPENING = (
    "A house style is a file tenterhook.toml in the folder of the manuscripts or in one above it; the nearest holds. Whatever it leaves out "
    "stays as it is here said to be usual. A name it does not know, or a value it cannot take, is an error."
)
TABLE_SENTENCES = {
    "style": f'Each may be one of its forms, "{AS_FIRST}", "{AS_MOSTLY}" or "{OFF}". With "{AS_MOSTLY}" the measure is the manuscript\'s own '
    "clear habit, and where it has none nothing is said.",
    "tolerances": "How far two figures may part before it is asked which of them is right.",
    "cautions": f'The words a house prints; they are looked for as they stand. "{OFF}" turns the question off.',
}
RULES_SENTENCE = "The name of any rule, \"on\" or \"off\". Usually on."


def sentence(setting: Setting) -> str:
    """What a setting is about, what it may be, and what it usually is, in words for a person."""
    about = setting.about[:1].upper() + setting.about[1:]
    if isinstance(setting, HouseText):
        return f"{about}: the words of the house, or \"off\"."
    if isinstance(setting, Allowance):
        usual = "the trade's own rounding" if setting.usual is None else f"{setting.usual:g}"
        return f"{about}, in {setting.unit}: a number from 0 to {setting.most:g}. Usually {usual}."
    values = ", ".join(f'"{value}"' for value in setting.values)
    if setting is TERMS:
        return f'{about}: {values}, or "off". Usually the manuscript tells.'
    if setting is THRESHOLD:
        return f'{about}: {values}. Usually "{setting.usual}".'
    return f"{about}: {'a list of ' if setting.ordered else ''}{values}. Usually \"{setting.usual}\"."
