"""The words of the trade as the lexer needs them: spellings of stitches, and how many stitches each uses and makes.

Kinds are US names whatever the terms of the text; ``Stitch`` carries what the fabric must know.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from .. import regex

HEIGHTS = ("sl st", "sc", "hdc", "dc", "tr", "dtr", "trtr")
"""Basic stitches by height; each is one chain taller than the one before (H1918: one chain a draw)."""

# UK name → US kind (trade/terms.toml); "ss" and "sl st" are the same in both.
_UK = {"dc": "sc", "htr": "hdc", "tr": "dc", "dtr": "tr", "trtr": "dtr", "ttr": "dtr", "qtr": "trtr", "sc": "sc", "hdc": "hdc"}
_US = {"htr": "hdc", "ttr": "trtr", "qtr": "trtr"}


@dataclass(frozen=True, slots=True)
class Stitch:
    """One kind of stitch. ``uses`` base stitches become ``makes``; ``post`` is "F" or "B" where it goes round a post."""

    kind: str
    uses: int = 1
    makes: int = 1
    post: str = ""
    group: bool = False  # a place of its own for "in next shell"
    crossed: bool = False
    foundation: bool = False


_BASE_SPELLINGS: tuple[tuple[str, str], ...] = (
    # longest first; the second is the printed name before terms are applied
    (r"(?:quadruple|quad)[ -]?(?:treble|triple|tr)(?:[ -]crochet)?|qtr", "qtr"),
    (r"(?:triple|treble)[ -]treble(?:[ -]crochet)?s?|tr[ .-]?tr(?: c)?|ttr|trtr", "trtr"),
    (r"double[ -]treble(?:[ -]crochet)?s?|double[ -]triple(?:[ -]crochet)?|d\.?[ -]?tr\.?(?: ?c(?![a-z])\.?)?s?", "dtr"),
    (r"half[ -]treble(?:[ -]crochet)?s?|h\.? ?tr\.?s?", "htr"),
    (r"half[ -]double(?:[ -]crochet)?s?|half[ -]?dc|h\.? ?d\.? ?c\.?s?|short double crochet|s d c", "hdc"),
    (r"single[ -]crochets?|s\.? ?c(?:'?s(?![a-z]))?(?=[fb]p(?![a-z])|[fb]lo(?![a-z])|[fb](?![a-z])|[^a-z]|$)\.?", "sc"),
    (r"double[ -]crochets?|d\.? ?c(?:'?s(?![a-z]))?(?=[fb]p(?![a-z])|[fb]lo(?![a-z])|r?[fb](?![a-z])|[^a-z]|$)\.?", "dc"),
    (r"(?:treble|triple)(?:[ -]crochet)?s?|trc|tr c|tr(?:'?s(?![a-z]))?(?=[fb]p(?![a-z])|[fb]lo(?![a-z])|r?[fb](?![a-z])|[^a-z]|$)\.?", "tr"),
)
_SLIP = r"slip[ -]?st(?:itch(?:es)?)?s?|sl[ .-]*st(?:itch(?:es)?|s)?\b\.?|sl\.? ?sts?|slst|s\.s\.|ss\b\.?|connecting st(?:itch)?"

_NAMED: tuple[tuple[str, Stitch], ...] = (
    (r"pop(?:corn)?(?:[ -]?st(?:itch)?)?(?:e?s)?|pcs?", Stitch("popcorn")),
    (r"bobbles?(?:[ -]st(?:itch)?(?:e?s)?)?|bob", Stitch("bobble")),
    (r"puffs?(?:[ -]st(?:itch)?(?:e?s)?)?|ps", Stitch("puff")),
    (r"clusters?|cls?\b", Stitch("cluster")),
    (r"picots?", Stitch("picot", 0, 0)),
)


def base_pattern() -> str:
    """One alternation of every spelling of a basic stitch."""
    return "|".join(f"(?:{p})" for p, _ in _BASE_SPELLINGS)


_BASES = tuple((regex.compile(p), name) for p, name in _BASE_SPELLINGS)
_SLIP_RE = regex.compile(_SLIP)
_NAMED_RES = tuple((regex.compile(p), s) for p, s in _NAMED)

_POST_BEFORE = (
    r"fp|bp|(?:front|back)[ -]?post|(?:front|back)[ -](?:raised|relief)|(?:raised|relief)[ -](?:front|back)(?:[ -]post)?|raised|relief"
    r"|r(?=(?:htr|dtr|tr|dc)[fb]\b)"
)
_POST_AFTER = r"[ -]?(?:fp|bp)(?![a-z])|/?r?[fb](?![a-z])"
_FACE_AFTER = r"[ -](?:at[ ](?:the[ ])?)?(?:front|back)"
"""How a stitch is told to go around a post: "FPdc", "relief front dc", "dcfp", "RtrF", "tr/rf", "raised treble front"."""

STITCH_PATTERN = (
    rf"(?:(?:{_POST_BEFORE})[ -]?)?"
    r"(?:e(?=sc|hdc|dc|tr)|ex(?=sc|hdc|dc|tr)|extended |linked |long |standing |beg(?:inning)?[ -]|f(?=(?:sc|hdc|dc|tr)s?(?![a-z]))|(?:foundation |chainless |base ch(?:ain)?[ /]?)+(?=sc|hdc|dc|tr|single|half|double|treble))?"
    rf"(?:{base_pattern()})"
    r"(?:[ -]?(?:\d+|two|three)[ -]?tog(?:ether)?\b)?"
    rf"(?:{_POST_AFTER}|{_FACE_AFTER}(?=\s+a?round\b))?"
    r"(?:[ -]?(?:blo|flo)\b)?"
)
NAMED_PATTERN = r"(?:beg(?:inning)?[ -])?(?:" + "|".join(f"(?:{p})" for p, _ in _NAMED) + ")"
SLIP_PATTERN = _SLIP

_PARTS = regex.compile(
    rf"(?P<pre>{_POST_BEFORE})?[ -]?"
    r"(?P<ext>e(?=sc|hdc|dc|tr)|ex(?=sc|hdc|dc|tr)|extended |linked |long |standing |beg(?:inning)?[ -]|f(?=sc|hdc|dc|tr)|(?:foundation |chainless |base ch(?:ain)?[ /]?)+)?"
    rf"(?P<base>{base_pattern()})"
    r"(?:[ -]?(?P<k>\d+|two|three)[ -]?tog(?:ether)?\b)?"
    rf"(?P<post>{_POST_AFTER}|{_FACE_AFTER})?"
    r"(?:[ -]?(?:blo|flo)\b)?$"
)


_FACE = regex.compile(r"front|back|[fb]p|[fb](?![a-z])")


def us_kind(name: str, terms: str | None) -> str:
    """The US kind of a printed basic name under the text's terms."""
    return (_UK if terms == "UK" else _US).get(name, name)


def basic_name(word: str) -> str | None:
    """The printed basic stitch a word spells, before terms: ``dc`` for "d.c.", or None."""
    for pattern, name in _BASES:
        if pattern.fullmatch(word):
            return name
    return None


def read_stitch(word: str, terms: str | None) -> Stitch | None:
    """The stitch a word or short phrase spells, or None."""
    word = " ".join(word.split())
    if _SLIP_RE.fullmatch(word):
        return Stitch("sl st")
    parts = _PARTS.fullmatch(word)
    if parts:
        name = basic_name(parts["base"])
        if name is None:
            return None
        kind = us_kind(name, terms)
        face = _FACE.search(f"{parts['pre'] or ''} {parts['post'] or ''}")
        post = face.group()[0].upper() if face is not None else "F" if parts["pre"] in ("raised", "relief") else ""
        k = parts["k"]
        uses = 1 if k is None else {"two": 2, "three": 3}.get(k) or int(k)
        full = {"F": "FP", "B": "BP", "": ""}[post] + kind + (f"{uses}tog" if uses > 1 else "")
        extra = parts["ext"] or ""
        if extra.startswith("e"):
            full = "e" + full
        return Stitch(full, uses, 1, post, foundation=extra.startswith(("f", "chainless", "base")))
    named = regex.sub(r"^beg(?:inning)?[ -]", "", word)
    for pattern, stitch in _NAMED_RES:
        if pattern.fullmatch(named):
            return stitch
    return None


def around_post(stitch: Stitch, post: str) -> Stitch:
    """The same stitch worked around the post, from the front ("F") or the back ("B")."""
    return replace(stitch, kind=f"{post}P{stitch.kind}", post=post)


def unprefixed(kind: str) -> str:
    """A kind without what says how it is worked: FPdc, BPdc and edc are dc."""
    for prefix in ("FP", "BP", "e"):
        kind = kind.removeprefix(prefix)
    return kind


def height(kind: str) -> int:
    """Chains a stitch stands tall: sc 1, hdc 2, dc 3, tr 4 (trade/stitches.toml, turning_chain); 0 for a slip stitch."""
    kind = regex.sub(r"\d+tog$", "", unprefixed(kind))
    return HEIGHTS.index(kind) if kind in HEIGHTS else 3
