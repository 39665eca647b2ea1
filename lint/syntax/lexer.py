"""The lexer of row statements: one master pattern over the reading copy, one token for every run of characters.

Every character belongs to exactly one token, so the tokens joined give the text back. What carries no meaning for the
arithmetic (white space, articles, "loosely") is a token too, of type ``_``; a word nobody knows is ``WORD`` and is
never dropped.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

from .. import regex
from .lexicon import NAMED_PATTERN, SLIP_PATTERN, STITCH_PATTERN, Stitch, read_stitch

Num = tuple[int | None, ...]
"""A number: one value, or one per size; None where a size has none ("-")."""


class Token(NamedTuple):
    """``start`` and ``end`` count from the start of the statement."""

    type: str
    start: int
    end: int
    value: object = None


@dataclass(frozen=True)
class Vocabulary:
    """What the words of one manuscript mean: its terms, its number of sizes, and the stitches it defines."""

    terms: str | None = None
    sizes: int = 1
    stitches: tuple[tuple[str, Stitch], ...] = ()


_UNITS = ["one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen"]
_TENS = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]
NUMBER_WORDS = {w: i + 1 for i, w in enumerate(_UNITS)} | {w: 20 + 10 * i for i, w in enumerate(_TENS)}
ORDINAL_WORDS = {
    "second": 2, "third": 3, "fourth": 4, "fifth": 5, "sixth": 6, "seventh": 7, "eighth": 8, "ninth": 9, "tenth": 10,
    "eleventh": 11, "twelfth": 12,
}  # fmt: skip
_NUMBER_WORD = (
    rf"(?:(?:{'|'.join(_UNITS[:9])}) hundred(?: and)?(?: (?:(?:{'|'.join(_TENS)})(?:[ -](?:{'|'.join(_UNITS[:9])}))?|{'|'.join(reversed(_UNITS))}))?"
    rf"|(?:{'|'.join(_TENS)})(?:[ -](?:{'|'.join(_UNITS[:9])}))?|{'|'.join(reversed(_UNITS))})\b"
)

# One word → its type. Everything longer than a word is a pattern below.
_WORDS: dict[str, str] = {}
for _kind, _line in {
    "IN": "in into onto on through under thru",
    "OVER": "over",
    "AROUND": "around round",
    "EACH": "each every ea all",
    "NEXT": "any next following foll fol",
    "REMAINING": "remaining rem",
    "FIRST": "first 1st",
    "LAST": "last final",
    "SAME": "same",
    "ST": "st sts stitch stitches stich place",
    "SPN": "sp sps space spaces loop loops lp lps arch arches arc hole holes gap gaps",
    "RING": "ring circle",
    "CH": "ch chs chain chains chn",
    "INC": "inc incs increase incr",
    "DEC": "dec decs decrease invdec",
    "SKIP": "sk skip skipping miss missing ignore omit",
    "SKIPPED": "skipped missed unworked unused free",
    "OF": "of",
    "TOP": "top",
    "BASE": "base",
    "POST": "post posts stem stems",
    "BETWEEN": "between bet btwn before after",
    "CENTRE": "center centre middle",
    "CORNER": "corner corners",
    "SCOPE": "across",
    "TO": "to",
    "REP": "repeat rep rpt repeating reps repeated",
    "FROM": "from",
    "TIMES": "times time",
    "MORE": "more again",
    "ANOTHER": "another",
    "TOG": "together tog",
    "REMAIN": "remain remains",
    "UNTIL": "until till",
    "TURN": "turn turning",
    "JOIN": "join joining joined close connect unite closing",
    "WORK": "work make working worked makes",
    "THEN": "then",
    "AND": "and &",
    "PLUS": "plus",
    "ENDING": "ending end ends finish finishing",
    "WITH": "with w/ using",
    "BEHIND": "behind",
    "FRONT": "front",
    "BACK": "back",
    "LEAVING": "leave leaving leaves",
    "HOOK": "hook",
    "RS": "rs",
    "WS": "ws",
    "GROUPNAME": "shell shells fan fans group groups point points petal petals block blocks blk blks bobblest scallop scallops mesh meshes square squares v-st v-sts vst vsts v-stitch v-stitches cable cables ripple ripples",
    "ROWWORD": "row rows rnd rnds round rounds",
}.items():  # fmt: skip
    for _one_word in _line.split():
        _WORDS[_one_word] = _kind
_WORDS["round"] = "AROUND"
_FILLER = frozenset(
    ["the", "a", "an", "now", "just", "loosely", "carefully", "tightly", "here", "this", "that", "also", "both", "still", "gently", "firmly", "loose", "being", "so", "there", "its", "it", "your", "you", "directly", "simply", "immediately"]
)

_POST_WORDS = r"(?:(?:fp|bp|front[ -]post|back[ -]post|raised|relief)[ -]?\w*|(?:hdc|htr|dc|tr|dtr)(?:[fb]p?)?s?(?![a-z]))"
_BETWEEN_STRANDS = (
    # "these 3 sts just made", "the last two FPtr worked", "them": what the skipped stitches pass in front of or behind
    r"(?:(?:the|these|those|this|that|last|first|previous|prior)\s+)*(?:(?:\d+|two|three|four|five|six)\s+)?"
    rf"(?:(?:sts?|stitch(?:es)?|posts?|cables?|strands?|ones?|them|it|those|these|{_POST_WORDS}(?!\s+(?:a?round|in|into|on)\b))(?![a-z])\s*)?"
    r"(?:(?:that\s+)?(?:you(?:'ve|\s+have)?\s+)?(?:were\s+)?(?:just\s+|already\s+)?(?:made|worked|completed|finished)\b)?"
)
_CROSS = (
    r"(?:(?:then|and|now|while|go(?:ing)?\s+back|return(?:ing)?|reach(?:ing)?)\s+)*"
    r"(?:(?:work(?:ing|ed)?|pass(?:ing)?|cross(?:ing)?|go(?:ing)?|keep(?:ing)?|mov(?:e|ing))\s+(?:in\s+(?:the\s+)?)?|in\s+(?=front|back\s+of)"
    r"|(?<=[,;:.(]\s)(?=behind\s+(?:these|those|them|(?:the\s+)?(?:last\s+|previous\s+)?(?:\d+\s+)?(?:\w+\s+)?(?:just\s+)?(?:made|worked))\b))"
    rf"(?P<fb>front|behind|in\s+back|back(?=\s+of))\b(?:\s+of\b)?\s*{_BETWEEN_STRANDS}"
    r"(?:\s*,?\s*\(?\s*(?:as\s+)?(?:seen|viewed)\s+(?:from|on)\s+(?:the\s+)?(?:right\s+side|rs|front)\s*\)?)?"
    rf"(?=\s*(?:[,:;.)]|$)|\s*(?:\d+\s*)?(?:{_POST_WORDS}|work\b|make\b|r(?:htr|tr|dtr)[fb]|around\b|and\b))"
)
"""How the skipped stitches of a crossing pass the ones worked before them."""

_PATTERNS: tuple[tuple[str, str], ...] = (
    ("_", r"\s+|as\s+(?:in|for|on)\s+(?:rows?|rnds?|rounds?)\s*\d+|all\s+(?=in(?:to)?\s)|up(?=\s+to\b)|(?:(?<=between each )|(?<=between every )|(?<=over each )|(?<=over every ))pair\s+of\b|\d+[ -](?:dc|tr|hdc|htr|dtr|sc)[ -](?=group|shell|fan|cl(?:uster|s?\b)|bobble|popcorn|pc\b|puff|pop\b)"),
    ("PUSHED", r"push(?:ing|ed)?\s+(?:(?:it|them|each|the)\s+)?(?:pop(?:corn)?s?\s+|bobbles?\s+|pc\s+)?(?:out\s+|through\s+|forward\s+)*(?:to|on|onto|towards?)\s+(?:the\s+)?(?:rs|right\s+side|front|back)(?:\s+of\s+(?:the\s+)?work)?"),
    ("FORROWS", r"for\s+(?:the\s+next\s+)?(?P<rows>\d+|[a-z]+(?:-[a-z]+)?)\s+(?:more\s+)?(?:rows|rnds|rounds)\b"),
    ("NOTCOUNT", r"(?:(?:does|do|did|will|is|are)\s*(?:not|n't)\s+(?:be\s+)?(?:to\s+)?(?:count(?:ed|s)?|replace)(?:\s+(?:as|in|the|first))*(?:\s+(?:a|an|1|one|st|sts|stitch|stitches|dc|hdc|tr|htr|sc|count|total|rows?|rnds?|rounds?|at|here|and|throughout|or|below|ever|anywhere|first))*|doesn't\s+count(?:\s+as)?(?:\s+(?:a|an|1|one|st|stitch))*|(?:is\s+|are\s+)?not\s+(?:a|an|counted|count)(?:\s+as)?(?:\s+(?:a|an|1|one|st|sts|stitch|stitches))*|never\s+counts?(?:\s+as)?(?:\s+(?:a|an|1|st|stitch))*|not\s+counted)\b"),
    ("COUNTS", r"(?:counts?|counted|counting|acts?|stands?|to\s+count|count)\s+(?:as|for)\b(?:\s+(?:the\s+)?(?:first|1st|beg))?|we\s+count|this\s+replaces|(?:for|instead\s+of|in\s+place\s+of)\s+(?:the\s+)?(?:first|1st)(?=\s+(?:dc|hdc|tr|htr|dtr|sc|st)(?![a-z]))"),
    ("THROUGHOUT", r"(?:here\s+and\s+)?throughout|here\s+and\s+below|here\s+and\s+in\s+all\s+(?:rows|rnds|rounds)"),
    ("LASTREP", r"(?:ending|end|finishing|finish|but\s+end)\s+(?:the\s+)?last\s+(?:rep(?:eat)?|time)\s*(?:with|at|after|in|by\s+working|by)?|working\s+last\s+(?:rep(?:eat)?)|(?:on|in)\s+(?:the\s+)?last\s+rep(?:eat)?,?\s*(?:end(?:ing)?\s+(?:with|at))?|omitting(?:\s+(?:the\s+)?(?:last|final))?\b"),
    ("ENDWITH", r"(?:ending|end|ends|finish|finishing|but\s+(?:end|finish))\s+(?:with|in|by\s+working|by)\b"),
    ("RECALL", r"(?:from\s*(?:the\s+)?(?:first\s*)?(?P<m1>\*+|\+|#|†|•)|between\s*(?:the\s+)?(?P<m2>\*+|\+|#)(?:\s*(?:and|to)?\s*(?:\*+|\+|#))?(?:'?s\b)?|(?P<m3>\*+|\+|#)\s*(?:to|-)\s*(?:next\s+|2nd\s+)?(?P<m5>\*+|\+|#)|(?:between|within|in)\s+(?:the\s+)?(?:\[\s*\]|\(\s*\)|brackets|parentheses|stars|asterisks)|what\s+is\s+(?:in|between)\s+(?:the\s+)?(?:brackets|parentheses|\*+s?))(?:\s*(?:to|-)\s*(?:next\s+|2nd\s+|second\s+)?(?P<m4>\*+|\+|#|†|•))?"),
    ("TOLAST", r"(?:(?:around|across|round)\s+)?(?:to|until|till|up\s+to)\s+(?:within\s+)?(?:the\s+)?last\b|(?:(?:around|across|round)\s+)?(?:to|until|till|up\s+to)(?=\s+(?:the\s+)?(?:(?:turning|beg(?:inning)?|starting)\s+ch(?:ain)?(?![ -]*\d*[ -]*sp)|t-?ch\b))"),
    ("SCOPE", r"(?:(?:along|across|around)\s+)?(?:the\s+)?(?:entire|whole)\s+(?:row|rnd|round)\b|along\s+(?:the\s+)?(?:row|rnd|round)\b|(?:to|until|till)\s+(?:the\s+)?ends?(?:\s+of\s+(?:the\s+)?(?:row|rnd|round|base\s+ch|chain|ch))?\b|all\s+(?:the\s+way\s+)?(?:a?round|across)\b|across(?:\s+(?:the\s+)?(?:entire\s+)?(?:row|rnd|round|end))?\b|(?:around|round)\s+(?:the\s+)?(?:entire\s+)?(?:rnd|round)\b"),
    ("FROMHOOK", r"(?:away\s+)?from\s+(?:the\s+)?(?:hook|hk)\b"),
    ("OTHERSIDE", r"(?:on\s+)?(?:the\s+)?(?:other|opposite|2nd|second)\s+side(?:\s+of\s+(?:the\s+)?(?:foundation\s+)?ch(?:ain)?)?(?=\s*[:,])|(?:now\s+)?(?:working\s+|work\s+|continue\s+|turn\s+(?:the\s+)?work\s+|rotate(?:\s+(?:the\s+)?work)?\s*,?\s*)?(?:now\s+)?(?:and\s+)?(?:working\s+|work\s+)?(?:on|along|to|in|across|down|up|onto|into)\s+(?:the\s+)?(?:other|opposite|2nd|second|remaining)\s+(?:side|edge|loops?)(?:\s+of\s+(?:the\s+)?(?:foundation\s+|base\s+|starting\s+|beg\s+)?(?:ch(?:ain)?s?))?(?:\s+(?:work|working))?|in\s+(?:the\s+)?(?:free|unused|remaining)\s+(?:loops|lps)\s+(?:of\s+(?:the\s+)?(?:foundation\s+|base\s+|beg\s+)?ch(?:ain)?|on\s+(?:the\s+)?other\s+side(?:\s+of\s+(?:the\s+)?ch(?:ain)?)?)|turn\s+(?:the\s+)?(?:work\s+)?(?:upside\s+down|90\s*degrees|180\s*degrees)"),
    ("SAME", r"just\s+(?:made|worked|formed|completed)"),
    ("PLACEWORD", r"as\s+(?:the\s+)?(?:join(?:ing)?(?:\s+(?:sl\s*st|ss|st))?|sl\s*st|ss|(?:(?:first|last|previous|prev)\s+)?(?:\d\s+)?(?:st(?:itch(?:es)?|s)?|sc|hdc|dc|tr|htr|shell|group)|beg(?:inning)?\s+ch(?:[ -]\d+)?|ch[ -]?\d+|turning\s+ch|\d?\s?ch)\b|where\s+(?:the\s+)?(?:sl\s*st|ss)[a-z ]*|indicated|together\s+with"),
    ("NOTURN", r"(?:do\s+not|don't|without|never)\s+turn(?:ing)?(?:\s+(?:the\s+)?work)?\b|no\s+turning"),
    ("NOJOIN", r"(?:do\s+not|don't|without)\s+join(?:ing)?\b"),
    ("OFF", r"break\s+off\s+and\s+fasten|(?:do\s+not\s+|don't\s+)?(?:fasten|finish|end|break|cut|bind)\s+off(?:\s+(?:the\s+)?(?:yarn|thread|[a-z]{1,2}|and\s+(?:weave\s+in|hide)[a-z ]*ends?|leaving\s+(?:a\s+)?(?:long\s+)?[a-z0-9/ .]*?tail[a-z ]*))?\b|break\s+off\s+and\s+fasten|cut\s+(?:the\s+)?(?:yarn|thread|[a-z]\b)|\bfo\b|weave\s+in\s+(?:all\s+)?(?:the\s+)?ends?"),
    ("MOVEMARK", r"(?:place|move|pm|put)\s+(?:a\s+|the\s+)?(?:st(?:itch)?\s+)?marker(?:\s+(?:up|in\s+(?:the\s+)?(?:first|last|next|this)\s+(?:st(?:itch)?|sc)|here))?"),
    ("CHANGE", r"(?:changing|change|switch(?:ing)?|chang[a-z]*)\s+(?:colou?rs?|yarn|(?:back\s+)?to\s+(?:the\s+)?(?:yarn\s+(?:of\s+)?|colou?r\s+)?[a-z]+)(?:\s+(?:in|on|at)\s+(?:the\s+)?(?:last|final|first|next)\s+(?:st(?:itch)?|sc|dc|hdc|tr|htr|yo|yarn\s+over|step|loop)s?(?:\s+of\s+(?:the\s+)?(?:last|row|rnd|round)[a-z0-9 ]*)?)?|(?:join|attach)(?:ing)?\s+(?:new\s+)?(?:yarn|colou?r)?\s*(?:[a-z]\b|mc|cc)?(?=\s+(?:with|in|to)\s)|(?:drop|carry)(?:ing)?\s+(?:colou?r\s+|yarn\s+)?[a-z]{1,2}\b"),
    ("COLOUR", r"(?:still\s+|now\s+)?(?:with|using|in)\s+(?:colou?r\s+|yarn\s+|the\s+yarn\s+of\s+|main\s+|contrast(?:ing)?\s+)?(?:(?<=yarn of )[a-z]+|(?<!in )[b-h]|(?<!in )a(?=\s*[,;:.)]|\s+(?:\d|ch\b|sc\b|hdc\b|dc\b|tr\b|htr\b|sl\s+st\s+in|join|make|work|rep|still))|mc|cc\d?|colou?r(?:\s+[a-z])?|yarn)\b(?!\s*(?:st|sts|stitch))|\(colou?r\s+[a-z]+\)|with\s+rs\s+facing|rs\s+facing"),
    ("BELOW", r"(?:st|sc|dc|hdc|tr|htr)\s+below(?=\s+(?:the\s+)?(?:next|same))|(?:(?P<below>\d+|two|three|four)\s+)?(?:rows?|rnds?|rounds?)\s+below(?:\s+(?:the\s+)?(?:previous\s+(?:row|rnd|round)))?|in\s+(?:the\s+)?(?:row|rnd|round)\s+below"),
    ("LOOPS", r"(?:working\s+|work\s+)?(?:through|in(?:to)?|thru|using|only\s+behind|under)?\s*(?:the\s+)?(?:back|front|both|third|3rd|outer|inner)\s+(?:half[ -])?(?:loops?|lps?|bumps?|bars?)(?:\s+only)?(?:\s+of(?=\s+(?:each|next|the|every|all|last|first|same)))?(?:\s+throughout)?|(?:working\s+|work\s+)?(?:in\s+|through\s+|thru\s+)?(?:the\s+)?(?:blo|flo|bl\b|fl\b|blp|flp|tbl|back\s+bump)(?:\s+only)?(?:\s+of(?=\s+(?:each|next|the|every|all|last|first|same)))?|only\s+behind\s+the\s+back\s+half-loop\s+of"),
    ("EVENLY", r"evenly(?:\s+(?:spaced|distributed|apart))?"),
    ("INC", r"increas(?:e|ing)(?=\s+(?:\d+|[a-z]{3,6})\s+(?:(?:sts?|stitches|sc|dc|hdc|tr|htr)\s+)?evenly)"),
    ("DEC", r"decreas(?:e|ing)(?=\s+(?:\d+|[a-z]{3,6})\s+(?:(?:sts?|stitches|sc|dc|hdc|tr|htr)\s+)?evenly)"),
    ("ATEND", r"(?:at|by|on|after)\s+(?:the\s+)?(?:end\s+of\s+(?:the\s+)?)?(?:(?:last|final)\s+(?:row|rnd|round)|(?:row|rnd|round|r)\s*\d+)"),
    ("ENDS", r"(?:(?:at|on)\s+)?(?:each|both|either)\s+(?:ends?|sides?)(?:\s+of\s+(?:the\s+)?(?:row|work))?|(?:at\s+)?(?:the\s+)?beg(?:inning)?\s+and\s+(?:the\s+)?end(?:\s+of\s+(?:the\s+)?row)?"),
    ("ATSIDE", r"at\s+(?:the\s+)?(?:(?P<start>beg(?:inning)?|start)|end)(?:\s+of\s+(?:the\s+)?(?:row|rnd|round))?(?!\s*\d)"),
    ("MOVEMARK", r"rotate(?:\s+(?:the\s+)?(?:work|piece))?"),
    ("DIVIDED", r"(?:separated|divided|parted)\s+by"),
    ("CROSS", _CROSS),
    ("AROUNDPOST", r"a?round\s+(?:the\s+)?(?:(?P<side1>front|back)\s+(?:of\s+(?:the\s+)?)?(?:posts?|stems?)(?:\s+of)?(?=\s+(?:the|next|each|same|first|last|\d))|(?P<side2>front|back)\s+of(?=\s+(?:(?:the\s+)?(?:next|each|same|first|last)\b)))"),
    ("TCHN", r"(?:(?:beg(?:inning)?|starting|start|turning|turn|missed|skipped|turned)\s+|first\s+(?=ch-\d))(?:\d+[ -]?)?(?:skipped\s+)?ch(?:ain)?s?(?:[ -]\d+)?\b(?!\s*[- ]?(?:\d+[ -]*)?(?:sps?|spaces?|loops?|lps?|arch))|\bt[ -]?ch\b"),
    ("MR", r"(?:a\s+)?(?:magic|adjustable|sliding)\s+(?:ring|circle|loop)\b|\bmr\b"),
    ("CHSP", r"(?:(?P<cs1>\d+)(?:-?|(?=ch-))(?:ch|chain)[ .-]*|(?P<cs3>\d+) (?=ch[ ]sp\b)ch[ ]|(?:chain|ch)[ .]*-?\s*(?P<cs2>\d+)?[ .-]*\s*)(?:sps?|spaces?|loops?|lps?|arch(?:es)?)\b\.?|arch(?:es)?\s+(?:of|from)\s+(?:(?P<cs4>\d+)\s+)?ch\b"),
    ("CHN", r"(?:ch|chain)(?:\.?-\s?|\.?)(?P<chn>\d+)\b(?!\s*[(\[]\s*\d)"),
    ("SL", rf"(?:{SLIP_PATTERN})(?![a-z])"),
    ("ONCE", r"(?:(?P<o1>once|twice|thrice)\b(?:\s+(?P<o2>more|again))?|(?P<o3>one)\s+more\s+time|one\s+time\s+more)(?:\s+in\s+all)?"),
    ("XN", r"[x]\s*(?P<x1>\d+(?:/\d+)*)\b|(?P<x2>\d+)\s?x\b"),
    # "1st" and "2d", but "1 st" and "2st" are numbers of stitches and "1 d.c." is one
    ("ORD", rf"(?:(?P<ord>\d*(?<!1)1(?=st)|\d*(?<!1)[23](?=d)|\d+(?=\s?(?:nd|rd|th)))\s?(?:st|nd|rd|th|d(?!\.?\s?(?:c|tr)\b))\b\.?)|(?:{'|'.join(ORDINAL_WORDS)})\b"),
    ("TOTAL", r"(?:for\s+a\s+)?total\s*(?:of|:)?|in\s+all(?!\s+(?:\d|the\b))|in\s+total|(?:you\s+(?:should\s+)?(?:now\s+)?(?:will\s+)?have|there\s+(?:should|will|are)\s*(?:now\s+|be\s+)*|you\s+have\s+now|you\s+now\s+have|(?:this\s+)?(?:row|rnd|round)\s+(?:makes|has)|st\.?\s+count\s*:?)"),
    ("INCL", r"incl(?:uding|\.)?(?:\s+(?:the\s+)?(?:beg(?:inning)?|starting|turning|first))?\s+ch(?:[ -]\d+)?|not\s+including[^)]*"),
    ("SOFAR", r"(?:sts?\s+)?so\s+far"),
    ("MADE", r"made|increased|decreased|completed|complete|formed|counts?\s+throughout"),
    ("EVEN", r"(?:work|crochet)?\s*(?:even|straight)\b(?:\s+in\s+pat(?:t|tern)?)?"),
    ("TOGN", r"(?:[2-6]|two|three)\s?(?:sc|hdc|dc|tr|htr|dtr)\s?tog(?:ether)?\b"),
    ("SHAPE", r"(?<!\d)(?<!\d\s)(?P<sh>sc|hdc|dc|tr|htr)\s+(?P<sw>dec|inc)(?:reases?|s)?\b(?!\s*(?:in|over)?\s*(?:the\s+)?next\s+\d)"),
    ("N", ""),  # filled in per vocabulary
    ("STAR", r"\*+|†+|#(?!\d)|\+(?=\s*(?:ch|\d|sc|dc|tr|hdc|sk|miss|\())|(?<=from )\+|•"),
    ("LB", r"[(\[{<]"),
    ("RB", r"[)\]}>]"),
    ("BAR", r"\||(?<![\w])\"|\"(?!\s*[(\d]?\w*in)|(?<![\w'])'(?=[\w(*])|(?<=[\w)*.])'(?!\w)"),
    ("SEMI", r";"),
    ("COMMA", r","),
    ("PLUS", r"(?<=[a-z])-(?=\d+\s?(?:ch|tr|dc|sc|htr|hdc|dtr)(?![a-z]))"),
    ("DASH", r"—|--+|-(?!\w)|(?<!\w)-|~"),
    ("EQ", r"="),
    ("COLON", r":"),
    ("DOT", r"\.{1,3}|!|…"),
    ("SLASH", r"/"),
    ("PLUS", r"\+"),
    ("AND", r"&"),
    ("_", r"(?<=fsc)-(?=\d)|(?<=fdc)-(?=\d)|(?<=fhdc)-(?=\d)|(?<=ftr)-(?=\d)"),
    ("STITCH", rf"(?:{STITCH_PATTERN})(?![a-z])|(?:{NAMED_PATTERN})(?![a-z])"),
    ("WORD", r"[^\W\d_]+(?:[-'][^\W\d_]+)*"),
    ("ODD", r"."),
)  # fmt: skip


def _number(text: str) -> int:
    text = text.strip()
    if text.isdigit():
        return int(text)
    words = regex.split(r"[\s-]+", text)
    total = 0
    for word in words:
        if word == "hundred":
            total = max(total, 1) * 100
        elif word != "and":
            total += NUMBER_WORDS.get(word, 0)
    return total


def number_of(word: str) -> int | None:
    """The value of digits or of number words, or None."""
    word = word.strip().lower()
    if word.isdigit():
        return int(word[:9])
    if regex.fullmatch(_NUMBER_WORD, word):
        return _number(word)
    return None


_LIST = r"\s*[(\[]\s*(?:\d+|-)(?:\s*[,;/:-]\s*(?:\d+|-))*\s*[)\]]"
_NUM_TEXT = regex.compile(r"\d+|-")


class Lexer:
    """Cuts statements of one manuscript into tokens."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        self.vocabulary = vocabulary
        number = rf"\d+|{_NUMBER_WORD}"
        if vocabulary.sizes > 1:
            k = vocabulary.sizes
            word_list = rf"\s*\(\s*(?:{_NUMBER_WORD}|-)(?:\s*,\s*(?:{_NUMBER_WORD}|-))*\s*\)"
            dashed = rf"\d+(?:\s?[-/]\s?\d+){{{k - 1}}}(?!\d)"
            alternated = rf"\d+(?:\s*\(\s*\d+\s*\)\s*\d+){{{max(1, (k - 1) // 2)},}}(?:\s*\(\s*\d+\s*\))?"
            bare_closed = rf"[(\[]\s*\d+(?:\s*[,/]\s*\d+){{{k - 1}}}\s*[)\]](?=\s*[a-z])"
            mixed = rf"\d+\s*\(\s*\d+(?:-\d+){{{k - 2}}}\s*\)" if k > 2 else "(?!)"
            inside = rf"(?<=[(\[])\d+(?:\s*,\s*\d+){{{k - 1}}}(?=\s*[a-z])"
            number = rf"{inside}|{bare_closed}|{alternated}|\d+,?(?:{_LIST})+|{mixed}|{dashed}|(?:{_NUMBER_WORD})(?:{word_list})|{number}"
        self._own: Mapping[str, Stitch] = {" ".join(words.split()): stitch for words, stitch in vocabulary.stitches}
        own_words = "|".join(
            r"\s+".join(re.escape(w) for w in words.split()) for words in sorted(self._own, key=len, reverse=True)
        )
        # The manuscript's own words are found first; the master pattern, the same for every manuscript with as many
        # sizes, reads what lies between them.
        self._own_words = re.compile(rf"(?<![a-z])(?:{own_words})(?:s|es)?(?![a-z0-9])") if own_words else None
        self._master = _master(number, vocabulary.sizes)

    def tokens(self, folded: str, source: str | None = None) -> tuple[Token, ...]:
        """The tokens of a statement. ``source`` tells capitals, which decide whether a stop ends a sentence."""
        source = folded if source is None else source
        out: list[Token] = []
        at = 0
        if self._own_words is not None:
            for found in self._own_words.finditer(folded):
                self._between(folded, source, at, found.start(), out)
                word = " ".join(found.group().split())
                own = self._own
                out.append(Token("STITCH", found.start(), found.end(), own.get(word) or own.get(word[:-1]) or own.get(word[:-2])))
                at = found.end()
        self._between(folded, source, at, len(folded), out)
        return tuple(out)

    def _between(self, folded: str, source: str, start_at: int, stop: int, out: list[Token]) -> None:
        """The tokens of a stretch without words of the manuscript's own."""
        for match in self._master.finditer(folded, start_at, stop):
            # The outer group closes last, so it is the one that names the token, whatever groups it holds.
            start, end = match.span()
            kind = _KIND[match.lastgroup or ""]
            make = _MAKERS.get(kind)
            if make is None:
                out.append(Token(kind, start, end))
                continue
            token = make(self, match, start, end, folded, source)
            out.append(token)
            if token.end < end:
                out.append(Token("DOT", token.end, end))


@lru_cache(maxsize=16)
def _master(number: str, sizes: int) -> regex.Pattern[str]:
    """The one pattern of all tokens, for one way of writing numbers in so many sizes."""
    parts: list[str] = []
    for index, (kind, pattern) in enumerate(_PATTERNS):
        body = number if kind == "N" else rf"{_times_in(sizes)}|{pattern}" if kind == "XN" and sizes > 1 else pattern
        if kind in _WORDY:
            body = rf"(?<![a-z])(?:{body})(?![a-z])"
        parts.append(f"(?P<T{index}>{body})")
    return regex.compile("|".join(parts))


def _times_in(sizes: int) -> str:
    """“x 5 (6, 7)”: a number of times for each size.

    In two sizes, “x 6 (12)” may as well be a repeat and its count; it is a list where a list for both sizes follows.
    """
    times = rf"[x]\s*(?P<xs>\d+\s?[(\[]\s*\d+(?:\s*,\s*\d+){{{sizes - 2}}}\s*[)\]])"
    return times if sizes > 2 else rf"{times}(?=.{{0,300}}\d\s?[(\[]\s*\d+\s*[)\]])"


_WORDY = {
    "EVENLY", "INC", "DEC", "ENDS", "ATSIDE", "ATEND", "DIVIDED", "TOGN", "SHAPE", "PUSHED", "FORROWS", "PLACEWORD", "NOTCOUNT", "COUNTS", "THROUGHOUT", "LASTREP", "ENDWITH", "SCOPE", "TOLAST", "FROMHOOK", "OTHERSIDE", "NOTURN", "NOJOIN", "OFF", "MOVEMARK",
    "CHANGE", "BELOW", "LOOPS", "CROSS", "AROUNDPOST", "TCHN", "MR", "CHSP", "CHN", "SL", "ONCE", "XN", "TOTAL", "INCL", "SOFAR", "MADE", "EVEN", "STITCH", "WORD",
}  # fmt: skip
_KIND = {f"T{index}": kind for index, (kind, _) in enumerate(_PATTERNS)}


def _word(lexer: Lexer, m: regex.Match[str], start: int, end: int, folded: str, source: str) -> Token:
    word = m.group()
    if (len(word) == 1 and source[start].isupper()) or word in ("mc", "cc"):
        return Token("COLOURLETTER", start, end, word)
    kind = _WORDS.get(word)
    if kind is None and word in _FILLER:
        return Token("_", start, end)
    return Token(kind or "WORD", start, end, word)


def _stitch(lexer: Lexer, m: regex.Match[str], start: int, end: int, folded: str, source: str) -> Token:
    word = m.group()
    stitch = read_stitch(word.rstrip("."), lexer.vocabulary.terms) or read_stitch(word, lexer.vocabulary.terms)
    if stitch is None:
        return Token("WORD", start, end, word)
    # A stop swallowed with the abbreviation ends a sentence unless the sentence plainly goes on.
    if word.endswith("."):
        rest = source[end:].lstrip()
        if not rest or not (rest[0].islower() or rest[0] in ",;-)"):
            return Token("STITCH", start, end - 1, stitch)
    return Token("STITCH", start, end, stitch)


def _num(lexer: Lexer, m: regex.Match[str], start: int, end: int, folded: str, source: str) -> Token:
    text = m.group()
    k = lexer.vocabulary.sizes
    if text.isdigit():
        return Token("N", start, end, (min(int(text[:9]), 10**8),))
    found = _NUM_TEXT.findall(text)
    if k > 1 and not found:
        parts = [p for p in regex.split(r"[(),]", text) if p.strip()]
        values: Num = tuple(None if p.strip() == "-" else _number(p) for p in parts)
        return Token("N" if len(values) in (1, k) else "NBAD", start, end, values)
    if k > 1:
        dashed = not any(c in text for c in "([")
        if dashed or ("(" in text and "-" in text and "," not in text):
            found = regex.findall(r"\d+", text)
        values = tuple(None if f == "-" else int(f[:9]) for f in found)
        malformed = ("(" in text or "[" in text) and "," in text.split("(")[0].split("[")[0]
        return Token("N" if len(values) == k and not malformed else "NBAD", start, end, values)
    return Token("N", start, end, (_number(text),))


def _ord(lexer: Lexer, m: regex.Match[str], start: int, end: int, folded: str, source: str) -> Token:
    if m["ord"]:
        n = int(m["ord"][:6])
        return Token("FIRST" if n == 1 else "ORD", start, end, n)
    return Token("ORD", start, end, ORDINAL_WORDS[m.group()])


_CHAIN_BEFORE = regex.compile(r"(?:^|[,;*(\[.:]|turn|with [a-z],)\s*(?:ch|sk|miss)$")


def _dot(lexer: Lexer, m: regex.Match[str], start: int, end: int, folded: str, source: str) -> Token:
    # "ch. 3", "2nd ch. from hook": a stop glued to a word, with more of the sentence after it, ends nothing.
    rest = source[end:].lstrip()
    glued = start > 0 and not source[start - 1].isspace()
    if glued and rest[:1].isdigit() and _CHAIN_BEFORE.search(folded, max(0, start - 12), start):
        return Token("_", start, end)
    if glued and rest and end - start == 1 and (rest[0].islower() or rest[0] in ",;-)") and source[start - 1] not in ")]":
        return Token("_", start, end)
    return Token("DOT", start, end)


def _chsp(lexer: Lexer, m: regex.Match[str], start: int, end: int, folded: str, source: str) -> Token:
    size = m["cs1"] or m["cs2"] or m["cs3"] or m["cs4"]
    if m.group().endswith("."):
        rest = source[end:].lstrip()
        if not rest or not (rest[0].islower() or rest[0] in ",;-)"):
            end -= 1
    return Token("CHSP", start, end, int(size[:6]) if size else None)


def _once(lexer: Lexer, m: regex.Match[str], start: int, end: int, folded: str, source: str) -> Token:
    n = {"once": 1, "twice": 2, "thrice": 3}.get(m["o1"] or "", 1)
    more = bool(m["o2"] or m["o3"]) or "more" in m.group()
    return Token("ONCE", start, end, (n, more))


def _recall(lexer: Lexer, m: regex.Match[str], start: int, end: int, folded: str, source: str) -> Token:
    first = m["m1"] or m["m2"] or m["m3"] or "[]"
    to = m["m5"] or m["m4"] or (first if m["m2"] else None)
    return Token("RECALL", start, end, (first, to))


def _chn(lexer: Lexer, m: regex.Match[str], start: int, end: int, folded: str, source: str) -> Token:
    return Token("CHN", start, end, (int(m["chn"][:6]),))


def _togn(lexer: Lexer, m: regex.Match[str], start: int, end: int, folded: str, source: str) -> Token:
    word = regex.fullmatch(r"(\w+?)\s?(sc|hdc|dc|tr|htr|dtr)\s?tog(?:ether)?", m.group())
    if word is None:
        return Token("WORD", start, end, m.group())
    return Token("STITCH", start, end, read_stitch(f"{word[2]}{_number(word[1])}tog", lexer.vocabulary.terms))


def _shape(lexer: Lexer, m: regex.Match[str], start: int, end: int, folded: str, source: str) -> Token:
    base = read_stitch(m["sh"], lexer.vocabulary.terms)
    kind = base.kind if base is not None else "sc"
    if m["sw"] == "inc":
        return Token("INC", start, end, Stitch(kind, 1, 2))
    return Token("DEC", start, end, Stitch(f"{kind}2tog", 2, 1))


def _slip(lexer: Lexer, m: regex.Match[str], start: int, end: int, folded: str, source: str) -> Token:
    token = _stitch(lexer, m, start, end, folded, source)
    return Token("SL", token.start, token.end, Stitch("sl st"))


def _xn(lexer: Lexer, m: regex.Match[str], start: int, end: int, folded: str, source: str) -> Token:
    if lexer.vocabulary.sizes > 1 and m["xs"]:
        return Token("XN", start, end, tuple(int(n[:6]) for n in regex.findall(r"\d+", m["xs"])))
    values = tuple(int(n[:6]) for n in (m["x1"] or m["x2"]).split("/"))
    return Token("XN", start, end, values if len(values) in (1, lexer.vocabulary.sizes) else values[:1])


def _below(lexer: Lexer, m: regex.Match[str], start: int, end: int, folded: str, source: str) -> Token:
    return Token("BELOW", start, end, number_of(m["below"]) if m["below"] else 1)


def _tchn(lexer: Lexer, m: regex.Match[str], start: int, end: int, folded: str, source: str) -> Token:
    digits = regex.findall(r"\d+", m.group())
    return Token("TCHN", start, end, int(digits[-1][:6]) if digits else None)


def _forrows(lexer: Lexer, m: regex.Match[str], start: int, end: int, folded: str, source: str) -> Token:
    return Token("FORROWS", start, end, number_of(m["rows"]))


def _atside(lexer: Lexer, m: regex.Match[str], start: int, end: int, folded: str, source: str) -> Token:
    return Token("FIRST" if m["start"] else "LAST", start, end, m.group())


def _cross(lexer: Lexer, m: regex.Match[str], start: int, end: int, folded: str, source: str) -> Token:
    return Token("CROSS", start, end, ("F" if m["fb"] == "front" else "B", "seen from" in " ".join(m.group().split())))


def _around_post(lexer: Lexer, m: regex.Match[str], start: int, end: int, folded: str, source: str) -> Token:
    return Token("AROUNDPOST", start, end, (m["side1"] or m["side2"])[0].upper())


def _text(kind: str) -> Callable[[Lexer, regex.Match[str], int, int, str, str], Token]:
    def make(lexer: Lexer, m: regex.Match[str], start: int, end: int, folded: str, source: str) -> Token:
        return Token(kind, start, end, m.group())

    return make


_MAKERS: dict[str, Callable[[Lexer, regex.Match[str], int, int, str, str], Token]] = {
    "WORD": _word, "STITCH": _stitch, "N": _num, "ORD": _ord, "DOT": _dot, "CHSP": _chsp, "ONCE": _once, "RECALL": _recall,
    "CHN": _chn, "SL": _slip, "TOGN": _togn, "SHAPE": _shape, "XN": _xn, "BELOW": _below, "TCHN": _tchn, "CROSS": _cross, "AROUNDPOST": _around_post, "ATSIDE": _atside, "FORROWS": _forrows, "COLOUR": _text("COLOUR"), "STAR": _text("STAR"), "LB": _text("LB"), "RB": _text("RB"),
    "BAR": _text("BAR"), "LASTREP": _text("LASTREP"), "OFF": _text("OFF"), "CHANGE": _text("CHANGE"), "MADE": _text("MADE"), "LOOPS": _text("LOOPS"), "INCL": _text("INCL"),
}  # fmt: skip


@lru_cache(maxsize=64)
def lexer_for(vocabulary: Vocabulary) -> Lexer:
    """The lexer of a vocabulary, built once."""
    return Lexer(vocabulary)


def joined(tokens: Iterable[Token], text: str) -> str:
    """The text the tokens cover, put together again."""
    return "".join(text[t.start : t.end] for t in tokens)
