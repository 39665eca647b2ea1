"""Row and round labels in all the forms designers use: "Row 4:", "4th rnd.", "R4-R6", "7.", "Next row (RS):"."""

from __future__ import annotations

from .. import regex
from ..text import Span
from .layout import Label
from .lexer import NUMBER_WORDS, ORDINAL_WORDS

_ROW = r"(?:rows?|rnds?|rounds?|rds?)"
_N = r"(?:\d+|" + "|".join([*NUMBER_WORDS, *ORDINAL_WORDS]) + r")"
_NW = r"(?:" + "|".join([*NUMBER_WORDS, *ORDINAL_WORDS]) + r")\b"
_ORDINAL = r"(?:\d+(?:st|nd|rd|th|d)\b|(?:first|" + "|".join(ORDINAL_WORDS) + r")\b)"
_JOIN = r"(?:\s*(?:-|—|to|thru|through|until)\s*|\s*(?:,\s*and|,|&|\+|and)\s*)"
_SIZED = r"(?:\s*[(\[]\s*\d+(?:\s*-\s*\d+)?(?:\s*,\s*\d+(?:\s*-\s*\d+)?)*\s*[)\]])"
_NOT_A_STITCH = r"(?!\d|\s*(?:chs?|sc|dc|hdc|d?tr|htr|sl|ss|sts?|inc|dec|fp\w+|bp\w+|mesh|blocks?)\b)"
_LIST = rf"\d+(?!\d)\+?(?:\s*(?:-|—)\s*(?:{_ROW}\s*|r)?\d+{_NOT_A_STITCH}|(?:\s*(?:to|thru|through|until)\s*|\s*(?:,\s*and|,|&|\+|and)\s*)(?:{_ROW}\s*|r)?\d+(?!\d))*(?!\s*(?:st|nd|rd|th)\b)"

_FORMS: tuple[tuple[str, regex.Pattern[str]], ...] = (
    ("word", regex.compile(rf"(?:\d+[.)]\s*)?(?P<word>{_ROW})\s*\.?\s*(?P<nums>{_LIST}(?:(?:{_SIZED})+(?:\s*(?:-|to)\s*\d+)?)?|(?:{_NW})(?:{_JOIN}(?:{_NW}))?)(?P<incl>,?\s*(?:incl(?:usive)?\b\.?))?")),
    ("ordinal", regex.compile(rf"(?P<nums>{_ORDINAL}(?:\.?{_JOIN}{_ORDINAL})*)\.?\s*(?P<word>{_ROW})\b(?P<incl>,?\s*(?:incl(?:usive)?\.?))?")),
    ("number-word", regex.compile(rf"(?P<nums>\d+(?:\s*-\s*\d+)?)\.?\s+(?P<word>{_ROW})\b")),
    ("r", regex.compile(r"(?P<word>r)(?P<nums>\d+(?:\s*(?:-|to)\s*r?\d+|(?:\s*(?:,|&|and)\s*r?\d+)*))(?![a-z\d])")),
    ("named", regex.compile(
        rf"(?P<name>next|following|foundation|set-?up|last|final|joining|inc(?:rease)?|dec(?:rease)?|pattern|edging|border|first|turning|base|beginning|start(?:ing)?|tunisian|hairpin|filet|mesh|forward|return)[ \t]+"
        rf"(?P<count>\d+(?:{_SIZED})*\s+)?(?P<word>{_ROW})(?:\s*(?P<nums>\d+))?\b"
    )),
    ("bare", regex.compile(r"(?P<nums>\d+\s*[.)]?\s*-\s*\d+|\d+)(?P<word>)(?=\s*[.):](?!\d))")),
)  # fmt: skip
_DECORATION = regex.compile(
    r"\s*(?:-\s*)?(?:"
    r"(?P<facing>rs|ws|right\s*side|wrong\s*side)(?:\s+facing)?(?=\s*[:.](?!\w))|[(\[]\s*(?P<side>rs|ws|right\s*side|wrong\s*side)(?:\s+facing)?(?:\s*[,;-][^)\]]*)?\s*[)\]]"
    r"|[(\[]\s*(?P<rows>\d+|" + "|".join(NUMBER_WORDS) + rf")\s*{_ROW}\s*[)\]]"
    r"|[(\[]\s*(?:for\s+)?(?P<sizes>sizes?\s+[^)\]:]{1,40}?|(?:[a-z0-9]{1,7}\s*(?:,|/|&|and)\s*){0,6}[a-z0-9]{1,7}(?:\s+sizes?)?)\s+only\s*[)\]]"
    r"|[(\[](?P<remark>[a-z][^)\]\d]{0,80})[)\]]"
    r")"
)
_SEPARATOR = regex.compile(r"\s*(?:[:.)=;~]|—|--|-(?=\s|[a-z*(\[])|,(?=\s*the\b[^:]{1,30}:)(?:[^:]*)|,(?=\s))+[ \t]*")
_ALSO = regex.compile(rf"\s*(?:,\s*)?(?:and|&)\s+(?:(?:all|every|each)\s+(?P<kind>even|odd|alt(?:ernate)?|other|ws|rs|following\s+alt)[ -]*(?:numbered\s+)?{_ROW}|(?:all|every)\s+(?P<kind2>foll\w*\s+)?(?:ws|rs)\s+{_ROW})")
_BEGINS = regex.compile(
    r"\s*(?:\*|\(|\[|\{|\||<|\"|\d|ch\b|chain|sc|s c|hdc|dc|d c|tr\b|htr|fp|bp|sl\b|ss\b|inc|dec|rep|repeat|as\b|same|with|using|join|in\b|work|sk|skip|miss|turn|blo|flo|mr\b|magic|beg|make|starting|ms\b|shell|bobble|pop|cl\b|change|[a-z]{1,3}\d?tog)"
)
_NOT_A_LABEL = regex.compile(r"\s*(?:measures?|of\b|form|from\s+(?:rows?|rnds?|rounds?|the|top|where)\b|are\b|is\b|will\b|should|of the|once|twice|more|again|times|for\b|until|only\b|and\s+(?:\d+|sew|stitch)|=|x\b|in\s+(?:total|all)|\d+\s*(?:cm|in\b|inch))")


_LOST_DASH = regex.compile(r"\s+(\d+)(?=\s+(?:rep|with|ch|work|sc|dc|as)\b)")


def side_named(words: str) -> str:
    """RS or WS, for "rs", "right side" and the like."""
    return "RS" if words.startswith("r") else "WS"


def row_numbers(text: str) -> tuple[int, ...]:
    """The rows a list names, in figures or words, ranges laid out."""
    text = text.strip().rstrip("+")
    words = regex.findall(r"\d+|[a-z]+|[-—,&+]", text)
    values: list[int] = []
    ranged = False
    for word in words:
        if word.isdigit() or word in NUMBER_WORDS or word in ORDINAL_WORDS or word == "first":
            n = int(word[:7]) if word.isdigit() else NUMBER_WORDS.get(word) or ORDINAL_WORDS.get(word) or 1
            if ranged and values and values[-1] < n <= values[-1] + 5000:
                values.extend(range(values[-1] + 1, n + 1))
            else:
                values.append(n)
            ranged = False
        elif word in ("-", "—", "to", "thru", "through", "until"):
            ranged = True
    return tuple(values)


def _sized(text: str, sizes: int) -> tuple[tuple[int, ...], ...] | None:
    """Ranges that differ by size: "39-54 (43-58, 47-62)", "39-54 (54, 56)", "25 (29, 31) to 44", "3-32 [3-36]"."""
    if "(" not in text and "[" not in text:
        return None
    head = regex.match(r"\s*(\d+)(?:\s*(?:-|to)\s*(\d+))?", text)
    if head is None:
        return None
    groups = regex.findall(r"\d+(?:\s*-\s*\d+)?", text[head.end() :].split("to")[0])
    tail = regex.search(r"[)\]]\s*(?:-|to)\s*(\d+)\s*$", text)
    if tail:
        groups = regex.findall(r"\d+(?:\s*-\s*\d+)?", text[head.end() : tail.start() + 1])
    if len(groups) + 1 != sizes:
        return None
    first, last = int(head[1]), int(head[2]) if head[2] else None
    pairs: list[tuple[int, int]] = []
    end = int(tail[1]) if tail else None
    pairs.append((first, end if end is not None else last if last is not None else first))
    for group in groups:
        a = regex.findall(r"\d+", group)
        if len(a) == 2:
            pairs.append((int(a[0]), int(a[1])))
        elif end is not None:
            pairs.append((int(a[0]), end))
        elif last is not None:
            pairs.append((first, int(a[0])))
        else:
            pairs.append((int(a[0]), int(a[0])))
    if any(b - a > 5000 or b < a for a, b in pairs):
        return None
    return tuple(tuple(range(a, b + 1)) for a, b in pairs)


def read_label(folded: str, start: int, *, sizes: int = 1, bare: bool = False, inside: bool = False) -> tuple[Label, int] | None:
    """The label at ``start`` and where its row begins, or None.

    ``bare`` admits "7." and "7)"; ``inside`` is for labels in the middle of a line, which need a separator.
    """
    for form, pattern in _FORMS:
        if form == "bare" and not bare:
            continue
        if inside and form in ("bare", "number-word", "r"):
            continue
        match = pattern.match(folded, start)
        if match is None:
            continue
        end = match.end()
        word = match["word"] or ""
        if form == "r" and end < len(folded) and folded[end : end + 1] in "'":
            continue
        numbers_text = match["nums"] or ""
        # a lost dash: "Rows 3 10"
        lost = _LOST_DASH.match(folded, end) if form == "word" and word.endswith("s") else None
        numbers = row_numbers(numbers_text)
        if lost and len(numbers) == 1 and int(lost[1]) > numbers[0]:
            numbers = tuple(range(numbers[0], int(lost[1][:5]) + 1))
            end = lost.end()
        by_size = _sized(numbers_text, sizes) if sizes > 1 else None
        if by_size:
            numbers = by_size[0]
        elif "(" in numbers_text or "[" in numbers_text:
            cut = regex.match(r"\s*\d+(?:\s*(?:-|to)\s*\d+)?", numbers_text)
            if cut is None:
                continue
            numbers = row_numbers(cut.group())
            end = match.start("nums") + cut.end()
        side: str | None = None
        only: tuple[str, ...] = ()
        stated: int | None = None
        remark = ""
        open_ended = numbers_text.rstrip().endswith("+")
        also = _ALSO.match(folded, end)
        also_kind = ""
        if also:
            also_kind = (also["kind"] or "ws").split()[0]
            told = regex.search(r"\b[rw]s\b", also.group())
            side = told.group().upper() if told is not None else None
            end = also.end()
        separated = False
        for _ in range(5):
            sep = _SEPARATOR.match(folded, end)
            if sep and sep.end() > end and not (separated and "," in sep.group()):
                separated = True
                end = sep.end()
            deco = _DECORATION.match(folded, end)
            if deco is None:
                break
            if separated and not deco["side"] and not deco["facing"] and not deco["rows"] and not (deco["sizes"] and sizes > 1):
                break
            if deco["side"] or deco["facing"]:
                side = side_named(deco["side"] or deco["facing"])
            elif deco["rows"]:
                value = deco["rows"]
                stated = int(value[:5]) if value.isdigit() else NUMBER_WORDS[value]
            elif deco["sizes"] and sizes > 1:
                only = tuple(w for w in regex.split(r"\s*(?:,|/|&|\band\b)\s*|\s+", deco["sizes"]) if w and w not in ("size", "sizes"))
            else:
                remark = deco["remark"] or deco["sizes"] or ""
                if regex.search(r"\b(?:ws|wrong side)\b", remark):
                    side = "WS"
                elif regex.search(r"\b(?:rs|right side)\b", remark):
                    side = "RS"
            end = deco.end()
        # the end of the line right after the label is a separator, too
        rest = folded[end : end + 60]
        if not separated:
            if inside or form in ("number-word", "bare"):
                continue
            if _NOT_A_LABEL.match(rest) or not (_BEGINS.match(rest) or rest[:1] in "\r\n" or not rest.strip()):
                continue
        elif _NOT_A_LABEL.match(rest) and form != "bare":
            continue
        name = ""
        many: tuple[int, ...] = ()
        if form == "named":
            name = match["name"].capitalize()
            many = tuple(int(n[:4]) for n in regex.findall(r"\d+", match["count"] or ""))
        label_word = "R" if form in ("r", "bare") else "Rnd" if word.startswith(("rn", "ro", "rd")) and not word.startswith("row") else "Row"
        span = Span(start, _trim(folded, start, end))
        return (
            Label(span, label_word, numbers, name, side, by_size or (), stated, only, (also_kind and f"also {also_kind}") or remark, open_ended, many),
            end,
        )
    return None


def _trim(folded: str, start: int, end: int) -> int:
    while end > start and folded[end - 1].isspace():
        end -= 1
    return end
