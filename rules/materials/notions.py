"""What is used and not listed, what is listed and not used, and how many."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from ...lint.finding import Because, Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.syntax.layout import SectionKind
from ...lint.syntax.lexer import number_of
from ...lint.text import Span
from ...lint.wording import count_of

_DO = r"\b(?:sew|attach|add|insert|thread|weave|lace|tie|run|join|glue|fix|place|push|fit|put|stitch)\b[^.;\n]{0,40}?"


@dataclass(frozen=True)
class _Notion:
    """A thing a list of materials may have: how the list names it, and how the text says that it is used.

    ``idle`` is what its being used would at least mention; "" where nothing is said when it is not.
    """

    name: str
    listed: str
    used: str
    idle: str = ""
    plural: bool = False
    made: str = ""

    @cached_property
    def in_list(self) -> re.Pattern[str]:
        return re.compile(rf"\b(?:{self.listed})\b", re.IGNORECASE)

    @cached_property
    def in_use(self) -> re.Pattern[str]:
        return re.compile(self.used, re.IGNORECASE)

    @cached_property
    def mentioned(self) -> re.Pattern[str]:
        return re.compile(self.idle, re.IGNORECASE)

    @cached_property
    def idle_in_list(self) -> re.Pattern[str]:
        return re.compile(rf"\b(?:{self.idle})\w*\b(?!\s+yarn)", re.IGNORECASE)

    @cached_property
    def counted(self) -> re.Pattern[str]:
        return re.compile(rf"{_N}\s+(?:(?!mm\b|in\b|cm\b|more\b)[\w-]+\s+){{0,2}}?(?:{self.idle})s?\b(?!\s*-?\s*(?:holes?|bands?|loops?))(?!\s*(?:each|per)\b)", re.IGNORECASE)


_NOTIONS = (
    _Notion(
        "stuffing",
        r"stuffing|filling|fib(?:er|re)[\s-]?fill|poly[\s-]?fil|toy\s+fill|wadding|batting|kapok|pillow|cushion\s+pad|stuff\s+with",
        r"(?<!not )(?<!n't )(?<!without )(?<!n’t )(?:\bstuff(?:ed|ing)\b|\bstuff\b(?=\s+(?:it\b|the\b|each|both|head|body|arms?|legs?|firmly|lightly|softly|well|only|as\b|and\b|with|before|now|until|a\s+little)|\s*[.;!]))"
        r"(?![^.;\n]{0,40}\b(?:ends|scraps?|yarn|left-?\s?overs?|oddments|thread|wool|tails?|off-?cuts)\b)|\bfib(?:er|re)fill\b",
        r"stuff(?:ing|ed)|fill|stuff\b(?!:)",
    ),
    _Notion("safety eyes", r"eyes?|beads?|buttons?", r"\b(?:safety|plastic)\s+eyes\b|\b(?:insert|attach)\s+(?:the\s+)?eyes\b", r"eyes?", True),
    _Notion("buttons", r"buttons?|toggles?", _DO + r"\bbuttons?\b(?!\s*-?\s*(?:holes?|bands?|loops?))", r"button", True, r"\bbuttons?\b"),
    _Notion(
        "a stitch marker",
        r"markers?|safety\s+pins?|paper\s+clips?|(?:contrast\w*|scrap|spare|waste)\s+(?:of\s+)?(?:yarn|thread)",
        r"\bstitch\s+markers?\b|\b(?:place|move|put|use|hang)\s+(?:a\s+|the\s+|your\s+)?markers?\b",
    ),
    _Notion("ribbon", r"ribbons?", _DO + r"\bribbon\b(?!\s+yarn)", r"ribbon"),
    _Notion("a zip", r"zip(?:per)?s?", _DO + r"\bzip(?:per)?\b", r"zip"),
    _Notion("elastic", r"elastic", _DO + r"\belastic\b", r"elastic"),
    _Notion("beads", r"beads?", _DO + r"\bbeads\b", r"bead", True),
    _Notion("snaps", r"snaps?|press\s+studs?|poppers?|fasteners?", _DO + r"\b(?:snaps|press\s+studs|poppers)\b", r"snap|stud|popper|fasten", True),
    _Notion("a pillow form", r"(?:pillow|cushion)s?(?:\s+\w+)?|\bpad\b|\bforms?\b|inserts?", r"\b(?:pillow|cushion)\s+(?:form|pad|insert)\b", r"pillow|cushion|form|pad|insert"),
    _Notion("a needle", r"needles?", r"\b(?:yarn|tapestry|darning|wool|sewing)\s+needle\b"),
)
_ANY_NOTION = re.compile("|".join([*(n.in_list.pattern for n in _NOTIONS), r"\bpins\b", r"\bscissors\b"]), re.IGNORECASE)
_NOUN = re.compile(r"\b(?:this|that|some|good|fun|boring|all|other|my|of)\s+\Z", re.IGNORECASE)  # the boring stuff
_WORDS = "one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve"
_N = rf"(?<![\w.,/-])(?P<n>\d{{1,2}}|{_WORDS})"
_LAID_OUT = re.compile(rf"{_N}\s+(?:rows|lines|strips|columns)\s+of\s+(?P<each>\d{{1,2}}|{_WORDS})\b(?!\s*(?:sc|dc|sts?|hdc|tr|stitches)\b)", re.IGNORECASE)
_MAKE = re.compile(rf"\bmake\s+(?:a\s+total\s+of\s+)?(?P<n>\d{{1,3}}|{_WORDS})\s*(?:\w+\s+){{0,2}}?(?P<what>motifs?|squares?|hexagons?|blocks?|tiles?)\b", re.IGNORECASE)


def check(subject: Subject) -> Iterator[Finding]:
    text = subject.text
    lists = [s.span for s in subject.layout.of(SectionKind.MATERIALS)]
    listed = " \n".join(text[span] for span in lists)
    if re.search(r"\bhook", listed, re.IGNORECASE):
        body = [s.span for s in subject.layout.sections if s.kind in (SectionKind.PIECE, SectionKind.FINISHING, SectionKind.NOTES)]
        rest = " \n".join(text[s.span] for s in subject.layout.sections if s.kind is not SectionKind.MATERIALS)
        for notion in _NOTIONS:
            # A list with nothing but yarn and hook leaves all notions to the maker.
            if _ANY_NOTION.search(listed):
                yield from _unlisted(subject, notion, lists, listed, body)
            yield from _idle(subject, notion, rest)
            yield from _numbers(subject, notion, lists, body)
    yield from _motifs(subject)


def _unlisted(subject: Subject, notion: _Notion, lists: list[Span], listed: str, body: list[Span]) -> Iterator[Finding]:
    text = subject.text
    if notion.in_list.search(listed):
        return
    if notion.made and any(re.search(notion.made, s.name, re.IGNORECASE) for s in subject.layout.of(SectionKind.PIECE)):
        return
    uses = [m for span in body for m in notion.in_use.finditer(text.source, span.start, span.end) if not _NOUN.search(text.source, 0, m.start())]
    if not uses or (notion.name == "stuffing" and _stuffed_with_yarn(text.source)):
        return
    first = uses[0]
    words = " ".join(first.group().split())
    verb = "are" if notion.plural else "is"
    yield Finding(
        RULE.name,
        Severity.QUERY,
        f"“{words}” stands here, and {notion.name} {verb} not in the list of materials. Should {'they' if notion.plural else 'it'} be?",
        Span(first.start(), first.end()),
        because=(Because(Span(lists[0].start, text.line_span(text.line_number(lists[0].start)).end), "the list"),),
    )


def _stuffed_with_yarn(source: str) -> bool:
    return re.search(r"\bstuff[^.;]{0,60}\b(?:ends|scraps|left-?\s?overs?|oddments|off-?cuts)\b", source, re.IGNORECASE) is not None


def _idle(subject: Subject, notion: _Notion, rest: str) -> Iterator[Finding]:
    if not notion.idle or notion.mentioned.search(rest):
        return
    for section in subject.layout.of(SectionKind.MATERIALS):
        match = notion.idle_in_list.search(subject.text.source, section.body.start, section.body.end)
        if match:
            yield Finding(
                RULE.name,
                Severity.SUGGESTION,
                f"“{match.group()}” is in the list of materials and nothing is done with {'them' if notion.plural else 'it'} in the text. Where {'do they' if notion.plural else 'does it'} go?",
                Span(match.start(), match.end()),
            )
            return


def _numbers(subject: Subject, notion: _Notion, lists: list[Span], body: list[Span]) -> Iterator[Finding]:
    """So many listed and so many used, each said once."""
    if not notion.plural or len(subject.work.sizes) > 1:
        return
    source = subject.text.source
    have = [m for span in lists for m in notion.counted.finditer(source, span.start, span.end)]
    use = [m for span in body for m in notion.counted.finditer(source, span.start, span.end)]
    if len(have) != 1 or len(use) != 1 or re.match(r"[^.;\n]{0,30}\b(?:each|per)\b", source[have[0].end() : have[0].end() + 34], re.IGNORECASE):
        return
    one, other = _value(have[0]["n"]), _value(use[0]["n"])
    if other != one and other > 1:
        yield Finding(
            RULE.name,
            Severity.QUERY if other > one else Severity.SUGGESTION,
            f"The list has {count_of(one, notion.name.removesuffix('s'), notion.name)} and {other} are used here. Which number is right?",
            Span(use[0].start(), use[0].end()),
            because=(Because(Span(have[0].start(), have[0].end()), "listed"),),
        )


def _motifs(subject: Subject) -> Iterator[Finding]:
    """Motifs made against motifs laid out."""
    source = subject.text.source
    laid = list(_LAID_OUT.finditer(source))
    made = _made(subject)
    if len(laid) != 1 or made is None:
        return
    n, what, span = made
    rows, each = _value(laid[0]["n"]), _value(laid[0]["each"])
    if rows * each != n:
        yield Finding(
            RULE.name,
            Severity.QUERY,
            f"{rows} times {each} are {rows * each} {what}, and {n} are made. Which number is right?",
            Span(laid[0].start(), laid[0].end()),
            because=(Because(span, "made here"),),
        )


def _made(subject: Subject) -> tuple[int, str, Span] | None:
    """How many motifs are made, what they are called, and where that is said; None where it is said more than once."""
    source = subject.text.source
    headed = [s for s in subject.layout.sections if (s.make or 0) > 1]
    if headed:
        what = re.search(r"\b(motif|square|hexagon|block|tile)s?\b", headed[0].name, re.IGNORECASE)
        return (headed[0].make or 0, what[1].lower() + "s", headed[0].heading) if len(headed) == 1 and what else None
    told = list(_MAKE.finditer(source))
    if len(told) != 1 or re.search(r"\d|\bothers?\b|\brest\b|\bremaining\b", source[told[0].end() : told[0].end() + 80]):
        return None
    n = _value(told[0]["n"])
    return (n, told[0]["what"].rstrip("s").lower() + "s", Span(told[0].start(), told[0].end())) if n > 1 else None


def _value(word: str) -> int:
    return number_of(word) or 0


RULE = Rule(
    name="notions",
    severity=Severity.QUERY,
    title="What is used is not listed, or not in that number",
    why="The list is what a maker takes to the shop. A thing that first appears in the making up stops the work on the last evening.",
    looks_like="US terms.\nMaterials: 1 ball of DK yarn; 3 mm hook; yarn needle\n\nBall\nRnd 1: 6 sc in magic ring. (6)\nRnd 2: 2 sc in each st around. (12)\nStuff firmly.\n",
    better="US terms.\nMaterials: 1 ball of DK yarn; 3 mm hook; yarn needle; toy stuffing\n\nBall\nRnd 1: 6 sc in magic ring. (6)\nRnd 2: 2 sc in each st around. (12)\nStuff firmly.\n",
    let_stand="When every household has the thing at hand and the house never lists it.",
    check=check,
)
