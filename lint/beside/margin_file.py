"""The side file of one manuscript, ``cowl.md.toml`` beside ``cowl.md``: what was let stand, and what is not printed.

One file holds both, because both are an editor's knowledge of one manuscript and travel with it. New entries are put at
its end, so that nothing a person wrote in it is changed.
"""

from __future__ import annotations

import os
import tomllib
from collections.abc import Iterable, Mapping

from ..finding import Severity
from ..margin import Margin
from ..measures import amounts
from ..output import write_whole
from ..stet import Stet
from ..text import Span
from ..trade.units import convert
from ..unprinted import GivenGauge, GivenMeasure, Unprinted
from .toml_file import MAX_BYTES, Faulty, Table, TomlFile, shown

_STET = ("rule", "severity", "piece", "place", "words", "before", "after", "which", "of", "said", "because")
_GAUGE = ("pattern", "stitches", "rows", "over", "pieces")
_MEASURE = ("piece", "width", "length", "body", "ease", "share")
_MOST_STITCHES = 1000.0


def read_margin(path: str) -> Margin:
    """The margin a side file holds. Raises Faulty, which names every line at fault."""
    file = TomlFile(path)
    whole = file.whole
    whole.known(("stet", "gauge", "measure"))
    stets = [stet for table in whole.tables("stet") if (stet := _stet(table)) is not None]
    gauges = [gauge for table in whole.tables("gauge") if (gauge := _gauge(table)) is not None]
    measures = [measure for table in whole.tables("measure") if (measure := _measure(table)) is not None]
    file.finish()
    return Margin(tuple(stets), Unprinted(tuple(gauges), tuple(measures)))


def with_stets(source: str, stets: Iterable[Stet]) -> str:
    """The source of a side file with entries added at its end. Raises Faulty where it would not be one any more."""
    end = "\r\n" if "\r\n" in source else "\n"
    added = "".join(f"{end}{_written(stet, end)}" for stet in stets)
    gap = "" if not source or source.endswith("\n") else end
    changed = source + gap + added if source else added.removeprefix(end)
    try:
        tomllib.loads(changed)
    except tomllib.TOMLDecodeError:
        raise Faulty("", "entries can only be added where each one has a heading [[stet]] of its own") from None
    return changed


def let_stand_in(path: str, stets: Iterable[Stet]) -> None:
    """Add entries to a side file, or begin one. The file is replaced as a whole or not at all. Raises Faulty."""
    path = os.path.realpath(path)
    source = ""
    try:
        if os.path.exists(path):
            read_margin(path)
            with open(path, encoding="utf-8-sig", newline="") as file:
                source = file.read(MAX_BYTES)
        write_whole(path, with_stets(source, stets).encode())
    except Faulty as faulty:
        raise Faulty(path, faulty.reason) from None
    except OSError as error:
        raise Faulty(path, f"this file could not be written ({(error.strerror or str(error)).lower()})") from None


def _written(stet: Stet, end: str) -> str:
    import json

    values: Mapping[str, object] = {
        "rule": stet.rule,
        "severity": stet.severity.value,
        "piece": stet.piece,
        "place": stet.place,
        "words": stet.words,
        "before": stet.before,
        "after": stet.after,
        "which": stet.which if stet.of > 1 else "",
        "of": stet.of if stet.of > 1 else "",
        "said": stet.said,
        "because": stet.because,
    }
    # The words of an entry hold no control characters, and for all others JSON's strings are TOML's.
    lines = [f"{key} = {json.dumps(value, ensure_ascii=False)}" for key, value in values.items() if value != ""]
    return end.join(["[[stet]]", *lines, ""])


def _stet(table: Table) -> Stet | None:
    table.known(_STET, "[stet]")
    rule, because = table.text("rule"), table.text("because")
    severity = table.one_of("severity", [s.value for s in Severity])
    which, of = (table.number(key, 1, 10_000) for key in ("which", "of"))
    words = {key: table.text(key, least=0) or "" for key in ("piece", "place", "words", "before", "after", "said")}
    for key in ("rule", "because"):
        if key not in table.data:
            table.fault(key, f"an entry [[stet]] without “{key}”")
    if rule is None or because is None:
        return None
    return Stet(
        rule, Severity(severity or Severity.WRONG.value), because, words["words"], words["piece"], words["place"], words["before"], words["after"],
        int(which or 1), int(of or 1), words["said"], table.line,
    )  # fmt: skip


def _gauge(table: Table) -> GivenGauge | None:
    table.known(_GAUGE, "[gauge]")
    pattern = table.text("pattern")
    stitches, rows = (table.number(key, 0.1, _MOST_STITCHES) for key in ("stitches", "rows"))
    over = _lengths(table, "over", sides=True)
    pieces = table.texts("pieces")
    if pattern is None and "pattern" not in table.data:
        table.fault("pattern", "a gauge without “pattern”, the name of what it was measured in")
    if stitches is None and rows is None and not {"stitches", "rows"} & set(table.data):
        table.fault("stitches", "a gauge without “stitches” or “rows”")
    if over is None and "over" not in table.data:
        table.fault("over", "a gauge without “over”, such as \"10 cm\"")
    if pattern is None or over is None or (stitches is None and rows is None):
        return None
    return GivenGauge(pattern, stitches, over[0][0], rows, over[0][-1], pieces or (), table.line)


def _measure(table: Table) -> GivenMeasure | None:
    table.known(_MEASURE, "[measure]")
    piece = table.text("piece") or ""
    width, length, body, ease = (_lengths(table, key) for key in ("width", "length", "body", "ease"))
    share = table.number("share", 0.01, 2)
    given = set(table.data)
    if "ease" in given and "body" not in given:
        table.fault("ease", "“ease” is room around a body; give “body” as well")
    if {"width", "body"} <= given:
        table.fault("body", "“width” and “body” both say how wide it is; give one of them")
    if not given & {"width", "length", "body"}:
        table.fault("piece", "a measure without “width”, “length” or “body”")
    unit = next((found[1] for found in (width, body, length) if found), "cm")
    wide: tuple[str, ...] = ()
    across = width[0] if width else ()
    if body:
        room = ease[0] if ease else (0.0,)
        if len(room) not in (1, len(body[0])) and len(body[0]) > 1:
            table.fault("ease", f"“ease” has {len(room)} values and “body” {len(body[0])}")
            return None
        across, wide = _worn(body[0], room, share or 1.0, unit)
        if across and min(across) <= 0:
            table.fault("ease", "“ease” takes away more than there is")
            return None
    return GivenMeasure(piece, across, length[0] if length else (), unit, wide, table.line)


def _worn(body: tuple[float, ...], ease: tuple[float, ...], share: float, unit: str) -> tuple[tuple[float, ...], tuple[str, ...]]:
    """The width of a piece that takes a share of a body and its ease, in cm, and the sum in words."""
    widths: list[float] = []
    words: list[str] = []
    for i in range(max(len(body), len(ease))):
        b, e = body[i if len(body) > 1 else 0], ease[i if len(ease) > 1 else 0]
        widths.append((b + e) * share)
        part = "" if share == 1 else "half of " if share == 0.5 else f"{share:g} of "
        sign = "and" if e >= 0 else "less"
        words.append(f"{part}{_in(b, unit)} round the body" + (f" {sign} {_in(abs(e), unit)} of ease" if e else ""))
    return tuple(widths), tuple(words)


def _in(cm: float, unit: str) -> str:
    return f"{round(convert(cm, 'cm', unit), 2):g} {unit}"


def _lengths(table: Table, key: str, *, sides: bool = False) -> tuple[tuple[float, ...], str] | None:
    """Lengths such as "10 cm", "46 (51, 56) cm" or, for ease, "-5 cm", in cm, with their unit. ``sides`` takes "4 x 6 in"."""
    words = table.text(key)
    if words is None:
        return None
    sign = -1.0 if key == "ease" and words[:1] in "-−" else 1.0
    plain = words[1:].strip() if sign < 0 else words
    found = amounts(plain)
    amount = found[0] if len(found) == 1 and found[0].span == Span(0, len(plain)) else None
    fits = amount is not None and (len(amount.figures) == 1 + amount.times if sides else not amount.times)
    if amount is None or not fits or not amount.is_length or amount.in_foot_marks:
        table.fault(key, f"“{key}” is {shown(words)}, but must be a length with its unit, such as \"10 cm\"" + ("" if sides else " or, for several sizes, \"46 (51, 56) cm\""))
        return None
    cm = tuple(sign * convert(value, amount.symbol, "cm") for value in amount.values)
    if any(value == 0 for value in cm) and key != "ease":
        table.fault(key, f"“{key}” is {shown(words)}, but must be more than nothing")
        return None
    return cm, amount.symbol if amount.symbol in ("in", "cm") else "cm"
