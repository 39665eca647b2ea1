"""Letters of another script, and letters that stand for digits."""

from __future__ import annotations

from collections.abc import Iterator

from ...lint import regex
from ...lint.finding import Because, Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.syntax.fold import look_alikes
from ...lint.vocabulary_use import in_rows, row_name

_FOR_DIGIT = regex.compile(
    r"(?<![\w.])(?:\d+[oO]\d*|[oO]\d+|[lI]\d+|\d+[lI])(?!\w)|(?<=\bch )[lI](?= sp\b)|(?<=\bch-)[lI](?= sp\b)"
)


def check(subject: Subject) -> Iterator[Finding]:
    strange = look_alikes(subject.text.source)
    if strange:
        first = strange[0]
        letters = [c for c in subject.text[first] if not c.isascii()]
        more = f" ({len(strange)} such words in all)" if len(strange) > 1 else ""
        yield Finding(
            RULE.name,
            Severity.STYLE,
            f'"{subject.text[first]}" has a letter of another alphabet in it ({", ".join(f"U+{ord(c):04X}" for c in dict.fromkeys(letters))}){more}. It prints like a Latin letter, but no search will find it.',
            first,
            because=tuple(Because(s, f'"{subject.text[s]}"') for s in strange[1:6]),
        )
    found = list(in_rows(subject, _FOR_DIGIT, printed=True))
    if found:
        statement, span = found[0]
        word = subject.text[span]
        digits = word.translate(str.maketrans("oOlI", "0011"))
        more = f" There are {len(found)} such places." if len(found) > 1 else ""
        yield Finding(
            RULE.name,
            Severity.STYLE,
            f'"{word}" has a letter where a figure is expected; is it {digits}?{more}',
            span,
            place=row_name(statement),
            because=tuple(Because(s, f'"{subject.text[s]}"') for _, s in found[1:6]),
        )


RULE = Rule(
    name="look-alike-glyph",
    severity=Severity.STYLE,
    title="A letter that only looks like the right one",
    why="A Cyrillic or Greek letter inside a word, a letter O for a nought or an l for a one prints almost the same, but searching, screen readers and the typesetter's fonts treat it as what it is.",
    looks_like="Ch 11.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (1O sc)\n",
    better="Ch 11.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (10 sc)\n",
    let_stand="The word really is one of another language.",
    check=check,
)
