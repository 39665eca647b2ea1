"""Slips planted in sound manuscripts are found where they stand; and the harness that says so can be trusted.

The short, seeded form of ``python -m tests.slips``.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import lru_cache
from pathlib import Path

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from made_up import MadeUp, Writer, count_slips, dropped_steps, hands, patterns, repeat_slips
from slips.__main__ import main
from slips.harness import Outcome, Tally, chosen, share, sound, tried
from slips.meaning import Verdict, verdict
from slips.planting import KINDS, Clean, Slip, slips
from tenterhook.lint.proof import proof
from tenterhook.lint.style import Style
from tenterhook.lint.text import Span, Text
from trials import tried as tries

HERE = Path(__file__).parent
LEAFLETS = sorted(str(p) for p in (HERE.parent / "examples").glob("3*"))
FOUND, FOUND_IN_A_SUM = 0.95, 0.99
"""The least part found of all slips, and of those that break the arithmetic of a proved row."""


# Found where they stand


@pytest.mark.parametrize(("paths", "draw"), [(LEAFLETS, 40), ([str(HERE / "forms")], 250)], ids=["leaflets", "forms"])
def test_slips_are_found_where_they_stand(paths: list[str], draw: int) -> None:
    clean, _ = sound(paths)
    planted = list(chosen(clean, 1, seed=1))
    tally = Tally()
    missed: list[str] = []
    for manuscript, slip in random.Random(1).sample(planted, min(draw, len(planted))):
        one = tried(manuscript, slip)
        tally.add(one)
        if one.outcome not in (None, Outcome.FOUND):
            missed.append(str(one))
    said = "\n".join([tally.table(), *missed])
    assert (share(tally.all) or 0) >= FOUND, said
    assert (share(tally.breaking) or 0) >= FOUND_IN_A_SUM, said


# The verdict, against a working of the same rows that shares no code with the program

SlipsOf = Callable[[MadeUp], Iterator[tuple[int, MadeUp]]]


def as_slip(kind: str, clean: Clean, slipped: str) -> Slip:
    """The one change between two texts, whatever made it."""
    source = clean.source
    start = next((i for i, (a, b) in enumerate(zip(source, slipped, strict=False)) if a != b), min(len(source), len(slipped)))
    most = min(len(source), len(slipped)) - start
    kept = next((i for i in range(most) if source[-1 - i] != slipped[-1 - i]), most)
    end = len(source) - kept
    row = next((r for r in clean.rows if r.span.touches(Span(start, max(start + 1, end)))), None)
    return Slip(kind, Span(start, end), slipped[start : len(slipped) - kept], row)


@pytest.mark.parametrize(("kind", "slips_of"), [("count-off", count_slips), ("times-off", repeat_slips), ("step-dropped", dropped_steps)])
def test_the_verdict_agrees_with_the_naive_working_and_the_slip_is_found(kind: str, slips_of: SlipsOf) -> None:
    @tries(40)
    @given(patterns(), hands(), st.data())
    def agrees(pattern: MadeUp, hand: object, data: st.DataObject) -> None:
        planted = list(slips_of(pattern))
        assume(planted)
        _, slipped = data.draw(st.sampled_from(planted))
        # a slip in a repeat can only be seen where the number of times is written out
        hand = replace(hand, open=hand.open and kind == "count-off")  # type: ignore[attr-defined, type-var]
        clean = Clean("made up", proof(Text(Writer(pattern, hand).text()), Style(strict=True), corrections=False))
        text = Writer(slipped, hand).text()
        assume(text != clean.source)
        one = tried(clean, as_slip(kind, clean, text))
        broken = any(slipped.broken(i) for i in range(len(slipped.lines)))
        assert (one.verdict in (Verdict.SLIP, Verdict.BREAKS)) == broken, f"{one}\n{text}"
        assert one.outcome in (None, Outcome.FOUND), f"{one}\n{text}"

    agrees()


# The verdict, by hand


def made(text: str) -> Clean:
    return Clean("by hand", proof(Text(text), Style(strict=True), corrections=False))


def judged(clean: Clean, kind: str, words: str, old: str, new: str) -> Verdict:
    """The verdict on ``old`` become ``new`` in the first place where ``words`` stand."""
    at = clean.source.index(words) + words.index(old)
    row = next((r for r in clean.rows if at in r.span), None)
    slip = Slip(kind, Span(at, at + len(old)), new, row)
    return verdict(clean, slip, proof(Text(slip.planted(clean.source)), Style(strict=True), corrections=False))


SWATCH = """\
US terms.
Ch 13.
Row 1 (RS): Sc in 2nd ch from hook and in each ch across, turn. (12 sc)
Row 2: Ch 1, *sc in next 2 sc, hdc in next sc; rep from * across, turn.
Row 3: Ch 1, sc in each st across, turn.
Row 4: Ch 1, sc in each sc across, turn.
Rows 5-8: Rep Row 4.
"""
COUNTED = """\
US terms.
Ch 13.
Row 1 (RS): Dc in 4th ch from hook (skipped ch counts as dc) and in each ch across, turn. (11 dc)
Row 2: Ch 3 (counts as dc), BPdc around each of next 9 sts, dc in top of ch-3, turn. (11 sts)
Row 3: Ch 3 (counts as dc), FPdc around each of next 9 sts, dc in top of ch-3, turn. (11 sts)
Row 4: Ch 3 (counts as dc), BPdc around each of next 9 sts, dc in top of ch-3, turn. (11 sts)
Row 5: Ch 3 (counts as dc), FPdc around each of next 9 sts, dc in top of ch-3, turn. (11 sts)
Row 6: Rep Row 4.
Row 7: Ch 1, sc evenly along the edge, turn. (20 sc)
Row 8: Ch 1, sc in each sc across. (20 sc)
"""


@pytest.mark.parametrize(
    ("text", "kind", "words", "old", "new", "expected"),
    [
        (SWATCH, "count-off", "(12 sc)", "12", "13", Verdict.BREAKS),
        (SWATCH, "number-off", "Ch 13", "13", "14", Verdict.SLIP),
        (SWATCH, "number-off", "next 2 sc, hdc", "2", "3", Verdict.SOUND),  # 4 goes into 12 as well as 3
        (SWATCH, "number-off", "next 2 sc, hdc", "2", "4", Verdict.BREAKS),
        (SWATCH, "mark-lost", "(12 sc)", ")", "", Verdict.SLIP),
        (SWATCH, "reference-off", "Rep Row 4", "4", "3", Verdict.SAME),
        (SWATCH, "reference-off", "Rep Row 4", "4", "5", Verdict.SLIP),
        (SWATCH, "range-off", "Rows 5-8", "8", "9", Verdict.SOUND),
        (SWATCH, "range-off", "Rows 5-8", "5", "6", Verdict.SLIP),
        (SWATCH, "turn-lost", "across, turn.\nRow 4", ", turn", "", Verdict.SLIP),
        (SWATCH, "turn-lost", "across, turn.\nRows", ", turn", "", Verdict.SLIP),
        (SWATCH, "other-terms", "hdc in next", "hdc", "htr", Verdict.SLIP),
        (SWATCH, "other-terms", "sc in each sc across, turn.\nRows", "sc", "dc", Verdict.SOUND),
        (SWATCH, "misspelt", "rep from", "rep", "rpe", Verdict.SLIP),
        (COUNTED, "kind-in-count", "(11 dc)", "dc", "hdc", Verdict.BREAKS),
        (COUNTED, "post-turned", "FPdc", "FP", "BP", Verdict.SLIP),
        (COUNTED, "step-dropped", "sc evenly along the edge", " along the edge", "", Verdict.UNPROVED),
        (COUNTED, "step-dropped", "sts, dc in top of ch-3", ", dc in top of ch-3", "", Verdict.BREAKS),
    ],
)
def test_a_verdict_worked_out_by_hand(text: str, kind: str, words: str, old: str, new: str, expected: Verdict) -> None:
    assert judged(made(text), kind, words, old, new) is expected


# The planting

EVERYTHING = """\
US terms.
Sizes: S (M, L)
Hook: 5 mm (H-8). Width: 20 in (51 cm).
C2F: Sk next st, FPdc around next st, working in front of it, FPdc around skipped st.
Ch 21 (25, 29).
Row 1: Hdc in 3rd ch from hook (skipped ch does not count) and in each ch across, turn. 19 (23, 27) hdc.
Row 2: Ch 1, (sc2tog, sc in next 2 sts, inc) twice, *FPdc around next st, sk 2 sts, 3 dc in next st; rep from * 2 times, turn.
Rows 3-6: Rep Row 2. (20 sc)
Rnd 7: Ch 1, sc in each st around, join with sl st in first sc. (20 sc)
"""


def test_every_kind_of_slip_can_be_planted() -> None:
    found = slips(made(EVERYTHING))
    assert tuple(found) == KINDS
    assert [kind for kind, places in found.items() if not places] == []


@pytest.mark.parametrize("kind", KINDS)
def test_a_slip_changes_its_own_place_alone_and_each_is_drawn_once(kind: str) -> None:
    clean = made(EVERYTHING)
    found = slips(clean)[kind]
    texts = [slip.planted(clean.source) for slip in found]
    assert len(set(found)) == len(found)
    for slip, text in zip(found, texts, strict=True):
        assert text != clean.source
        assert text[: slip.span.start] == clean.source[: slip.span.start]
        assert text[slip.span.start + len(slip.new) :] == clean.source[slip.span.end :]


# The counting


@lru_cache
def swatch() -> Clean:
    return made(SWATCH)


def test_a_finding_off_the_place_is_not_found() -> None:
    """A chain too long shows at Row 1; to be found it must be asked about there or at the chain."""
    clean = swatch()
    row = next(r for r in clean.rows if r.label == "Row 4")
    at = clean.source.index("Ch 13") + 3
    assert tried(clean, Slip("number-off", Span(at, at + 2), "14", clean.rows[0])).outcome is Outcome.FOUND
    here = row.span.start + clean.source[row.span.start :].index("across")
    lost = tried(clean, Slip("misspelt", Span(here, here + 6), "gninnips", row))
    assert lost.outcome in (Outcome.NAMED, Outcome.MISSED)


def test_a_manuscript_with_findings_is_left_out_and_said(tmp_path: Path) -> None:
    (tmp_path / "good.txt").write_text(SWATCH, encoding="utf-8")
    (tmp_path / "bad.txt").write_text(SWATCH.replace("(12 sc)", "(13 sc)"), encoding="utf-8")
    clean, left = sound([str(tmp_path)])
    assert [Path(c.name).name for c in clean] == ["good.txt"]
    assert len(left) == 1 and "bad.txt: not sound" in left[0]


def test_the_command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "swatch.txt").write_text(SWATCH, encoding="utf-8")
    assert main([str(tmp_path), "--each", "1", "--at-least", "50"]) == 0
    assert "1 manuscript\n" in (said := capsys.readouterr().out) and "breaking a proved row" in said
    assert main([str(tmp_path), "--each", "1", "--at-least", "101"]) == 1
    assert main([str(tmp_path / "nothing")]) == 2
