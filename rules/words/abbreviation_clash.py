"""One abbreviation with two meanings in one manuscript."""

from __future__ import annotations

import re
from collections.abc import Iterator

from ...lint import regex
from ...lint.finding import Because, Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.syntax.layout import KeyEntry, SectionKind
from ...lint.text import Span
from ...lint.trade.abbreviations import entries, folded
from ...lint.vocabulary_use import key_entries, key_sections, row_statements, uses

_COLOUR_WORD = regex.compile(r"\b(?:colou?rs?|yarns?|shades?)\b")
_LETTERS = regex.compile(
    r"(?:(?<=[:,;(] )|(?<=\()|(?<=^)|(?<=, and ))(?P<letters>SC|DC|TR|DTR|HTR|HDC|CH|ST|SP)\b(?:\)|\s*[:=–—-]\s*[A-Za-z]|\s+[a-z]{3,})"
)
_RECIPE = re.compile(r"\d|\b(?:two|three|four|yoh?|insert|work|make|pull|draw|skip|miss|join|next|same)\b")
"""Of an entry that says how a stitch is made; beside its name it is no second meaning."""

_SMALL_WORDS = frozenset(["the", "a", "an", "of", "in", "into", "to", "and", "or", "with", "st", "sts", "stitch", "stitches", "crochet", "by", "one"])


def _colour_letters(subject: Subject) -> Iterator[Finding]:
    """A colour called by the letters of a stitch."""
    source = subject.text.source
    keys = [s.body for s in key_sections(subject)]
    said: set[str] = set()
    numbers = {subject.text.line_number(m.start()) for m in _COLOUR_WORD.finditer(subject.layout.folded)}
    for number in sorted(numbers):
        line = subject.text.line_span(number)
        if any(line.start in body for body in keys) or "abbreviation" in subject.text[line].lower():
            continue
        for match in _LETTERS.finditer(source, line.start, line.end):
            letters = match["letters"]
            stitch = letters.lower()
            if letters in said:
                continue
            colour = re.compile(rf"(?i:with|using|in|to|join|attach|colou?r|yarn)\s+{letters}\b")
            in_rows = next(
                (m for s in row_statements(subject) for m in [colour.search(source, s.body.start, s.body.end)] if m),
                None,
            )
            stitches = [
                u
                for u in uses(subject)
                if folded(u.word).lower() in (stitch, stitch + "s")
                and not (
                    u.printed.isupper()
                    and regex.search(
                        r"(?:with|using|in|to|join|attach|colou?r|yarn)\s*$",
                        subject.layout.folded[max(0, u.span.start - 12) : u.span.start],
                    )
                )
            ]
            if not stitches:
                continue
            said.add(letters)
            because = [Because(stitches[0].span, f'"{stitches[0].printed}" is a stitch here')]
            if in_rows:
                because.append(Because(Span(in_rows.start(), in_rows.end()), f'"{letters}" is the colour here'))
            yield Finding(
                RULE.name,
                Severity.QUERY,
                f'"{letters}" is a colour, and "{stitches[0].printed}" is a stitch in the rows. Could the colour have other letters?',
                Span(match.start("letters"), match.end("letters")),
                because=tuple(because),
            )


def _named(meaning: str) -> frozenset[int]:
    """The table's entries a meaning names."""
    plain = regex.sub(r"[\s-]+", " ", regex.sub(r"\([^)]*\)", "", meaning.lower())).strip(" .")
    plain = regex.sub(r"colou?r", "colour", plain)
    return frozenset(
        i
        for i, e in enumerate(entries())
        if plain in (e.name, e.name + "s", *e.other_names) or plain + " crochet" == e.name
    )


def _same_word(subject: Subject) -> Iterator[Finding]:
    """A word that stands in the key twice, with meanings that have nothing in common."""
    first: dict[str, KeyEntry] = {}
    for entry in key_entries(subject):
        for word in entry.words:
            plain = folded(word).lower()
            if not plain:
                continue
            before = first.setdefault(plain, entry)
            if before is entry or any(_RECIPE.search(e.meaning.lower()) for e in (before, entry)) or not _unlike(before.meaning, entry.meaning):
                continue
            yield Finding(
                RULE.name,
                Severity.QUERY,
                f'"{word.strip()}" stands twice in the key: for {_short(before.meaning)} and for {_short(entry.meaning)}. Which is meant?',
                entry.words_span,
                because=(Because(before.words_span, f'"{word.strip()}" is first explained here'),),
            )


def _short(meaning: str) -> str:
    words = meaning.strip(" .").split()
    return " ".join(words[:6]) + (" …" if len(words) > 6 else "")


def _unlike(one: str, other: str) -> bool:
    a, b = _named(one), _named(other)
    if a and b:
        return not a & b
    words = [{w for w in regex.findall(r"[a-z]{3,}|\d+", m.lower()) if w not in _SMALL_WORDS} for m in (one, other)]
    return bool(a or b) and all(0 < len(w) <= 4 for w in words) and not words[0] & words[1]


def _defined_twice(subject: Subject) -> Iterator[Finding]:
    """A special stitch defined twice, with other numbers the second time."""
    sections = subject.layout.of(SectionKind.SPECIAL)
    first: dict[str, KeyEntry] = {}
    for entry in subject.layout.key:
        if not entry.special or not any(entry.span.start in s.body for s in sections):
            continue
        name = " ".join(entry.words[0].lower().split())
        before = first.setdefault(name, entry)
        if before is entry:
            continue
        numbers = [regex.findall(r"\d+", e.meaning) for e in (before, entry)]
        if all(numbers) and numbers[0] != numbers[1]:
            yield Finding(
                RULE.name,
                Severity.QUERY,
                f'"{entry.words[0]}" is defined twice, and not alike: {_short(before.meaning)}; {_short(entry.meaning)}. Which holds?',
                entry.words_span,
                because=(Because(before.span, f'"{entry.words[0]}" is first defined here'),),
            )


def check(subject: Subject) -> Iterator[Finding]:
    yield from _colour_letters(subject)
    yield from _same_word(subject)
    yield from _defined_twice(subject)


RULE = Rule(
    name="abbreviation-clash",
    severity=Severity.QUERY,
    title="One abbreviation for two things",
    why="Letters that stand for a stitch and for a colour, or that stand in the key twice, can be read either way; a screen reader does not tell SC from sc.",
    looks_like="Colors: MC plum, SC cream.\nAbbreviations: sc single crochet.\nRnd 1: Using SC, 8 sc in ring. (8)\n",
    better="Colors: A plum, B cream.\nAbbreviations: sc single crochet.\nRnd 1: Using B, 8 sc in ring. (8)\n",
    let_stand="The two are never used in the same piece and the house prefers its usual letters.",
    check=check,
    source="lint/trade/abbreviations.toml: what each abbreviation stands for.",
)
