"""Lists with more or fewer values than there are sizes."""

from __future__ import annotations

import re
from collections.abc import Iterator

from ...lint.fabric.work import RowWork, Trouble
from ...lint.finding import Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.syntax.layout import SectionKind
from ...lint.text import Span
from ...lint.wording import count_of, words_at

_LIST = re.compile(r"(?<![\d.,/½¼¾])\d+(?:[.,]\d+|[½¼¾⅓⅔])?\s?\(\s*\d[\d.½¼¾⅓⅔ ]*(?:,\s*\d[\d.½¼¾⅓⅔ ]*)+\)(?!\s*[\[(])")
_NUMBER = re.compile(r"\d+|(?<=[\s(,])-(?=[\s),])")


def _values(words: str) -> int:
    return len(_NUMBER.findall(words))


def _row_finding(subject: Subject, trouble: Trouble, row: RowWork | None) -> Finding | None:
    sizes = len(subject.pattern.sizes)
    words = words_at(subject, trouble.span)
    detail = trouble.facts.get("values", trouble.facts.get("detail"))
    values = int(str(detail)) if detail is not None and str(detail).isdigit() else _values(words)
    place = row.label if row is not None else ""
    if row is not None and 0 < len(row.sizes) == values < sizes and not all(s.size is None for s in row.sizes):
        return None  # a row for some of the sizes
    names = ", ".join(subject.pattern.sizes)
    if values == sizes:
        right = re.sub(r"\s*,\s*(?=[(\[])", " ", words)
        return Finding(
            RULE.name,
            Severity.QUERY,
            f'"{words}" reads as one number and a list apart from it. For the {sizes} sizes ({names}), should it be "{right}"?',
            trouble.span,
            place=place,
        )
    after = subject.layout.folded[trouble.span.end : trouble.span.end + 3].strip()
    if values == 2 and sizes > 2 and not re.match(r"[a-z,;]", after):
        return None  # a number and, in its bracket, the stated count
    message = f"{_count(words)} gives {count_of(values, 'value')} for {sizes} sizes ({names})."
    message += (
        " Which size is missing?"
        if values < sizes
        else " Which value is one too many?"
        if values == sizes + 1
        else " Which values are meant?"
    )
    return Finding(RULE.name, Severity.WRONG, message, trouble.span, place=place)


def _count(words: str) -> str:
    return f'"{words}"' if len(words) <= 48 else "This list"


def _prose(subject: Subject) -> Iterator[Finding]:
    """Lists of materials and measurements with one value too few or too many."""
    sizes = len(subject.pattern.sizes)
    source = subject.layout.folded
    if sizes < 3 or not all(name in subject.text.source for name in subject.pattern.sizes):
        return
    found: list[tuple[Span, int]] = []
    fitting = 0
    for section in subject.layout.sections:
        if section.kind in (SectionKind.MATERIALS, SectionKind.SIZES, SectionKind.FINISHING):
            for match in _LIST.finditer(source, section.body.start, section.body.end):
                values = match.group().count(",") + 2
                if values == sizes:
                    fitting += 1
                elif abs(values - sizes) == 1:
                    before = source[max(0, match.start() - 60) : match.start()]
                    if not re.search(r"only|sizes?\s+[^.\n]{0,20}$", before.split("\n")[-1]):
                        found.append((Span(match.start(), match.end()), values))
    if fitting == 0 and len(found) > 1:
        return
    for span, values in found:
        words = words_at(subject, span)
        yield Finding(
            RULE.name,
            Severity.QUERY,
            f'"{words}" gives {values} values for {sizes} sizes ({", ".join(subject.pattern.sizes)}). Is a value {"missing" if values < sizes else "too many"}?',
            span,
        )


def check(subject: Subject) -> Iterator[Finding]:
    seen: set[Span] = set()
    if len(subject.pattern.sizes) > 1:
        for piece in subject.work.pieces:
            troubles: list[tuple[Trouble, RowWork | None]] = [(t, None) for t in piece.troubles]
            troubles += [(t, row) for row in piece.rows for t in row.troubles]
            for trouble, row in troubles:
                if trouble.kind != "size-list" or trouble.span in seen:
                    continue
                seen.add(trouble.span)
                finding = _row_finding(subject, trouble, row)
                if finding is not None:
                    yield finding
    yield from _prose(subject)


RULE = Rule(
    name="size-list",
    severity=Severity.WRONG,
    title="A list that does not have one value for each size",
    why="Makers count along a list to find their size. One value too few or too many and every size after the gap works another size's number.",
    looks_like="US terms.\nSizes: S (M, L)\nCh 31 (37, 43).\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. 30 (36, 42, 48) sc.\n",
    better="US terms.\nSizes: S (M, L)\nCh 31 (37, 43).\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. 30 (36, 42) sc.\n",
    let_stand="The row is for some of the sizes only, and says so.",
    check=check,
)
