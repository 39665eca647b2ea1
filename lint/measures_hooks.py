"""Hook sizes in a text that are given twice: a letter or number, and millimetres.

A line is read as a row of marks: labels ("H-8", "G", "US 7"), millimetres, and the words and signs between them that
join ("US", "hook", a bracket, a stroke) or part ("and", a comma). Only a label and a figure that nothing else comes
between are taken together, and of a list of labels and a list of figures only such as have the same length.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from . import regex
from .measures import number
from .text import Span

_HALF = r"(?:\.50?|[ -]?½|[- ]1[/⁄]2)"
_FIGURE = r"\d{1,2}(?:[.,]\d{1,2})?"
_NOT_MM = r"(?![\d½]|[.,]\d|\s?-?mm)"
_MARK = regex.compile(
    rf"(?P<other>(?i:\b(?:UK|British|Canadian|old|imperial|Japanese|Jap|JP)\b[\s:]*(?:sizes?|no\.?|number)?\s*\d{{1,2}}(?:/0)?(?:\s?[/&-]\s?\d{{1,2}})?\b)|\b\d{{1,2}}/0\b)"
    rf"|(?P<label>(?<![\w'’])(?<!\w\.)(?:[A-U](?:\s?[/&-]\s?[A-X](?![\w'’]))?(?:\s?[-–/]\s?|\s)?\d{{1,2}}{_HALF}?{_NOT_MM}))"
    rf"|(?P<mm>(?<![\w.,])(?:{_FIGURE}(?=\s?-?mm\b)|{_FIGURE}(?=\s?(?:and|or|&|,|/)\s?{_FIGURE}\s?-?mm\b)))"
    rf"|(?P<letter>(?<![\w'’&])(?<!\w\.)(?!I\s+(?!hook)[a-z\d])[A-U](?:[/-][A-X])?(?![\w'’&]|\.\w|\s+to\b))"
    rf"|(?P<number>(?<![\w.,])\d{{1,2}}{_HALF}?{_NOT_MM}(?!\w|\s?[-–]\s?\d))"
    r"|(?P<part>(?i:\b(?:and|or)\b)|[,;&+])"
    r"|(?P<lead>(?i:\b(?:U\.?S\.?(?:A\.?)?(?![\w])|American|sizes?|no\.|number)|#)[\s:.-]*)"
    r"|(?P<steel>(?i:\bsteel\b))|(?P<hook>(?i:\b(?:crochet\s+)?hooks?\b)[\s:.-]*)"
    r"|(?P<tool>(?i:\b(?:needles?|pins?|eyes?|beads?|buttons?|snaps?|ribbon|cord|wire|rings?|thread|nose|elastic)\b))"
    r"|(?P<yarn>(?i:\b(?:colou?rs?|yarns?|shades?|with|using|in|strands?)\b))"
    r"|(?P<join>(?i:mm\b|\b(?:metric|international|intl?|crochet|an?|one|each|the|standard|aluminium|aluminum|US)\b)|[/()\[\]|=:*_–—-]|\.{2,})"
    r"|(?P<space>\s+|\.)|(?P<word>\w+|.)"
)
_JOINS = frozenset({"other", "label", "mm", "letter", "number", "part", "lead", "steel", "hook", "join", "space"})
_HINT = regex.compile(r"\d\s?-?mm\b", regex.IGNORECASE)
_UNIT = regex.compile(r"\s?-?mm\b", regex.IGNORECASE)
_HOOK = regex.compile(r"\bhooks?\b", regex.IGNORECASE)
_LETTERED_THINGS = regex.compile(r"(?i:\b(?:hook|yarn|colou?r|shade)\s+)A\b|\(A\)|(?<![\w'’])A\s?(?:[:=–—]|-\s)")
_OF_PEOPLE = frozenset("SML")
_LARGE = frozenset("NOPQRSTUX")


@dataclass(frozen=True, slots=True)
class HookSize:
    """A label and a diameter in mm that the text gives for one hook.

    ``label`` is as printed, without "US" or "size" before it; ``parted`` where its letter and its number stand apart.
    """

    label: str
    mm: float
    label_span: Span
    mm_span: Span
    parted: bool = False

    @property
    def span(self) -> Span:
        return self.label_span.to(self.mm_span)

    @property
    def bare(self) -> bool:
        """A letter without a number."""
        return not any(c.isdigit() for c in self.label)


@dataclass(frozen=True, slots=True)
class _Mark:
    kind: str
    text: str
    start: int
    end: int
    led: str = ""  # what leads up to it: "us", "hook size", ...
    loose: bool = False  # an ordinary word stands before it


def hook_sizes(source: str) -> Iterator[HookSize]:
    """Every hook of the text that has both a label and millimetres, in order."""
    done = -1
    for hint in _HINT.finditer(source):
        if hint.start() < done:
            continue
        start = source.rfind("\n", 0, hint.start()) + 1
        done = _line_end(source, hint.end())
        near = " ".join((_line_before(source, start), source[start:done], source[done : done + 40].partition("\n")[2].partition("\n")[0]))
        named = _HOOK.search(near) is not None
        at = start
        if start and source[start : hint.start()].strip(" \t([/") == "":
            at = source.rfind("\n", 0, start - 1) + 1  # the label may stand at the end of the line before
        for got in _on_line(source[at:done], named):
            if got.bare and got.label in ("A", "B", "C", "D") and _LETTERED_THINGS.search(source):
                continue  # the hooks are called A and B, or the yarns are
            label, mm = got.label_span, got.mm_span
            yield HookSize(got.label, got.mm, Span(at + label.start, at + label.end), Span(at + mm.start, at + mm.end), got.parted)


_LONE = regex.compile(
    r"(?i:\b(?:U\.?S\.?(?:A\.?)?|sizes?)[\s:-]+)(?P<a>[B-KN-Q](?![\w'’]|\s?[-/]\s?\d|\s\d)|7(?![\w.,½]|\s?[-/]))(?=\s*[,;]?\s*(?i:(?:crochet\s+|aluminium\s+|aluminum\s+)?hooks?\b))"
    r"|(?i:\bhooks?\b(?:\s+sizes?)?\s*[:,]?\s*(?:sizes?\s+|U\.?S\.?(?:A\.?)?\s+)?)(?P<b>[B-KN-Q](?=\s*(?:$|[,;.])|\s+or\b))",
    regex.MULTILINE,
)


def hook_label_at(source: str, offset: int) -> tuple[str, Span] | None:
    """The hook's label or millimetres that an offset stands in, on a line that speaks of a hook: "H-8", "5 mm"."""
    start = source.rfind("\n", 0, offset) + 1
    line = source[start : _line_end(source, offset)]
    if not _HOOK.search(line):
        return None
    paired = {size.label_span.start for size in _on_line(line, True)}
    for mark in (mark for run in _runs(line) for mark in run):
        unit = _UNIT.match(line, mark.end) if mark.kind == "mm" else None
        end = unit.end() if unit else mark.end
        named = unit or mark.kind == "label" or (mark.kind in ("letter", "number") and (mark.led or mark.start in paired))
        if named and mark.start <= offset - start <= end:
            printed = line[mark.start : end].strip()
            steel = mark.kind == "number" and "steel" in mark.led
            return f"steel {printed}" if steel else printed, Span(start + mark.start, start + end)
    return None


def lone_labels(source: str) -> Iterator[tuple[str, Span]]:
    """Labels of a letter or number alone that stand with the word hook and without millimetres: "size G hook"."""
    for match in _LONE.finditer(source) if not _HINT.search(source) else ():
        group = "a" if match["a"] else "b"
        yield match[group], Span(match.start(group), match.end(group))


def _line_end(source: str, at: int) -> int:
    found = source.find("\n", at)
    return found if found >= 0 else len(source)


def _line_before(source: str, start: int) -> str:
    return source[:start].rstrip().rpartition("\n")[2] if start else ""


@lru_cache(maxsize=256)
def _on_line(line: str, named: bool) -> tuple[HookSize, ...]:
    """The hooks of one line; ``named`` where it or a neighbour has the word hook."""
    out: list[HookSize] = []
    for run in _runs(line):
        for labels, mm in _hooks_of(run):
            got = _size(labels, mm, named)
            if got is not None:
                out.append(got)
    return tuple(out)


def _runs(line: str) -> Iterator[list[_Mark]]:
    """Marks that nothing but joining and parting words comes between; none of them another tool's."""
    run: list[_Mark] = []
    before = led = ""
    spoiled = steel = False
    for match in _MARK.finditer(line):
        kind, words = match.lastgroup or "word", match.group()
        if kind not in _JOINS:
            if kind == "word" and before == "number" and "us" not in run[-1].led:
                run.pop()  # the number of another thing: no. 5 pearl cotton
            if not spoiled and kind != "tool":
                yield _of_steel(run) if steel else run
            run, led, spoiled, steel = [], "", kind == "tool", False
        elif kind in ("lead", "hook", "steel"):
            led = f"{led} {words.strip().lower()}".strip()
            steel = steel or kind == "steel"
        elif kind != "space":
            spoiled = spoiled or (before == "yarn" and kind in ("label", "letter", "number"))
            run.append(_Mark(kind, words, match.start(), match.end(), "" if kind == "join" else led, before == "word"))
            led = led if words in "*_" else ""
        if kind != "space":
            before = kind
    if not spoiled:
        yield _of_steel(run) if steel else run


def _of_steel(run: Sequence[_Mark]) -> list[_Mark]:
    return [replace(m, led=f"{m.led} steel".strip()) if m.kind == "number" else m for m in run]


def _hooks_of(run: Sequence[_Mark]) -> Iterator[tuple[list[_Mark], _Mark]]:
    """Each figure with the label or labels that belong to it."""
    whole = [group for group in _groups(run) if _labels(group) and sum(m.kind == "mm" for m in group) == 1]
    if whole:
        for group in whole:
            yield _labels(group), next(m for m in group if m.kind == "mm")
        return
    labels, sizes = _labels(run), [m for m in run if m.kind == "mm"]
    if not labels or len(labels) != len(sizes):
        return
    one, other = (labels, sizes) if labels[0].start < sizes[0].start else (sizes, labels)
    between = [m for m in run if one[-1].end <= m.start < other[0].start]
    if one[-1].end <= other[0].start and not any(m.text.lower() == "or" for m in between):
        yield from (([label], size) for label, size in zip(labels, sizes, strict=True))


def _labels(marks: Sequence[_Mark]) -> list[_Mark]:
    return [m for m in marks if m.kind in ("label", "letter") or (m.kind == "number" and m.led)]


def _groups(run: Sequence[_Mark]) -> Iterator[list[_Mark]]:
    """The run parted at commas and "and" outside brackets."""
    group: list[_Mark] = []
    depth = 0
    for mark in run:
        if mark.kind == "join":
            depth = max(0, depth + (mark.text in "([") - (mark.text in ")]"))
        if mark.kind == "part" and depth == 0:
            yield group
            group = []
        else:
            group.append(mark)
    yield group


def _size(labels: Sequence[_Mark], mm: _Mark, named: bool) -> HookSize | None:
    value, text = number(mm.text), _joined(labels)
    if text is None or not value:
        return None
    lead = " ".join(m.led for m in labels)
    us = regex.search(r"\b(?:u\.?s|american)|#", lead) is not None
    numbered = any(m.kind == "label" for m in labels)
    if not named and not (numbered and (us or mm.start - labels[-1].end <= 3)):
        return None
    first = labels[0]
    if len(labels) == 1 and first.kind == "letter" and (set(text) & _LARGE or not (us or _a_hooks_letter(first, mm))):
        return None  # makers differ most over the large ones
    if "steel" in lead:
        text = f"steel {text}"
    elif len(labels) == 1 and first.kind == "number" and not us:
        return None  # a metric size, an old British one or a steel hook's
    return HookSize(text, value, Span(min(m.start for m in labels), labels[-1].end), Span(mm.start, mm.end), len(labels) > 1)


def _a_hooks_letter(letter: _Mark, mm: _Mark) -> bool:
    """Whether a letter alone is a hook's: led up to by "hook size", or beside its figure with only a sign between."""
    if letter.loose or (letter.text in _OF_PEOPLE and not letter.led.startswith("hook")):
        return False
    return letter.led != "" or max(letter.start, mm.start) - min(letter.end, mm.end) <= 8


def _joined(labels: Sequence[_Mark]) -> str | None:
    """One label; of a letter and a number that stand apart ("US 8/H"), the label they make; None for others."""
    if len(labels) == 1:
        return labels[0].text.strip()
    kinds = sorted((m.kind, m.text.strip()) for m in labels)
    if [kind for kind, _ in kinds] == ["letter", "number"]:
        return f"{kinds[0][1]}-{kinds[1][1]}"
    return None
