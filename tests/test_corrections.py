"""A correction is offered only where applying it removes its finding and brings no other."""

from __future__ import annotations

import pytest
from tenterhook.lint.corrections import change_numbers, change_times, sure_corrections
from tenterhook.lint.finding import Correction, Edit, Finding, Severity
from tenterhook.lint.proof import Proof, proof
from tenterhook.lint.style import Style
from tenterhook.lint.text import Span, Text

ROUNDS = "Rnd 1: 6 sc in magic ring. (6)\nRnd 2: 2 sc in each st around. (12)\n"


def done(text: str) -> Proof:
    return proof(Text(text), Style(strict=True))


def offered(text: str) -> list[str]:
    return [c.title for f in done(text).findings for c in f.corrections]


@pytest.mark.parametrize(
    "text, corrected",
    [
        (
            "Ch 13.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (13 sc)\nRow 2: Ch 1, sc in each sc across, turn. (12 sc)\n",
            "Ch 13.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (12 sc)\nRow 2: Ch 1, sc in each sc across, turn. (12 sc)\n",
        ),
        (
            "Sizes: S (M)\nCh 13 (15).\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. 12 (16) sc.\nRow 2: Ch 1, sc in each sc across, turn. 12 (14) sc.\n",
            "Sizes: S (M)\nCh 13 (15).\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. 12 (14) sc.\nRow 2: Ch 1, sc in each sc across, turn. 12 (14) sc.\n",
        ),
        (ROUNDS + "Rnd 3: (Sc in next st, 2 sc in next st) 5 times. (18)\n", ROUNDS + "Rnd 3: (Sc in next st, 2 sc in next st) 6 times. (18)\n"),
        (ROUNDS + "Rnd 3: (Sc in next st, 2 sc in next st) 4 times. (18)\n", ROUNDS + "Rnd 3: (Sc in next st, 2 sc in next st) 6 times. (18)\n"),
        (ROUNDS + "Rnd 3: (Sc in next st, 2 sc in next st) 7 times. (18)\n", ROUNDS + "Rnd 3: (Sc in next st, 2 sc in next st) 6 times. (18)\n"),
        (ROUNDS + "Rnd 3: (sc, inc) x 8 (18)\n", ROUNDS + "Rnd 3: (sc, inc) x 6 (18)\n"),
    ],
)
def test_a_sure_correction_leaves_a_clean_text(text: str, corrected: str) -> None:
    first = done(text)
    (correction,) = [c for f in first.findings for c in f.corrections]
    assert correction.apply(text) == corrected
    assert done(corrected).loud() == ()


@pytest.mark.parametrize(
    "text",
    [
        "Ch 13.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (13 sc)\n",  # nothing bears the 12 out
        "Ch 13.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (13 sc)\nRow 2: Ch 1, sc in each sc across, turn.\n",
        "Ch 13.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (13 sc)\nRow 2: Ch 1, sc in each sc across, turn. (13 sc)\n",
        ROUNDS + "Rnd 3: (Sc in next st, 2 sc in next st) 5 times. (15)\n",  # the count is as written
        ROUNDS + "Rnd 3: (Sc in next st, 2 sc in next st) 5 times. (17)\n",
    ],
)
def test_no_correction_where_intent_is_open(text: str) -> None:
    assert done(text).loud() != ()
    assert offered(text) == []


def test_what_adds_a_finding_is_not_offered() -> None:
    finding = Finding("one", Severity.WRONG, "x", Span(0, 1), "Row 1", corrections=(Correction("c", (Edit(Span(0, 1), "b"),)),))
    other = Finding("two", Severity.SUGGESTION, "y", Span(0, 1), "Row 1")
    assert sure_corrections("a", [finding], lambda changed: [])[0].corrections
    assert not sure_corrections("a", [finding], lambda changed: [other])[0].corrections
    assert not sure_corrections("a", [finding], lambda changed: [finding])[0].corrections
    assert not sure_corrections("a", [finding, finding], lambda changed: [finding, finding])[0].corrections


def test_tries_are_bounded_and_the_untried_is_not_offered() -> None:
    many = [
        Finding("one", Severity.WRONG, "x", Span(i, i + 1), f"Row {i}", corrections=(Correction("c", (Edit(Span(i, i + 1), "b"),)),))
        for i in range(50)
    ]
    tried: list[str] = []

    def again(changed: str) -> list[Finding]:
        tried.append(changed)
        return []

    kept = sure_corrections("a" * 50, many, again)
    assert len(tried) == 20
    assert sum(bool(f.corrections) for f in kept) == 20


def test_numbers_are_changed_only_where_they_stand_as_expected() -> None:
    text = Text("45 (50, 54) dc")
    assert [e.text for e in change_numbers(text, text.whole, {2: (54, 55)}, 3)] == ["55"]
    assert change_numbers(text, text.whole, {2: (53, 55)}, 3) == ()
    assert change_numbers(text, text.whole, {0: (45, 46)}, 1) == ()


def test_times_are_changed_only_where_there_is_one_number_of_times() -> None:
    one, two = Text("(sc, inc) 5 times"), Text("(sc, inc) 2 times, (sc, dec) 3 times")
    assert [c.apply(one.source) for c in change_times(one, one.whole, (1,))] == ["(sc, inc) 6 times"]
    assert change_times(two, two.whole, (1,)) == []
    assert change_times(Text("2 x sc"), Span(0, 6), (1,)) == []


def test_corrections_can_be_left_out() -> None:
    text = Text(ROUNDS + "Rnd 3: (sc, inc) x 8 (18)\n")
    assert any(f.corrections for f in proof(text).findings)
    assert [f.message for f in proof(text, corrections=False).findings] == [f.message for f in proof(text).findings]


def test_a_slip_of_its_own_does_not_hang_under_an_earlier_one() -> None:
    text = (
        "Ch 14.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (13 sc)\nRow 2: Ch 1, sc in next 12 sc, turn. (13 sc)\n"
        "Row 3: Ch 1, sc in next 14 sc, turn. (13 sc)\n"
    )
    found = [(f.rule, f.place, f.follows) for f in done(text).findings]
    assert found == [("base-left", "Row 2", None), ("row-total", "Row 2", 0), ("base-short", "Row 3", None), ("row-total", "Row 3", 2)]


def test_the_row_hangs_under_the_multiple_it_fits_with_no_number() -> None:
    found = done("Ch a multiple of 5 plus 3.\nRow 1: Sc in 2nd ch from hook, *ch 4, sk next 4 ch, sc in next ch; rep from * across, turn.\n").findings
    assert [(f.rule, f.follows) for f in found] == [("multiple-fit", None), ("repeat-fit", 0)]
