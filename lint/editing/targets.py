"""What stands at a place and can be looked up: a name or some rows, with where they are explained and where used."""

from __future__ import annotations

from dataclasses import dataclass

from ..proof import Proof
from ..text import Span
from . import mentions
from .names import Names


@dataclass(frozen=True, slots=True)
class Target:
    """``here`` is the place asked about, ``defined`` where the thing is explained or labelled, ``used`` all others."""

    here: Span
    defined: tuple[Span, ...]
    used: tuple[Span, ...]


def target_at(proof: Proof, names: Names, offset: int) -> Target | None:
    """The rows named or labelled at an offset, else the stitch, abbreviation or colour."""
    if named := mentions.named_at(proof, offset):
        here, places = named
        used = {mention.span for place in places for mention in mentions.naming(proof, place)}
        return Target(here, tuple(place.label_span for place in places), tuple(sorted(used)))
    if found := names.at(offset):
        name, here = found
        return Target(here, name.defined, name.used)
    return None


def row_links(proof: Proof) -> list[tuple[Span, Span, str]]:
    """Every mention of rows: its place, the label of the first row it names, and the words for it."""
    links: list[tuple[Span, Span, str]] = []
    for piece in proof.work.pieces:
        for mention in mentions.mentions(proof, piece):
            if places := mention.places:
                of = f" of {mention.piece.name.strip()}" if mention.piece is not piece else ""
                links.append((mention.span, places[0].label_span, f"{places[0].label}{of}"))
    return links
