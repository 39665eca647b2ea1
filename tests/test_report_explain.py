"""A rule's page, the list of rules, and the nearest name."""

from __future__ import annotations

import pytest
from tenterhook.lint.finding import Severity
from tenterhook.lint.report.explain import near, rule_list, rule_page
from tenterhook.lint.rule import Rule


def rule(name: str, family: str, source: str = "") -> Rule:
    def check(subject: object) -> tuple[()]:
        return ()

    check.__module__ = f"house.rules.{family}.{name.replace('-', '_')}"
    return Rule(
        name,
        Severity.QUERY,
        f"The title of {name} goes on for long enough to be wrapped on a narrow terminal",
        "Because makers " + "stumble " * 30 + "here.\n\nAnd a second paragraph.",
        "Row 1: Ch 5.\n    Row 2: kept as it stands",
        "Row 1: Ch 6.",
        "Where the designer says so.",
        check,
        source,
    )


RULES = (rule("row-total", "counts"), rule("base-left", "counts"), rule("hook-label", "materials", "A standard."))


@pytest.mark.parametrize("width", [60, 80, 120])
def test_a_page_has_every_field(width: int) -> None:
    page = rule_page(RULES[2], width)
    assert page.startswith("hook-label (query, materials)\n")
    for words in ("Why", "What it looks like", "What is better", "When to let it stand", "Source", "A standard."):
        assert words in page
    assert "  Row 1: Ch 5.\n      Row 2: kept as it stands\n" in page
    assert "here.\n\n  And a second paragraph." in page
    assert max(map(len, page.splitlines())) <= width


def test_an_empty_field_has_no_heading() -> None:
    assert "Source" not in rule_page(RULES[0])


def test_the_list_goes_family_by_family() -> None:
    listed = rule_list(reversed(RULES), 60)
    assert [line for line in listed.splitlines() if line and not line.startswith(" ")][:2] == ["Counts", "Materials"]
    assert listed.index("base-left") < listed.index("row-total") < listed.index("hook-label")
    assert "3 rules." in listed
    assert max(map(len, listed.splitlines())) <= 60
    assert rule_list(()) == "No rules are installed.\n"


@pytest.mark.parametrize(
    ("name", "nearest"),
    [("row-totals", "row-total"), ("Row_Total", "row-total"), ("hook", "hook-label"), ("zzz", None)],
)
def test_a_near_miss_is_met_with_a_name(name: str, nearest: str | None) -> None:
    assert next(iter(near(name, RULES)), None) == nearest
