"""Small manuscripts in many hands, each with the numbers a reader must work out: tests/forms/<topic>.toml.

A form states only what is sure. Every number it states must come out, and the loud findings (wrong, query) must be
exactly those it lists, by rule and line; a finding that hangs under another need not be listed.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from tenterhook.lint.fabric.work import RowWork, SizeWork, Status
from tenterhook.lint.finding import Finding, Severity
from tenterhook.lint.proof import Proof, proof
from tenterhook.lint.style import Style
from tenterhook.lint.text import Span, Text

FOLDER = Path(__file__).parent / "forms"
NUMBERS = ("base", "used", "made", "stated", "spaces")

# Forms that do not come out yet, with the reason. They are run all the same and may not be louder than they list;
# one that comes out must leave this list.
KNOWN_GAPS: dict[str, str] = {
    "atoms-hyphen-group": "stitches joined by hyphens are not read as one group",
    "atoms-extended": "“esc” as the noun of a count is not matched with the stitch made",
    "atoms-words-for-skip": "“jump over” and “leave” with a number are not read as skips",
    "colours-tapestry": "a colour named after its run with “in” is not read",
    "colours-any-corner": "a start in any corner, in a new colour, is not read",
    "counts-equals": "an equals sign glued to the words before it hides the repeat",
    "labels-number-row": "“3. row” after a range by number is not tied to its row",
    "lexical-dots": "a full stop after an ordinal ends the clause",
    "motifs-toy-oval": "the second side of a toy's oval is taken on trust",
    "placements-base-of-chain": "“at the base of the chain” is not read as the same stitch",
    "placements-rows-below": "a stitch into the one skipped two rows below is not followed",
    "references-each-of": "“2 rnds each of” is not laid out",
    "repeats-brackets-tail": "a tail after a scope without a comma is not told from the scope",
    "sizes-list-only": "sizes all inside one bracket are not taken as a chain",
    "sizes-stop-early": "a row for one size between numbered rows is not followed",
    "turning-declared-wordings": "one of four wordings that a chain counts is not read",
    "uk-terms-by-height": "without a word on the terms, US is taken",
}

Form = dict[str, Any]


def read_forms() -> list[Form]:
    return [form for path in sorted(FOLDER.glob("*.toml")) for form in tomllib.loads(path.read_text("utf-8"))["form"]]


FORMS = read_forms()


def same_label(left: str, right: str) -> bool:
    """Whether two labels name the same row: decorations after the number and the word for a round are no difference."""

    def folded(label: str) -> tuple[str, ...]:
        return tuple(label.lower().replace("round", "rnd").split()[:2])

    return folded(left) == folded(right)


def for_each_size(value: object, how_many: int) -> list[object]:
    return list(value) if isinstance(value, list) else [value] * how_many


def row_differences(wanted: Form, row: RowWork) -> Iterator[str]:
    sizes = row.sizes
    for key in NUMBERS:
        if key in wanted:
            got: list[object] = [getattr(size, key) for size in sizes]
            if got != for_each_size(wanted[key], len(sizes)):
                yield f"{key} is {got}, should be {wanted[key]}"
    for kind, value in wanted.get("kinds", {}).items():
        got = [size.kinds.get(kind, 0) for size in sizes]
        if got != for_each_size(value, len(sizes)):
            yield f"{kind} is {got}, should be {value}"
    if "side" in wanted and row.side != wanted["side"]:
        yield f"side is {row.side}, should be {wanted['side']}"
    if "status" in wanted and row.status.value != wanted["status"]:
        yield f"status is {row.status.value}, should be {wanted['status']}"
    if "only" in wanted and [size.size for size in sizes] != wanted["only"]:
        yield f"worked in {[size.size for size in sizes]}, should be in {wanted['only']}"
    for key in wanted.get("unknown", ()):
        if any(getattr(size, key) is not None for size in sizes):
            yield f"{key} is {[getattr(size, key) for size in sizes]}, should be unknown"


def differences(form: Form, rows: list[RowWork]) -> Iterator[str]:
    """Where the worked rows differ from what the form states. Rows it does not state may stand between."""
    start = 0
    for wanted in form["rows"]:
        place = next((i for i in range(start, len(rows)) if same_label(rows[i].label, wanted["label"])), None)
        if place is None:
            yield f"{wanted['label']}: no such row"
            continue
        start = place + 1
        yield from (f"{wanted['label']}: {words}" for words in row_differences(wanted, rows[place]))


def loud_findings(form: Form, text: Text, findings: tuple[Finding, ...]) -> tuple[list[str], list[str]]:
    """The findings the form lists and did not get, and the loud ones it got and does not list."""
    missing, surplus = list(form["findings"]), list[str]()
    for finding in findings:
        first, last = text.line_number(finding.span.start), text.line_number(max(finding.span.start, finding.span.end - 1))
        hit = next(
            (
                want
                for want in missing
                if want["rule"] == finding.rule
                and first <= want["line"] <= last
                and want.get("severity", finding.severity) == finding.severity
            ),
            None,
        )
        if hit is not None:
            missing.remove(hit)
        elif finding.severity.at_least(Severity.QUERY) and finding.follows is None:
            surplus.append(f"line {first}: unlisted {finding.severity} {finding.rule}: {finding.message}")
    return [f"line {want['line']}: {want['rule']} not reported" for want in missing], surplus


def worked(form: Form) -> Proof:
    return proof(Text(form["text"], name=f"{form['id']}.txt"), Style(strict=True))


@pytest.mark.parametrize("form", [f for f in FORMS if f["id"] not in KNOWN_GAPS], ids=lambda f: f["id"])
def test_form(form: Form) -> None:
    outcome = worked(form)
    missing, surplus = loud_findings(form, outcome.text, outcome.findings)
    faults = [*differences(form, list(outcome.work.rows())), *missing, *surplus]
    assert not faults, f"{form['note']}\n" + "\n".join(faults)


@pytest.mark.parametrize("form", [f for f in FORMS if f["id"] in KNOWN_GAPS], ids=lambda f: f["id"])
def test_known_gap_is_never_loud(form: Form) -> None:
    outcome = worked(form)
    missing, surplus = loud_findings(form, outcome.text, outcome.findings)
    assert not surplus, f"{form['note']}\n" + "\n".join(surplus)
    assert missing or list(differences(form, list(outcome.work.rows()))), "comes out now: take it off the list"


def test_known_gaps_are_forms_with_a_reason() -> None:
    assert set(KNOWN_GAPS) <= {form["id"] for form in FORMS}
    assert all(KNOWN_GAPS.values())


def test_forms_have_names_of_their_own() -> None:
    names = [form["id"] for form in FORMS]
    assert len(names) == len(set(names)) >= 160


@pytest.mark.parametrize("form", FORMS, ids=lambda f: f["id"])
def test_form_agrees_with_itself(form: Form) -> None:
    """A proved row uses its whole base and leaves what it states; every listed finding has a line to stand on."""
    for row in form["rows"]:
        if row.get("status") == "proved":
            assert row.get("used", row.get("base")) == row.get("base", row.get("used")), row
            assert row.get("stated", row.get("made")) == row.get("made", row.get("stated")), row
    lines = form["text"].splitlines()
    assert all(1 <= want["line"] <= len(lines) for want in form["findings"])


def by_hand(**changes: Any) -> RowWork:
    numbers: dict[str, Any] = {"size": None, "base": 8, "used": 8, "made": 9, "stated": 9, "spaces": 0, "kinds": {"sc": 9}}
    size = SizeWork(**{**numbers, **changes}, working="")
    return RowWork("Row 2", Span(0, 5), Span(0, 5), "WS", True, Status.PROVED, (size,))


@pytest.mark.parametrize("changes", [{"base": 9}, {"used": 7}, {"made": 8}, {"stated": None}, {"spaces": 1}, {"kinds": {"dc": 9}}])
def test_a_number_that_differs_is_seen(changes: dict[str, Any]) -> None:
    wanted = {"base": 8, "used": 8, "made": 9, "stated": 9, "spaces": 0, "kinds": {"sc": 9}, "side": "WS", "status": "proved"}
    assert not list(row_differences(wanted, by_hand()))
    assert list(row_differences(wanted, by_hand(**changes)))


def test_a_finding_off_the_list_is_seen() -> None:
    text = Text("Ch 9.\nRow 1: Sc in each ch.\n")
    found = Finding("row-total", Severity.WRONG, "8 sc, not 9", Span(6, 28))
    hanging = Finding("row-total", Severity.WRONG, "the same again", Span(6, 28), follows=0)
    listed: Form = {"findings": [{"rule": "row-total", "line": 2, "severity": "wrong"}]}
    assert loud_findings(listed, text, (found, hanging)) == ([], [])
    assert loud_findings({"findings": []}, text, (found,))[1]
    assert loud_findings(listed, text, ())[0]
    assert loud_findings({"findings": [{"rule": "row-total", "line": 1}]}, text, (found,)) != ([], [])
