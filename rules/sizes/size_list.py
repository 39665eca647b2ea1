"""Lists with more or fewer values than there are sizes."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from itertools import pairwise

from ...lint import regex
from ...lint.fabric.work import RowWork, Trouble
from ...lint.finding import Finding, Severity
from ...lint.measures import number
from ...lint.rule import Rule, Subject
from ...lint.syntax.layout import SectionKind, Statement
from ...lint.syntax.size_names import names_given
from ...lint.text import Span
from ...lint.vocabulary_use import row_name, row_statements
from ...lint.wording import count_of, words_at
from .lists import FIGURE, lists_in
from .size_only import named_in

_MARRED = regex.compile(rf"(?<![\d.,/½¼¾-]){FIGURE}\s?(?P<open>[(\[])\s*(?P<inside>{FIGURE}(?:[\s.,;]+{FIGURE})+)\s*(?P<close>[)\]]?)")
_ROUNDED = 0.06
"""By how much of itself a length may be out where both units are rounded to whole numbers."""
_GAP = regex.compile(r"\s*,\s*")
_ONE = regex.compile(FIGURE)
_NAME = regex.compile(r"x{0,4}s|m|x{0,4}l|[1-9]x{1,2}l?|small|medium|large")
_POCKET = regex.compile(r"\bpockets?\b")
_BODY = regex.compile(r"\b(?:front|back|body)\b")
_NEARLY = 0.85
"""A pocket so much as wide as the smallest size's front has been made for a larger one."""

_VALUE = r"\d+(?:[.,]\d+|\s?[½¼¾⅓⅔])?"
_ANY_LIST = regex.compile(rf"(?<![\d.,/½¼¾-]){_VALUE}\s?[(\[]\s*{_VALUE}(?:\s?,\s?{_VALUE})*\s?[)\]](?![\d.])")
_COUNTED = regex.compile(r"\s*(?:more\s+)?(?:times|rows|rnds|rounds|sts?|stitches|h?dc|sc|h?tr|ch|sps?|cm|in|inches|\"|mm|m|yds?)\b|\s*\"|\s*:")
_ONE_VALUE = regex.compile(_VALUE)
_OF_HOOK = regex.compile(r"\s*mm\b")
"""Behind a number and another in brackets: US 7 (4.5) mm."""

_FOR_SOME = regex.compile(r"\b(?:for|in)\s+(?:the\s+)?(?:\w+\s+){0,2}sizes\b")
_LABEL = 40  # characters in which a label's colon comes
_NUMBER = regex.compile(r"\d+|(?<=[\s(,])-(?=[\s),])")


def _values(words: str) -> int:
    return len(_NUMBER.findall(words))


def _row_finding(subject: Subject, trouble: Trouble, row: RowWork | None) -> Finding | None:
    sizes = len(subject.pattern.sizes)
    words = words_at(subject, trouble.span)
    detail = trouble.facts.get("values", trouble.facts.get("detail"))
    if _FOR_SOME.search(subject.layout.folded, trouble.span.end, trouble.span.end + _LABEL):
        return None
    values = int(str(detail)) if detail is not None and str(detail).isdigit() else _values(words)
    place = row.label if row is not None else ""
    if row is not None and 0 < len(row.sizes) == values < sizes and not all(s.size is None for s in row.sizes):
        return None  # a row for some of the sizes
    names = ", ".join(subject.pattern.sizes)
    if values == sizes:
        return _apart(subject, words, trouble.span, place)
    after = subject.layout.folded[trouble.span.end : trouble.span.end + 3].strip()
    if values == 2 and sizes > 2 and not regex.match(r"[a-z,;]", after):
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
    if sizes < 3:
        return
    folded = subject.layout.folded
    found: list[tuple[Span, int]] = []
    fitting = 0
    for part in _parts(subject):
        for start, end, listed, apart in lists_in(folded[part.start : part.end]):
            span, values = Span(part.start + start, part.start + end), len(listed)
            if values == sizes and apart:
                words = words_at(subject, span)
                yield _apart(subject, words, span)
            elif values == sizes:
                fitting += 1
            elif abs(values - sizes) == 1 and values > 2 and not apart and not _FOR_SOME.search(folded, span.end, span.end + _LABEL) and not regex.search(r"only|sizes?\s+[^.\n]{0,20}$", folded[max(0, span.start - 60) : span.start].split("\n")[-1]):
                found.append((span, values))
    if fitting == 0 and len(found) > 1:
        return
    for span, values in found:
        yield _odd_list(subject, span, values)


def _beside(subject: Subject, told: set[Span]) -> Iterator[Finding]:
    """A list with one value too few or too many in a sentence between rows, in a label or in a measurement.

    It has to stand beside one for every size, or be one of three values and more that no word keeps to some of the sizes.
    """
    sizes = len(subject.pattern.sizes)
    source = subject.layout.folded
    if sizes < 3:
        return
    for place, sentence in _loose(subject):
        lists = [(Span(*m.span()), len(_ONE_VALUE.findall(m.group()))) for m in _ANY_LIST.finditer(source, place.start, place.end)]
        odd = [(span, n) for span, n in lists if abs(n - sizes) == 1 and _COUNTED.match(source, span.end) and not (n == 2 and _OF_HOOK.match(source, span.end)) and not _in_two_units(source[span.start : span.end])]
        if len(odd) != 1 or any(odd[0][0].touches(t) for t in told):
            continue
        alone = sentence and odd[0][1] > 2 and not regex.search(r"\b(?:only|sizes?)\b", source[place.start : place.end])
        if alone or any(n == sizes for _, n in lists):
            yield _odd_list(subject, *odd[0])


def _in_two_units(words: str) -> bool:
    """Whether a list is one length in inches and in centimetres: “17 (43)”. An inch is 2.54 cm."""
    values = [value for figure in _ONE.findall(words) if (value := number(figure)) is not None]
    return len(values) == 2 and min(values) > 0 and abs(max(values) / min(values) / 2.54 - 1) < _ROUNDED


def _loose(subject: Subject) -> Iterator[tuple[Span, bool]]:
    """The sentences between rows (marked so), the labels of rows, and the lines before the rows."""
    for section in subject.layout.sections:
        if section.kind is SectionKind.PIECE:
            for statement in section.statements:
                if statement.label is None:
                    yield statement.body, True
                else:
                    yield Span(statement.label.span.start, _end_of_label(subject, statement)), False
        elif section.kind in (SectionKind.SIZES, SectionKind.MATERIALS, SectionKind.TITLE):
            lines = (Span(max(line.start, section.body.start), min(line.end, section.body.end)) for line in subject.text.lines() if line.touches(section.body))
            yield from ((line, False) for line in lines if len(line))


def _end_of_label(subject: Subject, statement: Statement) -> int:
    """Where a label ends as printed: a list that could not be read as part of it included."""
    colon = subject.layout.folded.find(":", statement.label.span.end if statement.label else 0, statement.span.end)
    near = colon >= 0 and colon - statement.body.start < _LABEL
    return colon if near else statement.body.start


def _odd_list(subject: Subject, span: Span, values: int) -> Finding:
    sizes = subject.pattern.sizes
    lost = "missing" if values < len(sizes) else "too many"
    message = f'"{words_at(subject, span)}" gives {values} values for {len(sizes)} sizes ({", ".join(sizes)}). Is a value {lost}?'
    return Finding(RULE.name, Severity.QUERY, message, span)


def _parts(subject: Subject) -> Iterator[Span]:
    """The stretches that are no rows and may hold lists for the sizes."""
    for section in subject.layout.sections:
        if section.kind in (SectionKind.MATERIALS, SectionKind.SIZES, SectionKind.FINISHING):
            yield section.body
        elif section.kind is SectionKind.PIECE:
            yield from (s.body for s in section.statements if s.label is None)


def _apart(subject: Subject, words: str, span: Span, place: str = "") -> Finding:
    sizes = subject.pattern.sizes
    right = regex.sub(r"\s*,\s*(?=[(\[])", " ", words)
    return Finding(
        RULE.name,
        Severity.QUERY,
        f'"{words}" reads as one number and a list apart from it. For the {len(sizes)} sizes ({", ".join(sizes)}), should it be "{right}"?',
        span,
        place=place,
    )


def _marred(subject: Subject) -> Iterator[Finding]:
    """Lists with as many values as there are sizes whose commas or brackets are not as they should be."""
    sizes, folded = len(subject.pattern.sizes), subject.layout.folded
    rows = [(row_name(s), s.body, True) for s in row_statements(subject)]
    for place, part, is_row in (*rows, *(("", part, False) for part in _parts(subject))):
        for start, end, values, what in _marred_in(folded[part.start : part.end]):
            if values == sizes and not (is_row and what.endswith("close it")):
                span = Span(part.start + start, part.start + end)
                yield Finding(
                    RULE.name,
                    Severity.QUERY,
                    f'"{words_at(subject, span)}" {what}. Is it the list for the {sizes} sizes ({", ".join(subject.pattern.sizes)})?',
                    span,
                    place=place,
                )


@lru_cache(maxsize=8192)
def _marred_in(folded: str) -> tuple[tuple[int, int, int, str], ...]:
    found: list[tuple[int, int, int, str]] = []
    for m in _MARRED.finditer(folded):
        figures = list(_ONE.finditer(m["inside"]))
        gaps = [(a.group(), m["inside"][a.end() : b.start()], b.group()) for a, b in pairwise(figures)]
        bad = [(a.strip(), gap, b.strip()) for a, gap, b in gaps if not _GAP.fullmatch(gap)]
        whole = m["close"] and (m["open"] == "(") == (m["close"] == ")")
        if len(bad) > 1 or len(bad) == len(gaps):
            continue
        what = ""
        if bad and whole:
            a, gap, b = bad[0]
            what = f"has no comma between {a} and {b}" if "," not in gap else f'has "{gap.strip()}" between {a} and {b}'
        elif not bad and not m["close"] and regex.match(r"\s*(?:[a-z]|$)", folded[m.end() :]):
            what = f'opens "{m["open"]}" and does not close it'
        elif not bad and m["close"] and not whole:
            what = f'opens with "{m["open"]}" and closes with "{m["close"]}"'
        if what:
            found.append((m.start(), m.end(), 1 + len(figures), what))
    return tuple(found)


def _names(subject: Subject) -> Iterator[Finding]:
    """A size line with one name fewer or more than every list has values."""
    sizes = subject.pattern.sizes
    if list(sizes) != [str(i + 1) for i in range(len(sizes))]:
        return
    names = names_given(subject.layout.folded, subject.text.source)
    if len(names) < 2 or abs(len(names) - len(sizes)) != 1 or not all(_NAME.fullmatch(n.lower()) for n in names):
        return
    because = named_in(subject, names)
    if because:
        yield Finding(
            RULE.name,
            Severity.QUERY,
            f"{len(names)} sizes are named here ({', '.join(names)}), and the lists have {len(sizes)} values. Is a size {'missing' if len(names) < len(sizes) else 'too many'}?",
            because[0].span,
        )


def _one_for_all(subject: Subject) -> Iterator[Finding]:
    """A pocket with one number for all sizes, as wide as the whole front of the smallest."""
    pieces = [p for p in subject.work.pieces if p.rows and len(p.rows[0].sizes) == len(subject.pattern.sizes)]
    made = {p.name: [s.made or 0 for s in p.rows[0].sizes] for p in pieces}
    bodies = [(p, made[p.name]) for p in pieces if _BODY.search(p.name.lower()) and len(set(made[p.name])) > 1 and all(made[p.name])]
    for pocket in pieces:
        width = made[pocket.name]
        if not _POCKET.search(pocket.name.lower()) or len(set(width)) != 1 or not bodies:
            continue
        body, widths = min(bodies, key=lambda found: min(found[1]))
        if width[0] > _NEARLY * min(widths):
            yield Finding(
                RULE.name,
                Severity.QUERY,
                f"{pocket.name} has {width[0]} stitches in every size, and {body.name} of size {subject.pattern.sizes[widths.index(min(widths))]} is {min(widths)} wide. Should each size have its own number?",
                pocket.rows[0].span,
                place=pocket.rows[0].label,
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
    prose = [f for f in _prose(subject) if not any(f.span.touches(span) for span in seen)]
    yield from prose
    yield from _beside(subject, seen | {f.span for f in prose})
    if len(subject.pattern.sizes) > 2:
        yield from _marred(subject)
        yield from _names(subject)
        yield from _one_for_all(subject)


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
