"""How many of a part are made, and how many the making up asks for."""

from __future__ import annotations

from collections.abc import Iterator

from ...lint import regex
from ...lint.finding import Because, Finding, Severity
from ...lint.rule import Subject
from ...lint.syntax.layout import Section, SectionKind
from ...lint.syntax.lexer import number_of
from ...lint.text import Span
from ...lint.wording import count_of

WORDS = "one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve"
_NUMBER = rf"\d{{1,3}}|{WORDS}"
_MOTIFS = r"(?:motifs|squares|hexagons|blocks|tiles)"
_LAID_OUT = regex.compile(
    rf"(?<![\w.,/-])(?P<rows>{_NUMBER})\s+(?:rows|lines|strips|columns)\s+of\s+(?P<each>{_NUMBER})"
    rf"(?=\s*(?:[.,;:)\n]|$)|\s+(?:[a-z]+\s+)?{_MOTIFS}\b|\s+(?:each|and|for|to|with|as|so|using|following)\b)"
    rf"|(?<![\w.,/-])(?P<wide>{_NUMBER})\s+(?:{_MOTIFS}\s+)?(?:across|wide)\s*(?:,|and|by|x|×)\s*(?P<long>{_NUMBER})\s+(?:{_MOTIFS}\s+)?(?:down|long|deep|high|tall)\b"
)
_MAKE = regex.compile(rf"\bmake\s+(?:a\s+total\s+of\s+)?(?P<n>{_NUMBER})\s*(?:\w+\s+){{0,2}}?(?P<what>motifs?|squares?|hexagons?|blocks?|tiles?)\b")
_MOTIF = regex.compile(r"\b(motif|square|hexagon|block|tile)s?\b", regex.IGNORECASE)
_LEFT_OVER = regex.compile(r"\b(?:last|remaining|rest|spare|extra|left[\s-]?over|others?|(?:cent(?:er|re)|middle|half|single)\s+(?:motif|square|hexagon|block|tile)s?)\b")
_NEAR = 160
"""In so many characters behind the layout a text says what becomes of the motifs that are not in it."""

_MORE_OF_IT = regex.compile(r"\b(?:2|two|twice|second|both|pair|other|another|again|same|repeat\s+for|each)\b")
_NUMBERS = regex.compile(rf"(?<![\w.])(?:{_NUMBER})\b")
_EACH = regex.compile(r"\b(?:each|every|per)\b")
_USED = regex.compile(
    rf"\b(?:sew|attach|join|pin|place|stitch)\b[^.;\n]{{0,30}}?\b(?:(?:the|all)\s+){{0,2}}(?P<n>{_NUMBER}|both)\s+(?P<noun>[a-z]{{3,}})s\b(?!['\w-])(?!\s+of\b)"
)
_BOTH_WAYS = regex.compile(rf"\bmake\s+(?P<n>{_NUMBER})\b(?=[^\n]*\b(?:weave|thread|lace|run|pass)\b[^\n]*\bacross\b[^\n]*\b(?:then|and)\b[^\n]*\bdown\b)")
_ACROSS_AND_DOWN = regex.compile(rf"\b(?P<across>{_NUMBER})\s+across\s*(?:,|and|,\s*and)\s*(?P<down>{_NUMBER})\s+down\b")


def quantities(subject: Subject, rule: str) -> Iterator[Finding]:
    """Parts made against parts used, each number said once; the findings carry the rule's name."""
    folded = subject.layout.folded
    if "make" not in folded and not any(s.make for s in subject.layout.sections):
        return
    yield from _motifs(subject, rule)
    yield from _parts(subject, rule)
    yield from _both_ways(subject, rule)


def laid_out(subject: Subject) -> tuple[int, int, Span] | None:
    """How many rows of how many motifs, and where that is said; None where it is not said, or more than once."""
    if not _MOTIF.search(subject.layout.folded):
        return None
    laid = list(_LAID_OUT.finditer(subject.layout.folded))
    if len(laid) != 1:
        return None
    return _value(laid[0]["rows"] or laid[0]["long"]), _value(laid[0]["each"] or laid[0]["wide"]), Span(*laid[0].span())


def _motifs(subject: Subject, rule: str) -> Iterator[Finding]:
    """Motifs made against motifs laid out."""
    laid = laid_out(subject)
    made = _motifs_made(subject) if laid is not None else None
    if laid is None or made is None:
        return
    rows, each, where = laid
    n, what, span = made
    after = subject.layout.folded[where.end : where.end + _NEAR]
    if n % (rows * each) and not _LEFT_OVER.search(after):  # as many again are another side, or another cushion
        yield Finding(
            rule,
            Severity.QUERY,
            f"{rows} times {each} are {rows * each} {what}, and {n} are made. Which number is right?",
            where,
            because=(Because(span, "made here"),),
        )


def _motifs_made(subject: Subject) -> tuple[int, str, Span] | None:
    """How many motifs are made, what they are called, and where that is said; None where it is said more than once."""
    folded = subject.layout.folded
    headed = [s for s in subject.layout.sections if (s.make or 0) > 1]
    if headed:
        named = [s for s in subject.layout.of(SectionKind.PIECE) if s not in headed and _MOTIF.search(s.name)]
        what = _MOTIF.search(headed[0].name)
        sure = len(headed) == 1 and not named and not _for_each(subject, headed[0])
        return (headed[0].make or 0, what[1].lower() + "s", headed[0].heading) if what and sure else None
    told = list(_MAKE.finditer(folded))
    if len(told) != 1 or regex.search(r"\d|\bothers?\b|\brest\b|\bremaining\b", folded[told[0].end() : told[0].end() + 80]):
        return None
    n = _value(told[0]["n"])
    return (n, told[0]["what"].rstrip("s").lower() + "s", Span(*told[0].span())) if n > 1 else None


def _for_each(subject: Subject, section: Section) -> bool:
    """Whether the number of a heading is for each of several things: petals for each flower, 16 with A and 16 with B."""
    heading = subject.layout.folded[section.heading.start : section.heading.end]
    return _EACH.search(heading) is not None or len(_NUMBERS.findall(heading.partition("make")[2])) > 1


def _parts(subject: Subject, rule: str) -> Iterator[Finding]:
    """More of a part in the making up than its heading says to make: four legs of two."""
    made: dict[str, list[Section]] = {}
    for section in subject.layout.of(SectionKind.PIECE):
        noun = regex.search(r"([a-z]{3,})$", regex.sub(r"\s*[(,:].*|\s+[x×*]\s*\d+$|\s*[-–—]?\s*make\b.*", "", section.name.lower()))
        if noun:
            made.setdefault(regex.sub(r"s$", "", noun[1]), []).append(section)
    folded = subject.layout.folded
    for place in subject.layout.of(SectionKind.FINISHING):
        for match in _USED.finditer(folded, place.span.start, place.span.end):
            noun, sections = match["noun"], made.get(match["noun"], [])
            if not sections or any(_for_each(subject, s) or _several(s) for s in sections):
                continue
            if any(s.make is None and _MORE_OF_IT.search(folded, s.span.start, s.span.end) for s in sections):
                continue
            n, have = 2 if match["n"] == "both" else _value(match["n"]), sum(s.make or 1 for s in sections)
            if n > have:
                yield Finding(
                    rule,
                    Severity.QUERY,
                    f"{n} {noun}s are used here, and {count_of(have, noun)} {'is' if have == 1 else 'are'} made. Which number is right?",
                    Span(match.start("n"), match.end()),
                    because=tuple(Because(s.heading, "made here") for s in sections),
                )


def _several(section: Section) -> bool:
    """Whether a heading without a number speaks of more than one: Sleeves."""
    return section.make is None and regex.search(r"[a-rt-z]s\W*$", section.name.lower()) is not None


def _both_ways(subject: Subject, rule: str) -> Iterator[Finding]:
    """Cords woven across and then down, made for one of the two ways only."""
    folded = subject.layout.folded
    told = list(_ACROSS_AND_DOWN.finditer(folded)) if "across" in folded and " down" in folded else []
    made = list(_BOTH_WAYS.finditer(folded)) if len(told) == 1 else []
    if len(made) != 1:
        return
    across, down, n = _value(told[0]["across"]), _value(told[0]["down"]), _value(made[0]["n"])
    if n in (across, down) and n != across + down:
        yield Finding(
            rule,
            Severity.QUERY,
            f"{across} across and {down} down are {across + down}, and {n} are made. Are more needed?",
            Span(*made[0].span()),
            because=(Because(Span(*told[0].span()), "so many are needed"),),
        )


def _value(word: str) -> int:
    return number_of(word) or 0
