"""Offsets, columns and edits, without a process around them."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lsprotocol import types as t
from pygls.workspace import ServerTextPosition
from tenterhook.lint.finding import Finding, Severity
from tenterhook.lint.text import Span, Text
from tenterhook.server.columns import Columns, Page
from tenterhook.server.convert import Dialect, diagnostic, visible
from tenterhook.server.documents import Document, Documents

ENCODINGS = ["utf-8", "utf-16", "utf-32"]
texts = st.text(st.sampled_from("ab é\U0001f9f6\u2028\f\x85\r\n"), max_size=30)


@given(texts, st.sampled_from(ENCODINGS), st.data())
@settings(max_examples=200, deadline=None)
def test_an_offset_survives_the_way_to_the_client_and_back(text: str, encoding: str, data: st.DataObject):
    offset = data.draw(st.integers(0, len(text)))
    page = Page(Text(text), encoding)
    back = page.offset(page.position(offset))
    between = text[offset - 1 : offset + 1] == "\r\n"  # a place no client has
    assert back == (offset - 1 if between else offset)


@given(texts, st.sampled_from(ENCODINGS), st.integers(0, 8), st.integers(0, 60))
@settings(max_examples=200, deadline=None)
def test_any_position_falls_inside_the_text_and_never_after_its_line(
    text: str, encoding: str, line: int, character: int
):
    page = Page(Text(text), encoding)
    offset = page.offset(t.Position(line, character))
    assert 0 <= offset <= len(text)
    if line < len(page.text.line_starts):
        assert offset <= page.text.line_span(line + 1).end


@given(texts, st.sampled_from(ENCODINGS), st.integers(0, 8), st.integers(0, 60))
@settings(max_examples=200, deadline=None)
def test_the_librarys_conversions_agree_with_ours(text: str, encoding: str, line: int, character: int):
    document = Document("untitled:a", text, position_codec=Columns(encoding))
    position = t.Position(line, character)
    assert document.offset_at_position(position) == document.page.offset(position)


@pytest.mark.parametrize(("encoding", "character", "expected"), [("utf-8", 2, 0), ("utf-16", 1, 0), ("utf-16", 2, 1)])
def test_the_middle_of_a_character_is_its_start(encoding: str, character: int, expected: int):
    assert Page(Text("\U0001f9f6x"), encoding).offset(t.Position(0, character)) == expected
    found = Columns(encoding).position_from_client_units(["\U0001f9f6x"], t.Position(0, character))
    assert found == ServerTextPosition(0, expected)


def test_only_the_protocols_line_ends_cut_lines():
    document = Document("untitled:a", "a\fb\u2028c\rd\r\ne\n", position_codec=Columns("utf-16"))
    assert document.lines == ("a\fb\u2028c\r", "d\r\n", "e\n")
    assert document.lines == tuple(document.lines)
    assert Document("untitled:a", "").lines == ()


def test_a_text_is_made_once_for_each_version():
    document = Document("untitled:a", "one\n", position_codec=Columns("utf-16"))
    before = document.text
    assert document.text is before
    where = t.Range(t.Position(0, 0), t.Position(0, 3))
    document.apply_change(t.TextDocumentContentChangePartial(where, "two"))
    assert document.text.source == "two\n"
    assert before.source == "one\n"


def test_only_open_documents_are_looked_at(tmp_path):
    path = tmp_path / "cowl.txt"
    path.write_text("teh", encoding="utf-8")
    documents = Documents(None)
    assert documents.opened(path.as_uri()) is None
    documents.put_text_document(t.TextDocumentItem(path.as_uri(), "", 1, "the"))
    opened = documents.opened(path.as_uri())
    assert opened and opened.text == Text("the", str(path))


@pytest.mark.parametrize(
    ("span", "shown"),
    [(Span(1, 2), Span(1, 2)), (Span(1, 1), Span(1, 2)), (Span(3, 3), Span(2, 3)), (Span(5, 5), Span(5, 5))],
)
def test_an_empty_span_takes_in_a_character_to_underline(span: Span, shown: Span):
    assert visible(span, Text("abc\n\n")) == shown


def test_severities_are_those_of_the_trade():
    page = Page(Text("abc"), "utf-16")
    kinds = [diagnostic(Finding("r", s, "m", Span(0, 1)), (), page, "u", Dialect()).severity for s in Severity]
    assert kinds == [
        t.DiagnosticSeverity.Error,
        t.DiagnosticSeverity.Warning,
        t.DiagnosticSeverity.Information,
        t.DiagnosticSeverity.Hint,
    ]


def test_the_first_cause_stands_in_the_related_information():
    page = Page(Text("abc\ndef"), "utf-16")
    cause = Finding("row-total", Severity.WRONG, "Row 1 makes 10.", Span(0, 3))
    follower = Finding("base-left", Severity.WRONG, "Row 2 leaves 1 over.", Span(4, 7), follows=0)
    related = diagnostic(follower, (cause, follower), page, "u", Dialect(related=True)).related_information
    assert related and related[0].message == "Follows from this: Row 1 makes 10."
    assert related[0].location.range.end == t.Position(0, 3)
    assert diagnostic(follower, (cause, follower), page, "u", Dialect()).related_information is None
