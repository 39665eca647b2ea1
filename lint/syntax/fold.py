"""The reading copy: the manuscript in lower case with look-alikes made plain, character for character.

Every offset in the copy is the same offset in the source, so whatever is read in it points back exactly. Nothing is
normalised to another length: ½ stays ½, and a character whose lower case is longer than itself stays as it is.
"""

from __future__ import annotations

from .. import regex
from ..text import Span

_PLAIN = {
    "‘": "'", "’": "'", "‚": "'", "′": "'", "ʼ": "'",
    "“": '"', "”": '"', "„": '"', "″": '"', "«": '"', "»": '"',
    "–": "-", "‒": "-", "‑": "-", "‐": "-", "−": "-", "―": "—",
    "×": "x", "✕": "x", "✗": "x", "∗": "*", "✱": "*", "＊": "*", "✽": "*",
    "\u00a0": " ", "\u2002": " ", "\u2003": " ", "\u2007": " ", "\u2009": " ", "\u200a": " ", "\u202f": " ",
    "\u200b": " ", "\ufeff": " ", "\u2028": " ", "\u2029": " ", "\u0085": " ", "\f": " ", "\v": " ", "\t": " ",
    "⁰": " ", "¹": " ", "²": " ", "³": " ", "⁴": " ", "⁵": " ", "⁶": " ", "⁷": " ", "⁸": " ", "⁹": " ",  # marks of notes
    "ı": "i", "İ": "i", "（": "(", "）": ")", "［": "[", "］": "]", "，": ",", "：": ":", "；": ";",
}  # fmt: skip
# Letters of other scripts that print like a Latin one; pattern texts use them against copying.
_LOOK_ALIKE = dict(
    zip(
        "аеорсхуіјѕһԁԛԝкмнтвАЕОРСХУІЈЅКМНТВαοερικτυνχΑΒΕΖΗΙΚΜΝΟΡΤΥΧ",
        "aeopcxyijshdqwkmhtbaeopcxyijskmhtbaoepiktuvxabezhikmnoptyx",
        strict=True,
    )
)
_LETTER_WORD = regex.compile(r"[^\W\d_]+")


def _plain(char: str) -> str:
    if char in _PLAIN:
        return _PLAIN[char]
    lower = char.lower()
    return lower if len(lower) == 1 else char


def look_alikes(source: str) -> list[Span]:
    """Words holding letters of another script that read as a Latin word once they are swapped."""
    if source.isascii():
        return []
    found: list[Span] = []
    for word in _LETTER_WORD.finditer(source):
        letters = word.group()
        strange = [c for c in letters if c in _LOOK_ALIKE]
        if strange and all(c in _LOOK_ALIKE or c.isascii() for c in letters):
            # A word wholly in another script is that script's own unless the letters around it are Latin.
            if len(strange) < len(letters) or len(letters) <= 4:
                found.append(Span(word.start(), word.end()))
    return found


def fold(source: str) -> str:
    """The reading copy of a source, exactly as long."""
    if source.isascii():
        return source.lower().replace("\t", " ").replace("\f", " ").replace("\v", " ")
    chars = [_plain(c) for c in source]
    for span in look_alikes(source):
        for index in range(span.start, span.end):
            chars[index] = _LOOK_ALIKE.get(source[index], chars[index])
    return "".join(chars)
