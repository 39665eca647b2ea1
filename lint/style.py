"""House style: the kinds of setting there are, and what is set in one run.

Every setting has a default that stays out of an author's way. The settings of single rules are declared by the rules
themselves; here are their kinds, and those that hold for all of a run.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from .finding import Severity

AS_FIRST = "as first used here"
"""The manuscript's first use is the standard for the rest of it."""

AS_MOSTLY = "as mostly used here"
"""The manuscript's own clear habit is the standard; without one there is none."""

OFF = "off"

Chosen = str | tuple[str, ...]
"""What stands in a house style for a choice: one of its values, a list of them in order, or one of the three above."""


@dataclass(frozen=True, slots=True)
class Choice:
    """One of several forms that print uses. ``usual`` holds where a house says nothing; ``ordered`` wants a list."""

    name: str
    about: str
    values: tuple[str, ...]
    usual: str = AS_MOSTLY
    ordered: bool = False

    @property
    def beside(self) -> tuple[str, ...]:
        """What a house may say instead of a form."""
        return (AS_FIRST, OFF) if self.ordered else (AS_FIRST, AS_MOSTLY, OFF)


@dataclass(frozen=True, slots=True)
class Allowance:
    """How far two things may part, in ``unit``, from 0 to ``most``. None as ``usual`` leaves it to the trade's table."""

    name: str
    about: str
    unit: str
    most: float
    usual: float | None = None


@dataclass(frozen=True, slots=True)
class HouseText:
    """Words that a house prints always alike, or "off" for a question it does not want asked."""

    name: str
    about: str


Setting = Choice | Allowance | HouseText


@dataclass(frozen=True)
class Style:
    """Settings of one run. ``terms`` are the ones expected; the mappings hold what is set, by the setting's name."""

    threshold: Severity = Severity.QUERY
    off: frozenset[str] = field(default_factory=frozenset[str])
    strict: bool = False  # a rule that raises fails the run instead of becoming a finding
    terms: str | None = None
    choices: Mapping[str, Chosen] = field(default_factory=dict[str, Chosen])
    allowances: Mapping[str, float] = field(default_factory=dict[str, float])
    texts: Mapping[str, str] = field(default_factory=dict[str, str])

    def choice(self, setting: Choice) -> Chosen:
        return self.choices.get(setting.name, setting.usual)

    def decides(self, name: str) -> bool:
        """Whether the house chose a form, so that what a manuscript mostly does is no measure."""
        return self.choices.get(name, AS_MOSTLY) not in (AS_MOSTLY, OFF)

    def allowance(self, setting: Allowance) -> float | None:
        """In the setting's unit; None where the trade's table holds."""
        return self.allowances.get(setting.name, setting.usual)

    def text(self, setting: HouseText) -> str:
        """The house's words, or "" where it has none."""
        return self.texts.get(setting.name, "")
