"""The report a person reads: every finding with the words, the sum and the question, then what was and was not read."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from ..fabric.work import Status
from ..finding import Finding, Severity
from ..manuscript.read import Unreadable
from ..proof import Proof
from ..words import count_of, row_list, severity_count, sizes_in_words
from .excerpt import excerpt, quoted
from .followers import Followers
from .page import Page, cells, wrapped
from .places import Places, once
from .scope import Summary, scope, severities
from .unread import is_plain_unread, phrases_unread

MAX_FOLLOWERS = 3
"""Findings that follow from one cause and are spelled out; of the others the place is named."""

_INDENT = "   "


def manuscript(path: str, proof: Proof, page: Page, remark: str = "") -> None:
    """One manuscript's part of the report, written on ``page``."""
    _heading(path, proof, page, remark)
    families, places = Followers(proof.findings), Places(proof.work)
    number = 0
    for index, finding in enumerate(proof.findings):
        if index in families.causes and not finding.stands and not is_plain_unread(finding):
            number += 1
            page.gap()
            followers = [proof.findings[i] for i in families.below(index) if not proof.findings[i].stands]
            _finding(number, finding, followers, proof, places, page, proof.handles[index])
    page.gap()
    _stands(proof, places, page)
    _rows(proof, places, page)


def closing(summaries: Sequence[Summary], unreadable: Sequence[Unreadable], page: Page) -> None:
    """The end of the report: the manuscripts side by side, those not read, and what the report covers."""
    if len(summaries) > 1:
        page.gap()
        _overview(summaries, page)
    if unreadable:
        page.gap()
        page.paragraph(("Files that could not be read", "heading"))
        for entry in unreadable:
            page.paragraph(f"{entry.path}: {entry.reason}", first=_INDENT, rest=_INDENT * 2)
    if summaries:
        page.gap()
        _scope(summaries, page)


def _heading(path: str, proof: Proof, page: Page, remark: str) -> None:
    pattern = proof.pattern
    page.heading(path)
    facts = [f"{pattern.terms} terms" if pattern.terms else "terms not known"]
    facts.append(f"sizes {', '.join(pattern.sizes)}" if len(pattern.sizes) > 1 else "one size")
    facts.append(_found_in_words(severities(proof)))
    if proof.stand:
        facts.append(_stand_in_words(len(proof.stand)))
    page.paragraph(" · ".join(facts))
    if remark:
        page.paragraph(f"Note: {remark}.")


def _found_in_words(found: Mapping[Severity, int]) -> str:
    """“1 wrong, 2 queries”, or that there is nothing to report."""
    counts = [severity_count(severity, found[severity]) for severity in Severity if found[severity]]
    return ", ".join(counts) or "no findings"


def _stand_in_words(number: int) -> str:
    return f"{number} stand{'s' if number == 1 else ''}"


def _stands(proof: Proof, places: Places, page: Page) -> None:
    """What an editor let stand, each with the reason, and the entries whose finding is gone."""
    if proof.stand:
        page.paragraph((f"{_stand_in_words(len(proof.stand))}, as an editor decided", "heading"))
        for finding, handle in zip(proof.findings, proof.handles, strict=True):
            if finding.stands:
                words = f"{_place(finding, proof, places)} · {finding.severity.value} · {handle}: {finding.message} Stands because: {finding.stands}"
                words += f" ({finding.asked.name})" if finding.asked else ""
                page.paragraph(words, first=f"{_INDENT}– ")
        page.gap()
    if proof.closed:
        page.paragraph((f"{count_of(len(proof.closed), 'query', 'queries')} of the list closed: the finding is gone", "heading"))
        for asked in proof.closed:
            page.paragraph(f"{asked}", first=f"{_INDENT}– ")
        page.gap()
    if proof.spent:
        page.paragraph((f"{count_of(len(proof.spent), 'stet is', 'stets are')} spent: the finding is gone", "heading"))
        for stet in proof.spent:
            line = f", line {stet.line} of the side file" if stet.line else ""
            page.paragraph(f"{stet}{line}: {stet.because}", first=f"{_INDENT}– ")
        page.gap()


def _finding(
    number: int, finding: Finding, followers: list[Finding], proof: Proof, places: Places, page: Page, handle: str
) -> None:
    severity, text = finding.severity.value, proof.text
    head = [
        *cells(f"{number}. "),
        *cells(severity.capitalize(), severity),
        *cells(f" · {_place(finding, proof, places)}"),
    ]
    name = cells(handle, "aside")
    taken = sum(cell.width for cell in head)
    free = page.width - taken - len(name)
    if free >= 2:
        page.line([*head, *cells(" " * free), *name])
    else:
        for part in wrapped([*head, *cells(" · "), *name], page.width):
            page.line(part)
    row = places.row(finding.span)
    for line in excerpt(text, finding.span, row.span if row else None, page.width - 2 * len(_INDENT), severity):
        page.line([*cells(_INDENT * 2), *line])
    page.paragraph(finding.message, first=_INDENT)
    if finding.asked:
        page.paragraph(f"{finding.asked}", first=_INDENT)
    for because in finding.because:
        message = because.message.rstrip(".")
        page.paragraph(f"{message} ({text.where(because.span.start)}).", first=f"{_INDENT}– ")
    for correction in finding.corrections:
        page.paragraph(f"Correction: {correction.title.rstrip('.')}.", first=_INDENT)
    if followers:
        _follow(finding, followers, proof, places, page)


def _follow(cause: Finding, followers: list[Finding], proof: Proof, places: Places, page: Page) -> None:
    page.paragraph(f"{count_of(len(followers), 'finding follows', 'findings follow')} from this:", first=_INDENT)
    spelled = followers if len(followers) == MAX_FOLLOWERS + 1 else followers[:MAX_FOLLOWERS]
    for finding in spelled:
        page.paragraph(
            f"{_place(finding, proof, places, cause)} · ",
            (finding.severity.value, finding.severity.value),
            f" · {finding.rule}: {finding.message}",
            first=f"{_INDENT}└ ",
        )
    others = followers[len(spelled) :]
    if others:
        named = dict.fromkeys(finding.place or proof.text.where(finding.span.start) for finding in others)
        page.paragraph(f"and {len(others)} more: {', '.join(named)}", first=f"{_INDENT}└ ")


def _place(finding: Finding, proof: Proof, places: Places, cause: Finding | None = None) -> str:
    """“Sleeve, Row 4, line 12, sizes M and L”; beside its cause, only what differs from the cause."""
    piece = places.piece_name(finding.span)
    parts = [
        "" if cause and places.piece_name(cause.span) == piece else piece,
        finding.place,
        proof.text.where(finding.span.start),
    ]
    if finding.sizes and not (cause and cause.sizes == finding.sizes):
        every = 1 < len(finding.sizes) == len(proof.pattern.sizes)
        parts.append("all sizes" if every else sizes_in_words(finding.sizes))
    return ", ".join(part for part in parts if part)


def _rows(proof: Proof, places: Places, page: Page) -> None:
    tally = proof.work.tally()
    if not tally["total"]:
        page.paragraph("Rows: none were found, so no counts could be worked.")
    else:
        states = [(tally[status.value], status) for status in Status]
        parts: list[str | tuple[str, str]] = [f"{count_of(tally['total'], 'row')}: "]
        for place, (number, status) in enumerate(states):
            parts += [", " if place else "", (f"{number} {_STATUS[status]}", status.value if number else "")]
        page.paragraph(*parts, ".")
    for status, words in ((Status.DIFFERS, "Differ"), (Status.ASSUMED, "Taken on the designer's word")):
        named = list(_named(proof, status))
        if named:
            page.paragraph(f"{words}: {'; '.join(named)}.", first=_INDENT)
    _unread(proof, places, page)
    _readings(proof, page)


_STATUS = {Status.PROVED: "proved", Status.DIFFERS: "differ", Status.ASSUMED: "assumed", Status.UNREAD: "not read"}


def _named(proof: Proof, status: Status) -> Iterator[str]:
    """The rows of a status, piece by piece: “Sleeve: Rows 3–5”."""
    several = len(proof.work.pieces) > 1
    for piece in proof.work.pieces:
        rows = [row for row in piece.rows if row.status is status]
        if rows:
            yield f"{piece.name}: {row_list(rows)}" if several and piece.name else row_list(rows)


def _unread(proof: Proof, places: Places, page: Page) -> None:
    rows = list(_named(proof, Status.UNREAD))
    phrases = phrases_unread(proof)
    if rows:
        page.paragraph(f"Not read, in whole or in part: {'; '.join(rows)}.", first=_INDENT)
    if not phrases:
        return
    page.gap()
    page.paragraph(("Words that were not read, for your eyes", "heading"))
    for span, place, message in phrases:
        if not span:  # what is not in the text at all, such as a page that is a picture
            page.paragraph(message, first=_INDENT, rest=_INDENT * 2)
            continue
        where = ", ".join(part for part in (places.piece_name(span), place, proof.text.where(span.start)) if part)
        said = "" if not message else f" – {message}"
        page.paragraph(f"{where}: {quoted(proof.text, span)}{said}", first=_INDENT, rest=_INDENT * 2)


def _readings(proof: Proof, page: Page) -> None:
    several = len(proof.work.pieces) > 1
    readings = [
        f"{piece.name}: {reading}" if several and piece.name else reading
        for piece in proof.work.pieces
        for reading in piece.readings
    ] + [f"{row.label}: {reading}" for row in once(proof.work.rows()) for reading in row.readings]
    if not readings:
        return
    page.gap()
    page.paragraph(("How it was read", "heading"))
    for reading in dict.fromkeys(readings):
        page.paragraph(reading, first=f"{_INDENT}– ")


def _overview(summaries: Sequence[Summary], page: Page) -> None:
    page.rule()
    heads = [("wrong", 7), ("query", 7), ("style", 7), ("suggest", 9), ("rows", 7), ("proved", 8)]
    stand = any(entry.stand for entry in summaries)
    heads[4:4] = [("stand", 7)] if stand else []
    room = page.width - sum(width for _, width in heads)
    page.line(cells(f"{'Manuscript':<{room}}" + "".join(f"{head:>{width}}" for head, width in heads), "heading"))
    for entry in summaries:
        numbers = [entry.severities[severity] for severity in Severity]
        numbers += [*([entry.stand] if stand else []), entry.rows["total"], entry.rows["proved"]]
        name = cells(entry.path)
        while sum(cell.width for cell in name) > room - 1:
            name = [*cells("…"), *name[2:]]
        name += cells(" " * (room - sum(cell.width for cell in name)))
        run = list(name)
        looks = [severity.value for severity in Severity] + [""] * (len(heads) - len(Severity))
        for number, (_, width), look in zip(numbers, heads, looks, strict=True):
            run += cells(f"{number or '–':>{width}}", look if number else "aside")
        page.line(run)


def _scope(summaries: Sequence[Summary], page: Page) -> None:
    page.rule()
    page.paragraph(("What this report covers", "heading"))
    for sentence in scope(summaries):
        page.paragraph(sentence, first=f"{_INDENT}– ")
