"""A baby's blanket or cocoon, and no word about sleep."""

from __future__ import annotations

import re
from collections.abc import Iterator

from ...lint.finding import Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.text import Span
from .mentions import ASK, BABY, first, front, named, warned

_THING = r"(?:blankets?|afghans?|throws?|shawls?|quilts?|cocoons?|sleep\s*sacks?|sleeping\s+bags?|swaddles?|loveys?|comforters?)"
_ITEM = re.compile(
    rf"\b(?:baby|pram|cot|crib|newborn|cradle|moses\s+basket|stroller|pushchair|receiving|preemie)\s+(?:[\w-]+\s+)?{_THING}\b|\bbaby\s+(?:cocoons?|nests?)\b|\b(?:cot|crib)\s+(?:bumpers?|slat\s+covers?|mobiles?)\b",
    re.IGNORECASE,
)
_ONLY_SUCH = re.compile(r"\b(?:or|as|like|also|into|suits?|such|example|even|another|make|makes)\s+(?:an?\s+|the\s+|your\s+)?(?:good\s+|nice\s+|lovely\s+|great\s+)?$|\bfor\s+(?:an?\s+)?$", re.IGNORECASE)
_BLANKET = re.compile(rf"\b{_THING}\b", re.IGNORECASE)
_SLEEP = re.compile(r"\b(?:a?sleep(?:s|ing)?|cots?|cribs?|moses\s+baskets?|naps?)\b", re.IGNORECASE)
_WARNS = re.compile(r"\b(?:never|not|don['’]t|no|keep|without|out\s+of|caution|follow|advice|safe\s+sleep|supervis\w+|unattended|hazard|danger\w*|risks?|awake|before|under\s+12)\b", re.IGNORECASE)


def check(subject: Subject) -> Iterator[Finding]:
    text = subject.text
    if warned(subject, _SLEEP, _WARNS) or re.search(r"\bunattended\b|\bsupervis", text.source, re.IGNORECASE):
        return
    where = front(subject)
    item = first(subject, _ITEM, where.all)
    if item is not None:
        said_in_passing = _ONLY_SUCH.search(text.source, max(0, item.start - 30), item.start) is not None
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


RULE = Rule(
    name="caution-sleep",
    severity=Severity.QUERY,
    title="A baby's blanket is mentioned and no caution about sleep was found",
    why="Health services advise against loose bedding where a baby sleeps, and makers give blankets away without the label a shop would put on. Houses usually print a line that points to the advice where the reader lives.",
    looks_like="US terms.\nMeadow Baby Blanket\n\nCh 13.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (12 sc)\n",
    better="US terms.\nMeadow Baby Blanket\nKeep blankets out of the place where a baby sleeps and follow the advice of the health service where you live.\n\nCh 13.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (12 sc)\n",
    let_stand="When the house prints its caution on the cover or on every page.",
    check=check,
    source="Advice on infant sleep of paediatric and health bodies in the US and the UK; 16 CFR 1309 on cot bumpers. Check the current advice.",
)
