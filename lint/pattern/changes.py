"""Rows repeated with a change: "Rep Row 2 but with ch 6 instead of ch 5"."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace

from ..syntax.tree import Chain, Group, Make, Mark, Star, Step, Tree

_INSTEAD = re.compile(
    r"[\s,;]*(?:but|except|only|and)?\s*(?:that\s+)?(?:with|work(?:ing)?|mak(?:e|ing)|us(?:e|ing)|substitut(?:e|ing))?\s*(?:a\s+|the\s+)?"
    r"(?P<new>[^.;,(]{2,24}?)\s+(?:instead\s+of|in\s+place\s+of|rather\s+than|where\s+there\s+is|for)\s+(?:the\s+|each\s+|every\s+)?(?P<old>[^.;,(]{2,24}?)\s*(?=[.,;(]|$)"
)
_REPLACING = re.compile(r"[\s,;]*(?:but|except)?\s*(?:replac(?:e|ing))\s+(?:the\s+|each\s+|every\s+)?(?P<old>[^.;,(]{2,24}?)\s+(?:with|by)\s+(?P<new>[^.;,(]{2,24}?)\s*(?=[.,;(]|$)")


def change_in(words: str) -> re.Match[str] | None:
    """The change that words after a reference make: one thing instead of another. None where they make none, or more than that."""
    return _REPLACING.match(words) or _INSTEAD.match(words)


def changed(tree: Tree, change: re.Match[str], read: Callable[[str], Tree]) -> Tree | None:
    """A row with the change made; None where it is not a plain one, or the row has nothing to change."""
    old, new = _one(read(change["old"])), _one(read(change["new"]))
    if old is None or new is None or type(old) is not type(new):
        return None
    steps, found = _swap(tree.steps, old, new)
    return replace(tree, steps=steps) if found else None


def _one(tree: Tree) -> Make | Chain | None:
    """The one stitch or chain that a few words name."""
    steps = [s for s in tree.steps if not isinstance(s, Mark)]
    only = steps[0] if len(steps) == 1 else None
    if isinstance(only, Make) and (only.place is not None or only.times is not None):
        return None
    return only if isinstance(only, Make | Chain) else None


def _swap(steps: tuple[Step, ...], old: Make | Chain, new: Make | Chain) -> tuple[tuple[Step, ...], bool]:
    out: list[Step] = []
    found = False
    for step in steps:
        if isinstance(step, Group | Star):
            items, inside = _swap(step.items, old, new)
            found |= inside
            step = replace(step, items=items)
        elif isinstance(step, Chain) and isinstance(old, Chain) and isinstance(new, Chain) and step.count == old.count:
            step, found = replace(step, count=new.count), True
        elif isinstance(step, Make) and isinstance(old, Make) and isinstance(new, Make) and step.stitch == old.stitch and old.count in (None, step.count):
            step, found = replace(step, stitch=new.stitch, count=new.count if new.count is not None else step.count), True
        out.append(step)
    return tuple(out), found
