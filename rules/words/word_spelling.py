"""A function word of a row with one letter wrong, where nothing else can be meant."""

from __future__ import annotations

from collections.abc import Iterator

from ...lint.finding import Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.vocabulary_use import Use, one_slip_apart, unknown_words

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


def _could_be(use: Use) -> str | None:
    word = use.word
    if len(word) < _LEAST or not word.isalpha() or word in _REAL or word in _EXPECTED or not use.printed[1:].islower():
        return None
    near = [w for w in sorted(_EXPECTED) if len(w) >= _LEAST and one_slip_apart(word, w)]
    near = [w for w in near if not w.endswith("s") or w[:-1] not in near] if len(near) > 1 else near
    return near[0] if len(near) == 1 else None


def check(subject: Subject) -> Iterator[Finding]:
    if subject.pattern.antique:
        return
    own = {w.lower() for e in subject.layout.key for w in e.words}
    for word, where in unknown_words(subject).items():
        right = _could_be(where[0])
        if right is None or word in own or len(where) > 2:
            continue
        for use in where:
            yield Finding(
                RULE.name,
                Severity.SUGGESTION,
                f'"{use.printed}" is not a word of the trade and could not be read. Did you mean "{right}"?',
                use.span,
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
