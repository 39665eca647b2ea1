"""The key to the pictures: every symbol that is used, and where it comes from."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from xml.etree.ElementTree import Element

from ..fabric.row import Cell, Raised, Spot
from ..trade.stitches import basic
from ..trade.symbols import changes as table_of_changes
from ..trade.symbols import symbols
from ..trade.terms import to_uk
from .ground import Point
from .layout import Placed, height
from .strokes import symbol_for
from .svg import sample

_MEMORY = " (common practice; no source at hand)"


@dataclass(frozen=True, eq=False)
class Entry:
    """One line of the key: a sample of the symbol, what it is called, what it looks like in words."""

    sample: Element
    name: str
    words: str


def entries(kinds: frozenset[str], changes: frozenset[str], *, uk: bool = False) -> Iterator[Entry]:
    """What the pictures use, in the order of the table; stitches without a symbol last. ``uk`` names British terms, too."""
    used = {found.kind for k in kinds if (found := symbol_for(k)) is not None} | (changes & {"ch", "sl st", "picot"})
    for kind, symbol in symbols().items():
        if kind in used:
            yield Entry(_sample(kind), _called(kind, uk=uk), symbol.drawn + ("" if symbol.sure else _MEMORY))
    for name, change in table_of_changes().items():
        if name in changes:
            yield Entry(_changed(name), name, change.drawn + ("" if change.sure else _MEMORY))
    if "face not known" in changes:
        yield Entry(sample([_stitch(Cell("FPdc"), 0.0)]), "post stitch", "a ring at the foot: the side it is worked on is not known")
    for kind in sorted(kinds):
        if symbol_for(kind) is None:
            yield Entry(_sample(kind), kind, "no published symbol is known for it; drawn as a stem with its name")


def _called(kind: str, *, uk: bool) -> str:
    plain = basic(kind)
    other = to_uk(kind) if uk else None
    name = kind if plain is None else f"{kind}, {plain.name}"
    return f"{name} (UK {other})" if other and other != kind else name


def _sample(kind: str) -> Element:
    if kind == "ch":
        return sample((), [(Point(0, 0), Point(0, 0.9), 2)])
    if kind == "picot":
        return sample([_stitch(Cell("sc", spot=Spot(picots=1)), 0.0)])
    return sample([_stitch(Cell(kind), 0.0)])


def _stitch(cell: Cell, lean: float, apart: tuple[float, ...] = (0.0,)) -> Placed:
    top = Point(lean, height(cell.kind))
    return Placed(cell, 0.0, top.y, top, tuple(Point(x, 0.0) for x in apart))


def _changed(name: str) -> Element:
    if name == "together":
        return sample([_stitch(Cell("dc2tog"), 0.0, (-0.5, 0.5))])
    if name == "crossed":
        return sample([_stitch(Cell("dc"), 1.0, (-0.4,))], over=[_stitch(Cell("dc"), -0.4, (1.0,))])
    own = Raised("RS" if name == "raised" else "WS", 0)
    return sample([_stitch(Cell("FPdc", column=(own,)), 0.0)])
