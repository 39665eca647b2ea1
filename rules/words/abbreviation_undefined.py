"""Stitches the rows use and the key does not explain; only where there is a key."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache

from ...lint import regex
from ...lint.finding import Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.text import Span
from ...lint.trade.abbreviations import folded
from ...lint.trade.terms import tells
from ...lint.vocabulary_use import (
    Use,
    explained,
    in_rows,
    key_entries,
    key_sections,
    one_slip_apart,
    row_name,
    unknown_words,
    uses,
    uses_in_recipes,
)

_ENTRIES = 4
"""A key shorter than this is taken for a list of the unusual."""
_PARTIAL = regex.compile(
    r"standard abbreviations|see (?:the )?(?:inside|website|page|p\.|back|our)|(?:all|other)s? (?:are )?standard|only the|www\."
)
_BASIC = frozenset(["sc", "hdc", "dc", "tr", "htr", "dtr", "trtr", "ttr", "ss", "slst"])
_NAMED = regex.compile(
    r"(?:beg(?:inning)?)?(?:shell|v-?st(?:itch)?|popcorn|puff|bobble|cluster|picot|pop|pc|ps|bob|cl)(?:st(?:itch)?)?(?:e?s)?"
)
_STITCH = regex.compile(
    r"(?P<pre>fp|bp|r|f|e|ex)?(?P<base>sc|hdc|dc|tr|htr|dtr|trtr|ttr|qtr|trc)s?(?P<tog>\d+tog)?(?P<post>fp|bp|f|b)?(?:blo|flo)?"
)
# A cable by its letters and number: C4F, T2B.
_CABLE = regex.compile(r"(?<![\w'-])(?:[ct]\d{1,2}[fbrl]|\d{1,2}-?(?:st )?[fb]c)(?![\w'-])")
_LOOP = regex.compile(r"(?:blo|flo)$")
_GLUED = regex.compile(r"(?<![a-z\d])[a-z]{2,4}\d$")
_CONSONANTS = regex.compile(r"[b-df-hj-np-tv-z]+")
_STITCH_NAME = regex.compile(r"[a-z]{3,}-(?:stitch(?:es)?|sts?)")
_NOT_NAMES = regex.compile(
    r"(?:slip|chain|turning|post|front|back|single|double|treble|edge|side|corner|cent(?:er|re)|next|last|first|end|one|two|three|four|five|six|top|half|foundation|base|multi|non|unworked|skipped|cable)-"
)


def _plain(word: str) -> str:
    return regex.sub(r"'s$", "", folded(word).lower())


def _compounded(subject: Subject, word: str) -> bool:
    """Whether the parts of a stitch are in the key: FP and dc for FPdc, tog and sc for sc2tog."""
    match = _STITCH.fullmatch(word)
    if match is None or not explained(subject, match["base"]):
        return False
    parts = [p for p in (match["pre"], match["post"]) if p]
    if match["tog"]:
        parts.append("tog")
    return bool(parts) and all(explained(subject, p) for p in parts)


def _relative(subject: Subject, word: str) -> bool:
    """Whether the key explains a stitch of the same family: dc2tog beside dc3tog."""
    match = regex.fullmatch(r"(.*?)\d(tog)", word)
    return match is not None and any(explained(subject, f"{match[1]}{k}tog") for k in range(2, 9))


@lru_cache(maxsize=2048)
def _bare(word: str) -> str:
    """A printed stitch without what is said beside it: "2dc" without its number, "scblo" without the loop."""
    plain = regex.sub(r"^\d+", "", _plain(word))
    plain = regex.sub(r"^(?:beg(?:inning)?)", "", plain)
    plain = regex.sub(r"(?:blo|flo)$", "", plain)
    match = _STITCH.fullmatch(plain)
    if match and plain.endswith("s") and match["base"]:
        plain = plain[:-1]
    return plain


def _undefined(subject: Subject) -> Iterator[Finding]:
    """Stitch abbreviations and named stitches that stand nowhere with their meaning."""
    entries = key_entries(subject)
    words = {_plain(w) for e in entries for w in e.words}
    body = " ".join(subject.layout.folded[s.body.start : s.body.end] for s in key_sections(subject))
    if len(entries) < _ENTRIES or _PARTIAL.search(body):
        return
    said: set[str] = set()
    basics = len(words & (_BASIC | {"ch"}))
    for use in (*uses(subject), *uses_in_recipes(subject)):
        if use.type not in ("STITCH", "SL", "GROUPNAME", "LOOPS"):
            continue
        if use.type == "STITCH" and (loop := _LOOP.search(use.word)) and loop.group() not in said:
            said.add(loop.group())
            if not explained(subject, loop.group()) and not explained(subject, loop.group()[:2]):
                yield _missing(use, subject.text[Span(use.span.end - 3, use.span.end)])
        word = _bare(use.word)
        if word in said:
            continue
        if use.type == "LOOPS":
            if word not in ("blo", "flo"):
                continue
        elif use.type == "SL":
            if (
                word not in ("slst", "ss", "slsts")
                or basics < 2
                or any(explained(subject, w) for w in ("sl st", "ss", "slip st"))
            ):
                continue
        elif _NAMED.fullmatch(word):
            if use.statement.label is None:
                continue  # a recipe speaks of its own stitch
        elif _STITCH.fullmatch(word):
            if word in _BASIC and basics < 2:
                continue
        else:
            continue
        said.add(word)
        if _foreign(subject, word):
            continue  # terms-mixed asks about it
        bare = regex.sub(r"(?:st(?:itch)?|e?s)$", "", word)
        if (
            explained(subject, word)
            or explained(subject, use.word)
            or (_NAMED.fullmatch(word) and explained(subject, bare))
            or _compounded(subject, word)
        ):
            continue
        relative = _relative(subject, word)
        near = "" if word in _BASIC or relative else _near(words, word)
        yield Finding(
            RULE.name,
            Severity.SUGGESTION if relative else Severity.QUERY,
            f'"{use.printed}" is used here and stands neither in the key nor among the special stitches.'
            + (f" Did you mean {near}, or is an entry missing?" if near else " Should it be added?"),
            use.span,
            place=use.row,
        )


def _missing(use: Use, printed: str) -> Finding:
    return Finding(
        RULE.name,
        Severity.QUERY,
        f'"{printed}" is used here and stands neither in the key nor among the special stitches. Should it be added?',
        use.span,
        place=use.row,
    )


def _foreign(subject: Subject, word: str) -> bool:
    """Whether a stitch belongs to the other system of terms than the manuscript's."""
    told = tells(regex.sub(r"^(?:fp|bp)|\d+tog$", "", word))
    return (
        told is not None
        and told[1] == "strong"
        and subject.pattern.terms is not None
        and told[0] != subject.pattern.terms
    )


def _near(words: set[str], word: str) -> str:
    close = [
        w for w in words if len(w) >= 4 and len(word) >= 4 and one_slip_apart(w, word) and sorted(w) == sorted(word)
    ]
    return close[0] if len(close) == 1 else ""


def _unknown(subject: Subject) -> Iterator[Finding]:
    """Words nobody knows: one slip from an entry of the key, or a stitch by name."""
    printed = {_plain(w): w for e in subject.layout.key for w in e.words if " " not in w.strip()}
    has_key = bool(key_sections(subject)) and bool(key_entries(subject))
    if not has_key and not any(e.special for e in subject.layout.key):
        return
    source = subject.layout.folded
    for word, where in unknown_words(subject).items():
        use = _whole(subject, where[0])
        plain = _plain(use.word)
        close = [p for w, p in printed.items() if _abbreviation(w, p) and one_slip_apart(w, plain) and _long_enough(w, plain)]
        if (
            len(close) == 1
            and len(where) <= 2
            and len(plain) <= 8
            and plain not in printed
            and not _is_english(use)
        ):
            yield Finding(
                RULE.name,
                Severity.QUERY,
                f'"{use.printed}" is not in the key. Did you mean {close[0]}?',
                use.span,
                place=use.row,
            )
        elif (
            has_key
            and _STITCH_NAME.fullmatch(word)
            and not _NOT_NAMES.match(word)
            and not explained(subject, word)
            and not _elsewhere(subject, word, use)
        ):
            yield Finding(
                RULE.name,
                Severity.QUERY,
                f'"{use.printed}" is named here and nothing says how it is worked. Should it be explained under special stitches?',
                use.span,
                place=use.row,
            )
    if not has_key:
        return
    said: set[str] = set()
    for statement, span in in_rows(subject, _CABLE):
        word = source[span.start : span.end]
        if word in said or explained(subject, word):
            continue
        said.add(word)
        yield Finding(
            RULE.name,
            Severity.QUERY,
            f'"{subject.text[span]}" is named here and stands neither in the key nor among the special stitches. Should it be explained?',
            span,
            place=row_name(statement),
        )


def _whole(subject: Subject, use: Use) -> Use:
    """An unknown word with the stitch and figure it is glued to: "hdc2tgo"."""
    before = _GLUED.search(subject.layout.folded, max(0, use.span.start - 8), use.span.start)
    if before is None:
        return use
    span = Span(before.start(), use.span.end)
    return use._replace(word=before.group() + use.word, printed=subject.text[span], span=span)


def _long_enough(entry: str, word: str) -> bool:
    """Whether a slip between the two is one of the keys: among longer words, changed about, or where no vowel makes a word."""
    if len(word) >= 4 and len(entry) >= 4:
        return True
    if len(word) < 3:
        return False
    return (sorted(entry) == sorted(word) and len(entry) >= 3) or (len(entry) >= 2 and _CONSONANTS.fullmatch(word) is not None)


def _abbreviation(word: str, printed: str) -> bool:
    """Whether an entry is an abbreviation, not a name written out: few vowels, a figure or capitals."""
    return len(word) <= 7 and (
        not regex.search(r"[aeiou]", word)
        or any(c.isdigit() for c in word)
        or printed.isupper()
        or printed[1:].lower() != printed[1:]
    )


def _is_english(use: Use) -> bool:
    """Whether the word reads as an ordinary one: all in small letters and a vowel in it."""
    return use.printed.isalpha() and use.printed.islower() and regex.search(r"[aeiouy]", use.printed) is not None


def _elsewhere(subject: Subject, word: str, use: Use) -> bool:
    """Whether the name is spoken of before the row, without its hyphen or in the singular."""
    parts = regex.sub(r"(?:es|s)$", "", word).split("-")
    return re.compile(rf"{parts[0]}[ -]?{parts[1][:2]}").search(subject.layout.folded, 0, use.span.start) is not None


def check(subject: Subject) -> Iterator[Finding]:
    if subject.pattern.antique:
        return
    yield from _undefined(subject)
    yield from _unknown(subject)


_KEY = "US terms.\nAbbreviations: ch = chain; RS = right side; sc = single crochet; st(s) = stitch(es).\n\nSquare\nCh 11.\nRow 1 (RS): Sc in 2nd ch from hook and in each ch across, turn. (10 sc)\n"

RULE = Rule(
    name="abbreviation-undefined",
    severity=Severity.QUERY,
    title="An abbreviation the key leaves out",
    why=(
        "A key promises the maker that every abbreviation is in it. A stitch that is used in a row and is neither in the key nor explained among the special stitches, in the notes or "
        "in the row itself sends the maker elsewhere. Where a word is one slip of the keys away from an entry, that entry is probably meant. Without a key nothing is said."
    ),
    looks_like=_KEY + "Row 2: Ch 1, sc2tog, sc in next 6 sts, sc2tog, turn. (8 sts)\n",
    better=_KEY.replace("sc = single crochet;", "sc = single crochet; sc2tog = single crochet 2 sts together;")
    + "Row 2: Ch 1, sc2tog, sc in next 6 sts, sc2tog, turn. (8 sts)\n",
    let_stand="The publisher prints the full key elsewhere, or the stitch is drawn in a chart beside the text.",
    check=check,
    source="lint/trade/abbreviations.toml for the spellings that fold together.",
)
