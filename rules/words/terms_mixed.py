"""US and UK terms in one manuscript, and manuscripts that do not say which they use."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from ...lint import regex
from ...lint.finding import Because, Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.syntax.layout import KeyEntry
from ...lint.text import Span
from ...lint.trade.abbreviations import folded
from ...lint.vocabulary_use import Use, key_entries, uses

_OTHER = {"US": "UK", "UK": "US"}
_STRONG = {
    "US": regex.compile(r"(?:fp|bp|ex?|f|beg)?(?:sc|hdc|singlecrochet|halfdouble)"),
    "UK": regex.compile(r"(?:fp|bp|ex?|f|beg|r)?(?:htr|halftreble)"),
}
_SAYS = regex.compile(
    r"(?<![A-Za-z])(?:U\.?S\.?A?\.?|U\.?K\.?)(?![A-Za-z])[^.\n]{0,25}?(?i:term|abbr|name|stitch|crochet|english|version|notation)"
    r"|(?i:term|abbr|name|stitch|written|crochet)[^.\n]{0,25}?(?<![A-Za-z])(?:U\.?S\.?|U\.?K\.?)(?![A-Za-z])|(?i:american|british|australian|canadian|\bu[sk] term)"
)
_COUNTS = regex.compile(
    r"(?:ch[ -]?(?P<a>[34])|(?P<b>[34])[ ]?ch)\b\s*\(?,?\s*(?:counts?|counting) as (?:a |an |the |1 ?|one |first )?(?P<stitch>dc|tr)\b(?!\s*(?:,|and|\+|plus|&)\s*(?:\d|a|one|ch))"
)
_HEIGHT = regex.compile(
    r"(?:ch[ -]?(?P<a>[1-4])\b|(?<!\d)(?P<b>[1-4])[ ]?ch\b)(?![ -]?sp)[^.;*\n]{0,40}?(?<![a-z])(?P<stitch>dc|tr)(?![a-z\d])"
)


@dataclass(frozen=True, slots=True)
class _Sign:
    terms: str
    use: Use


@lru_cache(maxsize=2048)
def _terms_of(word: str) -> str | None:
    """The only terms that have a stitch, or None."""
    plain = folded(word).lower()
    return next((terms for terms, pattern in _STRONG.items() if pattern.match(plain)), None)


def _signs(subject: Subject) -> list[_Sign]:
    """Stitches of the rows that only one of the two systems has, leaving out what the key gives a meaning of its own."""
    own = {folded(w).lower(): e.meaning.lower() for e in subject.layout.key for w in e.words}
    source = subject.layout.folded
    found: list[_Sign] = []
    for use in uses(subject):
        if use.type != "STITCH":
            continue
        terms = _terms_of(use.word)
        if terms is None:
            continue
        before = source[max(0, use.span.start - 12) : use.span.start]
        if regex.search(r"(?:/|\bus:?|\buk:?|=)\s*\d*\s*$", before) or source[use.span.end : use.span.end + 1] == "/":
            continue
        if use.printed.isupper() and regex.search(r"(?:with|using|in|to|colou?r|yarn)\s*$", before):
            continue  # a colour's letters
        word = folded(use.word).lower()
        base = "sc" if word.endswith("sc") or "single" in word else "htr" if terms == "UK" else "hdc"
        meaning = own.get(base, "")
        if terms == "UK" and meaning and "hdc" in own:
            continue  # an American key that gives htr a meaning beside hdc
        if terms == "US" and base == "sc" and meaning and "single" not in meaning:
            continue  # sc for slip stitch, as older British texts have it
        found.append(_Sign(terms, use))
    return found


def _mixed(subject: Subject, signs: list[_Sign]) -> Iterator[Finding]:
    declared = subject.pattern.terms if subject.pattern.terms_declared else None
    entry: KeyEntry | None = None
    numbers = {terms: sum(s.terms == terms for s in signs) for terms in ("US", "UK")}
    if declared:
        system = declared
    elif numbers["US"] and numbers["UK"] and numbers["US"] != numbers["UK"]:
        system = "US" if numbers["US"] > numbers["UK"] else "UK"
    elif numbers["US"] and numbers["UK"]:
        system = signs[0].terms
    elif subject.pattern.terms and (entry := _in_key(subject, subject.pattern.terms)):
        system = subject.pattern.terms
    else:
        return
    strange = [s.use for s in signs if s.terms == _OTHER[system]]
    if not strange:
        return
    if declared and subject.pattern.terms_declared:
        because = (Because(subject.pattern.terms_declared, f"{declared} terms are declared here"),)
        why = f"the manuscript declares {declared} terms"
    elif entry is not None:
        because = (Because(entry.words_span, f'"{entry.words[0]}", which only {system} terms have'),)
        why = f'the key has "{entry.words[0]}", which only {system} terms have'
    else:
        first = next(s.use for s in signs if s.terms == system)
        because = (Because(first.span, f'"{first.printed}", which only {system} terms have'),)
        why = f'"{first.printed}" is used as well, which only {system} terms have'
    by_row: dict[str, list[Use]] = {}
    for use in strange:
        by_row.setdefault(use.row or str(use.span.start), []).append(use)
    rows = list(by_row.values())
    shown = rows if len(rows) <= 3 else rows[:1]
    for row in shown:
        use = row[0]
        more = f" It is so in {len(rows) - 1} more rows." if len(rows) > len(shown) else ""
        yield Finding(
            RULE.name,
            Severity.QUERY,
            f'"{use.printed}" is a stitch of {_OTHER[system]} terms, and {why}. Which stitch is meant?{more}',
            use.span,
            place=use.row,
            because=because,
        )


def _in_key(subject: Subject, terms: str) -> KeyEntry | None:
    """The entry of the key that only these terms have."""
    return next((e for e in key_entries(subject) if any(_STRONG[terms].fullmatch(folded(w).lower()) for w in e.words)), None)


def _height_against(subject: Subject) -> Iterator[Finding]:
    """A declaration that every turning chain speaks against: 3 chains for a dc in UK terms, for a tr in US terms."""
    declared, span = subject.pattern.terms, subject.pattern.terms_declared
    if span is None or declared not in ("US", "UK"):
        return
    odd, plain = ("dc", "tr") if declared == "UK" else ("tr", "dc")
    if "count" not in subject.layout.folded:
        return
    found = [m for m in _COUNTS.finditer(subject.layout.folded) if (m["a"] or m["b"]) == "3"]
    strange = [m for m in found if m["stitch"] == odd]
    if strange and not any(m["stitch"] == plain for m in found):
        at = Span(strange[0].start(), strange[0].end())
        chains = "1 chain" if declared == "UK" else "4 chains"
        yield Finding(
            RULE.name,
            Severity.QUERY,
            f"{declared} terms are declared, in which a {odd} stands {chains} tall; here 3 chains count as one, the height of {_OTHER[declared]} terms. Which terms are these?",
            at,
            because=(Because(span, f"{declared} terms are declared here"),),
        )


def _unstated(subject: Subject) -> Iterator[Finding]:
    pattern = subject.pattern
    if pattern.terms_declared is not None or pattern.antique or _SAYS.search(subject.text.source):
        return
    if any(
        _STRONG[t].fullmatch(folded(w).lower()) for e in key_entries(subject) for w in e.words for t in ("US", "UK")
    ):
        return
    open_words = [
        u
        for u in uses(subject)
        if u.type == "STITCH" and regex.fullmatch(r"(?:fp|bp)?(?:dc|tr|dtr)(?:\d+tog)?s?\.?", folded(u.word).lower())
    ]
    if not open_words:
        return
    first = open_words[0]
    height = _HEIGHT.search(subject.layout.folded)
    evidence = ""
    if height:
        chains, stitch = int(height["a"] or height["b"]), height["stitch"]
        system = {("dc", 3): "US", ("dc", 1): "UK", ("tr", 3): "UK", ("tr", 4): "US"}.get((stitch, chains))
        if system:
            evidence = f" {chains} chain{'s' if chains > 1 else ''} before {stitch} {'are' if chains > 1 else 'is'} the height of {system} terms."
    line = subject.text.line_span(1)
    yield Finding(
        RULE.name,
        Severity.SUGGESTION,
        f'Nothing says whether these are US or UK terms, and "{first.printed}" is in both.{evidence} A statement of terms at the top would settle it.',
        line,
        because=(Because(first.span, f'"{first.printed}" is a different stitch in US and UK terms'),),
    )


def _of_the_house(subject: Subject) -> Iterator[Finding]:
    """Terms that are not those the house prints in."""
    pattern, expected = subject.pattern, subject.style.terms
    if expected is None or pattern.terms is None or pattern.terms == expected:
        return
    declared = pattern.terms_declared
    span = declared or subject.text.line_span(1)
    told = "declared here" if declared else f"told by this: {pattern.terms_because}"
    yield Finding(
        RULE.name,
        Severity.STYLE,
        f"These are {pattern.terms} terms, {told}; the house style is {expected} terms.",
        span,
    )


def check(subject: Subject) -> Iterator[Finding]:
    yield from _of_the_house(subject)
    declared = subject.pattern.terms if subject.pattern.terms_declared else None
    seen = {terms for use in uses(subject) if use.type == "STITCH" and (terms := _terms_of(use.word))}
    told = declared or subject.pattern.terms
    if seen and (len(seen) == 2 or (told is not None and told not in seen)):
        yield from _mixed(subject, _signs(subject))
    yield from _height_against(subject)
    if not seen:
        yield from _unstated(subject)


RULE = Rule(
    name="terms-mixed",
    severity=Severity.QUERY,
    title="US and UK terms in one manuscript",
    why=(
        "dc and tr are different stitches in US and UK terms, so a maker has to know which are meant. sc and hdc occur only in US terms and htr only in UK terms; "
        "a row that uses one of them against the declaration, or against the rest of the rows, leaves the maker guessing. Words such as miss, colour or tension prove nothing."
    ),
    looks_like="UK terms.\n14ch.\nRow 1: 1htr in 3rd ch from hook, 1htr in each ch to end, turn. (12htr)\nRow 2: 1ch, 1sc in each htr to end, turn. (12sc)\n",
    better="UK terms.\n14ch.\nRow 1: 1htr in 3rd ch from hook, 1htr in each ch to end, turn. (12htr)\nRow 2: 1ch, 1dc in each htr to end, turn. (12dc)\n",
    let_stand="The manuscript gives both terms side by side, or an older text uses sc for slip stitch without saying so.",
    check=check,
    source="lint/trade/terms.toml: which stitch names belong to one system only, and the height of each stitch in chains.",
)
