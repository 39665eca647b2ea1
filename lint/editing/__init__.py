"""What an editor asks about a proof: names and their meaning, rows and what comes next, and small rewritings.

Its modules are loaded when first used, as attributes of the package: a server has to be ready before they are wanted.
"""

from __future__ import annotations

from importlib import import_module
from types import ModuleType
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from . import glossary, hooks, mentions, names, nesting, offers, parts, renaming, rewrites, rows, stated, targets

__all__ = [
    "glossary",
    "hooks",
    "mentions",
    "names",
    "nesting",
    "offers",
    "parts",
    "renaming",
    "rewrites",
    "rows",
    "stated",
    "targets",
]


def __getattr__(name: str) -> ModuleType:
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return import_module(f"{__name__}.{name}")


def load() -> None:
    """Load every module now."""
    for name in __all__:
        __getattr__(name)
