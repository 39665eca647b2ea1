"""Notes that change the arithmetic: what the turning chain counts as, spaces that count, sides, brackets, joins."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from .. import regex
from ..syntax.labels import side_named
from ..syntax.layout import Layout, SectionKind
from ..text import Span
from .pattern import Note

_NOT = r"(?:does|do|will|is|are)\s*(?:n't|\s+not)\s+(?:ever\s+)?(?:be\s+)?count|never\s+counts?|not\s+counted|is\s+not\s+(?:a|counted)|are\s+not\s+(?:a\s+)?(?:sts?|counted)|not\s+(?:a\s+)?(?:st|stitch)\b"
_CHAIN = r"(?:(?:ch|chain)[ -]?(?P<a>\d)(?:\s*(?:or|and|/)\s*(?:ch[ -]?)?(?P<b>\d))?|(?P<c>\d)\s?ch|turning\s+ch(?:ain)?s?|(?:beg(?:inning)?|starting)\s+ch(?:ain)?(?:[ -](?P<d>\d))?|this\s+ch\b)"
_SENTENCE = regex.compile(r"[^.;!\n]+(?:\n(?!\s*(?:[-•*·>→]|\(?\d+[.)]|\n))[^.;!\n]+)*")


@dataclass(frozen=True)
class Conventions:
    """What the notes settle. ``chains`` maps a turning chain's length (0 for any) to whether it counts."""

    chains: tuple[tuple[tuple[int, str], bool], ...] = ()
    spaces: str | None = None  # "one" or "chains" where spaces count as stitches
    side_odd: str | None = None  # the side of odd rows
    all_rs: bool = False
    same_brackets: str = ""
    no_turn: bool = False
    joined: bool = False
    spiral: bool = False
    said: tuple[tuple[str, Span], ...] = ()  # where the rounds are said to be worked so: all_rs, no_turn, joined, spiral
    notes: tuple[Note, ...] = ()

    def where(self, kind: str) -> tuple[Span, ...]:
        """Where that is said."""
        return tuple(span for name, span in self.said if name == kind)

    def within(self, piece: Span, pieces: Sequence[Span]) -> Conventions:
        """What holds for one piece: how rounds are worked is no other piece's business where it is said inside a piece."""

        def holds(kind: str) -> bool:
            return any(at.start in piece or not any(at.start in p for p in pieces) for at in self.where(kind))

        return replace(self, no_turn=holds("no_turn"), joined=holds("joined"), spiral=holds("spiral"))


def _places(layout: Layout) -> list[Span]:
    out: list[Span] = []
    for section in layout.sections:
        if section.kind in (SectionKind.NOTES, SectionKind.TITLE, SectionKind.OTHER, SectionKind.ABBREVIATIONS, SectionKind.SPECIAL, SectionKind.SIZES):
            out.append(section.body)
        elif section.kind is SectionKind.PIECE:
            out += [s.body for s in section.statements if s.label is None]
    return out


_PARITY = r"(?P<parity{0}>odd|even)(?:[- ]numbered)?"
_SIDE = r"(?P<side{0}>rs|ws|right[- ]sides?|wrong[- ]sides?)"
_ODD_OR_EVEN = regex.compile(
    rf"{_PARITY.format(1)}\s+(?:rows|rnds|rounds)\s*(?:are|=|:)?\s*(?:all\s+)?(?:worked\s+(?:on|from)\s+)?(?:the\s+)?{_SIDE.format(1)}(?![a-z])"
    rf"|{_SIDE.format(2)}\s+rows\s*(?:are|=|:)\s*(?:all\s+)?(?:the\s+)?{_PARITY.format(2)}(?![a-z])"
)
_FIRST_ROW = regex.compile(rf"(?:row\s*1|(?:the\s+)?(?:first|1st)\s+row)\s+is\s+(?:always\s+)?(?:worked\s+on\s+)?(?:an?\s+|the\s+)?{_SIDE.format(1)}(?![a-z])")


def _side_of_odd_rows(text: str) -> str | None:
    """RS or WS where a sentence says which side odd or even rows are on, or the first row is."""
    found = _ODD_OR_EVEN.search(text)
    if found is not None:
        side = side_named(found["side1"] or found["side2"])
        odd = (found["parity1"] or found["parity2"]) == "odd"
        return side if odd else "WS" if side == "RS" else "RS"
    first = _FIRST_ROW.search(text)
    return side_named(first["side1"]) if first is not None else None


def read_notes(layout: Layout) -> Conventions:
    """Every convention the notes state; each sentence used is kept with its span."""
    chains: dict[tuple[int, str], bool] = {}
    spaces: str | None = None
    side_odd: str | None = None
    same_brackets = ""
    said: list[tuple[str, Span]] = []
    used: list[Note] = []
    for place in _places(layout):
        for sentence in _SENTENCE.finditer(layout.folded, place.start, place.end):
            text = " ".join(sentence.group().split())
            span = Span(sentence.start(), sentence.end())
            taken = ""
            if regex.search(r"count|not (?:a|are) st|not a st", text) and regex.search(r"\bch|chain|\dch", text):
                space = regex.search(r"ch(?:ain)?(?:[ -]?\d)?[ -]*(?:sps?|spaces?)|(?:\d\s?)ch[ -]?sp|chains? of each", text)
                if space:
                    if regex.search(_NOT, text):
                        taken = "spaces not counted"
                    elif regex.search(r"counts?\s+as\s+(?:one|1|a)\s+st|each\s+(?:sc|dc|hdc|st)\s+and\s+(?:each\s+)?ch-?1", text):
                        spaces = "one"
                        taken = "spaces"
                    elif regex.search(r"counts?\s+as\s+\d|counted\s+as\s+\d|are\s+counted", text):
                        spaces = "chains"
                        taken = "spaces"
                    elif regex.search(r"ch-?1\s+(?:sp|space)s?\s+count\s+as\s+(?:a\s+)?st", text):
                        spaces = "one"
                        taken = "spaces"
                else:
                    negative = regex.search(_NOT, text) is not None
                    positive = not negative and regex.search(r"counts?\s+as|counted\s+as|(?:always\s+)?counts\b|stands?\s+for|to\s+count\s+as", text) is not None
                    if negative or positive:
                        lengths: list[int] = []
                        for m in regex.finditer(_CHAIN, text):
                            lengths += [int(m[g]) for g in ("a", "b", "c", "d") if m[g]]
                        if not lengths and regex.search(r"turning\s+ch|(?:beg|starting)\w*\s+ch|this\s+ch", text):
                            lengths = [0]
                        for n in lengths:
                            chains[(n, "")] = positive
                            taken = "turning chain"
                        part = regex.search(r"1\s?ch\b.*?(?:does not|not)\s+count", text)
                        if positive and part:
                            chains[(1, "")] = False
            told = _side_of_odd_rows(text)
            if told is not None:
                side_odd = told
                taken = "side"
            if regex.search(r"all\s+(?:rows|rnds|rounds)\s+are\s+(?:worked|rs)\s*(?:on|with|from)?\s*(?:the\s+)?(?:rs|right side)?|every\s+(?:row|rnd)\s+has\s+its\s+rs", text) and regex.search(r"(?<![a-z])(?:rs|right\s+side)(?![a-z])", text):
                said.append(("all_rs", span))
                taken = "side"
            if regex.search(r"(?:do\s+not|never|not)\s+turn(?:ed)?|without\s+turning|no\s+turning", text) and regex.search(r"rnd|round|join|spiral|never turn|every rnd|not turned", text):
                said.append(("no_turn", span))
                taken = taken or "turn"
            if regex.search(r"spiral|continuous\s+(?:rnds|rounds)|do\s+not\s+join", text):
                said.append(("spiral", span))
                taken = taken or "spiral"
            if regex.search(r"join(?:ed)?\s+(?:with\s+)?|end\s+(?:all|each|every)\s+(?:rnds?|rounds?)|rounds?\s+(?:is|are)\s+(?:closed|joined)|rnds?\s+(?:is|are)\s+(?:closed|joined)", text) and regex.search(r"(?:all|each|every|always)\s+(?:the\s+)?(?:rnds?|rounds?)|always|at the end of every|rnds are joined|rounds are closed|joined rnds|join = ", text):
                said.append(("joined", span))
                taken = taken or "join"
            m = regex.search(r"([(\[{])\s*[)\]}]?\s*=\s*(?:work\s+)?(?:all\s+)?(?:in(?:to)?\s+(?:the\s+)?)?same\s+st", text)
            if m:
                same_brackets += m[1]
                taken = "brackets"
            if taken:
                used.append(Note(span, taken, True))
    kinds = {kind for kind, _ in said}
    return Conventions(
        tuple(sorted(chains.items())), spaces, side_odd, "all_rs" in kinds, same_brackets, "no_turn" in kinds, "joined" in kinds, "spiral" in kinds, tuple(said), tuple(used),
    )  # fmt: skip
