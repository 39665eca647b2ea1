"""Counts as a manuscript writes them: what a row's own would be, in the style of those that stand there already."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from .. import regex
from ..fabric.work import RowWork, SizeWork, Status
from ..syntax.tree import Count
from ..text import Span, Text
from ..trade.terms import to_uk
from .rows import Written, trimmed

if TYPE_CHECKING:
    from ..proof import Proof


@dataclass(frozen=True, slots=True)
class CountStyle:
    """How counts are set off: what stands before and after the words, and whether they name what is counted."""

    lead: str = " "
    before: str = "("
    after: str = ")"
    named: bool = True
    stop: bool = False  # a full stop ends the sentence before the count


_SHAPE = regex.compile(r"(?P<before>[(\[]\s*|)(?P<words>.*?)(?P<after>\s*[)\]]|)", regex.DOTALL)
_GAP = regex.compile(r"(?P<stop>\.?)(?P<lead>[ \t]*(?:[–—-]+[ \t]*)?)\Z")
_TAIL = regex.compile(r"[ \t]*\.(?=\s|\Z)")


def count_style(proof: Proof, place: Span) -> CountStyle:
    """The style of the count stated nearest before a place, or after it; the usual one where none is stated."""
    stated = sorted(_stated(proof), key=lambda span: (span.start > place.start, abs(span.start - place.start)))
    return _style(proof.text, stated[0]) if stated else CountStyle()


def _stated(proof: Proof) -> list[Span]:
    """Where rows state their counts at their ends."""
    spans: list[Span] = []
    for piece in proof.pattern.pieces:
        for entry in piece.entries:
            tree = entry.tree
            if entry.count is not None:
                spans.append(entry.count.at.span(entry.count_origin))
            elif tree is not None and entry.written and tree.steps and isinstance(tree.steps[-1], Count):
                spans.append(tree.steps[-1].at.span(entry.origin))
    return [span for span in spans if span.end <= len(proof.text)]


def _style(text: Text, at: Span) -> CountStyle:
    shape = _SHAPE.fullmatch(text[at])
    gap = _GAP.search(text.source, max(0, at.start - 8), at.start)
    if shape is None or gap is None:
        return CountStyle()
    tail = _TAIL.match(text.source, at.end)
    named = regex.search(r"[a-z]", shape["words"], regex.IGNORECASE) is not None
    after = shape["after"] + (tail.group() if tail else "")
    return CountStyle(gap["lead"] or " ", shape["before"], after, named, bool(gap["stop"]))


def count_words(proof: Proof, row: RowWork, named: bool = True) -> str | None:
    """A row's count in words: "26 (30, 34) sc", "7 sc, 6 ch-1 sps"; None where the number is not surely known."""
    if row.status not in (Status.PROVED, Status.ASSUMED) or not row.sizes:
        return None
    made = [size.made for size in row.sizes]
    if any(number is None for number in made):
        return None
    total = by_size([number or 0 for number in made])
    if not named:
        return total
    kinds = {kind for size in row.sizes for kind in size.kinds}
    whole = all(sum(size.kinds.values()) == size.made for size in row.sizes)
    noun = _name(next(iter(kinds)), proof) if len(kinds) == 1 and whole else "sts"
    words = [f"{total} {noun}"]
    for place in dict.fromkeys(place for size in row.sizes for place in size.places if place.endswith("sp")):
        numbers = [size.places.get(place, 0) for size in row.sizes]
        if whole:  # else the spaces are in the number already
            words.append(f"{by_size(numbers)} {place}{'' if set(numbers) == {1} else 's'}")
    return ", ".join(words)


def by_size(numbers: Sequence[int]) -> str:
    """One number a size, as patterns write them: "26 (30, 34)", or one where all are alike."""
    if len(set(numbers)) == 1:
        return str(numbers[0])
    return f"{numbers[0]} ({', '.join(str(number) for number in numbers[1:])})"


def _name(kind: str, proof: Proof) -> str:
    return (to_uk(kind) or kind) if proof.work.terms == "UK" else kind


def unstated(sizes: Sequence[SizeWork]) -> bool:
    """Whether a row states no count."""
    return all(size.stated is None for size in sizes)


def count_for(proof: Proof, place: Written) -> tuple[Span, str] | None:
    """Where the count of a row that states none would go, and what to write there; None where nothing is sure."""
    if len(place.rows) != 1 or not unstated(place.rows[0].sizes):
        return None
    style = count_style(proof, place.span)
    words = count_words(proof, place.rows[0], style.named)
    if words is None:
        return None
    end = trimmed(place.span, proof.text).end
    stop = "." if style.stop and proof.text.source[end - 1 : end] not in ".!" else ""
    return Span(end, end), f"{stop}{style.lead}{style.before}{words}{style.after}"
