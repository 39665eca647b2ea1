"""What each stitch uses of the row below, what it leaves to count, and how tall it stands (stitches.toml).

American names throughout; counts are stitches, heights are chains. The table names a source for every entry.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from .. import regex
from .tables import Row, is_sure, source_of, table

Counts = Literal["no", "varies", "usually"]


@dataclass(frozen=True, eq=False)
class Basic:
    """A basic stitch; each uses one stitch and leaves one.

    ``loops`` are on the hook before the first draw-through. ``turning_chain`` and ``first_chain`` give the usual
    figure first, then others in use. ``foundation`` are the chains over the number of stitches: where the skipped
    chains count as a stitch, and where they do not.
    """

    abbr: str
    name: str
    uk_name: str
    yarn_overs: int
    loops: int
    turning_chain: tuple[int, ...]
    counts: Counts
    first_chain: tuple[int, ...]
    foundation: tuple[int, int]
    source: str
    sure: bool
    uses: int = 1
    makes: int = 1
    note: str = ""

    def chains_for(self, stitches: int, *, counting: bool) -> int:
        """Foundation chains for a first row of ``stitches``; ``counting``: the skipped chains are its first stitch."""
        return stitches + self.foundation[0 if counting else 1]


@dataclass(frozen=True, slots=True)
class Sum:
    """A number that may depend on k, the legs, draws or stitches of a group: ``constant + each × k``."""

    constant: int
    each: int = 0

    def at(self, k: int) -> int:
        """The number for a given k."""
        return self.constant + self.each * k


@dataclass(frozen=True, eq=False)
class Worked:
    """Anything worked that is not a basic stitch, as the table has it.

    ``uses`` and ``makes`` are stitches, ``spaces`` the chain spaces it needs instead, ``loops`` on the hook before the
    closing draw (None where not recorded). ``k`` is the usual number of legs, ``legs`` the usual lowest and highest.
    ``unit`` is what it is counted in; ``start_chain`` the chains a foundation row starts with.
    """

    name: str
    what: str
    uses: Sum
    makes: Sum
    loops: Sum | None
    k: int
    legs: tuple[int, int] | None
    spaces: int
    unit: str
    start_chain: int
    source: str
    sure: bool
    note: str = ""


@dataclass(frozen=True, slots=True)
class Tally:
    """What one working uses and leaves, in stitches; ``loops`` on the hook before the closing draw, or None."""

    uses: int
    makes: int
    loops: int | None = None


@lru_cache(maxsize=1)
def basics() -> dict[str, Basic]:
    """The basic stitches by abbreviation, shortest first: sl st, sc, hdc, dc, tr, dtr, trtr."""
    return {
        abbr: Basic(
            abbr=abbr,
            name=row["name"],
            uk_name=row["uk"],
            yarn_overs=row["yarn_overs"],
            loops=row["loops"],
            turning_chain=tuple(row["turning_chain"]),
            counts=row["counts"],
            first_chain=tuple(row["first_chain"]),
            foundation=(row["foundation"][0], row["foundation"][1]),
            source=source_of("stitches", row),
            sure=is_sure(row),
            note=row.get("note", ""),
        )
        for abbr, row in table("stitches")["basic"].items()
    }


def basic(abbr: str) -> Basic | None:
    """The basic stitch of an American abbreviation, or None."""
    return basics().get(abbr)


_SUM = regex.compile(r"(?P<each>\d*)k(?:\+(?P<plus>\d+))?|(?P<constant>\d+)")


def _sum(text: str) -> Sum:
    match = _SUM.fullmatch(text)
    if match is None:
        raise ValueError(f"No sum of k: {text!r}.")
    if match["constant"]:
        return Sum(int(match["constant"]))
    return Sum(int(match["plus"] or 0), int(match["each"] or 1))


@lru_cache(maxsize=1)
def workings() -> dict[str, Worked]:
    """Groups, decreases, foundation stitches and the rest, by their name in the table."""
    return {name: _worked(name, row) for name, row in table("stitches")["worked"].items()}


def _worked(name: str, row: Row) -> Worked:
    legs: list[int] | None = row.get("legs")
    return Worked(
        name=name,
        what=row["what"],
        uses=_sum(row["uses"]),
        makes=_sum(row["makes"]),
        loops=_sum(row["loops"]) if "loops" in row else None,
        k=row.get("k", 1),
        legs=(legs[0], legs[1]) if legs else None,
        spaces=row.get("spaces", 0),
        unit=row.get("unit", "stitch"),
        start_chain=row.get("start_chain", 0),
        source=source_of("stitches", row),
        sure=is_sure(row),
        note=row.get("note", ""),
    )


_TOGETHER = regex.compile(r"(?P<post>FP|BP)?(?P<stitch>sc|hdc|dc|tr|dtr)(?P<k>[1-9]\d?)tog")
_MODIFIED = regex.compile(r"(?P<how>FP|BP|e)(?P<stitch>sc|hdc|dc|tr|dtr|trtr)")
_HOW = {"FP": "post stitch", "BP": "post stitch", "e": "extended"}


def tally(name: str, k: int | None = None) -> Tally | None:
    """What a stitch or group uses and leaves; ``k`` is its number of legs where that is not the usual one.

    Takes American abbreviations and the table's names: tally("sc3tog") is 3 into 1 with 4 loops, tally("shell", 7) is
    1 into 7, tally("FPdc") 1 into 1. None for a name the table does not know.
    """
    if (plain := basic(name)) is not None:
        return Tally(plain.uses, plain.makes, plain.loops)
    if (match := _TOGETHER.fullmatch(name)) is not None:
        return _at(workings()[f"{match['stitch']} together"], int(match["k"]))
    if (match := _MODIFIED.fullmatch(name)) is not None:
        found, loops = workings()[_HOW[match["how"]]], basics()[match["stitch"]].loops
        return Tally(found.uses.at(1), found.makes.at(1), loops)
    found = workings().get(name)
    return _at(found, found.k if k is None else k) if found else None


def _at(found: Worked, k: int) -> Tally:
    return Tally(found.uses.at(k), found.makes.at(k), found.loops.at(k) if found.loops else None)


def flat_circle(abbr: str) -> tuple[int, int] | None:
    """Stitches more in every round that keep a circle of this stitch flat, least and most; None if not recorded."""
    row = table("stitches")["circle"].get(abbr)
    return (row["least"], row["most"]) if row else None
