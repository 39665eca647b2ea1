"""The stated count against what the row leaves, under every tally the trade allows.

A count may name all stitches, spaces, groups, or several kinds; chain spaces may be counted as nothing, as one each or
by their chains. A difference is only a difference when no tally that the piece allows agrees.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from .. import regex
from ..syntax.lexer import Num
from ..syntax.lexicon import HEIGHTS, unprefixed
from ..syntax.tree import Count, CountPart, Extent
from .choices import Choices
from .row import GROUP, Row, same_kind

_PLAIN_NOUNS = frozenset({"", "st", "ch", "sp", "loop", "arch", "mesh", "sc", "hdc", "dc", "tr", "dtr", "trtr"})
"""Nouns of a count that are not the name of a group."""


@dataclass(frozen=True)
class Tally:
    """``made`` under the tally taken, ``stated`` where one number or kinds of stitches are given; differences by kind."""

    made: int
    stated: int | None
    total_differs: bool = False
    kinds_differ: tuple[tuple[str, int, int], ...] = ()  # noun, made, stated
    at: Extent | None = None


def value(num: Num, size: int) -> int | None:
    """A number for one size: its own, or the one number that stands for all."""
    return num[size if size < len(num) else 0]


def kinds_of(row: Row) -> dict[str, int]:
    return {k: n for k, n in sorted(row.kinds.items()) if n and k != "sl st"}


def _count_of(noun: str, size: int | None, row: Row) -> int | None:
    """How many things of a noun a row has; None where that cannot be told."""
    if noun in ("st", ""):
        return row.stitches
    if noun == "sp":
        if size is not None and row.space_sizes:
            return row.space_sizes.get(size, 0)
        return row.spaces
    if noun == "ch":
        return row.chains_in_spaces
    if noun in row.groups:
        return row.groups[noun]
    if noun in row.kinds:
        exact = row.kinds[noun]
        same = sum(n for k, n in row.kinds.items() if same_kind(noun, k) and not (k.startswith(("FP", "BP")) and not noun.startswith(("FP", "BP"))))
        return max(exact, same)
    same = sum(n for k, n in row.kinds.items() if same_kind(noun, k))
    if same:
        return same
    if noun in ("sc", "hdc", "dc", "tr", "dtr", "trtr") or noun.startswith(("FP", "BP")):
        return 0
    if noun in ("shell", "fan") and row.groups.get("~"):
        return row.groups["~"]
    if noun == "cluster":
        # a cluster of k unfinished stitches is often written out as dc3tog
        return sum(n for k, n in row.kinds.items() if "tog" in k) or None
    return None


def places_of(row: Row) -> dict[str, int]:
    """What a row leaves to work into besides single stitches: its spaces by their chains, its groups by name."""
    places = {f"ch-{size} sp" if size else "sp": n for size, n in sorted(row.space_sizes.items())}
    return places | {name: n for name, n in sorted(row.groups.items()) if name != GROUP}


def check(row: Row, count: Count | None, size: int, choices: Choices, notes_spaces: str | None, *, spelled_out: bool = False) -> Tally:
    """The tally of a row that was worked whole.

    ``notes_spaces`` is what the notes say spaces count as; ``spelled_out``: the row begins with a chain and stitches in
    one place, which may be the first of a group it does not name.
    """
    slipped = row.kinds.get("sl st", 0)
    stitches = row.stitches - slipped
    if slipped and (stitches == 0 or _states(count, size, row.stitches)):
        stitches = row.stitches  # slip stitches that are the fabric, not a join
    weight = {"one": row.spaces, "chains": row.chains_in_spaces}
    if count is None or all(p.noun == "row" for p in count.parts):
        return Tally(stitches + weight.get(notes_spaces or "", 0), None)
    parts = _summed([p for p in count.parts if p.noun != "row"])
    # a list with a value too few says nothing of the sizes beyond it
    values = [(p, None if 1 < len(p.n) <= size else value(p.n, size)) for p in parts]
    known = [(p, v) for p, v in values if v is not None]
    if not known:
        return Tally(stitches, None)
    if len(parts) == 1:
        part, stated = known[0]
        if part.noun in ("st", "") or part.noun in ("sc", "hdc", "dc", "tr", "dtr", "trtr"):
            extra = weight.get(notes_spaces or "", 0)
            if notes_spaces is None and row.spaces and stitches != stated:
                fits = [name for name in ("one", "chains") if stitches + weight[name] == stated]
                if fits:
                    taken = choices.choose(("piece:spaces",), *fits, "no")
                    extra = weight.get(taken, 0)
                    made = stitches + extra
                    return Tally(made, stated, made != stated, at=part.at)
            made = stitches + extra
            if made != stated:
                # "(26 dc)" in a row of several kinds may number that kind alone, or the groups
                alone = _count_of(part.noun, part.size, row) if part.noun not in ("st", "") else None
                if alone == stated and alone != stitches:
                    return Tally(made, stated if not extra else None, at=part.at)
                if part.noun == "" and row.spaces == stated and row.spaces:
                    return Tally(made, None, at=part.at)
                if sum(row.groups.values()) == stated and part.noun == "" and row.groups:
                    return Tally(made, None, at=part.at)
            return Tally(made, stated, made != stated, at=part.at)
        found = _count_of(part.noun, part.size, row)
        if found is not None and found == stated - 1 and _begun_unnamed(row, part.noun, spelled_out):
            found = stated
        if found is None or found == stated:
            return Tally(stitches, None, at=part.at)
        if part.noun == "sp" and row.spaces == stated and not _of_another_length(part, found, row):
            return Tally(stitches, None, at=part.at)
        return Tally(stitches, None, kinds_differ=((_named(part), found, stated),), at=part.at)
    differ: list[tuple[str, int, int]] = []
    total = 0
    whole: int | None = None
    grouped = False
    for part, stated in known:
        found = _count_of(part.noun, part.size, row)
        if part.noun == "st":
            if found != stated:
                if stated == stitches + weight["one"] or stated == stitches + weight["chains"]:
                    continue
                differ.append((part.noun, found or 0, stated))
            whole = stated
            continue
        if part.noun == "picot":
            continue
        if found is None:
            grouped = True
            continue
        if part.noun in ("sp", "ch"):
            if found != stated and not (part.noun == "sp" and row.spaces == stated and not _of_another_length(part, found, row)) and not (part.noun == "ch" and row.spaces == stated):
                differ.append((_named(part), found, stated))
            continue
        if part.noun in row.groups:
            grouped = True
        elif part.noun in ("sc", "hdc", "dc", "tr", "dtr", "trtr", "cluster", "popcorn", "bobble", "puff") or part.noun.startswith(("FP", "BP")):
            total += stated
            # kinds beside named groups exclude what stands in the groups
            loose = _outside_groups(part.noun, row, {p.noun for p, _ in known})
            if loose is not None and loose == stated:
                found = stated
        else:
            grouped = True
        if found != stated and not (found == stated - 1 and _begun_unnamed(row, part.noun, spelled_out)):
            differ.append((part.noun, found, stated))
    stated_total = whole if whole is not None else None if grouped else total or None
    return Tally(stitches, stated_total, kinds_differ=tuple(differ), at=count.at)


def _states(count: Count | None, size: int, number: int) -> bool:
    """Whether a count is of so many stitches."""
    return count is not None and any(p.noun in ("", "st") and value(p.n, size) == number for p in count.parts if size < len(p.n) or len(p.n) == 1)


def _summed(parts: list[CountPart]) -> list[CountPart]:
    """"4 sc, 3 hdc, 4 sc": a kind named more than once is counted in all."""
    out: dict[tuple[str, int | None], CountPart] = {}
    for part in parts:
        before = out.get((part.noun, part.size))
        if before is None or not part.noun:
            out[(part.noun or str(len(out)), part.size)] = part
        elif len(before.n) == len(part.n):
            n = tuple(None if a is None or b is None else a + b for a, b in zip(before.n, part.n, strict=True))
            out[(part.noun, part.size)] = replace(before, n=n, at=before.at.to(part.at))
    return list(out.values())


def _named(part: CountPart) -> str:
    """What a part of a count numbers, spaces by their chains."""
    return f"ch-{part.size} sp" if part.noun == "sp" and part.size is not None else part.noun


def _of_another_length(part: CountPart, found: int, row: Row) -> bool:
    """Whether a count names spaces by their chains, and those of the row all have another number of them."""
    return part.size is not None and found == 0 and len(row.space_sizes) == 1 and 0 not in row.space_sizes


def miscalled(row: Row, count: Count) -> CountPart | None:
    """The one number of a count where it is called by a basic stitch that the row has none of, else None."""
    parts = [p for p in count.parts if p.noun != "row"]
    if len(parts) != 1 or parts[0].noun not in HEIGHTS:
        return None
    kinds = kinds_of(row)
    plain = all(regex.sub(r"\d+tog$", "", unprefixed(k)) in HEIGHTS for k in kinds)
    return parts[0] if kinds and plain and not any(same_kind(parts[0].noun, k) for k in kinds) else None


def _outside_groups(noun: str, row: Row, named: set[str]) -> int | None:
    if not row.groups:
        return None
    total = 0
    for block, times in row.segments:
        for cell, n in block:
            if cell.kind != "sp" and same_kind(noun, cell.kind) and cell.group not in named:
                total += n * times
    return total


def _begun_unnamed(row: Row, noun: str, spelled_out: bool) -> bool:
    """Whether the first group of a name may stand at the start of the row without it, so that one more is counted."""
    return (spelled_out and noun not in _PLAIN_NOUNS) or (noun in row.groups and _begun_by_chain(row, noun))


def _begun_by_chain(row: Row, noun: str) -> bool:
    """Whether a turning chain and what follows it make up the first group, as in "ch 4, dc in same st" for a V."""
    before = 0
    size = 0
    inside = False
    for cell, n in row.cells():
        if cell.group == noun:
            if inside and cell.first:
                break
            inside = True
            if cell.kind != "sp":
                size += n
        elif inside:
            break
        elif before == 0 and not cell.tch and cell.kind != "sp":
            return False
        elif cell.kind != "sp":
            before += n
    return before > 1 and before == size
