"""Other ways to write what stands there: a row's count stated, a word added to the key, a repeat said otherwise.

Each is offered as a correction would be, to be tried first: the rows have to come out as before, with no new query and
nothing newly wrong.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import TYPE_CHECKING

from .. import regex
from ..finding import Correction, Edit
from ..rule import Subject
from ..syntax.tree import Group, Star, Tree
from .keys import entry_for
from .names import Names
from .parts import every_step
from .rows import at
from .stated import count_for

if TYPE_CHECKING:
    from ..proof import Proof

_MARKS = {"(": ")", "[": "]", "{": "}"}
_CLOSING = regex.compile(r"[\s,;]*(?:and\s+)?(?:rep(?:eat)?\s*)?\Z", regex.IGNORECASE)


def stated(proof: Proof, offset: int) -> Iterator[Correction]:
    """The count of the row at an offset, where it states none and the number is known."""
    place = at(proof, offset)
    found = count_for(proof, place) if place else None
    if found:
        span, words = found
        yield Correction(f"State the count: {words.strip(' .')}", (Edit(span, words),))


def explained(subject: Subject, names: Names, offset: int) -> Iterator[Correction]:
    """The entry in the key that the word at an offset lacks."""
    found = names.at(offset)
    correction = entry_for(subject, found[0]) if found else None
    if correction:
        yield correction


def repeated(proof: Proof, offset: int) -> Iterator[Correction]:
    """The counted repeat at an offset, the smallest, written in the other ways."""
    around = [
        (step, entry.origin)
        for piece in proof.pattern.pieces
        for entry in piece.entries
        if entry.tree is not None and entry.written and entry.span.start <= offset <= entry.span.end
        for step in _counted(entry.tree)
        if step.at.start + entry.origin <= offset <= step.at.end + entry.origin
    ]
    if not around:
        return
    step, origin = min(around, key=lambda each: each[0].at.end - each[0].at.start)
    span = step.at.span(origin)
    source = proof.text[span]
    inner, times = _inner(step, source), _times(step)
    if inner is None or times is None:
        return
    for words in (f"[{inner}] {times} times", f"*{inner}; rep from * {times - 1} more times"):
        words = words.replace(" 1 more times", " once more")
        starred = words.startswith("*")
        if words != source and not (starred and ("*" in inner or _starred(proof, offset, step))):
            shown = words if len(words) <= 60 else f"{words[:24]} … {words[-30:]}"
            yield Correction(f"Write the repeat as {shown}", (Edit(span, words),))


def _counted(tree: Tree) -> Iterator[Star | Group]:
    for step in every_step(tree.steps):
        if (isinstance(step, Star) and step.times is not None and step.scope is None and not step.ending_kind and step.cut is None) or (isinstance(step, Group) and step.times is not None and step.place is None and step.scope is None):
            yield step


def _times(step: Star | Group) -> int | None:
    """How often a repeat is worked in all, where the text leaves no doubt."""
    times = step.times
    if times is None or len(times.n) != 1 or times.n[0] is None:
        return None
    if isinstance(step, Star) and not times.more and not step.closed:
        return None  # "rep from * 6 times": six in all, or six more?
    total = times.n[0] + (1 if times.more else 0)
    return total if total > 1 else None


def _inner(step: Star | Group, source: str) -> str | None:
    """The words that are repeated, without the marks around them."""
    if isinstance(step, Group):
        close = source.rfind(_MARKS.get(source[:1], "\0"))
        return source[1:close].strip() if close > 0 else None
    mark = regex.match(r"\*\s*", source)
    if mark is None or step.recall is None:
        return None
    body = source[mark.end() : step.recall.start - step.at.start]
    body = body.rstrip("* ") if step.closed else body
    return _CLOSING.sub("", body).strip() or None


def _starred(proof: Proof, offset: int, own: Star | Group) -> bool:
    """Whether the row has another marked repeat, so that a second star would not be clear."""
    place = at(proof, offset)
    words = proof.text[place.span] if place else ""
    return words.replace("**", "").count("*") > (2 if isinstance(own, Star) else 0)


def holds(before: Proof, after: Proof) -> bool:
    """Whether a rewriting changed nothing but the words: every row comes out as before, and nothing is newly wrong or
    asked. A milder finding may come of it: a key that has grown is looked through for what is never used."""
    rows = [
        [(row.label, [(s.size, s.base, s.used, s.made) for s in row.sizes]) for row in proof.work.rows()]
        for proof in (before, after)
    ]
    was, now = (Counter((f.rule, f.severity, f.place) for f in proof.loud()) for proof in (before, after))
    return rows[0] == rows[1] and now <= was
