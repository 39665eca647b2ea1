"""A word or an abbreviation of a row with a letter wrong, where nothing else can be meant."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from ...lint import regex
from ...lint.finding import Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.text import Span
from ...lint.trade.abbreviations import entries, folded
from ...lint.vocabulary_use import Use, one_slip_apart, unknown_words, uses, uses_in_foundations

_FUNCTION_WORDS = """
space spaces chain chains stitch stitches repeat around across single double treble crochet front second third
fourth cluster popcorn picot shell bobble remaining following between together through increase decrease
working beginning turning corner center centre fasten until times every loops skipped counts count
"""
# Real words that are one letter from one of those.
_OTHER_WORDS = """
again aground beach beak betweens bluster bobbles books brain bubble burn burning canter cent centers centres
chained chains chair chairs chaise chin china clusters coin cooks corking corners cornet count counted counter
counting court courts crocheted crochets cross decreased decreases ditch doubled doubles drain east enter ever
exit fastened faster fatten followed form forth fourths frog front fronts frost gobble grains ground grouped
hasten hitch hooks hoops increased increases itch jingle join joined joins joint laps leach limes lips loin
looks loose lops mount neat nest pace peach picots pilot pitch pivot place plain popcorns reach repeal
repeated repeats rouble seconded seconds shall shelf shelled shells shingle singe singled singles smell snitch
spaced spade spare spell spice stitched stitcher swell switch switches teach tech tern text thirds thirty
thorough though tiles time timed tingle tingles tires tomes torn train trains trebled trebles tremble trouble
trough tuck tune tuns turned turnings turns twitch twitches untie very walking witch wobble wording
"""
_EXPECTED = frozenset(_FUNCTION_WORDS.split())
_REAL = frozenset(_OTHER_WORDS.split())
_LEAST = 5


# What rows are full of besides stitches, too short for a letter more or less to tell anything.
_SHORT = frozenset(["rep", "repeat", "turn", "join", "next", "each", "last", "first", "skip", "miss", "same", "work", "from", "with", "times"])
_SHORT_REAL = frozenset(["form", "lats"])
_BEFORE_NAME = regex.compile(r"(?:with|using|in|to|colou?r|yarn)\s+\Z")
_LONG_ENOUGH = 6
"""Letters and figures from which a stitch's abbreviation may have one of them too many, too few or wrong."""


def _could_be(use: Use) -> str | None:
    word = use.word
    if len(word) < _LEAST or not word.isalpha() or word in _REAL or word in _EXPECTED or not use.printed[1:].islower():
        return None
    near = [w for w in sorted(_EXPECTED) if len(w) >= _LEAST and one_slip_apart(word, w)]
    near = [w for w in near if not w.endswith("s") or w[:-1] not in near] if len(near) > 1 else near
    return near[0] if len(near) == 1 else None


def _abbreviations(subject: Subject) -> frozenset[str]:
    """The stitches the rows use, the words of the key and the small words of every row, of three letters or more."""
    named = {u.word for u in uses(subject) if u.type != "WORD"} | {w.lower() for e in subject.layout.key for w in e.words}
    return frozenset(w for w in named | _SHORT if len(w) > 2 and w.isalnum())


@lru_cache(maxsize=1)
def _of_the_trade() -> frozenset[str]:
    """The abbreviations of stitches that are plain to see as such: of three letters or more."""
    return frozenset(a for a in (folded(e.abbr) for e in entries() if e.kind in ("stitch", "variant", "decrease")) if len(a) > 2 and a.isalnum())


def _whole(subject: Subject, use: Use) -> Span:
    """The whole run of letters and figures an unknown word is part of, without its number: “sc2otg” is met as “otg”."""
    folded, start, end = subject.layout.folded, use.span.start, use.span.end
    while start > use.statement.body.start and folded[start - 1].isalnum():
        start -= 1
    while end < use.statement.body.end and folded[end].isalnum():
        end += 1
    while start < end and folded[start].isdigit():
        start += 1
    return Span(start, end)


def _abbreviation(word: str, known: frozenset[str]) -> str | None:
    """The one abbreviation that has the same letters with two neighbours changed about, or, if long, one letter wrong.

    Those of the manuscript come before those of the trade.
    """
    if len(word) < 3 or word in known or word in _SHORT_REAL:
        return None
    for words in (known, _of_the_trade()):
        near = {w for w in words if one_slip_apart(word, w) and (sorted(w) == sorted(word) or (len(w) >= _LONG_ENOUGH and not w.isalpha()))}
        if near:
            return near.pop() if len(near) == 1 else None
    return None


def _name(subject: Subject, whole: Span) -> bool:
    """Whether a word is the name of a colour: with a capital, after “with” or “in”."""
    return subject.text[whole].istitle() and _BEFORE_NAME.search(subject.layout.folded, max(0, whole.start - 12), whole.start) is not None


def check(subject: Subject) -> Iterator[Finding]:
    if subject.pattern.antique:
        return
    own = {w.lower() for e in subject.layout.key for w in e.words}
    unknown = unknown_words(subject)
    for use in uses_in_foundations(subject):
        if use.type == "WORD":
            unknown.setdefault(use.word, []).append(use)
    known = _abbreviations(subject) if unknown else frozenset[str]()
    seen: set[Span] = set()
    for word, where in unknown.items():
        if word in own or len(where) > 2:
            continue
        for use in where:
            whole = _whole(subject, use)
            right = _could_be(use) or _abbreviation(subject.layout.folded[whole.start : whole.end], known)
            if right is not None and whole not in seen and not _name(subject, whole):
                seen.add(whole)
                yield Finding(
                    RULE.name,
                    Severity.SUGGESTION,
                    f'"{subject.text[whole]}" is not a word of the trade. Did you mean "{right}"?',
                    whole,
                    place=use.row,
                )


RULE = Rule(
    name="word-spelling",
    severity=Severity.SUGGESTION,
    title="A word with a letter wrong",
    why="About one row in thirty has a slip of the keys in one of its small words. The maker guesses right, but the row cannot be proved until it is put right.",
    looks_like="US terms.\nCh 4, join with sl st in first ch.\nRnd 1: Ch 3, 2 dc in ring, ch 2, 3 dc in ring, ch 2, join.\nRnd 2: Sl st in ch-2 sp, ch 3, 2 dc in same ch-2 soace, join.\n",
    better="US terms.\nCh 4, join with sl st in first ch.\nRnd 1: Ch 3, 2 dc in ring, ch 2, 3 dc in ring, ch 2, join.\nRnd 2: Sl st in ch-2 sp, ch 3, 2 dc in same ch-2 space, join.\n",
    let_stand="It is a word of its own, such as a colour or a name.",
    check=check,
)
