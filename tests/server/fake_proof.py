"""A proof built by hand, so that the server is tested for itself: it reports the word "teh", and rows by their look.

``Row 3: … (11 sc)`` is a row stated and made at 11; ``makes 9`` in a row says what it makes; ``slow`` in a text takes
half a second, ``stuck`` half a minute, and ``crash`` raises.
"""

from __future__ import annotations

import re
import time

from tenterhook.lint.fabric.work import PieceWork, RowWork, SizeWork, Status, Work
from tenterhook.lint.finding import Because, Correction, Edit, Finding, Severity
from tenterhook.lint.pattern.pattern import Pattern
from tenterhook.lint.proof import Proof
from tenterhook.lint.syntax.layout import Layout, Section, SectionKind
from tenterhook.lint.text import Span, Text

ROW = re.compile(r"(Row (\d+)):[^\r\n]*")
STATED = re.compile(r"\((\d+) sc\)")
MADE = re.compile(r"makes (\d+)")
HEADING = re.compile(r"^# ([^\r\n]+)", re.M)


def fake(text: Text, memory: object = None) -> Proof:
    if "stuck" in text.source:
        time.sleep(30)
    if "slow" in text.source:
        time.sleep(0.5)
    if "crash" in text.source:
        raise ValueError("a planted failure")
    rows = tuple(_row(match) for match in ROW.finditer(text.source))
    sections = tuple(_sections(text))
    piece = PieceWork("Cowl", Span(rows[0].span.start, rows[-1].span.end), rows) if rows else None
    return Proof(
        text=text,
        layout=Layout(text.source, sections),
        pattern=Pattern(None, "", None, ()),
        work=Work((piece,) if piece else ()),
        findings=tuple(_findings(text)),
    )


def _row(match: re.Match[str]) -> RowWork:
    said, makes = STATED.search(match[0]), MADE.search(match[0])
    stated = int(said[1]) if said else None
    made = int(makes[1]) if makes else stated
    status = Status.UNREAD if made is None else Status.DIFFERS if stated not in (None, made) else Status.PROVED
    size = SizeWork(None, 11, 11, made, stated, {"sc": made or 0}, 0, f"{made} sc = {made}" if made else "")
    return RowWork(
        match[1], Span(*match.span()), Span(*match.span(1)), "RS", True, status, (size,), number=int(match[2])
    )


def _sections(text: Text):
    headings = list(HEADING.finditer(text.source))
    ends = [*(heading.start() for heading in headings[1:]), len(text)]
    for match, end in zip(headings, ends, strict=False):
        yield Section(SectionKind.NOTES, match[1], Span(*match.span()), Span(match.end(), end))


def _findings(text: Text):
    first: Span | None = None
    for match in re.finditer("teh", text.source):
        span = Span(*match.span())
        yield Finding(
            "word-mixed",
            Severity.QUERY,
            f"“teh” stands on line {text.line_number(span.start)}: is “the” meant?",
            span,
            because=(Because(first, "the first one stands here"),) if first else (),
            corrections=(Correction("Write “the”", (Edit(span, "the"),)),),
        )
        first = first or span
    for rule, severity in (
        ("row-total", Severity.WRONG),
        ("hook-label", Severity.STYLE),
        ("not-read", Severity.SUGGESTION),
    ):
        for match in re.finditer(f"!{rule}", text.source):
            yield Finding(rule, severity, f"A planted {rule}.", Span(*match.span()))
