"""Cords, ties and ribbons on a child's thing, dummy clips and teething necklaces, and no caution."""

from __future__ import annotations

from collections.abc import Iterator

from ...lint import regex
from ...lint.finding import Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.style import HouseText
from ...lint.text import Span
from .house_text import in_house_words
from .mentions import ASK, BABY, CHILD, first, front, named, warned, worked

_CORD = regex.compile(
    r"\bties\b|\btie\b(?=\s*[:(]|\s*$)|\bdraw-?\s?strings?\b|(?<!i-)\b(?<!elastic )(?:twisted\s+|crochet(?:ed)?\s+|mitten\s+)?cords?\b(?!\s+(?:stitch|edging))|\bribbons?\b(?!\s+yarn)|\b(?:bonnet|hat|mitten|neck)\s+strings\b|\bear\s?flap\s+(?:braids|plaits)\b",
    regex.MULTILINE,
)
_NEAR = regex.compile(r"\b(?:hood(?:ed|s)?|bonnets?|necks?|neckline|chin|bibs?|collars?|halter|capes?|ponchos?|mittens?|ear\s?flaps?)\b")
_HELD = regex.compile(r"\b(?:dummy|pacifier|soother|paci|binky)\s+(?:clips?|holders?|straps?|chains?)\b|\bteeth(?:ing|er)\s+(?:necklaces?|bracelets?|rings?)\b|\bnursing\s+necklaces?\b")
_THING = regex.compile(r"\b(?:cords?|ties|ribbons?|draw-?\s?strings?|strings?|clips?|straps?|necklaces?|loops?)\b")
_WARNS = regex.compile(r"\b(?:danger\w*|hazard\w*|strang\w+|entangl\w+|tangl\w+|caution|risks?|unattended|supervis\w+|regulations?|rules|never|safety)\b")


_CORD_STEMS = ("tie", "string", "cord", "ribbon", "braid", "plait")
_HELD_STEMS = ("dummy", "paci", "soother", "binky", "teeth", "nursing")


def check(subject: Subject) -> Iterator[Finding]:
    folded = subject.layout.folded
    where = front(subject)
    held = first(subject, _HELD, where.sure) if any(stem in folded for stem in _HELD_STEMS) else None
    places = worked(subject)
    cord = first(subject, _CORD, places) if any(stem in folded for stem in _CORD_STEMS) else None
    if (held is None and cord is None) or warned(subject, _THING, _WARNS):
        return
    if held is not None:
        yield _said(named(subject, held), "", held, Severity.QUERY)
        return
    if cord is None or first(subject, CHILD, where.all) is None:
        return
    near = first(subject, _NEAR, [*where.sure, *places])
    baby = first(subject, BABY, where.all)
    sure = first(subject, CHILD, where.sure) is not None
    if near is not None:
        yield _said(named(subject, cord), " on something for a " + ("baby" if baby else "child"), cord, Severity.QUERY if sure else Severity.SUGGESTION)
    elif baby is not None:
        yield _said(named(subject, cord), " on something for a baby", cord, Severity.SUGGESTION)


def _said(words: str, where: str, span: Span, severity: Severity) -> Finding:
    return Finding(
        RULE.name,
        severity,
        f"The text mentions {words}{where} and no caution was found. Is one wanted, or another closure? {ASK}",
        span,
    )


TEXT = HouseText("cords", "the caution about cords and ties")


def asked(subject: Subject) -> Iterator[Finding]:
    yield from in_house_words(subject, RULE.name, TEXT, check(subject))


RULE = Rule(
    name="caution-cords",
    severity=Severity.QUERY,
    title="Cords or ties for a child are mentioned and no caution was found",
    why="A cord at the neck can catch. Several countries have rules for cords on children's clothes, at the hood and neck above all, and for dummy holders; their lengths and ages differ and change. This only notices that no words about it are there.",
    looks_like="UK terms.\nBaby bonnet, 0-3 months\nMaterials: 1 ball of DK yarn; 4 mm hook; 1 m of ribbon\n\nCrown\nRnd 1: 12dc in magic ring, ss in first dc. (12dc)\nThread the ribbon through.\n",
    better="UK terms.\nBaby bonnet, 0-3 months\nRibbons can be a danger to babies: check the rules for children's clothes where you live.\nMaterials: 1 ball of DK yarn; 4 mm hook; 1 m of ribbon\n\nCrown\nRnd 1: 12dc in magic ring, ss in first dc. (12dc)\nThread the ribbon through.\n",
    let_stand="When the house prints its caution elsewhere, or the cord is part of the display only.",
    check=asked,
    settings=(TEXT,),
    source="US 16 CFR 1120 with ASTM F1816 (outerwear, sizes 2T to 16); EN 14682 (clothing to age 14); EN 12586 (dummy holders); the US drug authority on teething jewellery. Check the current editions.",
)
