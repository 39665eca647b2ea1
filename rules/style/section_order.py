"""The order of a leaflet's sections: sizes, materials, gauge, and the rest."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ...lint.finding import Because, Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.style import AS_FIRST, OFF, Choice
from ...lint.syntax.layout import Section, SectionKind
from ...lint.wording import words_at

_NAMES = {
    SectionKind.SIZES: "sizes",
    SectionKind.MATERIALS: "materials",
    SectionKind.GAUGE: "gauge",
    SectionKind.ABBREVIATIONS: "abbreviations",
    SectionKind.SPECIAL: "special stitches",
    SectionKind.NOTES: "notes",
    SectionKind.PIECE: "pieces",
    SectionKind.FINISHING: "finishing",
}
ORDER = Choice("section-order", "the sections in their order; those left out may stand anywhere", tuple(_NAMES.values()), OFF, ordered=True)


def check(subject: Subject) -> Iterator[Finding]:
    chosen = subject.style.choice(ORDER)
    if chosen == OFF:
        return
    sections = [s for s in subject.layout.sections if s.kind in _NAMES and (s.statements or s.kind is not SectionKind.PIECE)]
    if chosen == AS_FIRST:
        order: Sequence[str] = list(dict.fromkeys(_NAMES[s.kind] for s in sections))
    else:
        order = [chosen] if isinstance(chosen, str) else chosen
    before: Section | None = None
    for section in sections:
        name = _NAMES[section.kind]
        if name not in order:
            continue
        if before is not None and order.index(name) < order.index(_NAMES[before.kind]):
            yield _told(subject, section, before, apart=chosen == AS_FIRST)
        else:
            before = section


def _told(subject: Subject, section: Section, before: Section, *, apart: bool) -> Finding:
    where = section.heading if len(section.heading) else section.body
    after = before.heading if len(before.heading) else before.body
    head, other = _titled(subject, section), _titled(subject, before)
    words = f"apart from the other {_NAMES[section.kind]} above" if apart else "which comes after it in the house style"
    return Finding(RULE.name, Severity.STYLE, f"{head} stands below {other}, {words}.", where, because=(Because(after, f"{other} begins here"),))


def _titled(subject: Subject, section: Section) -> str:
    words = words_at(subject, section.heading).strip(" :#*_")
    return f"“{words}” ({_NAMES[section.kind]})" if words else f"the section of {_NAMES[section.kind]}"


RULE = Rule(
    name="section-order",
    severity=Severity.STYLE,
    title="A section out of the house's order",
    why="Readers of a series look for the hook size in the same place in every leaflet.",
    looks_like="Harbour Mat\n\nGauge\n16 sc and 18 rows = 4 in\n\nSizes\n10 in square\n\nMat\nCh 11.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (10 sc)\n",
    better="Harbour Mat\n\nSizes\n10 in square\n\nGauge\n16 sc and 18 rows = 4 in\n\nMat\nCh 11.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (10 sc)\n",
    let_stand="When the leaflet has no room for the usual order.",
    check=check,
    settings=(ORDER,),
)
