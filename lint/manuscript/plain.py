"""Plain text and Markdown: bytes → characters, kept as they are, so that an offset is one in the file's own characters.

Line ends are not changed and nothing is folded; only a byte order mark is left out.
"""

from __future__ import annotations

import codecs

from .. import regex
from ..confined import Refused
from ..text import Text
from .earlier_notes import left_out, without

MAX_LINE = 1_000_000
"""The longest line read, in code points; a longer one is no text that a person wrote."""

MAX_CONTROL_SHARE = 0.1
"""The share of control characters above which a file is not taken for text."""

_MARKS = (
    (codecs.BOM_UTF8, "utf-8", "UTF-8"),
    (codecs.BOM_UTF32_LE, "utf-32-le", "UTF-32"),  # before UTF-16, whose mark it starts with
    (codecs.BOM_UTF32_BE, "utf-32-be", "UTF-32"),
    (codecs.BOM_UTF16_LE, "utf-16-le", "UTF-16"),
    (codecs.BOM_UTF16_BE, "utf-16-be", "UTF-16"),
)
_OLDER = (("cp1252", "Windows-1252"), ("latin-1", "Latin-1"), ("mac_roman", "Mac OS Roman"), ("cp850", "DOS code page 850"))
_ENOUGH = 200_000  # code points that are looked at to tell older encodings apart
_LOOK = "look whether accents, fractions and dashes came through"

_TEXT_CONTROLS = frozenset("\t\n\v\f\r\x1a\x85")
_BLANK = " \t\n\v\f\r\x1a\x85\ufeff\u200b\u200c\u200d\u2060"
_LIKELY = regex.compile(
    r"(?<=[A-Za-z])[’'](?=[a-z])|(?<![A-Za-z])[“‘](?=\S)|(?<=\S)[”’](?!\w)|(?<=[\d\s])[–—−](?=[\d\s])|(?<=\w)[–—](?=\w)"
    r"|(?<![A-Za-z])[½¼¾⅓⅔](?![A-Za-z])|(?<=[\d\s)])×(?=[\d\s(])|(?<=\d)°|(?<=\w)[éèêëàâäáåçñöóòôøüúùûíìîïæœß]|(?<!\w)[éàåöøüæ](?=\w)"
    r"|[©®™•·…£€]|\u00a0"
)


def read(data: bytes) -> tuple[Text, str]:
    """The text in ``data``, and a remark on how it was read or nothing. Raises Refused."""
    source, remark = decoded(data)
    fit(source)
    notes = left_out(source)
    if notes:
        remark = "; ".join(part for part in (remark, "the notes of an earlier round were left out") if part)
    return Text(without(source, notes)), remark


def fit(source: str) -> None:
    """Raises Refused where these characters are no manuscript: none, or what no person wrote."""
    if not source.strip(_BLANK).strip():
        raise Refused("this file is empty" if not source else "this file holds nothing but white space")
    if "\0" in source or _control_share(source) > MAX_CONTROL_SHARE:
        raise Refused("this is not text (it holds binary data); save the manuscript as plain text")
    start = _long_line(source)
    if start is not None:
        line = Text(source).line_number(start)
        raise Refused(f"line {line} is longer than the {MAX_LINE:,} characters that are read; is it a manuscript?")


def decoded(data: bytes, named: str = "") -> tuple[str, str]:
    """The characters, and a remark where they had to be guessed. ``named`` is an encoding that the file itself names.

    A byte order mark decides, then the zeros that UTF-16 and UTF-32 have beside plain letters, then whether it is
    UTF-8. What is left is in an older encoding of single bytes; of those that pattern texts come in, the one is taken
    in which the most characters stand where such characters do: an apostrophe between letters, a dash between numbers.
    """
    for mark, encoding, name in _MARKS:
        if data.startswith(mark):
            return _strictly(data[len(mark) :], encoding, name), ""
    unmarked = _wide(data)
    if unmarked:
        return _strictly(data, *unmarked), ""
    try:
        return data.decode("utf-8"), ""
    except UnicodeDecodeError:
        mended = _almost_utf8(data)
        if mended:
            return mended, f"UTF-8 with some characters that are not, which were read as Windows-1252: {_LOOK}"
    if named:
        try:
            return data.decode(named), ""
        except (UnicodeDecodeError, LookupError):
            pass
    return _older(data)


def _strictly(data: bytes, encoding: str, name: str) -> str:
    try:
        return data.decode(encoding)
    except UnicodeDecodeError:
        raise Refused(f"this file says it is {name} but is damaged; save it again as UTF-8 text") from None


def _wide(data: bytes) -> tuple[str, str] | None:
    """UTF-16 or UTF-32 without a mark, told by where the zero bytes of plain letters, spaces and line ends stand."""
    head = data[:4096]
    if len(head) < 16 or 0 not in head:
        return None
    for width, encodings in ((4, ("utf-32-be", "utf-32-le")), (2, ("utf-16-be", "utf-16-le"))):
        units = len(head) // width
        zeros = [head[at::width][:units].count(0) * 10 // units for at in range(width)]
        for encoding, letter in zip(encodings, (width - 1, 0), strict=True):
            if zeros[letter] == 0 and all(share >= 7 for at, share in enumerate(zeros) if at != letter):
                return encoding, encoding[:6].upper()
    return None


def _almost_utf8(data: bytes) -> str:
    """The text where most of what is not plain is sound UTF-8, as when texts were pasted together; else nothing."""
    kept = data.decode("utf-8", "ignore")
    sound = sum(char > "\x7f" for char in kept)
    damaged = len(data) - len(kept.encode("utf-8"))
    return data.decode("utf-8", _AS_WINDOWS) if sound > damaged * 3 else ""


def _as_windows(error: UnicodeError) -> tuple[str, int]:
    assert isinstance(error, UnicodeDecodeError)
    return error.object[error.start : error.end].decode("cp1252", "replace"), error.end


_AS_WINDOWS = "tenterhook-as-windows"
codecs.register_error(_AS_WINDOWS, _as_windows)


def _older(data: bytes) -> tuple[str, str]:
    best, best_score = ("", ""), -1
    for encoding, name in _OLDER:
        try:
            source = data.decode(encoding)
        except UnicodeDecodeError:
            continue
        score = len(_LIKELY.findall(source, 0, _ENOUGH))
        if score > best_score:
            best, best_score = (source, name), score
    source, name = best
    return source, f"not UTF-8, so read as {name}: {_LOOK}"


def _control_share(source: str) -> float:
    """The share of control characters (Unicode Cc) that plain text has no use for."""
    controls = sum(
        source.count(chr(code)) for code in (*range(0x20), *range(0x7F, 0xA0)) if chr(code) not in _TEXT_CONTROLS
    )
    return controls / len(source)


def _long_line(source: str) -> int | None:
    """Where the first line of more than MAX_LINE code points starts. Looks at few of the lines, however many."""
    start = 0
    while len(source) - start > MAX_LINE:
        within = (start, start + MAX_LINE + 1)
        end = max(source.rfind("\n", *within), source.rfind("\r", *within))
        if end < 0:
            return start
        start = end + 1
    return None
