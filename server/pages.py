"""The pages that explain rules: a heading in the README of the package a rule comes from."""

from __future__ import annotations

import re
import sys
from functools import lru_cache
from pathlib import Path

from ..lint.rule import Rule
from ..lint.text import Text


def rule_named(name: str) -> Rule | None:
    """An installed rule by its name."""
    from ..lint.rule_sets import installed_rules  # loaded with the first proof, after the client has its first answer

    return next((rule for rule in installed_rules() if rule.name == name), None)


@lru_cache(maxsize=256)
def rule_page(name: str) -> str | None:
    """Where a rule is explained, as a URI with the heading as its fragment; None where there is no such page."""
    place = _place(name)
    return f"{place[0].as_uri()}#{name}" if place else None


@lru_cache(maxsize=256)
def page_line(name: str) -> tuple[str, int] | None:
    """The page of a rule as a URI, and the line of its heading, from 0."""
    place = _place(name)
    return (place[0].as_uri(), place[1]) if place else None


def _place(name: str) -> tuple[Path, int] | None:
    rule = rule_named(name)
    module = sys.modules.get(rule.check.__module__) if rule else None
    if module is None or not module.__file__:
        return None
    for folder in Path(module.__file__).parents[:3]:
        page = folder / "README.md"
        if page.is_file():
            text = Text(page.read_text("utf-8"))
            heading = re.search(rf"(?m)^#+ `?{re.escape(name)}`?\s*$", text.source)
            if heading:
                return page, text.line_number(heading.start()) - 1
    return None
