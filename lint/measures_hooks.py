"""Hook sizes in a text that are given twice: a letter or number, and millimetres.

Only a label and a figure that stand right beside one another are taken together, and of a list of labels and a list of
figures only such as have the same length.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from .measures import lines_round, number
from .text import Span

_HALF = r"(?:\.50?|[ -]?½|[- ]1[/⁄]2)"
_LEAD = r"(?i:(?:\b(?:US|U\.S\.A?\.?|USA|American|sizes?|steel|no\.|number)|#)[\s:]*)"
_CORE = rf"(?:[A-U](?:\s?[/&]\s?[A-U])?(?:\s?[-–/]\s?|\s)?\d{{1,2}}{_HALF}?(?![\d.]|\s?mm)|[A-U](?:[/&][A-U])?(?![\w'’]))"
_LABEL = rf"(?:{_LEAD}*(?<![\w.])(?:{_CORE})|{_LEAD}+(?<![.\w])\d{{1,2}}{_HALF}?(?![\d.,]|\s?mm))"
_MM = r"(?<![\w.,/])\d{1,2}(?:[.,]\d{1,2})?(?=(?:\s?-?mm\b)|\s?(?:and|or|&|,|/)\s?\d)(?:\s?-?mm\b)?"
_AND = r"\s*(?:,|\band\b|\bor\b|&)\s*"
_BETWEEN = r"[ \t]*(?:(?:\n[ \t]*)?(?:\bsteel\b|\bcrochet\b|\bhooks?\b|[,/=(\[–-])[ \t]*){0,4}"
_LABELS = rf"(?P<labels>{_LABEL}(?:{_AND}{_LABEL})*)"
_SIZES = rf"(?P<sizes>{_MM}(?:{_AND}{_MM})*)(?<=mm)"
_LABEL_FIRST = re.compile(rf"{_LABELS}{_BETWEEN}{_SIZES}")
_SIZE_FIRST = re.compile(rf"{_SIZES}{_BETWEEN}{_LABELS}(?!\s?[\d½]|\s*mm)")
_ONE_LABEL = re.compile(_LABEL)
_ONE_SIZE = re.compile(r"\d{1,2}(?:[.,]\d{1,2})?")
_BARE = re.compile(r"[A-U](?:[/&][A-U])?$")
_BEFORE_BARE = re.compile(r"(?:\b(?:sizes?|us|u\.s\.|usa|american|hooks?|mm)\b[.:]?|^|[(\[/:;–—•*·=-])[ \t]*\Z", re.IGNORECASE | re.MULTILINE)
_OTHER_TOOL = re.compile(r"[^.;\n]{0,12}?\b(?:needles?|pins?|eyes?|beads?|buttons?|snaps?|ribbon)\b", re.IGNORECASE)
_BRITISH = re.compile(r"\b(?:UK|British|Canadian|old|imperial|Japanese)\s*(?:size|no\.?)?\s*$", re.IGNORECASE)


_LINES_AWAY = 4  # from millimetres to their label: as many line ends as ``_BETWEEN`` has


@dataclass(frozen=True, slots=True)
class HookSize:
    """A label and a diameter in mm that the text gives for one hook. ``label`` is as printed."""

    label: str
    mm: float
    label_span: Span
    mm_span: Span

    @property
    def span(self) -> Span:
        return self.label_span.to(self.mm_span)

    @property
    def bare(self) -> bool:
        """A letter without a number."""
        return _BARE.search(self.label.strip()) is not None


def hook_sizes(source: str) -> Iterator[HookSize]:
    """Every hook of the text that has both a label and millimetres, in order."""
    # Few of a pattern's lines give millimetres, and only near those can a label be meant.
    for stretch in lines_round(source, (m.span() for m in re.finditer("mm", source)), _LINES_AWAY, _LINES_AWAY):
        yield from _hook_sizes_in(source, stretch)


def _hook_sizes_in(source: str, stretch: Span) -> Iterator[HookSize]:
    at = stretch.start
    while True:
        found = [m for m in (_LABEL_FIRST.search(source, at, stretch.end), _SIZE_FIRST.search(source, at, stretch.end)) if m]
        if not found:
            return
        match = min(found, key=lambda m: (m.start(), m.end()))
        at = max(match.end("labels"), match.end("sizes"))
        labels = list(_ONE_LABEL.finditer(source, match.start("labels"), match.end("labels")))
        sizes = list(_ONE_SIZE.finditer(source, match.start("sizes"), match.end("sizes")))
        if len(labels) != len(sizes) or not _of_a_hook(source, match):
            continue
        for label, size in zip(labels, sizes, strict=True):
            mm = number(size.group())
            got = HookSize(label.group().strip(), mm or 0.0, _trimmed(label), Span(size.start(), size.end()))
            if mm and not (got.bare and not _BEFORE_BARE.search(source, 0, label.start()) and not re.match(_LEAD, label.group())):
                yield got


def _trimmed(match: re.Match[str]) -> Span:
    text = match.group()
    return Span(match.start() + len(text) - len(text.lstrip()), match.end() - (len(text) - len(text.rstrip())))


def _of_a_hook(source: str, match: re.Match[str]) -> bool:
    """Whether the line speaks of a hook, or stands under a heading that does, and of nothing else at this place."""
    if _BRITISH.search(source, max(0, match.start() - 20), match.start()) or _OTHER_TOOL.match(source, match.end()):
        return False
    start = source.rfind("\n", 0, match.start()) + 1
    end = source.find("\n", match.end())
    line = source[start : end if end >= 0 else len(source)]
    if re.search(r"\bhooks?\b", line, re.IGNORECASE):
        return True
    before = source[:start].rstrip().rsplit("\n", 1)[-1]
    after = source[end + 1 :].split("\n", 1)[0] if end >= 0 else ""
    return bool(re.search(r"\bhooks?\b", before, re.IGNORECASE)) or re.match(r"[^.;]{0,20}\bhooks?\b", after, re.IGNORECASE) is not None
