"""Planting slips in a folder of sound manuscripts, and counting how many are found where they stand."""

from __future__ import annotations

import random
import re
import tomllib
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from pathlib import Path

from tenterhook.lint.finding import Finding, Severity
from tenterhook.lint.manuscript.find import manuscripts
from tenterhook.lint.manuscript.read import Unreadable
from tenterhook.lint.proof import Proof, proof
from tenterhook.lint.style import Style
from tenterhook.lint.text import Span, Text

from .meaning import Verdict, shows, verdict
from .planting import KINDS, Clean, Slip, slips

STRICT = Style(strict=True)
OF_WORDS = frozenset({"other-terms", "misspelt"})
"""Kinds that leave the sum alone: a finding of any severity answers them."""


class Outcome(StrEnum):
    """What became of a slip. ``NAMED``: only listed among the words that were not read."""

    FOUND = "found"
    NAMED = "named"
    ELSEWHERE = "elsewhere"
    MISSED = "missed"


@dataclass(frozen=True)
class Tried:
    """One slip planted, and what came of it; ``outcome`` is None where it turned out to be none."""

    clean: Clean
    slip: Slip
    verdict: Verdict
    outcome: Outcome | None
    findings: tuple[Finding, ...] = ()

    def __str__(self) -> str:
        source, span = self.clean.source, self.slip.span
        line = self.clean.done.text.line_number(span.start)
        said = "".join(f"\n      {f.severity} {f.rule}: {f.message}" for f in self.findings)
        around = source[max(0, span.start - 30) : span.start], source[span.end : span.end + 30]
        words = f"{around[0]}[{source[span.start : span.end]} -> {self.slip.new}]{around[1]}".replace("\n", " / ")
        return f"{self.outcome or self.verdict}: {self.slip.kind}: {self.clean.name}:{line}: {words}{said}"


@dataclass
class Tally:
    """How the slips of a run came out, by kind."""

    by_kind: dict[str, Counter[str]] = field(default_factory=lambda: {kind: Counter() for kind in KINDS})
    breaking: Counter[str] = field(default_factory=Counter)

    def add(self, tried: Tried) -> None:
        self.by_kind[tried.slip.kind][str(tried.outcome or tried.verdict)] += 1
        if tried.verdict is Verdict.BREAKS:
            self.breaking[str(tried.outcome)] += 1

    @property
    def all(self) -> Counter[str]:
        return sum(self.by_kind.values(), Counter())

    def table(self) -> str:
        lines = [_row("kind", *Outcome, "of 100", "same", "sound", "unproved")]
        lines += [_row(kind, *_figures(counts)) for kind, counts in self.by_kind.items() if counts]
        lines += [_row("all", *_figures(self.all)), _row("breaking a proved row", *_figures(self.breaking))]
        return "\n".join(lines)


def _figures(counts: Counter[str]) -> list[object]:
    rate = share(counts)
    outcomes = [counts[str(o)] for o in Outcome]
    rest = [counts[str(v)] for v in (Verdict.SAME, Verdict.SOUND, Verdict.UNPROVED)]
    return [*outcomes, "-" if rate is None else f"{100 * rate:.1f}", *rest]


def _row(first: str, *others: object) -> str:
    return f"{first:24}" + "".join(f"{o!s:>10}" for o in others)


def share(counts: Counter[str]) -> float | None:
    """What part of the slips was found, None where there were none."""
    planted = sum(counts[str(o)] for o in Outcome)
    return counts[str(Outcome.FOUND)] / planted if planted else None


def sound(paths: Iterable[str]) -> tuple[list[Clean], list[str]]:
    """The sound manuscripts of some paths, and why others were left out.

    A path is a manuscript, a folder of them, or a TOML file (or folder of such) of ``[[form]]`` tables with ``id``, ``text`` and the
    ``findings`` expected, of which those without any are taken.
    """
    kept: list[Clean] = []
    left: list[str] = []
    for name, words in _texts(paths):
        done = proof(Text(words, name), STRICT, corrections=False)
        if done.loud():
            left.append(f"{name}: not sound, {len(done.loud())} findings stand in it already")
        else:
            kept.append(Clean(name, done))
    return kept, left


def _texts(paths: Iterable[str]) -> Iterator[tuple[str, str]]:
    for path in paths:
        tables = [Path(path)] if path.endswith(".toml") else sorted(Path(path).glob("*.toml")) if Path(path).is_dir() else []
        forms = [form for table in tables for form in tomllib.loads(table.read_text("utf-8")).get("form", ())]
        if forms:
            yield from ((form["id"], form["text"]) for form in forms if not form["findings"])
            continue
        for file in manuscripts([path]):
            if isinstance(file, Unreadable):
                raise file
            if Path(file).name != "README.md":
                yield file, Path(file).read_text("utf-8")


def chosen(every: Sequence[Clean], each: int | None, seed: int, kinds: Sequence[str] = KINDS) -> Iterator[tuple[Clean, Slip]]:
    """``each`` slips of every kind for every manuscript, drawn by ``seed``; all of them where it is None."""
    for clean in every:
        for kind, found in slips(clean).items():
            if kind in kinds:
                dice = random.Random(f"{seed} {clean.name} {kind}")
                drawn = found if each is None else dice.sample(found, min(each, len(found)))
                yield from ((clean, slip) for slip in drawn)


def tried(clean: Clean, slip: Slip) -> Tried:
    """Plant a slip and look for it."""
    done = proof(Text(slip.planted(clean.source), clean.name), STRICT, corrections=False)
    worth = verdict(clean, slip, done)
    if worth not in (Verdict.SLIP, Verdict.BREAKS):
        return Tried(clean, slip, worth, None)
    known = Counter((f.rule, f.message) for f in clean.done.findings)
    fresh = tuple(f for f in done.findings if not known[f.rule, f.message])
    least = Severity.SUGGESTION if slip.kind in OF_WORDS else Severity.QUERY
    answers = [f for f in fresh if f.rule != "not-read" and f.severity.at_least(least)]
    places = list(_places(clean, slip, done))
    if any(_touches(f, place, done) for f in answers for place in places):
        outcome = Outcome.FOUND
    elif answers:
        outcome = Outcome.ELSEWHERE
    elif any(f.rule == "not-read" for f in fresh):
        outcome = Outcome.NAMED
    else:
        outcome = Outcome.MISSED
    return Tried(clean, slip, worth, outcome, fresh)


def _places(clean: Clean, slip: Slip, done: Proof) -> Iterator[Span]:
    """Where a finding has to stand.

    A slip outside rows: on its line or, in the line that names the sizes, on the first row. In a row: on that row, on the next one written, which is worked into it and
    numbered after it, or on the first row of the worksheet that came out before and no longer does.
    """
    grown = len(slip.new) - len(slip.span)
    at = slip.row.span if slip.row is not None else slip.span
    yield Span(at.start, at.end + grown)
    if slip.row is not None or re.match(r"[\W_]*sizes?\b", clean.done.text[clean.done.text.line_span(clean.done.text.line_number(at.start))], re.IGNORECASE):
        after = [row.span for row in clean.rows if row.span.start >= at.end]
        yield from (Span(s.start + grown, s.end + grown) for s in sorted(after)[:1])
    yield from shows(clean, done)


def _touches(finding: Finding, place: Span, done: Proof) -> bool:
    """Whether a finding, or a place it gives as its reason, shares a line with another place."""
    text = done.text
    first, last = text.line_number(place.start), text.line_number(max(place.start, place.end - 1))
    spans = [finding.span, *(because.span for because in finding.because)]
    return any(text.line_number(s.start) <= last and text.line_number(max(s.start, s.end - 1)) >= first for s in spans)
