"""What rules share to put a trouble into an editor's words: whom it concerns, counted nouns, and the sum in short.

Stitch names in the work are US names; a manuscript in UK terms is answered in its own.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, cast

from . import regex
from .fabric.work import PieceWork, RowWork, SizeWork, Trouble
from .finding import Because, Correction, Finding, Severity
from .rule import Subject
from .text import Span
from .trade.terms import STITCH, in_terms
from .words import count_of, listed, row_list, sizes_in_words

Facts = Mapping[str, Any]
_SHORT = 48  # a longer sum is told by kinds
_MOST_SIZES = 4  # size groups spelled out in one message
_TIMES = regex.compile(r"\b\d+ times\b(?! more)", regex.IGNORECASE)
_TIMES_READING = '"repeat N times"'
_NAMED = {"sp": "space", "st": "stitch", "": "stitch", "ch": "chain", "sts": "stitch"}


@dataclass(frozen=True)
class Met:
    """One trouble, once for each place in the text, with every row it was met in."""

    subject: Subject
    piece: PieceWork
    trouble: Trouble
    rows: tuple[RowWork, ...]

    @property
    def row(self) -> RowWork | None:
        return self.rows[0] if self.rows else None

    @property
    def label(self) -> str:
        """How a sentence names the row."""
        label = self.rows[0].label if self.rows else ""
        return name_of(label)

    @property
    def facts(self) -> Facts:
        return self.trouble.facts

    @property
    def by_size(self) -> tuple[Facts, ...]:
        """The facts of every size concerned; one entry where sizes do not matter."""
        every = self.trouble.facts.get("all")
        if isinstance(every, tuple) and every:
            return cast("tuple[Facts, ...]", every)
        return (self.trouble.facts,)

    @property
    def below(self) -> RowWork | None:
        """The row this one is worked into, as far as the list of rows can tell."""
        row = self.row
        if row is None:
            return None
        at = next((i for i, r in enumerate(self.piece.rows) if r is row), 0)
        mine = {s.size for s in row.sizes}
        return next((r for r in reversed(self.piece.rows[:at]) if mine & {s.size for s in r.sizes}), None)

    @property
    def sources(self) -> tuple[Because, ...]:
        """Where the stitches come from that the row is worked into, and a sense taken for its number of times."""
        out: list[Because] = []
        below, bases = self.below, [number(f.get("base", f.get("available"))) for f in self.by_size]
        if below is not None and below.label_span != (self.row.label_span if self.row else None):
            left = [s.made if s.made is not None else s.stated for s in below.sizes]
            if any(b is not None and b in left for b in bases):
                numbers = list(dict.fromkeys(str(n) for n in left if n is not None))
                out.append(Because(below.label_span, f"{name_of(below.label)} leaves {listed(numbers)}"))
        if self.row is not None and "*" in self.subject.text[self.row.span]:
            times = _TIMES.search(self.subject.text.source, self.row.span.start, self.row.span.end)
            sense = next((r for r in self.piece.readings if r.startswith(_TIMES_READING)), None)
            if times is not None and sense is not None:
                out.append(Because(Span(*times.span()), f"read so: {sense}"))
        return tuple(out)

    @property
    def above(self) -> RowWork | None:
        """The row worked into this one, as far as the list of rows can tell."""
        row = self.row
        at = next((i for i, r in enumerate(self.piece.rows) if r is row), None)
        return self.piece.rows[at + 1] if at is not None and at + 1 < len(self.piece.rows) else None

    def size_work(self, size: str | None) -> SizeWork | None:
        row = self.row
        return next((s for s in row.sizes if s.size == size), None) if row is not None else None

    def said(self, clause: Callable[[Facts], str]) -> str:
        """One clause for each group of sizes that share it: "in size S, Row 4 makes …; in sizes M and L, …"."""
        groups: dict[str, list[str]] = {}
        for facts in self.by_size:
            size = facts.get("size")
            groups.setdefault(clause(facts), []).extend([str(size)] if size is not None else [])
        if len(groups) == 1:
            ((words, who),) = groups.items()
            if not who or len(self.subject.work.sizes) <= 1:
                return words
            if len(who) == len(self.subject.work.sizes):
                return f"in every size, {words}"
            return f"in {sizes_in_words(who)}, {words}"
        if not any(groups.values()):
            return f"for instance, {next(iter(groups))}"
        parts = [f"in {sizes_in_words(who)}, {words}" if who else words for words, who in groups.items()]
        more = parts[_MOST_SIZES:]
        if more:
            parts = [*parts[:_MOST_SIZES], f"and {len(more)} more like this"]
        return "; ".join(parts)

    @property
    def likewise(self) -> str:
        """Names the other rows that the same words stand for."""
        return likewise([r for r in self.rows[1:] if r.label != self.rows[0].label])

    @property
    def row_word(self) -> str:
        """What the text calls a row: "Row" or "Rnd"."""
        row = self.row
        return row.label.split()[0] if row is not None and row.number is not None else "Row"

    def working(self, facts: Facts) -> str:
        """The row's sum in short, in the manuscript's own stitch names, or ""."""
        words = str(facts.get("working") or "")
        body = words.rsplit(" = ", 1)[0]
        if not body:
            return ""
        if len(body) > _SHORT:
            work = self.size_work(cast("str | None", facts.get("size")))
            body = " + ".join(f"{n} {kind}" for kind, n in work.kinds.items()) if work is not None else ""
        return in_terms(body, self.subject.work.terms)

    def finding(
        self,
        rule: str,
        severity: Severity,
        message: str,
        *,
        span: Span | None = None,
        because: Iterable[Because] = (),
        corrections: Sequence[Correction] = (),
    ) -> Finding:
        also = tuple(Because(s, w) for s, w in self.trouble.because)
        place = self.rows[0].label if self.rows else ""
        return Finding(
            rule, severity, capital(message), span or self.trouble.span, place, self.trouble.sizes,
            (*also, *because), None, tuple(corrections),
        )  # fmt: skip


def met(subject: Subject, *kinds: str) -> Iterator[Met]:
    """Every trouble of the kinds, once for each place in the text, rows before pieces."""
    for piece in subject.work.pieces:
        found: dict[tuple[str, Span], tuple[Trouble, list[RowWork]]] = {}
        for row in piece.rows:
            for trouble in row.troubles:
                if trouble.kind in kinds:
                    found.setdefault((trouble.kind, trouble.span), (trouble, []))[1].append(row)
        for trouble, rows in found.values():
            yield Met(subject, piece, trouble, _once(rows))
        loose: dict[tuple[str, Span], Trouble] = {}
        for trouble in piece.troubles:
            if trouble.kind in kinds:
                known = loose.get((trouble.kind, trouble.span))
                loose[trouble.kind, trouble.span] = trouble if known is None else _joined(known, trouble)
        for trouble in loose.values():
            yield Met(subject, piece, trouble, ())


def _once(rows: Sequence[RowWork]) -> tuple[RowWork, ...]:
    out: list[RowWork] = []
    for row in rows:
        if not any(row is r for r in out):
            out.append(row)
    return tuple(out)


def _joined(one: Trouble, other: Trouble) -> Trouble:
    """Two troubles of one place, met in two sizes."""
    before = one.facts.get("all")
    every = cast("tuple[Facts, ...]", before) if isinstance(before, tuple) else (dict(one.facts),)
    return replace(one, facts={**one.facts, "all": (*every, dict(other.facts))}, sizes=(*one.sizes, *other.sizes))


def name_of(label: str) -> str:
    """A label as the subject of a sentence."""
    if not label:
        return "This row"
    first = label.split()[0].lower()
    return f"The {label[0].lower()}{label[1:]}" if first in ("next", "foundation", "last", "first", "edging") else label


def mid(name: str) -> str:
    """A row's name inside a sentence."""
    return name[0].lower() + name[1:] if name.startswith(("The ", "This ")) else name


def likewise(rows: Sequence[RowWork]) -> str:
    """A closing sentence that says the same of other rows, or "" where there are none."""
    return f" {row_list(rows)} likewise." if rows else ""


def words_at(subject: Subject, span: Span) -> str:
    """What stands in a place, on one line."""
    return " ".join(subject.text[span].split())


def capital(words: str) -> str:
    return words[:1].upper() + words[1:]


def stitches(n: int) -> str:
    return count_of(n, "stitch", "stitches")


def counted(n: int, noun: str, terms: str | None = None) -> str:
    """“6 sc”, “1 space”, “2 shells”: abbreviations stay as they are."""
    if noun in _NAMED:
        noun = _NAMED[noun]
        return f"{n} {noun if n == 1 else noun + ('es' if noun.endswith('ch') else 's')}"
    named = in_terms(noun, terms)
    if regex.fullmatch(r"(?:[FB]P)?[a-z]{1,5}(?:\d*tog)?", named) and STITCH.fullmatch(noun):
        return f"{n} {named}"
    return f"{n} {named if n == 1 or named.endswith('s') else named + 's'}"


def is_stitch(noun: str) -> bool:
    """Whether a place noun is the name of one stitch, and not of a part, a space or a group."""
    return noun in ("popcorn", "bobble", "puff", "cluster") or STITCH.fullmatch(noun) is not None


def number(value: object) -> int | None:
    """A fact that is a whole number, else None."""
    return value if isinstance(value, int) and not isinstance(value, bool) else None


__all__ = ["Facts", "Met", "capital", "count_of", "counted", "in_terms", "is_stitch", "likewise", "listed", "met", "mid", "name_of", "number", "row_list", "sizes_in_words", "stitches", "words_at"]
