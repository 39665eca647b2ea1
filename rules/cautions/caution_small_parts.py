"""Small parts on a toy or a baby's thing, and no caution."""

from __future__ import annotations

import re
from collections.abc import Iterator

from ...lint.finding import Finding, Severity
from ...lint.rule import Rule, Subject
from .mentions import ASK, BABY, TOY, first, front, named, worked

_EYES = re.compile(r"\b(?:safety|plastic|toy|glass|googly|wobbly|button|bead(?:ed)?)\s+(?:eyes?|noses?)\b", re.IGNORECASE)
_PARTS = re.compile(rf"{_EYES.pattern}|\bbuttons?\b(?!\s*-?\s*(?:holes?|bands?|loops?|stitch))|\bbeads\b|\b(?:jingle\s+)?bells\b|\bsequins\b|\bbrads\b|\bgoogly\b", re.IGNORECASE)
_SOFT = re.compile(r"\bpom-?\s?poms?\b", re.IGNORECASE)
_CAUTION = re.compile(r"\bsmall\s+parts?\b|\bchok(?:e|ing)\b|\bswallow|\b(?:come|work|pull)s?\s+(?:off|loose)\b[^.]{0,60}\b(?:danger|hazard|bab|child)", re.IGNORECASE)
_AGE = re.compile(r"\b(?:under|below|younger\s+than|less\s+than)\s+(?:the\s+age\s+of\s+)?(?:3|three|36)\b|\b(?:3|three)\s+years\s+(?:and|or)\s+(?:over|older|up)\b|\b36\s+months\b|\bages?\s+3\s*(?:\+|and\s+up)", re.IGNORECASE)


def check(subject: Subject) -> Iterator[Finding]:
    text = subject.text
    if _CAUTION.search(text.source):
        return
    places = worked(subject)
    eyes, parts, soft = (first(subject, p, places) for p in (_EYES, _PARTS, _SOFT))
    where = front(subject)
    sure_toy = eyes is not None or first(subject, TOY, where.sure) is not None
    toy = sure_toy or first(subject, TOY, where.chat) is not None
    sure_baby = first(subject, BABY, where.sure) is not None
    baby = sure_baby or first(subject, BABY, where.chat) is not None
    part = parts or (soft if baby else None)
    if part is None or not (toy or baby):
        return
    words = named(subject, part)
    if toy and _AGE.search(text.source):
        yield Finding(
            RULE.name,
            Severity.SUGGESTION,
            f"The text mentions {words} and an age, and no caution about small parts was found. In the EU a soft toy to be held and cuddled counts as one for children under 3, whatever its label says. {ASK}",
            part,
        )
        return
    sure = parts is not None and (sure_toy or sure_baby)
    yield Finding(
        RULE.name,
        Severity.QUERY if sure else Severity.SUGGESTION,
        f"The text mentions {words} on {'a toy' if sure_toy or (toy and not sure_baby) else 'something for a baby'} and no caution was found. Is one wanted near the list of materials? {ASK}",
        part,
    )


RULE = Rule(
    name="caution-small-parts",
    severity=Severity.QUERY,
    title="Small parts are mentioned and no caution was found",
    why="Eyes, buttons and beads can come off and be swallowed. Houses usually say so beside the list of materials and offer embroidery instead. What the law asks differs from place to place and changes; this only notices that the words are not there.",
    looks_like="US terms.\nOtter\nMaterials: 1 ball of DK yarn; 3 mm hook; 2 safety eyes; toy stuffing\n\nHead\nRnd 1: 6 sc in magic ring. (6)\nRnd 2: 2 sc in each st around. (12)\nPut in the eyes and stuff.\n",
    better="US terms.\nOtter\nCaution: eyes are small parts and a choking hazard for young children; embroider them instead, and check the rules where you live.\nMaterials: 1 ball of DK yarn; 3 mm hook; 2 safety eyes; toy stuffing\n\nHead\nRnd 1: 6 sc in magic ring. (6)\nRnd 2: 2 sc in each st around. (12)\nPut in the eyes and stuff.\n",
    let_stand="When the house prints its caution on the cover or on every page.",
    check=check,
    source="US small parts rules for children under 3 (16 CFR 1501) and toys (16 CFR 1250); UK Toys (Safety) Regulations 2011; the EU authorities' reading of soft-filled toys, 2019. Check the current editions.",
)
