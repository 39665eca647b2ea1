"""US or UK terms: the declaration, else the key, else the stitches seen, else the turning chains.

The ladder of evidence is common practice: ``sc`` and ``hdc`` occur only in US terms and ``htr`` only in UK terms
(trade/terms.toml); a ch 3 before "dc" is US height, a ch 1 before it UK height.
"""

from __future__ import annotations

from dataclasses import dataclass

from .. import regex
from ..text import Span

_KINDS = {"us": r"(?:u\.?\s?s\.?(?:a\.?)?|american)", "uk": r"(?:u\.?\s?k\.?|british)"}
_DECLARED = regex.compile(
    "|".join(
        rf"(?P<{system}>\b{name}[ \t]*(?:(?:standard|english|crochet|stitch)[ \t]+){{0,3}}(?:terms?|terminology|names?|abbreviations|notation|english)\b"
        rf"|\b{name}[ \t]+crochet[ \t]+stitches"
        rf"|\b(?:abbreviations|abbrevs?|terms|terminology|stitches|stitch[ \t]+names)(?:[ \t]+(?:are|is|used|given|in|as|all)){{0,3}}[ \t]*[-–—:,]?[ \t]*\(?(?:(?:all|the)[ \t]+)?\(?{name}(?![a-z])(?![ \t]*(?:hook|size|no\b|\d))"
        rf"|used[ \t]+the[ \t]+{name}[ \t]+names)"
        for system, name in _KINDS.items()
    )
)
_MODERN = regex.compile(r"(?<![a-z.])(?:sc|hdc|htr|dc|sl st|ch[ -]?\d|\dch|sk)(?![a-z])")
_BOTH = regex.compile(r"(?:us|u\.s\.)\s*(?:terms?)?\s*(?:/|and|\()\s*(?:uk|u\.k\.)")
_MEANS = (
    (regex.compile(r"(?<![a-z])tr\s*(?:=|:|-|–|—|\s{2,})\s*treble(?!\s*crochet\s*\(us)"), "tr"),
    (regex.compile(r"(?<![a-z])sc\s*(?:=|:|-|–|—|\s)\s*single crochet"), "US"),
    (regex.compile(r"(?<![a-z])hdc\s*(?:=|:|-|–|—|\s)\s*half double"), "US"),
    (regex.compile(r"(?<![a-z])htr\s*(?:=|:|-|–|—|\s)\s*half treble"), "UK"),
)


@dataclass(frozen=True)
class Terms:
    """``system`` is "US", "UK" or None where nothing tells; ``declared`` the words that say so."""

    system: str | None
    because: str
    declared: Span | None = None
    antique: bool = False


_RECIPE = regex.compile(r"(?<![a-z])(?P<stitch>dc|tr)\b[^\n=:–—-]{0,24}[=:–—-]\s*(?P<over>(?:yo|yrh|yoh|yarn over|yarn round hook|yarn over hook|wrap yarn)\s*(?P<twice>twice|2 times|two times)?,?\s*(?:and\s+)?)?insert")


def _by_recipe(folded: str) -> str | None:
    """The terms a key's recipe for dc or tr is in: as many yarn overs as the stitch takes."""
    found = _RECIPE.search(folded)
    if found is None:
        return None
    overs = 2 if found["twice"] else 1 if found["over"] else 0
    return {("dc", 0): "UK", ("dc", 1): "US", ("tr", 1): "UK", ("tr", 2): "US"}.get((found["stitch"], overs))


def read_terms(folded: str, expected: str | None = None) -> Terms:
    """The terms of a manuscript and the evidence in words; ``expected`` are taken where there is none."""
    old = len(regex.findall(r"\d+\s+(?:doubles?|trebles?|long|chains?|plain|singles?|purls?|double stitch|chain stitch|slip)\b", folded))
    if old >= 4 and len(_MODERN.findall(folded)) <= old // 4:
        return Terms("UK", "written out in old British words", antique=True)
    if regex.search(r"stitch(?:es)? of (?:double|treble|close)|\d+ (?:double|treble|long|chain)[,;. ]|(?:double|treble) stitch", folded) and not regex.search(r"(?<![a-z])(?:sc|hdc|htr|dc)(?![a-z])", folded):
        return Terms("UK", "written out in old British words", antique=True)
    found = _DECLARED.search(folded)
    if found and not _BOTH.search(folded):
        system = "US" if found["us"] else "UK"
        return Terms(system, f'declared: "{" ".join(found.group().split())}"', Span(found.start(), found.end()))
    recipe = _by_recipe(folded)
    if recipe:
        return Terms(recipe, "how the key works a stitch")
    us = len(regex.findall(r"(?<![a-z])(?:sc|s c|s\.c\.|hdc|fpsc|sc2tog|single crochets?|half double)(?![a-z])", folded))
    uk = len(regex.findall(r"(?<![a-z])(?:htr|half treble)(?![a-z])", folded))
    for pattern, system in _MEANS:
        if system in ("US", "UK") and pattern.search(folded):
            if (system == "US" and uk) or (system == "UK" and us):
                continue
            return Terms(system, "the key of abbreviations")
    if us and us >= uk:
        return Terms("US", '"sc" and "hdc" are used, which only US terms have')
    if uk and not us:
        return Terms("UK", '"htr" is used, which only UK terms have')
    tall_dc = len(regex.findall(r"(?:ch[ -]?3\b|3[ ]?ch\b)(?:[^.;\n]{0,40}?)(?<![a-z])\d?\s?dc(?![a-z\d])", folded))
    low_dc = len(regex.findall(r"(?:ch[ -]?1\b|(?<!\d)1[ ]?ch\b)(?:[^.;\n]{0,30}?)(?<![a-z])\d?\s?dc(?![a-z\d])", folded))
    tall_tr = len(regex.findall(r"(?:ch[ -]?3\b|(?<!\d)3[ ]?ch\b)(?:[^.;\n]{0,40}?)(?<![a-z])\d?\s?tr(?![a-z\d])", folded))
    very_tall_tr = len(regex.findall(r"(?:ch[ -]?4\b|(?<!\d)4[ ]?ch\b)(?:[^.;\n]{0,40}?)(?<![a-z])\d?\s?tr(?![a-z\d])", folded))
    if tall_tr > very_tall_tr and not tall_dc:
        return Terms("UK", "3 chains stand for a tr, as in UK terms")
    if low_dc and not tall_dc and not very_tall_tr and regex.search(r"(?<![a-z])tr(?![a-z])", folded):
        return Terms("UK", "1 chain goes before dc, as in UK terms")
    if not tall_dc and regex.search(r"(?<![a-z])dc (?:in|into) (?:the )?(?:2nd|second) ch", folded):
        return Terms("UK", "the first dc goes into the 2nd chain, as in UK terms")
    if tall_dc or regex.search(r"(?<![a-z])dc in (?:the )?(?:4th|fourth|3rd)", folded):
        return Terms("US", "3 chains stand for a dc, as in US terms")
    return Terms(expected, "the terms of the house style" if expected else "")
