"""What a hook's label is in millimetres, and what its millimetres are called."""

from __future__ import annotations

from dataclasses import dataclass

from .. import regex
from ..measures_hooks import hook_label_at
from ..text import Span, Text
from ..trade.hooks import labels, millimetres, old_uk, steel_labels


@dataclass(frozen=True, slots=True)
class HookMeaning:
    """A hook as the text gives it. ``mm`` are the sizes its label can mean, ``names`` the American labels of its size,
    ``old`` the sizes an old British number of the same figure meant.
    """

    printed: str
    span: Span
    mm: tuple[float, ...] = ()
    names: tuple[str, ...] = ()
    old: tuple[float, ...] = ()


_FIGURE = regex.compile(r"(\d+(?:[.,]\d+)?)\s?-?mm")


def hook_at(text: Text, offset: int) -> HookMeaning | None:
    """The hook named at an offset; None where there is none, or no chart has it."""
    found = hook_label_at(text.source, offset)
    if found is None:
        return None
    printed, span = found
    if figure := _FIGURE.fullmatch(printed):
        mm = float(figure[1].replace(",", "."))
        names = (*labels(mm), *(f"steel {number}" for number in steel_labels(mm)))
        return HookMeaning(printed, span, names=names) if names else None
    sizes = millimetres(printed)
    old = old_uk(printed) if printed.isdigit() else ()
    return HookMeaning(printed, span, mm=sizes, old=old) if sizes else None
