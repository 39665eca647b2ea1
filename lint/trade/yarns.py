"""Yarn weights 0 to 7 of the standard yarn weight system (yarns.toml).

The ranges are guidelines by the standard's own footnote, and sound published gauges stand outside them: good for a
hint, never for an error.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from .. import regex
from .tables import Row, is_sure, source_of, table

_HIGH = float("inf")


@dataclass(frozen=True, slots=True)
class Range:
    """From ``low`` to ``high``, both in it; ``high`` is infinite where the table gives no upper end."""

    low: float
    high: float

    def __contains__(self, value: float) -> bool:
        return self.low <= value <= self.high


@dataclass(frozen=True, eq=False)
class Weight:
    """One category. ``gauge`` is stitches over 4 in of ``gauge_stitch``, ``hook_mm`` the usual hook in mm.

    ``knit`` is stocking stitch over 4 in, ``wraps`` wraps per inch. ``printings`` are the gauge in other printings of
    the standard; ``uk`` and ``au`` the names abroad.
    """

    number: int
    name: str
    types: tuple[str, ...]
    gauge: Range
    gauge_stitch: str
    printings: tuple[Range, ...]
    hook_mm: Range
    knit: Range
    wraps: Range
    uk: tuple[str, ...]
    au: tuple[str, ...]
    source: str
    sure: bool
    note: str = ""

    @property
    def widest_gauge(self) -> Range:
        """The gauge with every printing of the standard allowed for."""
        ranges = (self.gauge, *self.printings)
        return Range(min(r.low for r in ranges), max(r.high for r in ranges))


def _range(ends: Sequence[float]) -> Range:
    return Range(float(ends[0]), float(ends[1]) if len(ends) > 1 else _HIGH)


@lru_cache(maxsize=1)
def weights() -> tuple[Weight, ...]:
    """The eight categories, finest first: ``weights()[4]`` is Medium."""
    rows = table("yarns")
    abroad: dict[int, Row] = {row["number"]: row for row in rows["abroad"]}
    wraps: list[list[float]] = rows["wraps"][0]["per_inch"]
    return tuple(
        Weight(
            number=row["number"],
            name=row["name"],
            types=tuple(row["types"]),
            gauge=_range(row["gauge"]),
            gauge_stitch=row["gauge_stitch"],
            printings=tuple(_range(ends) for ends in row.get("printings", ())),
            hook_mm=_range(row["hook_mm"]),
            knit=_range(row["knit"]),
            wraps=_range(wraps[int(row["number"])]),
            uk=tuple(abroad[row["number"]].get("uk", ())),
            au=tuple(abroad[row["number"]].get("au", ())),
            source=source_of("yarns", row),
            sure=is_sure(row),
            note=row.get("note", ""),
        )
        for row in rows["weight"]
    )


def weight(number: int) -> Weight | None:
    """The category of that number, or None where the standard has none (it has 0 to 7)."""
    return weights()[number] if 0 <= number < len(weights()) else None


def _folded(name: str) -> str:
    plain = regex.sub(r"[\s-]+", " ", name.lower()).strip()
    return regex.sub(r"(?: weight)?(?: yarn)?$", "", plain)


def named(name: str) -> tuple[Weight, ...]:
    """Every category a name is used for, finest first; () for a name the table lacks.

    Names of the standard, types ("worsted", "fingering") and British and Australian names ("chunky", "8 ply") are
    known; "weight" and "yarn" after them are passed over. Charts disagree, so a name may stand for two categories.
    """
    wanted = _folded(name)
    return tuple(w for w in weights() if wanted in {_folded(n) for n in (w.name, *w.types, *w.uk, *w.au)})


def gauge_range(number: int) -> Range | None:
    """Stitches over 4 in that the standard gives a category, all its printings allowed for; None for no category."""
    found = weight(number)
    return found.widest_gauge if found else None


def categories_away(number: int, sc_per_4in: float) -> int | None:
    """How many categories lie between a yarn's and the nearest one whose range holds the gauge; 0 is inside.

    ``sc_per_4in`` is single crochet over 4 in (10 cm). None where the table cannot say: no such category, Lace (its
    row is in double crochet), or a gauge that is not a positive number. One away is ordinary; two are worth a word.
    """
    found = weight(number)
    if found is None or found.gauge_stitch != "sc" or not 0 < sc_per_4in < _HIGH:
        return None
    # Ranges are whole stitches: 20.5 belongs to 16-20 and to 21-32 alike.
    holding = [
        w.number for w in weights() if w.widest_gauge.low - 0.5 <= sc_per_4in <= w.widest_gauge.high + 0.5
    ] or [0]
    return min(abs(other - number) for other in holding)


def metres_per_100g(number: int) -> Range | None:
    """Metres in 100 g of a category, the widest of two charts; None for no category. Labels lie outside it too."""
    if weight(number) is None:
        return None
    ends = [_range(row["metres"][str(number)]) for row in table("yarns")["put_up"]]
    return Range(min(r.low for r in ends), max(r.high for r in ends))
