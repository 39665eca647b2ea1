"""The proof as a page: every finding with its words, its sum and its question, tied to its row in the table of counts."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from xml.etree.ElementTree import Element

from ..fabric.work import Status
from ..finding import Correction, Finding, Severity
from ..manuscript.read import Unreadable
from ..proof import Proof
from ..rule import Rule
from ..text import Span
from ..version import VERSION
from ..words import count_of, row_list, severity_count
from .counts_html import counts, facts, row_id, tally, unread_files
from .excerpt import quoted
from .followers import Followers
from .html import Child, e, page, scrolled
from .places import Places, once
from .scope import Summary, scope, summary
from .unread import is_plain_unread, phrases_unread

MOST_SHOWN = 700
"""Characters of a row shown around the words of a finding."""

MOST_FOLLOWERS = 40
"""Findings that follow from one cause and are spelled out; of the others the number is given."""

_STATES = {Status.DIFFERS: "Differ", Status.ASSUMED: "Taken on the designer’s word", Status.UNREAD: "Not read, in whole or in part"}

STYLE = """
.finding { margin: 0 0 1.2rem; padding: .2rem 0 .2rem 1rem; border-left: 4px solid var(--line); }
.finding h4 { margin: .2rem 0; } .finding > p, .finding > ul { margin: .3rem 0; }
.finding.wrong { border-color: var(--wrong); color: inherit; border-left-style: solid; } .finding.query { border-color: var(--query); color: inherit; border-left-style: double; border-left-width: 6px; }
.finding.style { border-color: var(--style); color: inherit; border-left-style: dashed; } .finding.suggestion { border-color: var(--suggestion); color: inherit; border-left-style: dotted; }
.words { margin: .4rem 0; padding: .4rem .6rem; background: var(--shade); font-family: ui-monospace, monospace; font-size: .9rem; }
mark { background: var(--band); color: inherit; text-decoration: underline; text-decoration-thickness: 2px; text-underline-offset: 3px; }
pre { white-space: pre-wrap; background: var(--shade); padding: .4rem .6rem; overflow-wrap: anywhere; }
del { color: var(--soft); } ins { font-weight: 600; }
@media print { .words, pre { border: 1px solid var(--line); } mark { background: none; } }
"""


@dataclass(frozen=True)
class Part:
    """One manuscript's part of the page."""

    body: Element
    summary: Summary
    rules: frozenset[str]


def part(path: str, proof: Proof, number: int, remark: str = "") -> Part:
    """One manuscript's findings and counts. ``number`` tells its ids from those of the other manuscripts of the page."""
    pages = _Pages(proof, f"m{number}")
    found = summary(path, proof)
    name = f"m{number}"
    sections: list[tuple[str, str, Child]] = [("findings", f"Findings ({sum(found.severities.values())})", pages.findings())]
    if proof.closed:
        sections.append(("closed", "Queries that are closed", e("ul", [e("li", f"{asked}") for asked in proof.closed])))
    if proof.stand or proof.spent:
        sections.append(("stand", "Let stand by an editor", pages.stand()))
    if unread := list(pages.unread()):
        sections.append(("unread", "Words that were not read, for your eyes", e("ul", unread)))
    sections.append(("counts", "Counts, row by row", pages.counts()))
    if readings := pages.readings():
        sections.append(("readings", "How it was read", e("ul", [e("li", reading) for reading in readings])))
    contents = e("nav", e("ul", [e("li", e("a", title, href=f"#{name}-{key}")) for key, title, _ in sections]), aria_label=f"Contents of {path}")
    body = e(
        "article",
        e("h2", path, id=f"{name}-title"),
        e("p", " · ".join((*facts(proof), _found(found)))),
        e("p", f"Note: {remark}.") if remark else None,
        contents,
        [
            e("section", e("h3", title, id=f"{name}-{key}"), content, aria_labelledby=f"{name}-{key}")
            for key, title, content in sections
        ],
        aria_labelledby=f"{name}-title",
        id=name,
    )  # fmt: skip
    return Part(body, found, frozenset(f.rule for f in proof.findings))


def report(parts: Iterable[Part], unreadable: Iterable[Unreadable], rules: Iterable[Rule], *, ascii_only: bool = False) -> str:
    """The whole page."""
    done, failed = list(parts), list(unreadable)
    spoke = frozenset(name for p in done for name in p.rules)
    names = ", ".join(p.summary.path for p in done[:3]) + (" …" if len(done) > 3 else "")
    return page(
        f"Proof: {names}" if done else "Proof", STYLE,
        e("header", e("h1", "Proof"), e("p", f"Made by Tenterhook {VERSION}.", class_="soft")),
        e("main", unread_files(failed), _overview(done), [p.body for p in done], _rules([r for r in rules if r.name in spoke]), id="report"),
        e("footer", _scope(done)),
        ascii_only=ascii_only,
    )  # fmt: skip


def _found(found: Summary) -> str:
    """“1 wrong, 2 queries”, or that there is nothing to report."""
    return ", ".join(severity_count(s, found.severities[s]) for s in Severity if found.severities[s]) or "no findings"


class _Pages:
    """The parts of one manuscript, tied to each other: finding to row, row to finding."""

    def __init__(self, proof: Proof, name: str) -> None:
        self.proof = proof
        self.name = name
        self.places = Places(proof.work)
        self.families = Followers(proof.findings)
        self.rows = [(row, row_id(f"{name}-p{p}", r)) for p, piece in enumerate(proof.work.pieces, 1) for r, row in enumerate(piece.rows)]
        self.by_span: dict[Span, list[tuple[str, str]]] = {}
        for row, anchor in self.rows:
            self.by_span.setdefault(row.span, []).append((row.label, anchor))
        self.numbers: dict[int, str] = {}
        for index in sorted(self.families.causes):
            if not is_plain_unread(proof.findings[index]) and not proof.findings[index].stands:
                self.numbers[index] = str(len(self.numbers) + 1)
        self.shown = {*self.numbers, *(i for cause in self.numbers for i in self.below(cause)[:MOST_FOLLOWERS])}

    def below(self, cause: int) -> list[int]:
        """What follows from a finding and does not stand by itself."""
        return [index for index in self.families.below(cause) if not self.proof.findings[index].stands]

    # -- findings -----------------------------------------------------------------------------------------------------

    def findings(self) -> Child:
        if not self.numbers:
            return e("p", "Nothing was found that does not come out.")
        return [self.finding(index) for index in self.numbers]

    def finding(self, index: int) -> Element:
        finding = self.proof.findings[index]
        severity = finding.severity.value
        followers = self.below(index)
        title = f"{self.name}-f{index}"
        return e(
            "section",
            e(
                "h4", f"{self.numbers[index]}. ", e("strong", severity.capitalize(), class_=severity), f" · {self.place(finding)}",
                id=f"{title}-title",
            ),
            self.links(finding),
            e("p", _marked(self.proof, finding.span, self.places), class_="words"),
            e("p", finding.message),
            e("p", f"{finding.asked}.") if finding.asked else None,
            e("ul", [e("li", f"{b.message.rstrip('.')} (", self.line(b.span), ").") for b in finding.because]) if finding.because else None,
            [_correction(self.proof, c) for c in finding.corrections],
            self.followers(followers) if followers else None,
            class_=f"finding {severity}", id=title, aria_labelledby=f"{title}-title",
        )  # fmt: skip

    def followers(self, indexes: Sequence[int]) -> Child:
        shown = indexes[:MOST_FOLLOWERS]
        lines = [
            e(
                "li", f"{self.place(f)} · ", e("strong", f.severity.value, class_=f.severity.value), " · ", _rule_link(f), f": {f.message} ", self.row_link(f),
                id=f"{self.name}-f{i}",
            )
            for i in shown
            for f in (self.proof.findings[i],)
        ]  # fmt: skip
        rest = len(indexes) - len(shown)
        return [
            e("p", f"{count_of(len(indexes), 'finding follows', 'findings follow')} from this:"),
            e("ul", lines, e("li", f"and {rest} more like these") if rest else None),
        ]

    def place(self, finding: Finding) -> str:
        """“Sleeve, Row 4, line 12, sizes M and L”."""
        return self.places.in_words(self.proof, finding)

    def links(self, finding: Finding) -> Element:
        row = self.row_link(finding)
        return e("p", "Check: ", _rule_link(finding), [" · ", row] if row is not None else None, class_="soft")

    def row_link(self, finding: Finding) -> Element | None:
        anchor = self.row_of(finding)
        return None if anchor is None else e("a", f"{finding.place or 'its row'} in the counts", href=f"#{anchor}")

    def row_of(self, finding: Finding) -> str | None:
        """The id of the row a finding stands in: of those that one text stands for, the one it names."""
        row = self.places.row(finding.span)
        if row is None:
            return None
        same = self.by_span.get(row.span, [])
        return next((anchor for label, anchor in same if label == finding.place), same[0][1] if same else None)

    def line(self, span: Span) -> Child:
        """The line of a place, as a link to its row where it has one."""
        words = self.proof.text.where(span.start)
        row = self.places.row(span)
        same = self.by_span.get(row.span, []) if row is not None else []
        return e("a", words, href=f"#{same[0][1]}") if same else words

    def stand(self) -> Element:
        """What an editor let stand, each with the reason, and the entries whose finding is gone."""
        standing = [
            e(
                "li", f"{self.place(f)} · {f.severity.value} · ", _rule_link(f), f": {f.message} Stands because: {f.stands} ", self.row_link(f),
                id=f"{self.name}-f{i}",
            )
            for i, f in enumerate(self.proof.findings)
            if f.stands
        ]  # fmt: skip
        return e("ul", standing, [e("li", f"Spent, its finding is gone: {stet}: {stet.because}") for stet in self.proof.spent])

    # -- rows ---------------------------------------------------------------------------------------------------------

    def counts(self) -> Child:
        links = self.findings_by_row()
        out: list[Child] = [e("p", f"{tally(self.proof)}.")]
        for status, words in _STATES.items():
            named = list(self.named(status))
            if named:
                out.append(e("p", f"{words}: {'; '.join(named)}."))
        for number, piece in enumerate(self.proof.work.pieces, 1):
            if piece.rows:
                title = piece.name or "Rows"
                out += [e("h4", title), counts(piece, self.proof, f"{self.name}-p{number}", title, links)]
        return out

    def named(self, status: Status) -> Iterator[str]:
        """The rows of a status, piece by piece: “Sleeve: Rows 3–5”."""
        several = len(self.proof.work.pieces) > 1
        for piece in self.proof.work.pieces:
            rows = [row for row in piece.rows if row.status is status]
            if rows:
                yield f"{piece.name}: {row_list(rows)}" if several and piece.name else row_list(rows)

    def findings_by_row(self) -> Mapping[str, Sequence[Child]]:
        links: dict[str, list[Child]] = {}
        for index, finding in enumerate(self.proof.findings):
            anchor = self.row_of(finding)
            if anchor is None or index not in self.shown:
                continue
            before = links.setdefault(anchor, [])
            number = self.numbers.get(index)
            name = f"{number}. {finding.rule}" if number else finding.rule
            before += [*([", "] if before else []), e("a", name, href=f"#{self.name}-f{index}")]
        return links

    def unread(self) -> Iterator[Element]:
        for span, place, message in phrases_unread(self.proof):
            if not span:  # what is not in the text at all, such as a page that is a picture
                yield e("li", message)
                continue
            where = ", ".join(part for part in (self.places.piece_name(span), place) if part)
            yield e("li", f"{where}, " if where else None, self.line(span), f": {quoted(self.proof.text, span)}", f" – {message}" if message else None)

    def readings(self) -> list[str]:
        several = len(self.proof.work.pieces) > 1
        found = [f"{p.name}: {reading}" if several and p.name else reading for p in self.proof.work.pieces for reading in p.readings]
        found += [f"{row.label}: {reading}" for row in once(self.proof.work.rows()) for reading in row.readings]
        return list(dict.fromkeys(found))


def _rule_link(finding: Finding) -> Element:
    return e("a", finding.rule, href=f"#rule-{finding.rule}")


def _marked(proof: Proof, span: Span, places: Places) -> list[Child]:
    """The words of a finding, marked, in the row or line they stand in."""
    text = proof.text
    row = places.row(span)
    first, last = text.line_number(span.start), text.line_number(max(span.start, span.end - 1))
    around = row.span if row is not None else text.line_span(first).to(text.line_span(last))
    start, end = max(around.start, span.start - MOST_SHOWN // 2), min(around.end, span.end + MOST_SHOWN // 2)
    middle = text[span] or " "
    if len(middle) > MOST_SHOWN:
        middle = f"{middle[: MOST_SHOWN // 2]} … {middle[-MOST_SHOWN // 2 :]}"
    before, after = text[Span(min(start, span.start), span.start)], text[Span(span.end, max(end, span.end))]
    return [
        "… " if start > around.start else None, _spaced(before), e("mark", " ".join(middle.split()) or "\N{OPEN BOX}"), _spaced(after),
        " …" if end < around.end else None,
    ]  # fmt: skip


def _spaced(words: str) -> str:
    """White space as single spaces, kept at both ends."""
    inner = " ".join(words.split())
    if not inner:
        return " " if words else ""
    return f"{' ' if words[0].isspace() else ''}{inner}{' ' if words[-1].isspace() else ''}"


def _correction(proof: Proof, correction: Correction) -> Element:
    changes: list[Child] = []
    for edit in sorted(correction.edits, key=lambda edit: edit.span):
        old, new = " ".join(proof.text[edit.span].split()), " ".join(edit.text.split())
        line = f"{proof.text.where(edit.span.start)}: "
        if old and new:
            changes.append(e("li", line, e("ins", new), " in place of ", e("del", old)))
        else:
            changes.append(e("li", line, ["put in ", e("ins", new)] if new else ["take out ", e("del", old)]))
    return e("div", e("p", e("strong", "Correction: "), f"{correction.title.rstrip('.')}."), e("ul", changes))


# -- around the manuscripts -----------------------------------------------------------------------------------------------


def _overview(done: Sequence[Part]) -> Element | None:
    """The manuscripts side by side."""
    if len(done) < 2:
        return None
    heads = ("Manuscript", *(s.value.capitalize() for s in Severity), "Rows", "Proved")
    table = e(
        "table",
        e("caption", f"{count_of(len(done), 'manuscript')}: findings by severity, and rows."),
        e("thead", e("tr", [e("th", head, scope="col", class_=None if head == "Manuscript" else "n") for head in heads])),
        e(
            "tbody",
            [
                e(
                    "tr", e("th", e("a", p.summary.path, href=f"#{p.body.get('id')}"), scope="row"),
                    [e("td", str(n), class_="n") for n in (*(p.summary.severities[s] for s in Severity), p.summary.rows["total"], p.summary.rows["proved"])],
                )
                for p in done
            ],
        ),
    )  # fmt: skip
    return e("section", e("h2", "All manuscripts", id="overview"), scrolled(table, "All manuscripts"), aria_labelledby="overview")


def _rules(rules: Sequence[Rule]) -> Element | None:
    """A page for each check that spoke, so that a link to it leads somewhere."""
    if not rules:
        return None
    pages: list[Child] = []
    for rule in sorted(rules, key=lambda rule: rule.name):
        pages.append(
            e(
                "section",
                e("h3", rule.name, id=f"rule-{rule.name}"),
                e("p", e("strong", f"{rule.title}.")),
                e("p", rule.why),
                e("p", "What it looks like:"), e("pre", rule.looks_like.strip("\n")),
                e("p", "What is better:"), e("pre", rule.better.strip("\n")),
                e("p", e("strong", "When to let it stand: "), rule.let_stand),
                aria_labelledby=f"rule-{rule.name}",
            )
        )  # fmt: skip
    return e("section", e("h2", "The checks that spoke", id="rules"), pages, aria_labelledby="rules")


def _scope(done: Sequence[Part]) -> Element:
    said = scope([p.summary for p in done]) if done else ["Nothing was read, so nothing was checked."]
    return e("section", e("h2", "What this report covers", id="scope"), e("ul", [e("li", s) for s in said]), aria_labelledby="scope")
