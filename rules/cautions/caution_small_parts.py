"""Small parts on a toy or a baby's thing, and no caution."""

from __future__ import annotations

from collections.abc import Iterator

from ...lint import regex
from ...lint.finding import Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.style import HouseText
from ...lint.syntax.layout import SectionKind
from ...lint.text import Span
from .house_text import in_house_words
from .mentions import ASK, BABY, TOY, first, front, named, worked

_EYES = regex.compile(r"\b(?:safety|plastic|toy|glass|googly|wobbly|button|bead(?:ed)?|screw-?in)\s+(?:eyes?|noses?)\b")
_PARTS = regex.compile(
    rf"{_EYES.pattern}|\bbuttons?\b(?!\s*-?\s*(?:holes?|bands?|loops?|stitch))|\bbeads\b|\b(?:jingle\s+)?bells\b|\bsequins\b|\bbrads\b|\bgoogly\b|\bmagnets?\b|\bbutton\s+(?:cells?|batter(?:y|ies))\b"
)
_SOFT = regex.compile(r"\bpom-?\s?poms?\b")
_PELLETS = regex.compile(r"\b(?:poly(?:ethylene)?|plastic|weighted|stuffing)\s+(?:pellets|beads)\b|\bpellets\b|\b(?:dried|dry)\s+(?:beans|peas|lentils|rice)\b")
_BAG = regex.compile(r"\b(?:bag|pouch|sack|stocking|tights)\b")
_CAUTION = regex.compile(r"\bsmall\s+parts?\b|\bchok(?:e|ing)\b|\bswallow|\b(?:come|work|pull)s?\s+(?:off|loose)\b[^.]{0,60}\b(?:danger|hazard|bab|child)")
_AGE = regex.compile(
    r"\b(?:under|below|younger\s+than|less\s+than)\s+(?:the\s+age\s+of\s+)?(?:3|three|36)\b|\b(?:3|three)\s+years\s+(?:and|or)\s+(?:over|older|up)\b|\b36\s+months\b|\bages?\s+3\s*(?:\+|and\s+up)"
)


def check(subject: Subject) -> Iterator[Finding]:
    places = worked(subject)
    parts, soft, pellets = (first(subject, p, places) for p in (_PARTS, _SOFT, _PELLETS))
    if not (parts or soft or pellets):
        return
    caution = _CAUTION.search(subject.layout.folded)
    if caution is not None:
        yield from _late(subject, Span(*caution.span()))
        return
    where = front(subject)
    sure_toy = first(subject, _EYES, places) is not None or first(subject, TOY, where.sure) is not None
    toy = sure_toy or first(subject, TOY, where.chat) is not None
    sure_baby = first(subject, BABY, where.sure) is not None
    baby = sure_baby or first(subject, BABY, where.chat) is not None
    if toy and pellets is not None and not _BAG.search(subject.layout.folded):
        yield Finding(
            RULE.name,
            Severity.SUGGESTION,
            f"The text mentions {named(subject, pellets)} and no inner bag and no caution was found. Is either wanted? {ASK}",
            pellets,
        )
    part = parts or (soft if baby else None)
    if part is None or not (toy or baby):
        return
    words = named(subject, part)
    if toy and _AGE.search(subject.layout.folded):
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


def _late(subject: Subject, caution: Span) -> Iterator[Finding]:
    """A caution that stands only after the last row."""
    last = max((s.body.end for section in subject.layout.of(SectionKind.PIECE) for s in section.statements if s.label is not None), default=None)
    if last is not None and caution.start >= last:
        yield Finding(
            RULE.name,
            Severity.SUGGESTION,
            "The caution about small parts stands behind the making. Would it be read in time near the list of materials?",
            caution,
        )


TEXT = HouseText("small-parts", "the caution about small parts")


def asked(subject: Subject) -> Iterator[Finding]:
    yield from in_house_words(subject, RULE.name, TEXT, check(subject))


RULE = Rule(
    name="caution-small-parts",
    severity=Severity.QUERY,
    title="Small parts are mentioned and no caution was found",
    why="Eyes, buttons and beads can come off and be swallowed. Houses usually say so beside the list of materials and offer embroidery instead. What the law asks differs from place to place and changes; this only notices that the words are not there.",
    looks_like="US terms.\nOtter\nMaterials: 1 ball of DK yarn; 3 mm hook; 2 safety eyes; toy stuffing\n\nHead\nRnd 1: 6 sc in magic ring. (6)\nRnd 2: 2 sc in each st around. (12)\nPut in the eyes and stuff.\n",
    better="US terms.\nOtter\nCaution: eyes are small parts and a choking hazard for young children; embroider them instead, and check the rules where you live.\nMaterials: 1 ball of DK yarn; 3 mm hook; 2 safety eyes; toy stuffing\n\nHead\nRnd 1: 6 sc in magic ring. (6)\nRnd 2: 2 sc in each st around. (12)\nPut in the eyes and stuff.\n",
    let_stand="When the house prints its caution on the cover or on every page.",
    check=asked,
    settings=(TEXT,),
    source="US small parts rules for children under 3 (16 CFR 1501) and toys (16 CFR 1250); UK Toys (Safety) Regulations 2011; the EU authorities' reading of soft-filled toys, 2019. Check the current editions.",
)
