"""Calm: a row is left in peace while it is being typed, and spoken of when the typing moves on or rests."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from lsprotocol import types as t
from tenterhook.lint.finding import Finding, Severity
from tenterhook.lint.text import Span, Text
from tenterhook.server.calm import held, key, typed_line

from .fake_proof import fake
from .raw import URI, Raw, at, edit

REST = 0.6


@pytest.fixture(scope="module")
def calm_server() -> Iterator[Raw]:
    with Raw(rest=REST) as client:
        client.initialize()
        yield client


@pytest.fixture
def raw(calm_server: Raw) -> Iterator[Raw]:
    calm_server.begin_anew()
    yield calm_server
    calm_server.put_away()
    calm_server.notify("workspace/didChangeConfiguration", {"settings": {"tenterhook": {"calm": True, "rest": REST}}})


def lines(found: list[dict]) -> list[int]:
    return [d["range"]["start"]["line"] for d in found]


def test_opening_a_text_tells_everything(raw: Raw):
    assert raw.agreed["positionEncoding"] == "utf-16", "the protocol's default"
    assert lines(raw.open("teh\nteh\n")) == [0, 1]


def test_a_line_being_typed_is_not_accused_until_typing_rests(raw: Raw):
    raw.open("teh\nte\n")
    version = raw.change(edit(1, 2, 2, "h"))
    assert lines(raw.diagnostics(version)) == [0]
    assert lines(raw.diagnostics(version)) == [0, 1]


def test_a_line_is_accused_as_soon_as_the_next_change_is_elsewhere(raw: Raw):
    raw.open("te\nthe\n")
    assert lines(raw.diagnostics(raw.change(edit(0, 2, 2, "h")))) == []
    assert lines(raw.diagnostics(raw.change(edit(1, 3, 3, "x")))) == [0]


def test_the_end_of_a_line_typed_ends_its_peace(raw: Raw):
    raw.open("te")
    raw.change(edit(0, 2, 2, "h"))
    assert lines(raw.diagnostics(raw.change(edit(0, 3, 3, "\n")))) == [0]


def test_saving_ends_the_peace(raw: Raw):
    raw.open("te")
    version = raw.change(edit(0, 2, 2, "h"))
    assert lines(raw.diagnostics(version)) == []
    raw.notify("textDocument/didSave", {"textDocument": {"uri": URI}})
    assert lines(raw.diagnostics(version)) == [0]


@pytest.mark.parametrize("method", ["textDocument/documentHighlight", "textDocument/codeAction"])
def test_going_to_another_line_ends_the_peace(raw: Raw, method: str):
    raw.open("te\nthe\n")
    version = raw.change(edit(0, 2, 2, "h"))
    assert lines(raw.diagnostics(version)) == []
    where = {"position": at(1, 0), "range": {"start": at(1, 0), "end": at(1, 0)}, "context": {"diagnostics": []}}
    raw.request(method, {"textDocument": {"uri": URI}, **where})
    assert lines(raw.diagnostics(version)) == [0]


def test_staying_on_the_line_ends_nothing(raw: Raw):
    raw.open("te\nthe\n")
    version = raw.change(edit(0, 2, 2, "h"))
    assert lines(raw.diagnostics(version)) == []
    raw.request("textDocument/documentHighlight", {"textDocument": {"uri": URI}, "position": at(0, 3)})
    with pytest.raises(AssertionError, match="no such message"):
        raw.published(patience=REST / 3)


def test_how_long_typing_rests_can_be_set(raw: Raw):
    raw.notify("workspace/didChangeConfiguration", {"settings": {"tenterhook": {"rest": 0.1}}})
    raw.open("te")
    version = raw.change(edit(0, 2, 2, "h"))
    assert lines(raw.diagnostics(version)) == []
    assert [d["code"] for d in raw.published(patience=REST)["diagnostics"]] == ["word-mixed"]


def test_pasting_several_lines_is_not_typing(raw: Raw):
    raw.open("")
    assert lines(raw.diagnostics(raw.change(edit(0, 0, 0, "teh\nteh\n")))) == [0, 1]


def test_a_finding_shown_before_stays_while_another_row_is_typed(raw: Raw):
    raw.open("# Notes\nhere\n\nteh\n")
    version = raw.change(edit(1, 0, 4, "x"), edit(1, 1, 1, "y"))
    assert lines(raw.diagnostics(version)) == [3]


def test_calm_can_be_turned_off_while_running(raw: Raw):
    raw.open("te")
    raw.notify("workspace/didChangeConfiguration", {"settings": {"tenterhook": {"calm": False}}})
    assert lines(raw.diagnostics(raw.change(edit(0, 2, 2, "h")))) == [0]


def test_an_ill_typed_setting_changes_nothing(raw: Raw):
    raw.open("te")
    raw.notify("workspace/didChangeConfiguration", {"settings": {"tenterhook": {"calm": "no", "rest": -1, "hints": "some", "odd": 1}}})
    assert lines(raw.diagnostics(raw.change(edit(0, 2, 2, "h")))) == []


# The decisions themselves


def change(line: int, start: int, end: int, text: str, to: int | None = None) -> t.TextDocumentContentChangePartial:
    return t.TextDocumentContentChangePartial(
        t.Range(t.Position(line, start), t.Position(line if to is None else to, end)), text
    )


@pytest.mark.parametrize(
    ("changes", "line"),
    [
        ([change(3, 4, 4, "x")], 3),
        ([change(3, 4, 6, "")], 3),
        ([change(3, 4, 4, "\n    ")], 4),
        ([change(3, 4, 4, "\r\n")], 4),
        ([change(3, 0, 0, "\n")], 3),
        ([change(3, 9, 0, "", to=4)], 3),  # joining two lines with the delete key
        ([change(3, 4, 4, "x"), change(3, 5, 5, "y")], 3),
        ([change(3, 4, 4, "x"), change(5, 5, 5, "y")], None),
        ([change(3, 4, 4, "sc\ndc")], None),
        ([change(3, 4, 4, "x", to=6)], None),
        ([t.TextDocumentContentChangeWholeDocument("all of it")], None),
        ([], None),
    ],
)
def test_what_counts_as_typing(changes: list[t.TextDocumentContentChangeEvent], line: int | None):
    assert typed_line(changes) == line


def test_what_follows_from_the_typed_row_waits_with_it():
    proof = fake(Text("Row 1: teh\nRow 2: teh\n\nteh\n"))
    first, second, third = proof.findings
    chained = (first, with_follows(second, 0), with_follows(third, 1))
    everything = frozenset(key(f) for f in chained)
    proof = type(proof)(proof.text, proof.layout, proof.pattern, proof.work, chained)
    assert held(proof, 0, everything) == {0, 1, 2}
    assert held(proof, 2, everything) == frozenset()


def with_follows(finding: Finding, index: int) -> Finding:
    return Finding(finding.rule, finding.severity, finding.message, finding.span, follows=index)


def test_findings_that_follow_one_another_in_a_ring_end_nothing():
    proof = fake(Text("one\n"))
    ring = tuple(Finding("r", Severity.QUERY, str(i), Span(0, 1), follows=1 - i) for i in range(2))
    proof = type(proof)(proof.text, proof.layout, proof.pattern, proof.work, ring)
    assert held(proof, 1, frozenset(map(key, ring))) == frozenset()


def test_a_new_finding_below_the_typed_line_waits_and_one_above_does_not():
    proof = fake(Text("teh\ntyping\nteh\n"))
    assert held(proof, 1, frozenset()) == {1}
