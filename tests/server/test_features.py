"""What the features say of a proof, without a server around them."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tenterhook.lint.editing import rows
from tenterhook.lint.editing.mentions import mentions, named_at, naming, piece_at
from tenterhook.lint.fabric.work import PieceWork, RowWork, SizeWork, Status, Work
from tenterhook.lint.proof import Proof
from tenterhook.lint.text import Span, Text
from tenterhook.server.columns import Page
from tenterhook.server.features.code_lens import tally
from tenterhook.server.features.document_symbol import flat, outline
from tenterhook.server.features.hover import words
from tenterhook.server.features.inlay_hint import hint, hints

from .fake_proof import fake

COWL = """Row 1: (11 sc)
Row 2: (11 sc)
Row 3: rep Rows 1 and 2 (11 sc)
Row 4: as Rnd 3, then Rows 1-3 and row 99 (11 sc)
"""


def size(made: int | None, name: str | None = None, stated: int | None = None, working: str = "") -> SizeWork:
    return SizeWork(name, 10, 10, made, stated, {}, 0, working)


def row(*sizes: SizeWork, status: Status = Status.PROVED, label: str = "Row 1", **more) -> RowWork:
    return RowWork(label, Span(0, 6), Span(0, 5), "WS", True, status, sizes, **more)


def proof_of(*worked: RowWork, text: str = "Row 1: 2*3 sc in [next] st.") -> Proof:
    piece = PieceWork("Cowl", Span(0, len(text)), worked)
    return replace(fake(Text(text)), work=Work((piece,)))


def place(*worked: RowWork) -> rows.Written:
    return rows.Written(Span(0, 6), Span(0, 5), worked)


def test_the_working_is_told_size_by_size():
    proof = proof_of(
        row(size(26, "S", 26, "9 sc + 17 dc = 26"), size(None, "M"), status=Status.DIFFERS, readings=("ch 3 counts",))
    )
    (found,) = rows.written(proof.work.pieces[0])
    assert words(found, proof, markdown=False).splitlines() == [
        "Row 1, WS, differs: it does not come out as written",
        "  Size S: worked on 10, uses 10, makes 26, stated 26. 9 sc + 17 dc = 26",
        "  Size M: worked on 10, uses 10, makes unknown",
        "  Read so: ch 3 counts",
    ]


def test_marks_of_the_pattern_are_no_marks_of_the_hover():
    proof = proof_of(row(size(6, working="2 * 3 = 6"), unread=(Span(7, 22),)))
    (found,) = rows.written(proof.work.pieces[0])
    said = words(found, proof, markdown=True)
    assert r"2 \* 3 = 6" in said
    assert r"Not read: “2\*3 sc in \[next”" in said
    assert "“2*3 sc in [next”" in words(found, proof, markdown=False)


def test_a_text_that_stands_for_many_rows_is_told_in_part():
    many = tuple(row(size(11), label=f"Row {n}") for n in range(5, 13))
    proof = proof_of(*many)
    (found,) = rows.written(proof.work.pieces[0])
    said = words(found, proof, markdown=False)
    assert "Row 7" in said and "Row 8," not in said
    assert said.endswith("… and 5 more rows, to Row 12")
    assert found.label == "Row 5 to Row 12"


@pytest.mark.parametrize(
    ("worked", "said"),
    [
        ((row(size(26)),), "makes 26 sts"),
        ((row(size(26, "S"), size(30, "M"), size(30, "L")),), "makes 26 (30, 30) sts"),
        ((row(size(26, "S"), size(26, "M")),), "makes 26 sts"),
        ((row(size(26), status=Status.ASSUMED),), "makes 26 sts"),
        ((row(size(26, stated=26)),), None),
        ((row(size(26), status=Status.DIFFERS),), None),
        ((row(size(None)),), None),
        ((row(),), None),
        ((row(size(26)), row(size(26))), "makes 26 sts"),
        ((row(size(26)), row(size(28))), None),
    ],
)
def test_the_running_count_is_shown_only_where_it_is_sure_and_not_said(worked: tuple[RowWork, ...], said: str | None):
    assert hint(proof_of(*worked), place(*worked)) == said
    if said is None and len(worked) == 1 and worked[0].sizes and worked[0].sizes[0].stated:
        assert hint(proof_of(*worked), place(*worked), every=True) == "for the next: 26 sts"


def test_the_running_count_stands_after_the_last_letter_of_the_row():
    proof = fake(Text("Row 1: makes 4   \nRow 2: makes 5\n"))
    page = Page(proof.text, "utf-16")
    assert [h.position.character for h in hints(proof, page, proof.text.whole)] == [14, 14]
    assert len(hints(proof, page, proof.text.line_span(1))) == 1


@pytest.mark.parametrize(
    ("statuses", "said"),
    [
        ([], None),
        ([Status.PROVED], "proved 1 of 1 row"),
        ([Status.PROVED] * 41 + [Status.DIFFERS] * 2 + [Status.UNREAD], "proved 41 of 44 rows, 2 differ, 1 unread"),
        ([Status.ASSUMED, Status.DIFFERS], "proved 0 of 2 rows, 1 differs, 1 assumed"),
    ],
)
def test_a_piece_says_how_many_rows_are_proved(statuses: list[Status], said: str | None):
    assert tally(PieceWork("Cowl", Span(0, 1), tuple(row(status=s) for s in statuses))) == said


def test_a_summary_row_counts_for_all_it_stands_for():
    assert tally(PieceWork("Cowl", Span(0, 1), (row(times=40), row()))) == "proved 41 of 41 rows"


def test_every_symbol_lies_inside_the_one_above_it():
    proof = fake(Text("# Notes\nnone\n# Cowl\nRow 1: makes 4\nRow 2: makes 5\n\n\n"))
    short = replace(proof.work.pieces[0], span=Span(20, 20), name=" ")
    proof = replace(proof, work=Work((short,)))
    symbols = outline(proof, Page(proof.text, "utf-16"))
    assert [s.name for s in symbols] == ["Notes", "Cowl", "Pattern"]

    def position(p) -> tuple[int, int]:
        return p.line, p.character

    for symbol in symbols:
        for inner in (symbol.selection_range, *(child.range for child in symbol.children or ())):
            assert position(symbol.range.start) <= position(inner.start)
            assert position(inner.end) <= position(symbol.range.end)
    assert [s.container_name for s in flat(symbols, "u")] == [None, None, None, "Pattern", "Pattern"]


def test_rows_named_in_passing_are_found_and_labels_are_not():
    proof = fake(Text(COWL))
    (piece,) = proof.work.pieces
    assert [(proof.text[m.span], m.first, m.last) for m in mentions(proof, piece)] == [
        ("1", 1, 1),
        ("2", 2, 2),
        ("3", 3, 3),
        ("1-3", 1, 3),
        ("99", 99, 99),
    ]


def test_a_mention_leads_to_its_rows_and_a_row_to_its_mentions():
    proof = fake(Text(COWL))
    (piece,) = proof.work.pieces

    def labels(offset: int) -> list[str]:
        found = named_at(proof, offset)
        return [place.label for place in found[1]] if found else []

    assert labels(COWL.index("2 (11", 40)) == ["Row 2"]
    assert labels(COWL.index("1-3")) == ["Row 1", "Row 2", "Row 3"]
    assert labels(COWL.index("99")) == []
    assert labels(COWL.index("(11")) == []
    _, (second,) = named_at(proof, COWL.index("Row 2")) or (None, ())
    assert [proof.text[m.span] for m in naming(proof, second)] == ["2", "1-3"]
    assert piece_at(proof, 0) is piece
    assert piece_at(fake(Text("")), 0) is None


def test_figures_too_long_to_be_rows_are_passed_over():
    proof = fake(Text(f"Row 1: rep rows {'9' * 5000}, 1-900000 and 5-2 (1 sc)\n"))
    assert list(mentions(proof, proof.work.pieces[0])) == []
