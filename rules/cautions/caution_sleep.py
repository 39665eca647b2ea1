"""A baby's blanket or cocoon, and no word about sleep."""

from __future__ import annotations

from collections.abc import Iterator

from ...lint import regex
from ...lint.finding import Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.style import HouseText
from ...lint.text import Span
from .house_text import in_house_words
from .mentions import ASK, BABY, first, front, named, warned

_THING = r"(?:blankets?|afghans?|throws?|shawls?|quilts?|cocoons?|sleep\s*sacks?|sleeping\s+bags?|swaddles?|loveys?|comforters?)"
_ITEM = regex.compile(
    rf"(?<!doll )(?<!dolls )(?<!doll's )(?<!dolls' )(?<!teddy's )(?<!bear's )\b(?:baby|pram|cot|crib|newborn|cradle|moses\s+basket|stroller|pushchair|receiving|preemie|swaddling)\s+(?:[\w-]+\s+)?{_THING}\b|\bbaby\s+(?:cocoons?|nests?)\b|\b(?:cot|crib)\s+mobiles?\b"
)
_BUMPER = regex.compile(r"\b(?:cot|crib)\s+(?:bumpers?|rail\s+covers?|slat\s+covers?)\b")
_BANNED = regex.compile(r"\bban(?:ned|s)?\b|\bcfr\b|\b(?:not|never)\s+be\s+(?:sold|used)\b")
_ONLY_SUCH = regex.compile(
    r"\b(?:or|as|like|also|into|suits?|such|example|even|another|make|makes)\s+(?:an?\s+|the\s+|your\s+)?(?:good\s+|nice\s+|lovely\s+|great\s+)?$|\bfor\s+(?:an?\s+)?$"
)
_BLANKET = regex.compile(rf"\b{_THING}\b")
_SLEEP = regex.compile(r"\b(?:a?sleep(?:s|ing)?|cots?|cribs?|moses\s+baskets?|naps?)\b")
_WARNS = regex.compile(
    r"\b(?:never|not|don't|no|keep|without|out\s+of|caution|follow|advice|safe\s+sleep|supervis\w+|unattended|hazard|danger\w*|risks?|awake|before|under\s+12)\b"
)


def check(subject: Subject) -> Iterator[Finding]:
    text, folded = subject.text, subject.layout.folded
    where = front(subject)
    bumper = first(subject, _BUMPER, where.all)
    if bumper is not None and not _BANNED.search(folded):
        yield Finding(
            RULE.name,
            Severity.QUERY,
            f"The text mentions {named(subject, bumper)}; in the US such padding may not be sold since November 2022 (16 CFR 1309), and other countries advise against it. Is a word about that wanted? {ASK}",
            bumper,
        )
        return
    if warned(subject, _SLEEP, _WARNS) or "unattended" in folded or "supervis" in folded:
        return
    item = first(subject, _ITEM, where.all)
    if item is not None:
        said_in_passing = _ONLY_SUCH.search(folded, max(0, item.start - 30), item.start) is not None
        yield _said(_a(named(subject, item)), item, Severity.SUGGESTION if said_in_passing or not any(item.start in p for p in where.sure) else Severity.QUERY)
        return
    title = [text.line_span(n) for n in range(1, min(4, len(text.line_starts) + 1))]
    blanket = first(subject, _BLANKET, title)
    baby = first(subject, BABY, title)
    if blanket is not None and baby is not None:
        yield _said(f"{_a(named(subject, blanket))} for a baby", blanket, Severity.SUGGESTION)


def _a(thing: str) -> str:
    if thing.endswith("s"):
        return thing
    return f"an {thing}" if thing.startswith("a") else f"a {thing}"


def _said(words: str, span: Span, severity: Severity) -> Finding:
    return Finding(
        RULE.name,
        severity,
        f"The text mentions {words} and no caution about sleep was found. Is one wanted? {ASK}",
        span,
    )


TEXT = HouseText("sleep", "the caution about a baby's sleep")


def asked(subject: Subject) -> Iterator[Finding]:
    yield from in_house_words(subject, RULE.name, TEXT, check(subject))


RULE = Rule(
    name="caution-sleep",
    severity=Severity.QUERY,
    title="A baby's blanket is mentioned and no caution about sleep was found",
    why="Health services advise against loose bedding where a baby sleeps, and makers give blankets away without the label a shop would put on. Houses usually print a line that points to the advice where the reader lives.",
    looks_like="US terms.\nMeadow Baby Blanket\n\nCh 13.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (12 sc)\n",
    better="US terms.\nMeadow Baby Blanket\nKeep blankets out of the place where a baby sleeps and follow the advice of the health service where you live.\n\nCh 13.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (12 sc)\n",
    let_stand="When the house prints its caution on the cover or on every page.",
    check=asked,
    settings=(TEXT,),
    source="Advice on infant sleep of paediatric and health bodies in the US and the UK; 16 CFR 1309 on cot bumpers. Check the current advice.",
)
