"""One folder a family, one file a rule. A rule file defines ``RULE``; it is found by looking, there is no registry."""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Iterator

from ..lint.rule import Rule


def rules() -> Iterator[Rule]:
    """Every rule below this package, family by family, in the order of their file names."""
    for family in sorted(pkgutil.iter_modules(__path__), key=lambda m: m.name):
        if family.ispkg:
            package = importlib.import_module(f"{__name__}.{family.name}")
            for module in sorted(pkgutil.iter_modules(package.__path__), key=lambda m: m.name):
                rule = getattr(importlib.import_module(f"{package.__name__}.{module.name}"), "RULE", None)
                if isinstance(rule, Rule):
                    yield rule
