"""Keys and definitions: every abbreviation a manuscript explains, and every stitch it defines."""

from __future__ import annotations

from collections.abc import Iterable

from .. import regex
from ..text import Span, Text
from .layout import KeyEntry, Section, SectionKind

_RECIPE = regex.compile(r"(?:yo\b|yarn over|insert|pull up|draw|\bsk(?:ip)?\b|\bin (?:the )?(?:same|next|st|one|sp)|\b\d?\s?(?:dc|sc|tr|hdc|htr|sts?)\b|\bch\s?-?\d|around (?:the )?(?:front|back|post)|invisible decrease)")
_WIDTH = r"(?:\d{1,2}(?:/\d{1,2}){1,2}[ -]|\d{1,2}[- ]st(?:itch)?[ -]|\d{1,2}(?:[x×]|[- ]over[- ])\d{1,2}[ -])"
"""How many stitches cross, before the name of a crossing: "2/1 LC", "6-st cable", "3x3 cross", "2-over-2 braid"."""
_HASHES = regex.compile(r"(?m)^[ \t]*#{1,6}(?=\s|$)")
_LEADERS = regex.compile(r"[ \t]\.{3,}(?=[ \t])|[ \t]…(?=[ \t])|(?<=\w)\.{4,}(?=[ \t]?\w)")
_POINTS = regex.compile(r"[ \t]([·•])[ \t](?=\S)")
_NAME_FIRST = regex.compile(r"(?:^|[\n,;])[ \t]*(?:[-*][ \t]+)?(?P<meaning>[A-Za-z][A-Za-z0-9 /()-]{1,40}?)[ \t]*[(\[](?P<words>[A-Za-z][\w -]{0,9}(?:\([a-z]{1,3}\))?)[)\]](?=[ \t]*(?:[,;.\n]|$))")
_SLASHED = regex.compile(r"\s+/\s+(?=[A-Za-z0-9()/.-]+(?:\s[A-Za-z0-9()-]+){0,2}\s*(?:=|:|–|—|\s-\s))")
_LINE_ENTRY = regex.compile(r"(?m)^[ \t]*[A-Za-z][^\s=:–—]*(?:\s[^\s=:–—]+){0,3}\s*(?:=|:|–|—|\s-\s)")
_CELLS = regex.compile(r"\s*\|\s*(?P<words>[^|]{1,30}?)\s*\|\s*(?P<meaning>[^|]*[^|\s])\s*\|?\s*")
_SLASH_PAIR = regex.compile(r"\s*(?P<words>[A-Za-z][\w().-]{0,11}(?: [a-z]{2,3}(?:\(s\))?)?)\s*/\s*(?P<meaning>[A-Za-z][^,;|=/:–—]{2,}[^,;|=/:–—\s])\s*")
_BRACKETED = regex.compile(r"\s*(?:[-•*]\s+)?\((?P<words>[A-Za-z][\w./-]{0,11}(?: [a-z]{2,3})?(?:\([a-z]{1,3}\))?)\)\s+(?P<meaning>[A-Za-z][^;|=\n]*[^;|=\s])\s*")
_COMMA_LINE = regex.compile(r"\s*(?:[-•*]\s+)?(?P<words>[A-Za-z][\w()./-]{0,11}(?: [a-z]{2,3}(?:\(s\))?)?),\s+(?P<meaning>[A-Za-z\d][^,;|=]*[^,;|=\s])\s*")


def _abbreviations(text: Text, body: Span) -> list[KeyEntry]:
    """Entries of a key, one a line or in a running list with ``;``, ``,``, ``|`` or ``/`` between."""
    source = _plain(text[body])
    columns = _columns(source, body.start) or _names_first(source, body.start)
    if columns:
        return columns
    out: list[KeyEntry] = []
    separators = [s for s in ("=", ":", "–", "—", " - ") if source.count(s) >= 2]
    if separators:
        chunks: list[tuple[int, str]] = []
        splitter = regex.compile(r";|\||\n(?=\s*[-•*]?\s*[^\s=:–—]+(?:\s[^\s=:–—]+){0,3}\s*(?:=|:|–|—|\s-\s))|(?<=[a-z)])[,/]\s+(?=[A-Za-z0-9()/.-]+(?:\s[A-Za-z0-9()-]+){0,2}\s*(?:=|:|–|—|\s-\s))|\.\s+(?=[A-Za-z0-9()-]+(?:\s[a-z0-9()]+){0,2}\s*(?:=|–|—|:))|(?:\s{3,}|[ \t]{2,})(?=[A-Za-z()/]+(?:\s[a-z]+)?\s*=)")
        if len(_SLASHED.findall(source)) > max(1, len(_LINE_ENTRY.findall(source))):
            splitter = _SLASHED  # a running list: its line ends fall anywhere
        last = 0
        for match in splitter.finditer(source):
            chunks.append((last, source[last : match.start()]))
            last = match.end()
        chunks.append((last, source[last:]))
        for offset, chunk in chunks:
            entry = regex.match(r"\s*(?:[-•*·]\s*)?(?P<words>[^=:–—\n]{1,40}?)\s*(?:=|:|–|—|\s-\s|(?<=[a-z])-(?=[a-z]{4}(?![^=:–—\n]{0,20}(?:=|:|–|—))))\s*(?P<meaning>\S.*)", chunk, regex.DOTALL)
            if entry and regex.match(r"[A-Za-z(]", entry["words"]):
                start = body.start + offset + entry.start("words")
                words = _words(entry["words"])
                if words:
                    out.append(KeyEntry(words, " ".join(entry["meaning"].split()), Span(start, body.start + offset + len(chunk.rstrip())), Span(start, start + len(entry["words"]))))
        return out
    for match in regex.finditer(r"(?:^|,|;|\n|\s{2,})[ \t]*(?P<words>[A-Za-z][A-Za-z0-9().-]{0,10}(?: st\(?s?\)?)?)\s+(?P<meaning>[a-zA-Z][^,;\n]*?)(?=,|;|\n|\.|\s{2,}|$)", source):
        words = _words(match["words"])
        if words and len(match["meaning"]) > 2 and _shortens(match["words"], match["meaning"]):
            start = body.start + match.start("words")
            out.append(KeyEntry(words, match["meaning"].strip(), Span(start, body.start + match.end()), Span(start, start + len(match["words"]))))
    # a stitch defined among the abbreviations
    return out + [e for e in _definitions(text, body) if _RECIPE.search(e.meaning.lower())]


def _plain(source: str) -> str:
    """A key without the marks that only dress it, as long as before: bold, leaders, points between entries."""
    source = _HASHES.sub(lambda m: " " * len(m.group()), source).replace("**", "  ").replace("__", "  ")
    source = _LEADERS.sub(lambda m: " =" + " " * (len(m.group()) - 2), source)
    return _POINTS.sub(lambda m: m.group().replace(m[1], ";"), source)


def _names_first(source: str, origin: int) -> list[KeyEntry]:
    """Entries that give the name and then its abbreviation in brackets; none for other keys."""
    found = [m for m in _NAME_FIRST.finditer(source) if _shortens(m["words"], m["meaning"])]
    if len(found) < 4 or len(found) * 2 < len(regex.findall(r"[,;\n]+\s*(?=[A-Za-z])", source.strip())):
        return []
    return [
        KeyEntry(words, " ".join(m["meaning"].split()), Span(origin + m.start("meaning"), origin + m.end()), Span(origin + m.start("words"), origin + m.end("words")))
        for m in found
        if (words := _words(m["words"]))
    ]


def _columns(source: str, origin: int) -> list[KeyEntry]:
    """Entries of a key in two columns, told apart by a comma or a slash or as cells of a Markdown table; none for other keys."""
    lines = [m for m in regex.finditer(r"[^\r\n]+", source) if m.group().strip()]
    pairs = [m for m in regex.finditer(r"[^;,\r\n]+", source) if m.group().strip()]
    listed = [m for m in regex.finditer(r"[^;\r\n]+", source) if m.group().strip()]
    halves = list(regex.finditer(r"\|[^|\r\n]+\|[^|\r\n]+", source))
    for parts, pattern in ((lines, _CELLS), (lines, _BRACKETED), (lines, _COMMA_LINE), (listed, _COMMA_LINE), (halves, _CELLS), (pairs, _SLASH_PAIR)):
        found = [(line, m) for line in parts if (m := pattern.fullmatch(line.group())) and regex.search(r"[A-Za-z]", m["words"])]
        if len(found) < 3 or len(found) * 5 < len(parts) * 3 or sum(_shortens(m["words"], m["meaning"]) for _, m in found) * 2 < len(found):
            continue
        out: list[KeyEntry] = []
        for line, m in found:
            words = _words(m["words"])
            start = origin + line.start() + m.start("words")
            # a table's own heading is the line above its rule
            if words and not regex.match(r"abbr|term|symbol|short", m["words"].lower()):
                out.append(KeyEntry(words, " ".join(m["meaning"].split()), Span(start, origin + line.start() + m.end("meaning")), Span(start, start + len(m["words"]))))
        return out
    return []


def _shortens(words: str, meaning: str) -> bool:
    """Whether the letters of an abbreviation stand in its meaning in their order, as in no piece of prose but by chance."""
    if meaning.lower().startswith("see "):
        return True
    rest = iter(meaning.lower())
    return all(c in rest for c in regex.sub(r"\([^)]*\)|[^a-z]", "", words.lower()))


def _words(text: str) -> tuple[str, ...]:
    """The abbreviations an entry defines: "st(s)" is st and sts, "st / sts" both."""
    out: list[str] = []
    for part in regex.split(r"\s*(?:,|/|\bor\b|&)\s*", text.strip(" .*_`")):
        part = part.strip(" .")
        if not part or len(part) > 32:
            continue
        plural = regex.fullmatch(r"(.+?)\((e?s|ped|ping)\)", part)
        inner = regex.fullmatch(r"(.+?)\s*\(([^)]+)\)", part)
        if plural:
            out += [plural[1].strip(), (plural[1] + plural[2]).strip()]
        elif inner:
            out += [inner[1].strip(), inner[2].strip()]
        else:
            out.append(part)
    return tuple(out)


def _definitions(text: Text, body: Span) -> list[KeyEntry]:
    """Definitions: a name, perhaps its abbreviation in brackets, then ``:``, ``=`` or a dash and the recipe."""
    source = _HASHES.sub(lambda m: " " * len(m.group()), text[body])
    out: list[KeyEntry] = []
    starts: list[regex.Match[str]] = list(
        regex.finditer(
            rf"(?:^|\n|(?<=\.)\s+)[ \t]*(?:[-•*·]\s+|\d+[.)]\s+)?(?P<words>{_WIDTH}?[A-Za-z][A-Za-z0-9' /-]{{0,34}}?(?:\s*\([^)\n]{{1,60}}\)(?:[^:=\n]{{0,24}}(?=:))?)?)\s*(?::|=|—|–|\s-\s)\s*(?=\S)",
            source,
        )
    )
    if not starts:
        starts = list(regex.finditer(r"(?:^|\n)[ \t]*(?P<words>[a-zA-Z][\w-]{1,12})\s+(?=\()", source))
    for i, match in enumerate(starts):
        end = starts[i + 1].start() if i + 1 < len(starts) else len(source)
        meaning = source[match.end() : end]
        stop = regex.search(r"\n\s*\n", meaning)
        if stop:
            meaning = meaning[: stop.start()]
        words_text = match["words"]
        names: list[str] = []
        head = regex.match(r"(?P<name>[^(]+?)\s*(?:\((?P<abbr>[^)]*)\)[^()]*)?$", words_text)
        if head is None:
            continue
        name = head["name"].strip()
        if name.lower() in ("note", "notes", "gauge", "tension", "row", "rnd", "round", "sizes", "size", "colours", "colors", "yarn", "hook", "materials") or len(name) > 34:
            continue
        names.append(name)
        if head["abbr"]:
            abbr = head["abbr"].split(",")[0].strip()
            if len(abbr) <= 16:
                names.append(abbr)
        if "=" in source[match.start() : match.end()] and "/" in name and not regex.match(_WIDTH, name):
            names = [n.strip() for n in name.split("/")]
        start = body.start + match.start("words")
        out.append(KeyEntry(tuple(names), " ".join(meaning.split()), Span(start, body.start + match.end() + len(meaning.rstrip())), Span(start, start + len(words_text)), special=True))
    return out


def read_key(text: Text, sections: Iterable[Section]) -> tuple[KeyEntry, ...]:
    """Every entry of a key and every definition, section by section."""
    entries: list[KeyEntry] = []
    for section in sections:
        if section.kind is SectionKind.ABBREVIATIONS:
            entries += _abbreviations(text, section.body)
        elif section.kind is SectionKind.SPECIAL:
            entries += _definitions(text, section.body)
        elif section.kind in (SectionKind.TITLE, SectionKind.NOTES, SectionKind.OTHER, SectionKind.SIZES):
            entries += [e for e in _definitions(text, section.body) if _RECIPE.search(e.meaning.lower())]
        elif section.kind is SectionKind.PIECE:
            for statement in section.statements:
                if statement.label is None:
                    entries += [e for e in _definitions(text, statement.body) if _RECIPE.search(e.meaning.lower())]
    return tuple(entries)
