"""Slips as they happen at a keyboard: every place in a manuscript where one of a kind could be made.

A slip changes a few characters. Where it may stand is found in the words of the manuscript; only the rows' and the
counts' places are taken from the reader, so that prose is left alone.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import cached_property

from tenterhook.lint.pattern.pattern import Entry
from tenterhook.lint.proof import Proof
from tenterhook.lint.syntax.tree import Count, Group, Star, Step
from tenterhook.lint.text import Span
from tenterhook.lint.trade.hooks import agrees
from tenterhook.lint.trade.terms import to_uk, to_us


@dataclass(frozen=True)
class Slip:
    """``new`` in the place of ``span``; ``row`` is the row it stands in, None outside rows."""

    kind: str
    span: Span
    new: str
    row: Entry | None = field(default=None, compare=False)

    def planted(self, source: str) -> str:
        return source[: self.span.start] + self.new + source[self.span.end :]


@dataclass(frozen=True)
class Clean:
    """A sound manuscript as proofed, with its places for slips."""

    name: str
    done: Proof

    @property
    def source(self) -> str:
        return self.done.text.source

    @cached_property
    def rows(self) -> tuple[Entry, ...]:
        """Every row and foundation written out, once."""
        found: dict[Span, Entry] = {}
        for piece in self.done.pattern.pieces:
            for entry in piece.entries:
                if entry.kind in ("row", "foundation", "until") and entry.written and len(entry.span):
                    found.setdefault(entry.span, entry)
        return tuple(found.values())

    def counts(self, row: Entry) -> list[Count]:
        """The stated counts in a row's own words; those of a row it repeats stand elsewhere."""
        own = [row.count] if row.count is not None else []
        every = [*own, *(_counts(row.tree.steps) if row.tree is not None else ())]
        return [count for count in every if self.count_span(row, count).start in row.span]

    def body(self, row: Entry) -> Span:
        """A row's words without its label."""
        start = row.label_span.end if row.kind == "row" and row.label_span.end <= row.span.end else row.span.start
        return Span(start, row.span.end)

    def finds(self, pattern: str, row: Entry) -> Iterator[re.Match[str]]:
        """Where a pattern stands in a row's words, outside its counts."""
        body = self.body(row)
        closed = [self.count_span(row, count) for count in self.counts(row)]
        for found in re.finditer(pattern, self.done.layout.folded[: body.end], re.IGNORECASE):
            at = Span(*found.span())
            if at.start >= body.start and not any(at.touches(c) for c in closed):
                yield found

    def count_span(self, row: Entry, count: Count) -> Span:
        return count.at.span(row.count_origin if count is row.count else row.origin)


def _counts(steps: tuple[Step, ...]) -> Iterator[Count]:
    for step in steps:
        if isinstance(step, Count) and step.sure:
            yield step
        elif isinstance(step, Group | Star):
            yield from _counts(step.items)


Planter = Callable[[Clean], Iterator[Slip]]

_NAME = r"(?:(?:fp|bp|ex?)?(?:h?dc|sc|h?tr|dtr|trc)(?:\d?tog)?|popcorns?|bobbles?|shells?|v-sts?|puffs?|inc|dec)"
_THING = rf"(?:{_NAME}|sts?|stitch(?:es)?|ch(?:ain)?s?|sps?|lo?ops?|single|double|treble|half)"
_NUMBER = (
    r"(?:(?<=\bnext )|(?<=\bfirst )|(?<=\blast )|(?<=\bch )|(?<=\bch-)|(?<=\bchain ))\d{1,3}(?![\d./]|\s*(?:more\s+)?times)"
    rf"|(?<![\w.,/-])\d{{1,3}}(?=\s?{_THING}\b)"
)
_WORDS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
_ORDINALS = {2: "2nd", 3: "3rd"}
_TIMES = r"\b(?P<n>\d+)(?=\s+(?:more\s+)?times\b)|(?<=[)\]\s][x×*])\s?(?P<x>\d+)\b|\b(?P<w>twice|thrice)\b|\b(?P<s>" + "|".join(_WORDS) + r")(?=\s+(?:more\s+)?times\b)"
_STEP = rf"\s*(?:(?:work\s+)?(?:\d+\s?)?{_NAME}\b(?!-)[^,;:.()\[\]{{}}*]*|(?:sk(?:ip)?|miss)\b[^,;:.()\[\]{{}}*]*|ch[ -]?\d+\s*|\d+ ?ch\s*)"
_ROWS = r"(?:rows?|rnds?|rounds?)"
_LIST = r"(?<![\w.])(?P<first>\d+)(?P<gap>\s?)(?P<open>[(\[])(?P<rest>\d+(?:,\s?\d+)*)(?P<close>[)\]])"


def _near(n: int, least: int = 1) -> Iterator[int]:
    for other in (n + 1, n - 1):
        if other >= least:
            yield other


def _other(number: Callable[[int], str], kind: str, found: re.Match[str], row: Entry | None, group: str | int = 0, least: int = 1) -> Iterator[Slip]:
    for n in _near(int(found[group]), least):
        yield Slip(kind, Span(*found.span(group)), number(n), row)


def count_off(clean: Clean) -> Iterator[Slip]:
    """A stated count off by one."""
    for row in clean.rows:
        for count in clean.counts(row):
            at = clean.count_span(row, count)
            for found in re.finditer(r"(?<![\d-])\d+(?!\d)", clean.source[: at.end]):
                if found.start() >= at.start:
                    yield from _other(str, "count-off", found, row)


def number_off(clean: Clean) -> Iterator[Slip]:
    """A number of stitches, chains or places off by one."""
    for row in clean.rows:
        for found in clean.finds(_NUMBER, row):
            before = clean.source[max(0, found.start() - 12) : found.start()].lower()
            if not re.search(r"\b(?:sk|skip|miss)\s+(?:next\s+)?$|[x×]\s?$|\b[rc]$", before):
                yield from _other(str, "number-off", found, row)
        for found in clean.finds(r"\b(\d)(?:nd|rd|th)(?= ch(?:ain)? from)", row):
            for n in _near(int(found[1]), 2):
                yield Slip("number-off", Span(*found.span()), _ORDINALS.get(n, f"{n}th"), row)


def step_dropped(clean: Clean) -> Iterator[Slip]:
    """A step lost between two commas, or after the mark that opens a repeat."""
    for row in clean.rows:
        for found in clean.finds(rf"[,;](?:{_STEP})(?=[,;)\]])|(?<=[*(\[])(?:{_STEP}),\s?", row):
            yield Slip("step-dropped", Span(*found.span()), "", row)


def step_doubled(clean: Clean) -> Iterator[Slip]:
    """A step written twice."""
    for row in clean.rows:
        for found in clean.finds(rf"[,;](?:{_STEP})(?=[,;)\]])|(?<=[*(\[])(?:{_STEP}),\s?", row):
            yield Slip("step-doubled", Span(*found.span()), clean.source[found.start() : found.end()] * 2, row)


def inc_for_dec(clean: Clean) -> Iterator[Slip]:
    """An increase for a decrease, or the other way round."""
    for row in clean.rows:
        for found in clean.finds(r"\b(?:inc|dec)\b", row):
            yield Slip("inc-for-dec", Span(*found.span()), {"inc": "dec", "dec": "inc"}[found[0]], row)
        for found in clean.finds(r"\b(h?dc|sc|h?tr)2tog(?:\s+over\s+(?:the\s+)?(?P<w>next|first|last)\s+2\s+\w+)?", row):
            yield Slip("inc-for-dec", Span(*found.span()), f"2 {found[1]} in {found['w'] or 'next'} st", row)
        for found in clean.finds(r"\b2 ?(h?dc|sc|h?tr) in(?:to)? (next|first|last|same) (?:st|sc|h?dc|h?tr)\b", row):
            if found[2].lower() != "same":
                yield Slip("inc-for-dec", Span(*found.span()), f"{found[1]}2tog over {found[2]} 2 sts", row)


def mark_lost(clean: Clean) -> Iterator[Slip]:
    """A bracket or an asterisk lost."""
    for row in clean.rows:
        for found in clean.finds(r"[()\[\]{}*]", row):
            yield Slip("mark-lost", Span(*found.span()), "", row)


def times_off(clean: Clean) -> Iterator[Slip]:
    """A repeat worked once more or once less."""
    for row in clean.rows:
        for found in clean.finds(_TIMES, row):
            if found["w"] or found["s"]:
                n = {"twice": 2, "thrice": 3}.get((found["w"] or "").lower()) or _WORDS.index(found["s"].lower()) + 1
                end = " times" if found["w"] else ""
                for other in _near(n, 2):
                    yield Slip("times-off", Span(*found.span()), f"{other}{end}", row)
            else:
                yield from _other(str, "times-off", found, row, "n" if found["n"] else "x")


def skip_off(clean: Clean) -> Iterator[Slip]:
    """One more or one fewer passed over."""
    for row in clean.rows:
        for found in clean.finds(r"\b(?:sk|skip|miss)(?:\s+(?:the\s+)?(?:next|first))?\s+(?P<n>\d+)", row):
            yield from _other(str, "skip-off", found, row, "n")
        for found in clean.finds(r"\b(?:sk|skip|miss)\s+(?:next|first)(?P<one>\s+(?P<w>st|sc|dc|hdc|tr|ch))\b(?![- ]?\d)", row):
            plural = "s" if found["w"] in ("st", "ch") else ""
            yield Slip("skip-off", Span(*found.span("one")), f" 2 {clean.source[slice(*found.span('w'))]}{plural}", row)


def kind_in_count(clean: Clean) -> Iterator[Slip]:
    """Another stitch in a count by kind."""
    for row in clean.rows:
        for count in clean.counts(row):
            at = clean.count_span(row, count)
            for found in re.finditer(r"(?<=[\d\s])(?:sc|hdc|dc|htr|tr)\b", clean.source[: at.end]):
                if found.start() >= at.start:
                    others = {"sc": ("hdc", "dc"), "hdc": ("dc", "sc"), "dc": ("hdc", "sc"), "htr": ("tr", "dc"), "tr": ("htr", "dc")}[found[0]]
                    uk = {"sc": ("dc",), "dc": ("htr", "tr")} if clean.done.work.terms == "UK" else {}
                    for other in uk.get(found[0], others):
                        yield Slip("kind-in-count", Span(*found.span()), other, row)


def post_turned(clean: Clean) -> Iterator[Slip]:
    """A front post for a back post."""
    swap = {"fp": "bp", "bp": "fp", "front post": "back post", "back post": "front post"}
    for row in clean.rows:
        for found in clean.finds(r"\b(?:fp|bp)(?=dc|tr|hdc|sc|dtr)|\b(?:front|back) post\b", row):
            new = swap[found[0].lower()]
            yield Slip("post-turned", Span(*found.span()), new.upper() if found[0].isupper() else new, row)


def front_for_behind(clean: Clean) -> Iterator[Slip]:
    """A crossing worked in front for one worked behind."""
    rows = {row.span: row for row in clean.rows}
    for found in re.finditer(r"\bworking (?P<w>in front(?: of)?|behind)\b", clean.source, re.IGNORECASE):
        row = next((row for span, row in rows.items() if found.start() in span), None)
        yield Slip("front-for-behind", Span(*found.span("w")), "in front of" if found["w"].lower() == "behind" else "behind", row)


def reference_off(clean: Clean) -> Iterator[Slip]:
    """A reference to the row before or after the one meant."""
    for row in clean.rows:
        for found in clean.finds(rf"\b(?:rep(?:eat)?|as)\b(?: for)?\s+{_ROWS}\s+(?P<n>\d+)(?:\s?(?:[-–]|to|and|&)\s?(?P<m>\d+))?", row):
            yield from _other(str, "reference-off", found, row, "n")
            if found["m"]:
                yield from _other(str, "reference-off", found, row, "m")


def range_off(clean: Clean) -> Iterator[Slip]:
    """A range of rows one row longer or shorter."""
    for row in clean.rows:
        if row.kind != "row":
            continue
        found = re.search(r"(?P<n>\d+)\s?(?:[-–]|to|through)\s?R?(?P<m>\d+)", clean.source[row.label_span.start : row.label_span.end])
        if found is not None and int(found["m"]) > int(found["n"]):
            for group in ("n", "m"):
                start = row.label_span.start + found.start(group)
                for n in _near(int(found[group])):
                    if n != int(found["m" if group == "n" else "n"]):
                        yield Slip("range-off", Span(start, start + len(found[group])), str(n), row)


def _size_lists(clean: Clean) -> Iterator[tuple[re.Match[str], list[str], Entry | None]]:
    sizes = len(clean.done.pattern.sizes)
    for found in re.finditer(_LIST, clean.source):
        rest = re.split(r",\s?", found["rest"])
        if sizes > 1 and len(rest) == sizes - 1:
            yield found, rest, next((row for row in clean.rows if found.start() in row.span), None)


def size_dropped(clean: Clean) -> Iterator[Slip]:
    """The value of one size lost from a list."""
    for found, rest, row in _size_lists(clean):
        for i in range(len(rest)):
            kept = [*rest[:i], *rest[i + 1 :]]
            if kept:
                yield Slip("size-dropped", Span(*found.span("rest")), ", ".join(kept), row)


def size_swapped(clean: Clean) -> Iterator[Slip]:
    """Two neighbouring values of a list in each other's place."""
    for found, rest, row in _size_lists(clean):
        values = [found["first"], *rest]
        for i in range(len(values) - 1):
            if values[i] != values[i + 1]:
                swapped = [*values[:i], values[i + 1], values[i], *values[i + 2 :]]
                new = f"{swapped[0]}{found['gap']}{found['open']}{', '.join(swapped[1:])}{found['close']}"
                yield Slip("size-swapped", Span(*found.span()), new, row)


def other_terms(clean: Clean) -> Iterator[Slip]:
    """A word of the other terms: the UK name of a stitch in a US text, or the other way round."""
    terms = clean.done.work.terms
    other = to_uk if terms == "US" else to_us
    words = {"US": {"sk": "miss", "skip": "miss"}, "UK": {"miss": "skip"}}
    for row in clean.rows if terms in ("US", "UK") else ():
        for found in clean.finds(r"(?<![a-z])(?:sc|hdc|dc|htr|tr|sk|skip|miss)(?![a-z\d])", row):
            word = found[0].lower()
            new = words[terms].get(word) or other(word)
            if new and new != word:
                yield Slip("other-terms", Span(*found.span()), new, row)


def mm_off(clean: Clean) -> Iterator[Slip]:
    """A hook half a millimetre off the size beside it."""
    for found in re.finditer(r"(?P<mm>\d+(?:\.\d+)?)(?= ?mm\b)", clean.source):
        line = clean.done.text.line_span(clean.done.text.line_number(found.start()))
        words = clean.source[line.start : line.end]
        labels = re.findall(r"\b[B-S]-\d+(?:½)?|\bUS [A-Z]\b", words)
        if "hook" in words.lower() and len(labels) == 1 and agrees(labels[0].removeprefix("US "), float(found["mm"])):
            for by in (0.5, -0.5):
                yield Slip("mm-off", Span(*found.span("mm")), f"{float(found['mm']) + by:g}")


def cm_off(clean: Clean) -> Iterator[Slip]:
    """Centimetres with a digit wrong."""
    for found in re.finditer(r"(?<![\d.])(?P<cm>\d+(?:\.\d+)?)(?= ?cm\b)", clean.source):
        digits, at = found["cm"], found.start("cm")
        if len(digits.split(".")[0]) > 1:
            yield Slip("cm-off", Span(at, at + 1), str(int(digits[0]) % 9 + 1))
            if digits[1] not in (digits[0], "0"):
                yield Slip("cm-off", Span(at, at + 2), digits[1] + digits[0])


def misspelt(clean: Clean) -> Iterator[Slip]:
    """Two letters of an abbreviation in each other's place."""
    for row in clean.rows:
        for found in clean.finds(r"(?<![a-z])(?:fpdc|bpdc|fptr|bptr|hdc|sc2tog|dc2tog|dc3tog|hdc2tog|rep|turn|shell|popcorn|picot|htr|dtr|join|miss)(?![a-z])", row):
            word = found[0]
            at = 2 if word[1].isdigit() or len(word) > 4 else len(word) - 2
            if word[at : at + 1].lower() != word[at + 1 : at + 2].lower():
                yield Slip("misspelt", Span(*found.span()), word[:at] + word[at + 1] + word[at] + word[at + 2 :], row)


def turn_lost(clean: Clean) -> Iterator[Slip]:
    """A row that no longer says to turn."""
    for row in clean.rows:
        for found in clean.finds(r",\s*turn(?=\s*[.(\[{=–—-]|\s*$)|(?<=\.)\s+turn\.", row):
            yield Slip("turn-lost", Span(*found.span()), "", row)


def join_lost(clean: Clean) -> Iterator[Slip]:
    """A round that is no longer joined."""
    for row in clean.rows:
        for found in clean.finds(r",\s*(?:join(?:\s+with\s+(?:a\s+)?(?:sl st|ss))?|sl st|ss)\b(?:\s+(?:in|to|into)\s+(?:\w+ ){0,3}[\w-]+)?(?=\s*[.(\[{=–—]|\s*$)", row):
            yield Slip("join-lost", Span(*found.span()), "", row)


PLANTERS: tuple[Planter, ...] = (
    count_off, number_off, step_dropped, step_doubled, inc_for_dec, mark_lost, times_off, skip_off, kind_in_count,
    post_turned, front_for_behind, reference_off, range_off, size_dropped, size_swapped, other_terms, mm_off, cm_off,
    misspelt, turn_lost, join_lost,
)  # fmt: skip
KINDS = tuple(planter.__name__.replace("_", "-") for planter in PLANTERS)


def slips(clean: Clean) -> dict[str, list[Slip]]:
    """Every slip that could be planted, by kind, each place once."""
    source = clean.source
    return {
        kind: [s for s in dict.fromkeys(planter(clean)) if s.planted(source) != source]
        for kind, planter in zip(KINDS, PLANTERS, strict=True)
    }
