"""The steps between sizes: every measurement and the stitches each piece begins and ends with, size beside size."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import median

from .. import regex
from ..fabric.work import PieceWork
from ..measures import Amount, amounts, unit_of
from ..measures_tables import measured
from ..proof import Proof
from ..words import one_line
from .page import Page, cells, width_of

_UNEVEN = 2
"""A step more than so many times the middle one of its list is pointed at."""

_INDENT = "  "


@dataclass(frozen=True, slots=True)
class Stepped:
    """One value for each size, in the order of the sizes: what it is, and the values."""

    name: str
    values: tuple[float, ...]

    @property
    def steps(self) -> tuple[float, ...]:
        return tuple(round(b - a, 4) for a, b in pairwise(self.values))

    @property
    def uneven(self) -> bool:
        """Whether the list goes up and down, or a step is more than twice the middle one."""
        if not (all(s >= 0 for s in self.steps) or all(s <= 0 for s in self.steps)):
            return True
        sizes = [abs(s) for s in self.steps]
        return max(sizes) > _UNEVEN * median(sizes) > 0


def steps(proof: Proof) -> tuple[Stepped, ...]:
    """Every list worth comparing; () for a manuscript in one size."""
    sizes = len(proof.pattern.sizes)
    if sizes < 2:
        return ()
    found = [*_measurements(proof, sizes), *(s for piece in proof.work.pieces for s in _counts(piece, sizes))]
    return tuple(s for s in found if len(set(s.values)) > 1)


def _measurements(proof: Proof, sizes: int) -> Iterator[Stepped]:
    """Lists of lengths and weights, each in the unit that is printed first."""
    text = proof.text
    found = [(a, "") for a in amounts(text.source)] + [(m.amount, f"{m.label}, {m.amount.symbol}") for m in measured(text.source)]
    before: Amount | None = None
    for amount, label in sorted(found, key=lambda f: f[0].span.start):
        if len(amount.figures) != sizes or amount.times:
            continue
        if before is None or not _same_again(before, amount):
            yield Stepped(label or _named(proof, amount), amount.values)
        before = amount


def _same_again(one: Amount, other: Amount) -> bool:
    """Whether a list says in another unit what the one before it says."""
    here, there = unit_of(one.symbol), unit_of(other.symbol)
    if here is None or there is None or here is there or here.measure != there.measure:
        return False
    return all(abs(a * here.base - b * there.base) <= 0.1 * a * here.base for a, b in zip(one.values, other.values, strict=True))


def _named(proof: Proof, amount: Amount) -> str:
    """What stands before a list on its line, or on the line above, its unit and where it is."""
    text = proof.text
    number = text.line_number(amount.span.start)
    where = text.where(amount.span.start)
    before = text.source[text.line_span(number).start : amount.span.start]
    above = text[text.line_span(number - 1)] if number > 1 else ""
    words = next((w for w in map(_plain, (before, above)) if regex.search(r"[A-Za-z]{2}", w)), "")
    return f"{one_line(words)}, {amount.symbol} ({where})" if words else f"{where[:1].upper()}{where[1:]}, {amount.symbol}"


def _plain(words: str) -> str:
    """The last few words before a list, without marks and figures."""
    return " ".join(regex.sub(r"[^A-Za-z' -]+", " ", regex.split(r"[.;()\[\]|]", words.strip(" :.;|*-"))[-1]).split()[-5:]).strip(" -")


def _counts(piece: PieceWork, sizes: int) -> Iterator[Stepped]:
    """The stitches of a piece's first and last row that are known in every size."""
    known = [r for r in piece.rows if len(r.sizes) == sizes and all(s.made is not None for s in r.sizes)]
    ends = [known[0], known[-1]] if known else []
    for i, found in enumerate(ends):
        if i and all(a.made == b.made for a, b in zip(ends[0].sizes, found.sizes, strict=True)):
            return
        name = f"{piece.name}, {found.label}" if piece.name else found.label
        yield Stepped(f"{name}, stitches", tuple(float(s.made or 0) for s in found.sizes))


def write(proof: Proof, page: Page) -> None:
    """The table, written on ``page``; nothing for a manuscript in one size."""
    found = steps(proof)
    if not found:
        return
    page.gap()
    page.paragraph(("Steps between sizes", "heading"))
    sizes = proof.pattern.sizes
    rows = [tuple(sizes), *((*map(_number, s.values),) for s in found), *(("", *map(_signed, s.steps)) for s in found)]
    widths = [max(width_of(row[i]) for row in rows) + 2 for i in range(len(sizes))]
    fits = max(1, next((i for i in range(len(widths), 0, -1) if sum(widths[:i]) + 2 <= page.width), 1))
    for start in range(0, len(sizes), fits):
        part = slice(start, start + fits)
        page.line(cells(_row(sizes[part], widths[part]), "heading"))
        for s in found:
            page.paragraph(f"{s.name}{' · uneven' if s.uneven else ''}", first=_INDENT)
            page.line(cells(_row([_number(v) for v in s.values][part], widths[part])))
            page.line(cells(_row(["", *map(_signed, s.steps)][part], widths[part]), "aside"))


def _row(values: Sequence[str], widths: Sequence[int]) -> str:
    return "".join(" " * (w - width_of(v)) + v for v, w in zip(values, widths, strict=True))


def _number(value: float) -> str:
    return f"{value:g}"


def _signed(value: float) -> str:
    return f"{value:+g}" if value else "0"
