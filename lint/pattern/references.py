"""References and continuations: "Rep Rows 3 and 4 four times", "As Row 2", "for a total of 10 rows", "until piece measures"."""

from __future__ import annotations

from collections.abc import Container
from dataclasses import dataclass

from .. import regex
from ..syntax.labels import row_numbers, side_named
from ..syntax.lexer import NUMBER_WORDS, ORDINAL_WORDS, number_of

_N = r"(?:\d+|" + "|".join(NUMBER_WORDS) + r")"
_NAME = "|".join(sorted([*NUMBER_WORDS, *ORDINAL_WORDS], key=len, reverse=True))
_VEC = rf"(?:{_N})(?:\s*[(\[]\s*[\d, -]+\s*[)\]])*"
_WORD = r"(?:rows?|rnds?|rounds?|rds?|r(?=\d))"
_SEP = r"(?:\s*(?:-|—|to|thru|through)\s*|\s*(?:,\s*and|,|&|\+|and)\s*)"
_LIST = rf"(?:\d+(?!\d)(?:{_SEP}(?:{_WORD}\s*)?\d+(?!\d|\s*(?:more|times|rows|rnds)|\s*[(\[]\s*\d+\s*,))*|(?:{_NAME})\b(?:{_SEP}(?:{_NAME})\b(?!\s+(?:more|times|rows|rnds)))*)"
_ORD = rf"(?:\d+(?:st|nd|rd|th|d)|first|{'|'.join(ORDINAL_WORDS)})"
_HEAD = regex.compile(
    rf"(?:(?:still\s+)?(?:with|using|in)\s+[^,.:;]{{1,28}}[,:]\s*)?(?:now\s+|then\s+)?"
    rf"(?:(?P<verb>rep(?:eat)?s?(?:\s+from)?|work(?:\s+even)?\s+as(?:\s+for)?|work\s+rem\w*\s+as(?:\s+for)?|as(?:\s+for)?|(?:the\s+)?same\s+as|follow|continue\s+(?:to\s+)?rep(?:eat)?(?:ing)?|work)\s+)"
    rf"(?:the\s+)?(?:(?P<last>last|previous|these|above)\s+(?:(?P<lastn>{_N})\s+)?{_WORD}|(?:patt(?:ern)?\s+)?{_WORD}\s*(?P<nums>{_LIST})|(?P<ords>{_ORD}(?:(?:\s*-\s*|\s+(?:to|and|thru)\s+){_ORD})*)\s*(?:{_WORD}|(?=[.,;]|$))|(?P<nums2>\d+(?:\s*-\s*\d+)?)\s+{_WORD}|(?P<bare>{_WORD})(?=\s*[.,;(\[]|\s*$))"
    r"(?:,?\s*incl(?:usive|\.)?)?(?:\s*(?:of|on)\s+(?:the\s+)?(?P<of>[a-z][a-z' ]{1,30}?)(?=\s*[.,;:\[(—]|\s*$))?"
)
_ENDING_SIDE = regex.compile(rf"[,;.]?\s*(?:(?:end|finish)(?:ing)?\s+(?:with|after|on|by\s+working)|(?:having|you(?:\s+should)?(?:\s+now)?\s+have)\s+(?:just\s+|now\s+)?(?:completed|worked|ended\s+with))\s+(?:an?\s+)?(?P<side>rs|ws|right\s+side|wrong\s+side|right-side|wrong-side)\s+{_WORD}")
_TAILS: tuple[tuple[str, regex.Pattern[str]], ...] = (
    ("total", regex.compile(rf"[,;]?\s*for\s+(?:a\s+)?total\s+of\s+(?P<n>{_N})\s+{_WORD}")),
    ("times", regex.compile(rf"[,;:\])]?\s*(?:for\s+)?(?P<another>another\s+)?(?P<n>{_VEC})\s+(?P<more>more\s+)?times?(?P<more2>\s+more)?(?P<total>\s+in\s+(?:all|total))?")),
    ("times", regex.compile(r"[,;:]?\s*x\s*(?P<n>\d+)(?P<another>)(?P<more>)(?P<more2>)(?P<total>)")),
    ("once", regex.compile(r"[,;:\])]?\s*(?P<word>once|twice|thrice)(?P<more>\s+(?:more|again))?")),
    ("rows", regex.compile(rf"[,;.]?\s*(?:for\s+)?(?P<n>{_VEC})\s+(?:more\s+)?{_WORD}(?:\s+more)?(?!\s*(?:=|measure))")),
    ("until-rows", regex.compile(rf"[,;]?\s*until\s+(?P<n>{_N})\s+{_WORD}\s+(?:are|have|is)\s+\w+(?:\s+\w+)?")),
    ("until", regex.compile(rf"[,;]?\s*until\s+(?:you\s+(?:have|get)|there\s+are|(?:a\s+)?total\s+of\s+)?\s*(?P<n>{_VEC})\s+(?:sts?|stitches|sc|hdc|dc|tr|htr)\b(?:\s+(?:remain|are\s+left|in\s+total))?")),
    ("open", regex.compile(r"[,;]?\s*(?:until\s+(?:[^.;(\[]|\((?!\d+\s*(?:sts?|sc|dc|hdc|tr)\b))*?(?=,\s*ending|[.;]|$)|to\s+(?:the\s+)?(?:desired|required)\s+\w+|for\s+(?:pat(?:t|tern)?|[\d½¼¾./ ]+\s*(?:in|cm|inches|\")[^,.;]*)|throughout|for\s+pattern)")),
    ("then", regex.compile(rf"[,;]?\s*(?:then|and)\s+(?:rep(?:eat)?\s+)?{_WORD}\s*(?P<nums>{_LIST})(?:\s+once(?:\s+more)?|\s+again)?")),
    ("side", _ENDING_SIDE),
    ("ending-row", regex.compile(rf"[,;]?\s*ending\s+(?:with|after|on)\s+(?:an?\s+|the\s+)?(?:{_WORD}\s*\d+|{_ORD}\s+{_WORD})")),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Reference:
    """What a row or a loose sentence repeats. ``numbers`` are the rows named, ``last`` how many of the last ones."""

    numbers: tuple[int, ...] = ()
    last: int | None = None
    of: str = ""
    times: tuple[int | None, ...] | None = None
    more: bool = False
    in_all: bool = False
    rows: tuple[int | None, ...] | None = None
    total: int | None = None
    until: tuple[int | None, ...] | None = None
    until_rows: int | None = None
    open: bool = False
    then: tuple[int, ...] = ()
    side: str | None = None
    rest: str = ""
    rest_at: int = 0
    bare: bool = False
    verb: str = ""


_PIECE = regex.compile(
    rf"(?:(?:rows?|rnds?|rounds?)\s*[\d\s-]*:?\s*)?(?:(?:work|make|made|crochet|rep(?:eat)?|cont(?:inue)?)\s+)?(?:(?:the\s+)?(?:same|exactly|rem\w*)\s+)?(?:as(?:\s+for)?|follow)\s+(?:the\s+)?"
    rf"(?P<of>[a-z][a-z' -]{{1,30}}?)(?:\s+instructions)?(?:\s*,?\s*(?:to|until|through|up\s+to)\s+(?:the\s+)?(?:(?:end|beg\w*)\s+of\s+)?(?:the\s+)?(?:(?:{_WORD})\s*(?P<n>\d+)|(?P<mark>\*+)))?"
    r"(?P<tail>\s*(?:[.,;:(\[]|$).*)", regex.DOTALL,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class PieceReference:
    """What repeats another piece: its name, to which row or mark; ``tail`` is what is said besides."""

    of: str
    row: int | None
    mark: str | None
    tail: str


def read_piece_reference(folded: str) -> PieceReference | None:
    """"Work as for Front to end of Row 10", "As for First Strap", "Follow the hat to Rnd 5"; None for anything else."""
    m = _PIECE.match(folded.strip())
    if m is None or regex.match(rf"{_WORD}\b", m["of"]):
        return None
    return PieceReference(m["of"].strip(), int(m["n"][:5]) if m["n"] else None, m["mark"], m["tail"])


def vector(text: str) -> tuple[int | None, ...]:
    """A number as the text writes it, one value for each size; None where a size has none."""
    found = regex.findall(r"\d+|-(?=\s*[,)\]])", text)
    if found:
        return tuple(None if f == "-" else int(f[:8]) for f in found)
    return (number_of(text) or 1,)


def read_ending_side(folded: str) -> str | None:
    """RS or WS where the words begin with "ending with a WS row" or the like."""
    found = _ENDING_SIDE.match(folded)
    return side_named(found["side"]) if found is not None else None


def _with_lost_dash(numbers: tuple[int, ...], rows: Container[int]) -> tuple[int, ...]:
    """"Rep Rows 25" where there is no Row 25, but Rows 2 and 5: the dash was lost in the printing."""
    if len(numbers) != 1 or numbers[0] in rows:
        return numbers
    digits = str(numbers[0])
    for k in range(1, len(digits)):
        first, last = int(digits[:k]), int(digits[k:])
        if first < last and first in rows and last in rows:
            return tuple(range(first, last + 1))
    return numbers


def read_reference(folded: str, rows: Container[int] = ()) -> Reference | None:
    """The reference a statement begins with, or None. ``rest`` is what it says besides, ``rows`` the rows there are."""
    start = len(folded) - len(folded.lstrip(" \n\r(["))
    head = _HEAD.match(folded, start)
    if head is None:
        return None
    verb = head["verb"].split()[0]
    if verb == "work" and not head["verb"].startswith(("work as", "work even as", "work rem")) and not (head["nums"] and len(row_numbers(head["nums"])) > 1):
        return None
    if verb == "as" and head["bare"]:
        return None
    numbers: tuple[int, ...] = ()
    last: int | None = None
    bare = False
    if head["last"]:
        last = number_of(head["lastn"]) if head["lastn"] else 1
    elif head["nums"]:
        numbers = row_numbers(head["nums"])
        if regex.search(r"(?:rows|rnds|rounds)\s*\d+$", head.group()):
            numbers = _with_lost_dash(numbers, rows)
    elif head["nums2"]:
        numbers = row_numbers(head["nums2"])
    elif head["ords"]:
        numbers = row_numbers(head["ords"])
    else:
        bare = True
    values: dict[str, object] = {}
    at = head.end()
    going = True
    while going:
        going = False
        for name, pattern in _TAILS:
            found = pattern.match(folded, at)
            if found is None or found.end() == at:
                continue
            if name == "total":
                values["total"] = number_of(found["n"])
            elif name == "times":
                values["times"] = vector(found["n"])
                values["more"] = bool(found["more"] or found["more2"] or found["another"])
                values["in_all"] = bool(found["total"])
            elif name == "once":
                values["times"] = ({"once": 1, "twice": 2, "thrice": 3}[found["word"]],)
                values["more"] = bool(found["more"])
            elif name == "rows":
                values["rows"] = vector(found["n"])
            elif name == "until-rows":
                values["until_rows"] = number_of(found["n"])
            elif name == "until":
                values["until"] = vector(found["n"])
            elif name == "open":
                values["open"] = True
            elif name == "then":
                values["then"] = row_numbers(found["nums"])
            elif name == "side":
                values["side"] = side_named(found["side"])
            at = found.end()
            going = True
            break
    return Reference(numbers, last, (head["of"] or "").strip(), rest=folded[at:], rest_at=at, bare=bare, verb=head["verb"], **values)  # type: ignore[arg-type]
