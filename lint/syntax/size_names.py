"""The sizes a manuscript is written for, from its size line, or from the lists its numbers come in."""

from __future__ import annotations

from collections import Counter

from .. import regex

_NAME = r"(?:\d+\s*(?:-|/)\s*\d+(?:\s*(?:months?|mths?|years?|yrs?|mo))?|x{0,3}s|m|x{0,4}l|[1-9]x(?:l)?|[a-z]|small|medium|large|extra[ -](?:small|large)|(?:newborn|baby|toddler|child|teen|adult|woman|man|preemie)(?:\s[a-z]{1,6})?|\d{1,3}(?:\s*(?:months?|years?|yrs?|mo))?(?:\.5|½)?|one size)"
_BRACKET = rf"\s*[(\[]\s*(?:{_NAME})(?:\s*(?:[,;:/]|(?<=[a-z])-(?=[a-z]))\s*(?:{_NAME}))*\s*[)\]]"
_LISTED = regex.compile(rf"(?<![a-z\d.])(?P<first>{_NAME}),?(?P<rest>(?:{_BRACKET})+)")
_DASHED = regex.compile(rf"(?<![a-z\d.])({_NAME})((?:\s?[-/]\s?(?:{_NAME})){{1,}})(?![a-z\d])")
_COMMAS = regex.compile(r"(?<![a-z\d.])((?:xs|s|m|l|xl|\dx)(?:\s*(?:,|and|&)\s*(?:and\s+)?(?:xs|s|m|l|xl|\dxl?|\dx)){1,})(?![a-z])")
_ALTERNATED = regex.compile(rf"(?:{_NAME})\s*\(\s*(?:{_NAME})\s*\)\s*(?:{_NAME})(?:\s*\(\s*(?:{_NAME})\s*\)(?:\s*(?:{_NAME}))?)*(?![a-z(\d])")
_STROKES = regex.compile(r"(?:\d{1,3}|x{0,3}s|m|x{0,4}l|small|medium|large)(?:\s*/\s*(?:\d{1,3}|x{0,3}s|m|x{0,4}l|small|medium|large)){2,}(?![a-z\d])")
_WORD = regex.compile(r"(?:^|(?<=[\s.*#:>]))(?:(?:to fit\s+)?(?:sizes?|ages?|to fit)\b(?!\s*(?:is|of|as|does|doesn|it|that|the|should|you|photographed|shown|you need|needed|to obtain|\d+\s*mm|[a-z]-\d)))", regex.MULTILINE)
_VECTOR = regex.compile(r"(?<![\d(\[])\d+\s?[(\[]\s*\d+(?:\s*,\s*\d+)*\s*[)\]](?:\s*[(\[]\s*\d+(?:\s*,\s*\d+)*\s*[)\]])?")
_UNIT_AFTER = regex.compile(r"[ \t]*(?:mm|cm|m\b|in\b|in\.|inch|\"|oz|g\b|yds?|yards|ball|skein|%|hook)")


def _split(first: str, rest: str) -> tuple[str, ...]:
    names = [first, *regex.split(r"[,;:/()\[\]]|(?<=[A-Za-z])-(?=[A-Za-z])", rest)]
    return tuple(n.strip() for n in names if n.strip())


def read_sizes(folded: str, source: str) -> tuple[str, ...]:
    """Size names in printed order, as printed; () for a single size.

    Where every list of numbers has another length than the size line seems to have, the lists are believed.
    """
    lengths = Counter(len(regex.findall(r"\d+", v.group())) for v in _VECTOR.finditer(folded) if "," in v.group())
    names = _named(folded, source, lengths)
    if names and lengths and len(names) not in lengths:
        length, seen = lengths.most_common(1)[0]
        if seen >= 3 and seen == sum(lengths.values()):
            return tuple(str(i + 1) for i in range(length))
    return names


def names_given(folded: str, source: str) -> tuple[str, ...]:
    """The names of the size line alone, whatever the lists of numbers say; () where there is no such line."""
    return _named(folded, source, Counter())


def _named(folded: str, source: str, lengths: Counter[int]) -> tuple[str, ...]:
    for word in _WORD.finditer(folded):
        line = regex.match(r"[\s:.=–—-]*([^\n]{1,120})", folded[word.end() : word.end() + 140])
        if line:
            for pattern in (_ALTERNATED, _STROKES):
                other = pattern.match(line[1].strip())
                if other and not _UNIT_AFTER.match(line[1].strip(), other.end()):
                    start = word.end() + line.start(1) + (len(line[1]) - len(line[1].lstrip()))
                    names = tuple(n for n in regex.split(r"[\s()/]+", source[start : start + other.end()]) if n)
                    if 2 < len(names) <= 20:
                        return names
        stop = min(len(folded), word.end() + 160)
        window = folded[word.end() : stop]
        blank = regex.search(r"\n\s*\n", window[8:])
        if blank:
            window = window[: 8 + blank.start()]
        found = _LISTED.search(window)
        if found and not _UNIT_AFTER.match(window, found.end()):
            at = word.end()
            names = _split(source[at + found.start("first") : at + found.end("first")], source[at + found.start("rest") : at + found.end("rest")])
            if 2 <= len(names) <= 20 and not (all(n.isdigit() for n in names) and "mm" in window[: found.start()]):
                return names
        line = window.split("\n")[0] if window.split("\n")[0].strip(" :.-") else "\n".join(window.split("\n")[:3])
        dashed = _DASHED.search(line)
        if dashed and word.group().strip().endswith("s") and not _UNIT_AFTER.match(line, dashed.end()):
            names = tuple(n.strip() for n in regex.split(r"\s?[-/]\s?", source[word.end() + dashed.start() : word.end() + dashed.end()]))
            if len(names) > 1 and not all(n.isdigit() for n in names[:2]) and line.find(dashed.group()) >= 0 and len(names) <= 12:
                return names
        commas = _COMMAS.search(line)
        if commas:
            text = source[word.end() + commas.start() : word.end() + commas.end()]
            return tuple(n for n in regex.split(r"\s*(?:,|\band\b|&)\s*", text) if n)
    if lengths:
        length, seen = lengths.most_common(1)[0]
        if seen >= 3 and length > 2:
            return tuple(str(i + 1) for i in range(length))
    return ()
