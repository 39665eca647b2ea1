"""Stet, let it stand: findings an editor has accepted, and finding them again after the manuscript was edited.

An entry is found by its rule, its place and the words there and around, never by a line number. Where rows were put in
above, its place has another number; then it is found by its words alone, if they stand only once. In doubt a finding
does not stand: it is told again, and the entry is spent. Pure functions: the side file is read and written in
``beside``.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from . import regex
from .fabric.work import Work
from .finding import Finding, Severity
from .text import Span, Text
from .words import one_line

_HEAD, _TAIL = 80, 40  # of longer words, so much of both ends is kept
_AROUND = 40
_ENOUGH = 12
"""Code points kept of the words before and after, and how many of them, or of the words, are enough to know a row by."""

_ROW_NUMBER = regex.compile(r"\b(rows?|rnds?|rounds?|r)\s*\d+", regex.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Stet:
    """One finding let stand. It was number ``which``, from 1, ``of`` so many alike; ``line`` is the entry's own line."""

    rule: str
    severity: Severity
    because: str
    words: str
    piece: str = ""
    place: str = ""
    before: str = ""
    after: str = ""
    which: int = 1
    of: int = 1
    said: str = ""
    line: int | None = None

    def __str__(self) -> str:
        where = " ".join(part for part in (self.piece, self.place) if part)
        return f"{self.rule} at {where}" if where else self.rule


def entry(text: Text, work: Work, findings: Sequence[Finding], index: int, because: str) -> Stet:
    """What lets one of these findings stand."""
    return replace(entries(text, work, findings)[index], because=one_line(because).strip())


def entries(text: Text, work: Work, findings: Sequence[Finding]) -> list[Stet]:
    """An entry for each finding, without a reason. Findings alike in rule, place and words around are told apart by number."""
    described = [_described(text, work, f) for f in findings]
    alike: dict[tuple[str, ...], list[int]] = {}
    for index, found in enumerate(described):
        alike.setdefault(_mark(found), []).append(index)
    return [
        replace(found, which=alike[_mark(found)].index(index) + 1, of=len(alike[_mark(found)]), said=one_line(findings[index].message))
        for index, found in enumerate(described)
    ]


def found_again(text: Text, work: Work, findings: Sequence[Finding], asked: Sequence[Stet], *, graver: bool = False) -> dict[int, int]:
    """Which of the entries each finding is, by their indices; ``graver`` takes a finding that has become graver for the same."""
    if graver:
        asked = [replace(stet, severity=Severity.WRONG) for stet in asked]
        findings = [replace(finding, severity=Severity.WRONG) for finding in findings]
    return _pairs(text, asked, [_described(text, work, f) for f in findings]) if asked else {}


def let_stand(text: Text, work: Work, findings: Sequence[Finding], stets: Sequence[Stet]) -> tuple[list[Finding], list[Stet]]:
    """The findings, those that stand with the reason, and the entries whose finding is gone.

    What follows from a finding that stands, stands with it. Nothing graver than what was accepted is let stand.
    """
    if not stets:
        return list(findings), []
    taken = found_again(text, work, findings, stets)
    out: list[Finding] = []
    for index, finding in enumerate(findings):
        stet = taken.get(index)
        reason = stets[stet].because if stet is not None else out[finding.follows].stands if finding.follows is not None and finding.follows < index else ""
        out.append(replace(finding, stands=reason) if reason else finding)
    used = set(taken.values())
    return out, [stet for i, stet in enumerate(stets) if i not in used]


def handles(work: Work, findings: Sequence[Finding]) -> tuple[str, ...]:
    """A short name for each finding, as a person types it: ``base-short@foot-rnd-4``, ``gauge-size``, ``row-total@row-4.2``."""
    seen: Counter[str] = Counter()
    out: list[str] = []
    for finding in findings:
        where = f"{_piece(work, finding.span) if finding.place else ''} {finding.place}"
        slug = "-".join(regex.findall(r"[^\W_]+", where.lower()))
        name = f"{finding.rule}@{slug}" if slug else finding.rule
        seen[name] += 1
        out.append(name if seen[name] == 1 else f"{name}.{seen[name]}")
    return tuple(out)


def _piece(work: Work, span: Span) -> str:
    """The piece a span stands in, where there are several."""
    if len(work.pieces) < 2:
        return ""
    return next((p.name for p in work.pieces if span.start in p.span), "")


def _described(text: Text, work: Work, finding: Finding) -> Stet:
    """A finding as an entry describes it, without a reason."""
    span, source = finding.span, text.source
    words = flat(source[span.start : span.end])
    if len(words) > _HEAD + _TAIL:
        words = f"{words[:_HEAD]} … {words[-_TAIL:]}"
    before = flat(source[max(0, span.start - 3 * _AROUND) : span.start])[-_AROUND:].lstrip()
    after = flat(source[span.end : span.end + 3 * _AROUND])[:_AROUND].rstrip()
    return Stet(finding.rule, finding.severity, "", words, _piece(work, span), finding.place, before, after)


def flat(words: str) -> str:
    """Words on one line with single spaces."""
    return one_line(" ".join(words.split()))


def _alike(one: Stet, other: Stet) -> bool:
    return _mark(one) == _mark(other)


def _mark(stet: Stet) -> tuple[str, ...]:
    """What findings that are told apart by number alone have in common."""
    return stet.rule, stet.words, stet.piece, stet.place, stet.before, stet.after


def _pairs(text: Text, stets: Sequence[Stet], findings: Sequence[Stet]) -> dict[int, int]:
    """Which entry each finding is let stand by: the best likenesses first, each entry and each finding once."""
    likely = sorted((-likeness, apart, s, f) for s, f, likeness, apart in _likely(text, stets, findings))
    pairs: dict[int, int] = {}
    used: set[int] = set()
    for _, _, s, f in likely:
        if f not in pairs and s not in used:
            pairs[f] = s
            used.add(s)
    return pairs


def same_around(one: Stet, other: Stet) -> bool:
    """Whether what stands before, or what stands after, is the same for both."""
    return bool(_same_end(one.before[::-1], other.before[::-1]) or _same_end(one.after, other.after))


def _likely(text: Text, stets: Sequence[Stet], findings: Sequence[Stet]) -> Iterator[tuple[int, int, int, int]]:
    """Every entry and finding that may belong together: how well they fit, and how far apart among those alike."""
    by_words: dict[tuple[str, str], list[int]] = {}
    for f, finding in enumerate(findings):
        by_words.setdefault((finding.rule, numberless(finding.words)), []).append(f)
    for s, stet in enumerate(stets):
        same_words = by_words.get((stet.rule, numberless(stet.words)), ())
        fitting = [(f, likeness) for f in same_words if (likeness := _likeness(text, stet, findings[f]))]
        if len(fitting) < stet.of and sum(_alike(stet, other) for other in stets) < stet.of:
            continue  # one of those alike is gone, and it may be this one
        met = 0
        for f, likeness in fitting:
            met += _alike(stet, findings[f])
            yield s, f, likeness, abs(met - stet.which)


def _likeness(text: Text, stet: Stet, finding: Stet) -> int:
    """How well a finding with the same rule and words fits an entry; 0 where it is another's."""
    if finding.severity.rank < stet.severity.rank:
        return 0
    before = _same_end(stet.before[::-1], finding.before[::-1])
    after = _same_end(stet.after, finding.after)
    if (stet.piece, stet.place) == (finding.piece, finding.place):
        known = before or after or (stet.place and len(stet.words) >= _ENOUGH)
        return 5 + before + after if known else 0
    moved = numberless(stet.before) == numberless(finding.before) and numberless(stet.after) == numberless(finding.after)
    return 1 if moved and _stands_once(text, finding) else 0


def _stands_once(text: Text, finding: Stet) -> bool:
    """Whether the words of a finding and those around them stand in one place of the text alone, whatever its row."""
    words = numberless(" ".join(part for part in (finding.before, finding.words, finding.after) if part))
    return _closed_up(text.source).count(words.replace(" ", "")) <= 1


@lru_cache(maxsize=1)
def _closed_up(source: str) -> str:
    return numberless(flat(source)).replace(" ", "")


def numberless(words: str) -> str:
    """Words without the numbers of rows."""
    return _ROW_NUMBER.sub(r"\1 #", words)


def _same_end(one: str, other: str) -> int:
    """2 where two contexts are the same, 1 where they are so next to the words, 0 where they are not."""
    if one == other:
        return 2
    return int(min(len(one), len(other)) >= _ENOUGH and one[:_ENOUGH] == other[:_ENOUGH])
