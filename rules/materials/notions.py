"""What is used and not listed, what is listed and not used, and how many."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from ...lint import regex
from ...lint.finding import Because, Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.syntax.layout import SectionKind
from ...lint.syntax.lexer import number_of
from ...lint.text import Span
from ...lint.wording import count_of
from .made_and_used import WORDS, quantities

_DO = r"\b(?:sew|attach|add|insert|thread|weave|lace|tie|run|join|glue|fix|place|push|fit|put|stitch)\b[^.;\n]{0,40}?"


@dataclass(frozen=True)
class _Notion:
    """A thing a list of materials may have: how the list names it, and how the text says that it is used.

    ``stems`` are letters one of which stands in every such word. ``idle`` is what its being used would at least
    mention; "" where nothing is said when it is not.
    """

    name: str
    stems: tuple[str, ...]
    listed: str
    used: str
    idle: str = ""
    plural: bool = False
    made: str = ""

    @cached_property
    def in_list(self) -> regex.Pattern[str]:
        return regex.compile(rf"\b(?:{self.listed})\b", regex.IGNORECASE)

    @cached_property
    def in_use(self) -> regex.Pattern[str]:
        return regex.compile(self.used, regex.IGNORECASE)

    @cached_property
    def mentioned(self) -> regex.Pattern[str]:
        return regex.compile(self.idle)

    @cached_property
    def idle_in_list(self) -> regex.Pattern[str]:
        return regex.compile(rf"(?<![\w-])(?:{self.idle})\w*\b(?!\s+yarn)", regex.IGNORECASE)

    @cached_property
    def counted(self) -> regex.Pattern[str]:
        return regex.compile(
            rf"{_N}\s+(?:[x×]\s+)?(?:{_ACROSS}\s+)?(?:(?!mm\b|in\b|inch|cm\b|more\b|holed?\b)[\w-]+\s+){{0,2}}?(?:{self.idle})s?\b(?!\s*-?\s*(?:holes?|bands?|loops?))(?!\s*(?:each|per)\b)",
            regex.IGNORECASE,
        )


_NOTIONS = (
    _Notion(
        "stuffing",
        ("stuff", "fiberfill", "fibrefill"),
        r"(?:toy)?(?:stuffing|filling)|fib(?:er|re)[\s-]?fill|poly[\s-]?fil(?:l|ling)?|toy\s+fill|wadding|batting|kapok|pillow|cushion\s+pad|stuff\s+with",
        r"(?<!not )(?<!n't )(?<!without )(?<!n’t )(?:\bstuff(?:ed|ing)\b|\bstuff\b(?=\s+(?:it\b|the\b|each|both|head|body|arms?|legs?|firmly|lightly|softly|well|only|as\b|and\b|with|before|now|until|a\s+little)|\s*[.;!]))"
        r"(?![^.;\n]{0,40}\b(?:ends|scraps?|yarn|left-?\s?overs?|oddments|thread|wool|tails?|off-?cuts)\b)|\bfib(?:er|re)fill\b",
        r"stuff(?:ing|ed)|fill|stuff\b(?!:)",
    ),
    _Notion("safety eyes", ("eye",), r"eyes?|beads?|buttons?", r"\b(?:safety|plastic)\s+eyes\b|\b(?:insert|attach)\s+(?:the\s+)?eyes\b", r"eyes?", True),
    _Notion("buttons", ("button", "toggle"), r"buttons?|toggles?", _DO + r"\bbuttons?\b(?!\s*-?\s*(?:holes?|bands?|loops?))", r"button", True, r"\bbuttons?\b"),
    _Notion(
        "a stitch marker",
        ("marker",),
        r"markers?|safety\s+pins?|paper\s+clips?|(?:contrast\w*|scrap|spare|waste)\s+(?:of\s+)?(?:yarn|thread)",
        r"\bstitch\s+markers?\b|\b(?:place|move|put|use|hang)\s+(?:a\s+|the\s+|your\s+)?markers?\b",
    ),
    _Notion("ribbon", ("ribbon",), r"ribbons?", _DO + r"\bribbon\b(?!\s+yarn)", r"ribbon"),
    _Notion("a zip", ("zip",), r"zip(?:per)?s?", _DO + r"\bzip(?:per)?\b", r"zip"),
    _Notion("elastic", ("elastic",), r"elastic", _DO + r"\belastic\b", r"elastic"),
    _Notion("beads", ("bead",), r"beads?", _DO + r"\bbeads\b", r"bead", True),
    _Notion("snaps", ("snap", "stud", "popper", "fastener"), r"snaps?|press\s+studs?|poppers?|fasteners?", _DO + r"\b(?:snaps|press\s+studs|poppers)\b", r"snap|stud|popper|fastener", True),
    _Notion("a pillow form", ("pillow", "cushion"), r"(?:pillow|cushion)s?(?:\s+\w+)?|\bpad\b|\bforms?\b|inserts?", r"\b(?:pillow|cushion)\s+(?:form|pad|insert)\b", r"pillow|cushion|form|pad|insert"),
    _Notion("a needle", ("needle",), r"needles?", r"\b(?:yarn|tapestry|darning|wool|sewing)\s+needle\b"),
)
_ANY_NOTION = regex.compile("|".join([*(n.in_list.pattern for n in _NOTIONS), r"\bpins\b", r"\bscissors\b"]), regex.IGNORECASE)
_NOUN = regex.compile(r"\b(?:this|that|some|good|fun|boring|all|other|my|of)\s+\Z|\b(?:no\s+need|not|never|without)\b[^.;\n]{0,12}\Z", regex.IGNORECASE)
"""Before a word that is no use of the thing: the boring stuff, no need to stuff."""

_AT_WILL = regex.compile(r"[^.;\n]{0,12}\bif\s+you\s+(?:have|like|wish|prefer|want)\b|[^.;\n]{0,12}\boptional", regex.IGNORECASE)
_ACROSS = r"[\d½¼¾⅝.,/]+[\s-]?(?:mm|cm|in|inch)\b"
_N = rf"(?<![\w.,/-])(?<!size )(?<!sizes )(?<!no )(?<!no\. )(?<!number )(?P<n>\d{{1,2}}|{WORDS})"


def check(subject: Subject) -> Iterator[Finding]:
    text, folded = subject.text, subject.layout.folded
    lists = [s.span for s in subject.layout.of(SectionKind.MATERIALS)]
    listed = " \n".join(text[span] for span in lists)
    if "hook" in listed.lower():
        body = [s.span for s in subject.layout.sections if s.kind in (SectionKind.PIECE, SectionKind.FINISHING, SectionKind.NOTES)]
        rest = " \n".join(folded[s.span.start : s.span.end] for s in subject.layout.sections if s.kind is not SectionKind.MATERIALS)
        for notion in _NOTIONS:
            if any(stem in folded for stem in notion.stems):
                yield from _unlisted(subject, notion, lists, listed, body)
                yield from _idle(subject, notion, rest)
                yield from _numbers(subject, notion, lists, body)
    yield from quantities(subject, RULE.name)


def _unlisted(subject: Subject, notion: _Notion, lists: list[Span], listed: str, body: list[Span]) -> Iterator[Finding]:
    text = subject.text
    # A list with nothing but yarn and hook leaves all notions to the maker.
    if notion.in_list.search(listed) or not _ANY_NOTION.search(listed):
        return
    if notion.made and any(regex.search(notion.made, s.name, regex.IGNORECASE) for s in subject.layout.of(SectionKind.PIECE)):
        return
    uses = [m for span in body for m in notion.in_use.finditer(text.source, span.start, span.end) if _is_use(text.source, m)]
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


def _is_use(source: str, match: regex.Match[str]) -> bool:
    """Whether the words say that the thing is used, and not at the maker's will."""
    return not _NOUN.search(source, max(0, match.start() - 20), match.start()) and not _AT_WILL.match(source, match.end())


def _stuffed_with_yarn(source: str) -> bool:
    return regex.search(r"\bstuff[^.;]{0,60}\b(?:ends|scraps|left-?\s?overs?|oddments|off-?cuts)\b", source, regex.IGNORECASE) is not None


def _idle(subject: Subject, notion: _Notion, rest: str) -> Iterator[Finding]:
    if not notion.idle or notion.mentioned.search(rest):
        return
    for section in subject.layout.of(SectionKind.MATERIALS):
        match = notion.idle_in_list.search(subject.text.source, section.body.start, section.body.end)
        if match and not _names_a_yarn(subject, match):
            yield Finding(
                RULE.name,
                Severity.SUGGESTION,
                f"“{match.group()}” is in the list of materials and nothing is done with {'them' if notion.plural else 'it'} in the text. Where {'do they' if notion.plural else 'does it'} go?",
                Span(match.start(), match.end()),
            )
            return


def _names_a_yarn(subject: Subject, match: regex.Match[str]) -> bool:
    """Whether a word is part of a yarn's name: Pillow & Peg Sock, 400 m."""
    line = subject.text.line_span(subject.text.line_number(match.start()))
    before, after = subject.text.source[line.start : match.start()], subject.text.source[match.end() : line.end]
    capitals = match.group()[0].isupper() and (regex.match(r"\s+(?:&|and)?\s*[A-Z]", after) or regex.search(r"[A-Z]\w*\s+(?:&\s+|and\s+)?$", before))
    return bool(capitals) and regex.search(r"\d\s?(?:m|yds?|yards|g|oz)\b|\b(?:yarn|skeins?|balls?|cotton|wool)\b", subject.text[line], regex.IGNORECASE) is not None


def _numbers(subject: Subject, notion: _Notion, lists: list[Span], body: list[Span]) -> Iterator[Finding]:
    """So many listed and so many used, each said once."""
    if not notion.plural or len(subject.work.sizes) > 1:
        return
    source = subject.text.source
    have = [m for span in lists for m in notion.counted.finditer(source, span.start, span.end)]
    use = [m for span in body for m in notion.counted.finditer(source, span.start, span.end)]
    if len(have) != 1 or len(use) != 1 or regex.match(r"[^.;\n]{0,30}\b(?:each|per)\b", source[have[0].end() : have[0].end() + 34], regex.IGNORECASE):
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


def _value(word: str) -> int:
    return number_of(word.lower()) or 0


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
