"""A yarn two categories away from its gauge."""

from __future__ import annotations

from collections.abc import Iterator

from ...lint import regex
from ...lint.finding import Finding, Severity
from ...lint.measures_gauge import gauges_of
from ...lint.measures_yarn import yarn_of
from ...lint.rule import Rule, Subject
from ...lint.trade.units import convert
from ...lint.trade.yarns import categories_away, gauge_range, weight

_STRANDS = regex.compile(r"\b(?:strands|double|doubled|held\s+together|held\s+double|two\s+ends|triple)\b", regex.IGNORECASE)
_TIGHT = regex.compile(r"\bamigurumi\b|\bstuff(?:ed|ing)?\b|\btight|\bbasket\b|\bfelt(?:ed|ing)\b", regex.IGNORECASE)
"""Toys, baskets and felted things are worked at another gauge than the yarn's on purpose."""

_FAR = 2


def check(subject: Subject) -> Iterator[Finding]:
    yarn = yarn_of(subject)
    text = subject.text
    found = gauges_of(subject)
    if len(yarn.weights) != 1 or len(found) != 1 or any(_STRANDS.search(text[p]) for p in yarn.places) or _TIGHT.search(text.source):
        return
    gauge = found[0]
    if gauge.us_stitch(subject.pattern.terms) != "sc" or not gauge.counts_stitches or gauge.pattern:
        return
    number = yarn.weights[0]
    over = gauge.per_cm * convert(4, "in", "cm")
    away = categories_away(number, over)
    usual, category = gauge_range(number), weight(number)
    if away is None or away < _FAR or usual is None or category is None:
        return
    yield Finding(
        RULE.name,
        Severity.SUGGESTION,
        f"{over:.3g} {gauge.noun} to 4 in is far from what {category.name} yarn ({number}) is usually worked at, {usual.low:g} to {usual.high:g} sc. Are the yarn and the gauge both right?",
        gauge.span,
    )


RULE = Rule(
    name="yarn-weight",
    severity=Severity.SUGGESTION,
    title="A gauge far from the weight of the yarn",
    why="Makers choose another yarn by its weight. A gauge two weights away is sometimes meant, for a net or for a basket, and sometimes a slip in either line.",
    looks_like="US terms.\nMaterials: Marlhope Lofty, bulky weight #5, 2 balls; 9 mm hook\nGauge: 20 sc and 22 rows = 4 in\n\nCh 13.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (12 sc)\n",
    better="US terms.\nMaterials: Marlhope Lofty, bulky weight #5, 2 balls; 9 mm hook\nGauge: 9 sc and 10 rows = 4 in\n\nCh 13.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (12 sc)\n",
    let_stand="When the fabric is meant to be open or firm.",
    check=check,
    source="The standard yarn weight system, whose ranges are guidelines (yarns.toml); sound gauges stand one weight outside.",
)
