"""Entries of the key that nothing in the manuscript uses."""

from __future__ import annotations

import re
from collections.abc import Iterator

from ...lint import regex
from ...lint.finding import Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.syntax.layout import KeyEntry
from ...lint.trade.abbreviations import folded, lookup
from ...lint.vocabulary_use import key_entries, spelling

_ENTRIES = 4


def _used(subject: Subject, entry: KeyEntry, word: str) -> bool:
    source = subject.layout.folded
    plain = folded(word).lower()
    patterns = [spelling(word)]
    if len(plain) == 1:
        patterns = [re.compile(rf"(?<![a-z]){re.escape(plain)}(?![a-z])")]
    elif plain in ("sc", "hdc", "dc", "tr", "htr", "dtr"):
        patterns.append(
            re.compile(
                rf"(?<![a-z])(?:fp|bp|r|e|ex|f|beg|rev|inv){plain}|{plain}(?:blo|flo|fp|bp|f|b|tbl|bl|fl)(?![a-z])"
            )
        )
    elif plain in ("fp", "bp", "blo", "flo", "tog", "bl", "fl"):
        patterns.append(re.compile(plain))
    own = entry.span
    return any(m.start() not in own for p in patterns for m in p.finditer(source))


def _stands_for(word: str, meaning: str) -> bool:
    """Whether an entry looks like one: the abbreviation begins as its meaning does."""
    return meaning.lstrip("( ")[:1].lower() == word[:1].lower()


def check(subject: Subject) -> Iterator[Finding]:
    entries = key_entries(subject)
    if len(entries) < _ENTRIES or not any(True for _ in subject.work.rows()):
        return
    if any(s.unread for s in subject.work.rows()) and subject.pattern.antique:
        return
    known = [e for e in entries if any(lookup(w) for w in e.words)]
    if len(known) * 2 < len(entries):
        return  # not read as a key is laid out
    for entry in entries:
        words = [w for w in entry.words if w and len(w) <= 16 and regex.match(r"[A-Za-z]", w)]
        if not words or not _stands_for(words[0], entry.meaning) or regex.search(r"\d\s*[)\]]|\.\.\.", entry.words[0]):
            continue
        if not any(lookup(w) or regex.search(r"\d|st", w) for w in words) and len(words[0]) > 6:
            continue
        if not any(_used(subject, entry, w) for w in words):
            yield Finding(
                RULE.name,
                Severity.STYLE,
                f'"{words[0]}" is in the key and is used nowhere else in the manuscript.',
                entry.words_span,
            )


RULE = Rule(
    name="abbreviation-unused",
    severity=Severity.STYLE,
    title="An abbreviation that is never used",
    why="An entry left over from another pattern makes the reader look for a stitch that never comes, and costs a line of the leaflet.",
    looks_like=(
        "US terms.\nAbbreviations: ch = chain; dtr = double treble crochet; sc = single crochet; st(s) = stitch(es).\n\nSquare\nCh 11.\n"
        "Row 1: Sc in 2nd ch from hook and in each ch across, turn. (10 sc)\nRow 2: Ch 1, sc in each st across. (10 sc)\n"
    ),
    better=(
        "US terms.\nAbbreviations: ch = chain; sc = single crochet; st(s) = stitch(es).\n\nSquare\nCh 11.\n"
        "Row 1: Sc in 2nd ch from hook and in each ch across, turn. (10 sc)\nRow 2: Ch 1, sc in each st across. (10 sc)\n"
    ),
    let_stand="The house prints one key for all its leaflets.",
    check=check,
)
