"""Whether a slip changes what a text means, and whether the text can tell.

Not every change is a slip. One that leaves every number of the worksheet as it was says the same in other words; one
after which every row comes out, on the numbers the text states, is another pattern, as sound as the first. The verdict
rests on the worksheets of both texts, on the trade's tables and on the words themselves, never on what is found.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise
from typing import Any

from tenterhook.lint.fabric.work import PieceWork, RowWork, Status, Work
from tenterhook.lint.proof import Proof
from tenterhook.lint.syntax.lexer import lexer_for
from tenterhook.lint.syntax.lexicon import us_kind
from tenterhook.lint.text import Span
from tenterhook.lint.trade.hooks import agrees
from tenterhook.lint.trade.terms import tells

from .planting import Clean, Slip


class Verdict(StrEnum):
    """What a change is worth; only the last two ask for a finding."""

    SAME = "says the same"
    SOUND = "another sound text"
    UNPROVED = "in a row nobody proved"
    SLIP = "slip"
    BREAKS = "breaks a proved row"


def verdict(clean: Clean, slip: Slip, slipped: Proof) -> Verdict:
    """What planting a slip has done."""
    told = _TOLD_BY_WORDS.get(slip.kind)
    said = told(clean, slip, slipped) if told is not None else None
    return said if said is not None else _by_worksheet(clean, slip, slipped)


# By the worksheet


@dataclass(frozen=True)
class _Line:
    """One row of a worksheet as far as it bears on meaning."""

    label: str
    span: Span
    status: Status
    numbers: tuple[tuple[Any, ...], ...]
    rest: tuple[Any, ...]

    @property
    def stated(self) -> tuple[int | None, ...]:
        return tuple(n[3] for n in self.numbers)


def _line(row: RowWork) -> _Line:
    numbers = tuple((s.base, s.used, s.made, s.stated, tuple(sorted(s.kinds.items())), s.spaces, s.working) for s in row.sizes)
    posts = tuple((p.post, p.n) for p in row.posts)
    crossings = tuple(c[1:] for c in row.crossings)
    return _Line(row.label, row.span, row.status, numbers, (row.side, row.times, posts, crossings))


def _sheet(work: Work) -> list[_Line]:
    return [_line(row) for row in work.rows()]


def _by_worksheet(clean: Clean, slip: Slip, slipped: Proof) -> Verdict:
    before, after = _sheet(clean.done.work), _sheet(slipped.work)
    here = [line for line in before if slip.row is not None and line.span == slip.row.span]
    if here and any(line.status is not Status.PROVED for line in here):
        return Verdict.UNPROVED
    if [(x.label, x.status, x.numbers, x.rest) for x in before] == [(x.label, x.status, x.numbers, x.rest) for x in after]:
        return _though_the_same(clean, slip)
    if _sinks(clean.done.work, slipped.work):
        return Verdict.SLIP
    if _comes_out(before, after):
        return Verdict.SOUND
    return Verdict.BREAKS if here and _breaks(here, after) else Verdict.SLIP


def _though_the_same(clean: Clean, slip: Slip) -> Verdict:
    """What a change is worth that the worksheet does not know.

    Another number skipped is another place for all that follows. A step told twice that goes to an end, or begins the
    row, cannot be worked twice. What another step takes in ("… in each st to end") may be lost and leave a sound row.
    """
    words = clean.source[slip.span.start : slip.span.end]
    if slip.kind == "skip-off":
        return Verdict.SLIP
    if slip.kind == "step-doubled" and re.search(r"\b(?:each|every|across|around|end|first|last)\b", words, re.IGNORECASE):
        return Verdict.SLIP
    stitch = re.search(r"\b\d*(?:fp|bp)?(?:h?dc|sc|h?tr|dtr)|\b(?:inc|dec|shell)", words, re.IGNORECASE) and not re.match(r"[\s,;]*(?:sk|skip|miss)\b", words, re.IGNORECASE)
    return Verdict.SOUND if slip.kind in ("step-dropped", "step-doubled") and stitch else Verdict.SAME


def _comes_out(before: list[_Line], after: list[_Line]) -> bool:
    """Whether every row that was proved still is, and on the counts that stood in the text before."""
    if [x.label for x in before] != [x.label for x in after]:
        return sum(x.status is not Status.PROVED for x in after) <= sum(x.status is not Status.PROVED for x in before)
    for old, new in zip(before, after, strict=True):
        if old.status is Status.PROVED and new.status is not Status.PROVED:
            return False
        if old.stated != new.stated:
            return False
    return True


def _breaks(here: list[_Line], after: list[_Line]) -> bool:
    """Whether the slip's own row, read whole, has numbers that cannot both hold."""
    now = [line for line in after if line.label == here[0].label and line.span.start == here[0].span.start]
    for old, new in zip(here, now, strict=False):
        for was, is_ in zip(old.numbers, new.numbers, strict=False):
            base, used, made, _ = is_[:4]
            if new.status in (Status.ASSUMED, Status.UNREAD):
                continue
            if was[3] is not None and (made is None or (made, is_[4], is_[5]) != (was[2], was[4], was[5])):
                return True
            if base is not None and used != base:
                return True
    return False


def _sinks(before: Work, after: Work) -> bool:
    """Whether columns of posts that all kept to one face change it on some rows, on one in three at most."""
    posts = [[(p.post, p.n) for p in row.posts] for row in before.rows()]
    now = [[(p.post, p.n) for p in row.posts] for row in after.rows()]
    changed = sum(a != b for a, b in zip(posts, now, strict=False))
    return 0 < 3 * changed <= sum(map(bool, posts)) and _against(before) == 0 < _against(after)


def _against(work: Work) -> int:
    """Post stitches that stand out on the other face than the posts they go round."""
    total = 0
    for row in work.rows():
        for post, below, n in ((p.post, p.below, p.n) for p in row.posts if p.rows == 1):
            if row.side and below:
                face = row.side if post == "F" else {"RS": "WS", "WS": "RS"}[row.side]
                total += n * (face != below)
    return total


# By the words


def _reference(clean: Clean, slip: Slip, slipped: Proof) -> Verdict | None:
    """A row that is not there, or not yet, can never be repeated."""
    assert slip.row is not None
    named, own = int(slip.new), slip.row.number
    piece = next((p for p in clean.done.work.pieces if any(r.span == slip.row.span for r in p.rows)), None)
    of_another = re.search(rf"{re.escape(slip.new)}\b[^.;]*?\bof\b", slip.planted(clean.source)[slip.span.start : slip.row.span.end + 2])
    if piece is None or own is None or of_another:
        return None
    numbers = {r.number for r in piece.rows}
    return Verdict.SLIP if named >= own or named not in numbers else None


def _range(clean: Clean, slip: Slip, slipped: Proof) -> Verdict | None:
    """Numbers that ran on and now do not; a number of repeats that no longer makes up the range."""
    assert slip.row is not None
    before, after = _runs_on(clean.done.work), _runs_on(slipped.work)
    if after < before:
        return Verdict.SLIP
    words = clean.source[slip.row.label_span.end : slip.row.span.end]
    if re.search(r"\btimes\b|\btwice\b|\b\d+ (?:rows|rnds|rounds)\b", words + clean.source[slip.row.label_span.start : slip.row.label_span.end], re.IGNORECASE):
        return Verdict.SLIP
    return None


def _runs_on(work: Work) -> int:
    """How many rows have the number after that of the row before them, less those that do not."""
    total = 0
    for piece in work.pieces:
        numbers = [n for row in piece.rows if row.number is not None for n in range(row.number, row.number + row.times)]
        steps = Counter(b - a == 1 for a, b in pairwise(numbers))
        total -= steps[False]
    return total


def _size_list(clean: Clean, slip: Slip, slipped: Proof) -> Verdict | None:
    """A list has one value for each size; one of measures or balls that rose all along and no longer does has two changed about.

    Numbers of stitches and rows do not always rise from size to size: there the sum must tell.
    """
    if slip.kind == "size-dropped":
        return Verdict.SLIP
    if not re.match(r"\s*(?:cm|in\b|inches|\"|m\b|yds?|balls?|skeins?|hanks?)", clean.source[slip.span.end :]):
        return Verdict.SOUND if slip.row is None else None
    old = [int(n) for n in re.findall(r"\d+", clean.source[slip.span.start : slip.span.end])]
    new = [int(n) for n in re.findall(r"\d+", slip.new)]
    steady = sorted(old) == old or sorted(old, reverse=True) == old
    return Verdict.SLIP if steady and sorted(new) != new and sorted(new, reverse=True) != new else None


def _terms(clean: Clean, slip: Slip, slipped: Proof) -> Verdict | None:
    """A word the trade's table knows in the other terms alone; for other stitches the sum must tell."""
    told = tells(slip.new)
    if told is None or told[0] == clean.done.work.terms or slip.new in _defined(clean):
        return None
    if told[1] == "strong":
        return Verdict.SLIP
    return Verdict.SLIP if len(re.findall(r"\b(?:sk|skip|miss)\b", clean.source)) > 2 else Verdict.SOUND


def _defined(clean: Clean) -> set[str]:
    return {word.lower() for entry in clean.done.layout.key for word in entry.words}


def _hook(clean: Clean, slip: Slip, slipped: Proof) -> Verdict | None:
    """The hook table says whether label and millimetres still agree."""
    text = slipped.text
    line = text[text.line_span(text.line_number(slip.span.start))]
    labels = re.findall(r"\b[B-S]-\d+(?:½)?|(?<=US )[A-Z]\b", line)
    return Verdict.SLIP if any(agrees(label, float(slip.new)) is False for label in labels) else Verdict.SOUND


def _centimetres(clean: Clean, slip: Slip, slipped: Proof) -> Verdict | None:
    """An inch is 2.54 cm: where inches stand right beside, the two have to agree within a twentieth."""
    text = slipped.text
    line = text.line_span(text.line_number(slip.span.start))
    cm = next(m for m in re.finditer(r"\d+(?:\.\d+)? ?cm", text.source) if m.start() <= slip.span.start < m.end())
    value = float(re.sub(r"[^\d.]", "", cm[0]))
    before = re.search(r"(\d+)?(?:[ -]?(½|¼|¾|1/2|1/4|3/4))?\s?(?:in|inches|\")[\s(/=]*$", text.source[line.start : cm.start()])
    after = re.match(r"\s?[(/]\s?(\d+)?(?:[ -]?(½|¼|¾|1/2|1/4|3/4))?\s?(?:in|inches|\")", text.source[cm.end() : line.end])
    beside = before or after
    if beside is None:
        return Verdict.SOUND
    parts = {"½": 0.5, "¼": 0.25, "¾": 0.75, "1/2": 0.5, "1/4": 0.25, "3/4": 0.75}
    inches = float(beside[1] or 0) + parts.get(beside[2] or "", 0)
    return Verdict.SLIP if abs(inches * 2.54 - value) > 0.05 * value + 0.5 else Verdict.SOUND


def _misspelt(clean: Clean, slip: Slip, slipped: Proof) -> Verdict | None:
    """A word that neither the key nor the trade knows."""
    tokens = list(lexer_for(clean.done.pattern.vocabulary).tokens(slip.new.lower()))
    unknown = any(token.type in ("WORD", "ODD") for token in tokens)
    return Verdict.SLIP if unknown and slip.new.lower() not in _defined(clean) else Verdict.SOUND


def _turn(clean: Clean, slip: Slip, slipped: Proof) -> Verdict | None:
    return _lost(clean, slip, r"\bturn(?:ed)?\b")


def _join(clean: Clean, slip: Slip, slipped: Proof) -> Verdict | None:
    return _lost(clean, slip, r"\b(?:join(?:ed)?|sl st|ss)\b")


def _lost(clean: Clean, slip: Slip, word: str) -> Verdict:
    """A word at the end of a row is missed where every other row of the piece but its last says it, three at least."""
    assert slip.row is not None
    piece = next((p for p in clean.done.work.pieces if any(r.span == slip.row.span for r in p.rows)), None)
    if piece is None:
        return Verdict.SOUND
    if any(re.search(word, s, re.IGNORECASE) and re.search(r"\b(?:rows?|rnds?|rounds?)\b", s, re.IGNORECASE) for s in _sentences_outside(clean)):
        return Verdict.SAME  # a note says it of every row
    spans = list(dict.fromkeys(row.span for row in piece.rows if row.written))
    others = [span for span in spans[:-1] if span != slip.row.span]
    says = [re.search(word, clean.source[span.start : span.end], re.IGNORECASE) is not None for span in others if not _only_refers(clean, span)]
    return Verdict.SLIP if slip.row.span != spans[-1] and len(says) >= 3 and all(says) else Verdict.SOUND


def _sentences_outside(clean: Clean) -> list[str]:
    """What the text says outside its rows."""
    words, end = [], 0
    for span in sorted(row.span for row in clean.rows):
        words.append(clean.source[end : max(end, span.start)])
        end = max(end, span.end)
    return re.split(r"[.;!]\s|\n\s*\n", "\n\n".join([*words, clean.source[end:]]))


def _only_refers(clean: Clean, span: Span) -> bool:
    return re.search(r"\b(?:rep(?:eat)?|as)\s+(?:rows?|rnds?|rounds?)", clean.source[span.start : span.end], re.IGNORECASE) is not None


def _crossing(clean: Clean, slip: Slip, slipped: Proof) -> Verdict | None:
    """Told by other crossings over the same stitch of the same kind of post, all in front or all behind."""
    words = [c[1:] for row in clean.done.work.rows() for c in row.crossings]
    changed = [c[1:] for row in slipped.work.rows() for c in row.crossings]
    fewer, more = Counter(words) - Counter(changed), Counter(changed) - Counter(words)
    if not more:
        return Verdict.SAME
    kept = Counter(words) - fewer
    return Verdict.SLIP if all(kept[c] >= 2 for c in fewer) and all(kept[c] == 0 for c in more) else Verdict.SOUND


def _count(clean: Clean, slip: Slip, slipped: Proof) -> Verdict | None:
    """A row that came out on its count does not come out on another."""
    assert slip.row is not None
    if re.match(r"\s?-?ch", clean.source[slip.span.end :], re.IGNORECASE) or re.search(r"ch-\s*$", clean.source[: slip.span.start], re.IGNORECASE):
        return _space(clean, slip, slipped) or Verdict.SAME
    rows = [row for row in clean.done.work.rows() if row.span == slip.row.span]
    return Verdict.BREAKS if rows and all(row.status is Status.PROVED for row in rows) else Verdict.UNPROVED


def _space(clean: Clean, slip: Slip, slipped: Proof) -> Verdict | None:
    """A space named by its chains, where no chain of that length is made."""
    after = clean.source[slip.span.end : slip.span.end + 12].lower()
    before = clean.source[max(0, slip.span.start - 8) : slip.span.start].lower()
    if not (re.match(r"-?\s*(?:ch)?[ -]*(?:sps?|spaces?|loops?|lps?)\b", after) and ("ch" in before or re.match(r"-?\s*ch", after))):
        return None
    made = re.search(rf"\bch[ -]?{slip.new}\b(?!\s*(?:sp|lo|lp))|\b{slip.new}\s?ch\b(?!-?\s*(?:sp|lo|lp))", clean.source, re.IGNORECASE)
    return None if made else Verdict.SLIP


def _times(clean: Clean, slip: Slip, slipped: Proof) -> Verdict | None:
    """Rows repeated so many times to fill a range that says how many they are."""
    assert slip.row is not None
    numbers = slip.row.info.numbers if slip.row.info is not None else ()
    refers = re.search(r"\b(?:rep(?:eat)?|as)\s+(?:rows?|rnds?|rounds?)", clean.source[slip.row.span.start : slip.row.span.end], re.IGNORECASE)
    return Verdict.SLIP if len(numbers) > 1 and refers else None


def _kind(clean: Clean, slip: Slip, slipped: Proof) -> Verdict | None:
    """A count of a stitch that the row has in another number."""
    assert slip.row is not None
    number = re.search(r"(\d+)\s?$", clean.source[: slip.span.start])
    rows = [row for row in clean.done.work.rows() if row.span == slip.row.span]
    if number is None or any(row.status is not Status.PROVED for row in rows):
        return Verdict.UNPROVED
    kind = us_kind(slip.new, clean.done.work.terms)
    return Verdict.BREAKS if any(s.kinds.get(kind, 0) != int(number[1]) for row in rows[:1] for s in row.sizes[:1]) else Verdict.SAME


_TOLD_BY_WORDS: dict[str, Any] = {
    "count-off": _count,
    "number-off": _space,
    "times-off": _times,
    "kind-in-count": _kind,
    "reference-off": _reference,
    "range-off": _range,
    "size-dropped": _size_list,
    "size-swapped": _size_list,
    "other-terms": _terms,
    "mm-off": _hook,
    "cm-off": _centimetres,
    "misspelt": _misspelt,
    "turn-lost": _turn,
    "join-lost": _join,
    "front-for-behind": _crossing,
}


def shows(clean: Clean, slipped: Proof) -> Iterator[Span]:
    """Where a slip shows: the first row of the worksheet that came out and no longer does, in the order it is worked."""
    before = {(piece.name, row.label): row.status for piece in clean.done.work.pieces for row in piece.rows}
    for piece, row in _rows(slipped.work):
        if row.status is not Status.PROVED and before.get((piece.name, row.label), Status.PROVED) is Status.PROVED:
            yield row.span
            return


def _rows(work: Work) -> Iterator[tuple[PieceWork, RowWork]]:
    for piece in work.pieces:
        for row in piece.rows:
            yield piece, row
