"""The caution as the house prints it: looked for word by word, offered where a caution is asked for."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from ...lint import regex
from ...lint.finding import Correction, Edit, Finding, Severity
from ...lint.rule import Subject
from ...lint.style import HouseText
from ...lint.syntax.fold import fold
from ...lint.syntax.layout import SectionKind
from ...lint.text import Span
from ...lint.wording import words_at

_PARAGRAPH = regex.compile(r"\S(?:.|\n(?!\s*\n))*")
_SENTENCE = regex.compile(r"\S[^.;!?\n]*[.;!?]*")
_WORD = regex.compile(r"[a-z]{4,}")
_MEANT = 0.5
"""A paragraph that has so much of the house's words says the same thing in another way."""


def in_house_words(subject: Subject, rule: str, setting: HouseText, found: Iterable[Finding]) -> Iterator[Finding]:
    """What a caution's rule found, seen by a house that has words of its own for it."""
    words = subject.style.text(setting)
    if not words:
        yield from found
        return
    printed = _plain(words) in _plain(subject.text.source)
    for finding in found:
        # The wording of these questions is settled; the others do not ask for the caution.
        if "no caution" not in finding.message:
            yield finding
        elif not printed:
            yield replace(finding, message=f"{finding.message} The house text is: “{words}”", corrections=_put_in(subject, words))
    other = None if printed else _other_wording(subject, words)
    if other is not None:
        yield Finding(rule, Severity.STYLE, f"This caution is worded in its own way; the house text is: “{words}”", other, corrections=_put_for(subject, other, words))


def _plain(words: str) -> str:
    """Words without what print may change: capitals, line ends, marks of emphasis, the shape of quotes and dashes."""
    return " ".join(regex.sub(r"[*_]+", "", fold(words)).split())


def _other_wording(subject: Subject, words: str) -> Span | None:
    """The sentences of one paragraph that say most of what the house text says, if there are any."""
    wanted, folded = set(_WORD.findall(_plain(words))), subject.layout.folded

    def shared(match: regex.Match[str]) -> int:
        return len(wanted & set(_WORD.findall(match[0])))

    paragraph = max(_PARAGRAPH.finditer(folded), key=shared, default=None)
    if paragraph is None or len(wanted) < 4 or shared(paragraph) < _MEANT * len(wanted):
        return None
    saying = [m for m in _SENTENCE.finditer(folded, paragraph.start(), paragraph.end()) if shared(m) > 1]
    return Span(saying[0].start(), saying[-1].end()) if saying else None


def _put_in(subject: Subject, words: str) -> tuple[Correction, ...]:
    """The house text before the materials, where there is a list of them."""
    materials = next(iter(subject.layout.of(SectionKind.MATERIALS)), None)
    if materials is None:
        return ()
    at = subject.text.line_span(subject.text.line_number(materials.heading.start)).start
    return (Correction("Put the house text before the materials", (Edit(Span(at, at), f"{words}\n\n"),)),)


def _put_for(subject: Subject, other: Span, words: str) -> tuple[Correction, ...]:
    """The house text for a paragraph that says nothing besides."""
    mine, theirs = len(_plain(words).split()), len(words_at(subject, other).split())
    return (Correction("Put the house text for it", (Edit(other, words),)),) if theirs <= 1.5 * mine else ()
