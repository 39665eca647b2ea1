"""Numbers that say what a row holds: stated counts, and remarks on what a chain counts as."""

from __future__ import annotations

from collections.abc import Sequence
from typing import cast

from .elements import Element
from .lexer import Num, Token, Vocabulary
from .lexicon import Stitch
from .places import group_name, noun_of
from .tree import Count, CountPart, Counts, Extent, Fault

_SUM = frozenset({"N", "NBAD", "XN", "TIMES", "ST", "STITCH", "CH", "CHSP", "SPN", "GROUPNAME", "PLUS", "AND", "COMMA", "EQ", "INC", "DEC", "TOTAL", "STAR", "DASH", "DOT"})
_COUNT_NOUNS = {"ST": "st", "SPN": "sp", "CH": "ch", "GROUPNAME": "", "STITCH": "", "CHSP": "sp", "SL": "sl st", "ROWWORD": "row", "INC": "inc", "DEC": "dec"}  # fmt: skip


class CountReader:
    """Reads counts; slips of their marks are kept in ``faults``."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        self.vocabulary = vocabulary
        self.faults: list[Fault] = []

    def _counts(self, inner: list[Token], whole: Extent) -> list[Element]:
        """A remark on what a chain counts as, with or without a stated count before it."""
        out: list[Element] = []
        cut = next((i for i, t in enumerate(inner) if t.type in ("COMMA", "SEMI")), None)
        if cut is not None and inner[0].type == "N":
            head = self._count(inner[:cut], whole, sure=True)
            if head is not None:
                out.append(head)
                inner = inner[cut + 1 :]
        index = next(i for i, t in enumerate(inner) if t.type in ("COUNTS", "NOTCOUNT"))
        throughout = any(t.type == "THROUGHOUT" for t in inner)
        if inner[index].type == "NOTCOUNT":
            return [*out, Counts(whole, not_=True, throughout=throughout)]
        rest = inner[index + 1 :]
        kind = next((cast(Stitch, t.value).kind for t in rest if t.type == "STITCH"), None)
        if kind is None and any(t.type == "ST" for t in rest):
            kind = "st"
        named = next((t for t in rest if t.type == "GROUPNAME"), None)
        if kind is None and named is not None:
            kind = group_name(str(named.value))
        number, chains = 1, 0
        for i, token in enumerate(rest):
            if token.type == "N" and i + 1 < len(rest) and rest[i + 1].type in ("STITCH", "ST"):
                number = cast(Num, token.value)[0] or 1
            if token.type == "CHN":
                chains = cast(Num, token.value)[0] or 0
            if token.type == "CHSP":
                chains = token.value if isinstance(token.value, int) else 1
            if token.type == "CH":
                beside = [rest[j] for j in (i - 1, i + 1) if 0 <= j < len(rest) and rest[j].type == "N"]
                chains = (cast(Num, beside[-1].value)[0] or 1) if beside else 1
        return [*out, Counts(whole, kind, number, chains, throughout=throughout)]

    def _leading_count(self, inner: list[Token], whole: Extent) -> Count | None:
        cut = next((i for i, t in enumerate(inner) if t.type == "SEMI"), None)
        return self._count(inner[:cut], whole, sure=True) if cut else None

    def _count(self, inner: Sequence[Token], whole: Extent, *, sure: bool) -> Count | None:
        """The count a run of tokens states, or None where it states none."""
        if inner and inner[-1].type != "EQ" and any(t.type == "EQ" for t in inner[1:]):
            return self._sum(inner, whole, sure=sure)
        parts: list[CountPart] = []
        inner = _without_between(inner)
        tokens = [t for t in inner if t.type not in ("ATEND", "TOTAL", "INCL", "WITH", "REMAIN", "EQ", "REMAINING", "NOW") and t.type != "STAR"]
        if tokens and tokens[-1].type == "DOT":
            tokens = tokens[:-1]
        if len(tokens) >= 5 and tokens[1].type == "SLASH" and all(t.type == ("N" if i % 2 == 0 else "SLASH") for i, t in enumerate(tokens[:-1])):
            rows = tuple(cast(Num, t.value)[0] or 0 for t in tokens if t.type == "N")
            return Count(whole, (CountPart((rows[-1],), _part_noun(tokens[-1])[0], whole),), sure, rows)
        i = 0
        while i < len(tokens):
            token = tokens[i]
            if token.type in ("COMMA", "AND", "PLUS", "SEMI", "ANDN", "SLASH", "DASH") and parts:
                i += 1
                continue
            if token.type not in ("N", "NBAD"):
                return None
            n = cast(Num, token.value)
            if token.type == "NBAD":
                self.faults.append(Fault(Extent(token.start, token.end), "size-list", str(len(n))))
                n = (None,) * self.vocabulary.sizes  # which value is for which size cannot be told
            noun, size = "", None
            j = i + 1
            if j < len(tokens) and tokens[j].type in _COUNT_NOUNS:
                noun, size = _part_noun(tokens[j])
                j += 1
                # "18 ch-1 sps" lexes the space whole; "3 ch sts" or "24 tr sts" says the noun twice.
                while j < len(tokens) and tokens[j].type in ("ST", "AROUND", "SCOPE", "TOTAL", "EVENLY", "SPN"):
                    j += 1
                if [t.type for t in tokens[j - 1 : j + 3]] == ["GROUPNAME", "OF", "N", "STITCH"]:
                    j += 3  # "10 groups of 3 dc"
            elif j < len(tokens) and tokens[j].type not in ("COMMA", "AND", "PLUS", "SEMI", "ANDN"):
                return None
            parts.append(CountPart(n, noun, Extent(token.start, tokens[j - 1].end), size))
            i = j
        sizes = self.vocabulary.sizes
        if len(parts) == sizes > 1 and all(len(p.n) == 1 for p in parts) and not any(p.noun for p in parts[:-1]):
            # a number for each size, none of them before the bracket: (44, 48, 52 sts)
            parts = [CountPart(tuple(p.n[0] for p in parts), parts[-1].noun, whole, parts[-1].size)]
        if len(parts) > 1 and not any(p.noun for p in parts):
            # "9 + 2" is one number; "(24, 6)" tells nobody of what
            if any(t.type not in ("N", "PLUS") for t in tokens):
                return None
            added = tuple(sum(v or 0 for v in values) for values in zip(*(p.n for p in parts), strict=False))
            parts = [CountPart(added, "", parts[0].at.to(parts[-1].at))]
        return Count(whole, tuple(parts), sure, at_end=any(t.type == "ATEND" for t in inner)) if parts else None

    def _sum(self, inner: Sequence[Token], whole: Extent, *, sure: bool) -> Count | None:
        """A count with its working: "4 sc + 3 hdc = 7 sts", "3 x 14 + 1 = 43 sc", "43 sc = 3 x 14 + 1"."""
        cut = max(i for i, t in enumerate(inner) if t.type == "EQ")
        if not all(t.type in _SUM for t in inner):
            return None
        left, right = self._count(inner[:cut], whole, sure=sure), self._count(inner[cut + 1 :], whole, sure=sure)
        if right is None or not all(p.noun for p in right.parts):
            return left or right
        if left is None or not all(p.noun for p in left.parts) or [p.noun for p in right.parts] != ["st"]:
            return right
        return Count(whole, (*left.parts, *right.parts), sure)


def _without_between(inner: Sequence[Token]) -> Sequence[Token]:
    """"9 sc with ch 1 between": the stitches are counted, the chains between them only named."""
    types = [t.type for t in inner]
    if "BETWEEN" not in types or not {"WITH", "DIVIDED"} & set(types):
        return inner
    cut = next(i for i, kind in enumerate(types) if kind in ("WITH", "DIVIDED"))
    return inner[:cut] if cut else inner


def _part_noun(token: Token) -> tuple[str, int | None]:
    if token.type not in _COUNT_NOUNS:
        return "", None
    return noun_of(token) or (_COUNT_NOUNS[token.type], None)
