"""Two versions compared, for a person: what is closed, what is still open, what is new and why, and which rows come out otherwise."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

from ..fabric.work import RowWork, SizeWork
from ..finding import Finding
from ..proof import Proof
from ..recheck import Came, Fresh, Recheck, RowPair, StillOpen
from ..words import count_of, listed, row_list
from .counted import shown
from .page import Page
from .places import Places
from .scope import scope, summary

_INDENT = "   "


def report(found: Recheck, page: Page) -> None:
    """The whole comparison, written on ``page``."""
    page.heading(f"{found.old.text.name} → {found.new.text.name}")
    broken = sum(fresh.came is Came.BROKEN for fresh in found.fresh)
    page.paragraph(
        f"{count_of(len(found.closed), 'finding')} closed · {len(found.open)} still open · {len(found.fresh)} new"
        + (f", {broken} of them brought by a change above" if broken else "")
        + f" · {count_of(len(found.changed), 'row')} with other sums"
    )
    old, new = Places(found.old.work), Places(found.new.work)
    several = len(found.new.work.pieces) > 1
    _section(page, "New", (_new(found, fresh, old, new) for fresh in found.fresh))
    _section(page, "Still open", (_open(found, still, new) for still in found.open))
    _section(page, "Closed", (_told(found.old, found.old.findings[index], old) for index in found.closed))
    _section(page, "Rows that come out otherwise", _rows(found.changed, several))
    _section(page, "Rows added", _labels(found.added, several))
    _section(page, "Rows gone", _labels(found.gone, several))
    page.gap()
    page.rule()
    page.paragraph((f"What the report covers of {found.new.text.name}", "heading"))
    for sentence in scope([summary(found.new.text.name, found.new)]):
        page.paragraph(sentence, first=f"{_INDENT}– ")


def _section(page: Page, title: str, lines: Iterator[tuple[str, str]]) -> None:
    """A heading with its lines, each led by a finding's severity or by nothing; no heading without lines."""
    for number, (severity, words) in enumerate(lines):
        if not number:
            page.gap()
            page.paragraph((title, "heading"))
        page.paragraph((severity.capitalize(), severity), f"{' · ' if severity else ''}{words}", first=f"{_INDENT}– ")


def _told(proof: Proof, finding: Finding, places: Places) -> tuple[str, str]:
    stands = f" Stands because: {finding.stands}" if finding.stands else ""
    return finding.severity.value, f"{places.in_words(proof, finding)} · {finding.rule}: {finding.message}{stands}"


def _open(found: Recheck, still: StillOpen, places: Places) -> tuple[str, str]:
    severity, words = _told(found.new, found.new.findings[still.new], places)
    return severity, words + (" Its words were changed since." if still.reworded else "")


def _new(found: Recheck, fresh: Fresh, old: Places, new: Places) -> tuple[str, str]:
    severity, words = _told(found.new, found.new.findings[fresh.new], new)
    return severity, f"{words} {_how(found, fresh, old)}"


def _how(found: Recheck, fresh: Fresh, places: Places) -> str:
    """Where a new finding comes from."""
    corrected = [f"{found.old.findings[i].rule} at {places.in_words(found.old, found.old.findings[i])}" for i in fresh.closed]
    closing = f", which closed {listed(corrected)}" if corrected else ""
    if fresh.came is Came.BROKEN and fresh.because is not None:
        return f"Its own words are as they were: it comes from the change in {fresh.because.label}{closing}."
    if fresh.came is Came.REWORDED:
        return f"Its words were changed{closing}."
    return "Its row is new." if fresh.came is Came.ADDED else "Its own words are as they were: it comes from a change elsewhere in the text."


def _rows(pairs: Sequence[RowPair], several: bool) -> Iterator[tuple[str, str]]:
    """The rows, those in a line that changed alike together."""
    for piece, change, reworded, rows in _alike(pairs):
        labels, was = row_list(pair.new for pair in rows), row_list(pair.old for pair in rows)
        named = f"{labels} (was {was})" if labels != was else labels
        yield "", f"{f'{piece}: ' if several and piece else ''}{named}: {change}{'' if reworded else '; words as they were'}"


def _alike(pairs: Sequence[RowPair]) -> list[tuple[str, str, bool, list[RowPair]]]:
    """Rows next to each other with the same change, and rows of one text whose state changed alike, whatever their numbers."""
    out: list[tuple[str, str, bool, list[RowPair]]] = []
    for (piece, _, _, _, reworded), group in groupby(pairs, key=lambda p: (p.piece, p.new.span, p.old.status, p.new.status, p.reworded)):
        rows = list(group)
        change = _change(rows[0])
        if any(_change(pair) != change for pair in rows):
            change = f"{rows[0].new.label} {change}; the others likewise with their own numbers"
        if out and out[-1][:3] == (piece, change, reworded):
            out[-1][3].extend(rows)
        else:
            out.append((piece, change, reworded, rows))
    return out


def _change(pair: RowPair) -> str:
    """“worked into 13 → 12, makes 13 → 12; differs → proved”."""
    parts = [_size_change(a, b) for a, b in zip(pair.old.sizes, pair.new.sizes, strict=False)]
    different = len({p for p in parts if p}) > 1 or (len(parts) > 1 and not all(parts))
    sums = "; ".join(f"size {size.size}: {part}" if different and size.size else part for size, part in zip(pair.new.sizes, parts, strict=False) if part)
    if not different and parts and parts[0]:
        sums = parts[0]
    if len(pair.old.sizes) != len(pair.new.sizes):
        sums = "; ".join(part for part in (sums, f"{count_of(len(pair.old.sizes), 'size')} → {len(pair.new.sizes)}") if part)
    state = f"{pair.old.status.value} → {pair.new.status.value}" if pair.old.status is not pair.new.status else ""
    return "; ".join(part for part in (sums, state) if part)


def _size_change(old: SizeWork, new: SizeWork) -> str:
    values = (("worked into", old.base, new.base), ("uses", old.used, new.used), ("makes", old.made, new.made), ("states", old.stated, new.stated))
    return ", ".join(f"{what} {shown(a)} → {shown(b)}" for what, a, b in values if a != b)


def _labels(rows: Sequence[tuple[str, RowWork]], several: bool) -> Iterator[tuple[str, str]]:
    for piece, group in groupby(rows, key=lambda pair: pair[0]):
        labels = row_list(row for _, row in group)
        yield "", f"{piece}: {labels}" if several and piece else labels
