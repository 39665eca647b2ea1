"""Where every stitch is worked: the tracing agrees with the working, and names the right stitches of the row below."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest
from tenterhook.lint.fabric.row import SPACE, Cell
from tenterhook.lint.fabric.trace import MOST_CELLS, TracedPiece, TracedRow, trace
from tenterhook.lint.proof import proof
from tenterhook.lint.text import Text

ROOT = Path(__file__).parent.parent
EXAMPLES = sorted([*ROOT.glob("examples/3*"), *ROOT.glob("examples/submitted/3*")])


def traced(source: str) -> tuple[TracedPiece, ...]:
    return trace(proof(Text(source), rules=()).pattern)


def row(source: str, label: str) -> TracedRow:
    return next(r for piece in traced(source) for r in piece.rows if r.work.label == label)


def spots(found: TracedRow) -> list[str]:
    """“dc@3,4” for a stitch into the fourth and fifth cell of the row below, “[2]” for a space of two chains."""
    out: list[str] = []
    for cell in found.stitches or ():
        if cell.kind == SPACE:
            out.append(f"[{cell.size}]")
        else:
            assert cell.spot is not None
            out.append(f"{cell.kind}@{','.join(map(str, cell.spot.bases))}")
    return out


def texts() -> Iterator[tuple[str, str]]:
    for path in EXAMPLES:
        yield path.name, path.read_text("utf-8")
    for path in sorted((ROOT / "tests" / "forms").glob("*.toml")):
        for form in tomllib.loads(path.read_text("utf-8"))["form"]:
            yield form["id"], form["text"]


@pytest.mark.parametrize("source", [pytest.param(text, id=name) for name, text in texts()])
def test_a_row_traced_is_the_row_that_was_worked(source: str) -> None:
    """The tracing works each row once more; where it came out otherwise, the row would be left undrawn."""
    done = proof(Text(source), rules=())
    for piece, again in zip(done.work.pieces, trace(done.pattern), strict=True):
        assert again.work == piece
        for found in again.rows:
            assert found.reason != "not worked", found.work.label
            if found.stitches is None:
                continue
            first = found.work.sizes[0]
            stitches = [c for c in found.stitches if c.kind != SPACE]
            if found.work.status == "proved" and again.multiple is None and first.made is not None:
                spaces = [c for c in found.stitches if c.kind == SPACE]
                slipped = sum(1 for c in stitches if c.kind == "sl st")
                counted = len(stitches) - slipped
                # a piece may count its spaces, as one each or by their chains, and slip stitches where they are its fabric
                assert first.made in (counted, counted + slipped, counted + len(spaces), counted + sum(c.size for c in spaces))
            for cell in stitches:
                assert cell.spot is not None
                assert all(0 <= b < len(found.base or ()) for b in cell.spot.bases)


def test_plain_rows_after_a_turn_begin_in_the_last_stitch() -> None:
    found = row("Ch 5.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (4 sc)\nRow 2: Ch 1, sc in each st across, turn. (4 sc)\n", "Row 2")
    assert spots(found) == ["sc@0", "sc@1", "sc@2", "sc@3"]
    assert found.turned_before and found.goes_on and found.turning_chain == 1


def test_the_skipped_chains_stand_beside_the_first_stitch() -> None:
    found = row("Ch 8.\nRow 1: Dc in 4th ch from hook (skipped chs count as dc) and in each ch across, turn. (6 dc)\n", "Row 1")
    assert spots(found) == ["dc@", "dc@3", "dc@4", "dc@5", "dc@6", "dc@7"]
    assert found.foundation == 8 and (found.stitches or ())[0].tch == 3


SHELLS = """\
Ch 14.
Row 1: Sc in 2nd ch from hook and in each ch across, turn. (13 sc)
Row 2: Ch 1, sc in first sc, *sk 2 sc, (2 dc, ch 2, 2 dc) in next sc, sk 2 sc, sc in next sc; rep from * across, turn. (2 shells, 3 sc)
Row 3: Ch 3 (counts as dc), *ch 2, sc in next ch-2 sp, ch 2, dc in next sc; rep from * across, turn.
"""


def test_a_shell_stands_in_one_stitch_and_a_space_is_worked_into() -> None:
    assert spots(row(SHELLS, "Row 2")) == ["sc@0", "dc@3", "dc@3", "[2]", "dc@3", "dc@3", "sc@6", "dc@9", "dc@9", "[2]", "dc@9", "dc@9", "sc@12"]
    # cells of Row 2 from its end: sc, dc, dc, space …
    assert spots(row(SHELLS, "Row 3")) == ["dc@0", "[2]", "sc@3", "[2]", "dc@6", "[2]", "sc@9", "[2]", "dc@12"]


def test_stitches_worked_together_stand_in_several_and_increases_in_one() -> None:
    source = "Ch 10.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (9 sc)\nRow 2: Ch 1, 2 sc in first st, sc2tog twice, sc3tog over next 3 sts, sc in last st, turn. (6 sc)\n"
    assert spots(row(source, "Row 2")) == ["sc@0", "sc@0", "sc2tog@1,2", "sc2tog@3,4", "sc3tog@5,6,7", "sc@8"]


CABLE = """\
Ch 9.
Row 1 ({first}): Dc in 4th ch from hook (skipped chs count as dc) and in each ch across, turn. (7 dc)
Row 2 ({second}): Ch 1, sc in first st, sk next 3 sts, {post}tr around each of next 2 sts, working {way} sts just made, {post}tr around each of 3 skipped sts, sc in last st, turn. (7 sts)
"""


@pytest.mark.parametrize(
    ("second", "way", "lies"),
    [
        # In front and behind are the maker's. Seen from the right side, a strand in front on a WS row is the one below
        # (facts on cables: our own derivation for WS rows).
        ("RS", "in front of", "over"),
        ("RS", "behind", "under"),
        ("WS", "in front of", "under"),
        ("WS", "behind", "over"),
    ],
)
def test_a_crossing_goes_back_for_what_it_skipped(second: str, way: str, lies: str) -> None:
    source = CABLE.format(first="WS" if second == "RS" else "RS", second=second, way=way, post="FP" if second == "RS" else "BP")
    found = row(source, "Row 2")
    kind = "FPtr" if second == "RS" else "BPtr"
    assert spots(found) == ["sc@0", f"{kind}@4", f"{kind}@5", f"{kind}@1", f"{kind}@2", f"{kind}@3", "sc@6"]
    assert [c.spot.lies for c in found.stitches or () if c.spot is not None] == ["", "", "", lies, lies, lies, ""]
    assert {c.face for c in found.stitches or () if c.kind == kind} == {"RS"}


def test_a_crossing_without_in_front_or_behind_says_nothing_of_which_lies_on_top() -> None:
    source = CABLE.format(first="WS", second="RS", way="in front of", post="FP").replace(", working in front of sts just made", "")
    assert {c.spot.lies for c in row(source, "Row 2").stitches or () if c.spot is not None} == {"", "unsaid"}


def test_as_seen_from_the_right_side_overrides_the_makers_side() -> None:
    source = CABLE.format(first="RS", second="WS", way="in front of", post="BP").replace("sts just made", "sts just made as seen from the right side")
    assert {c.spot.lies for c in row(source, "Row 2").stitches or () if c.spot is not None} == {"", "over"}


def test_a_round_that_begins_in_a_corner_goes_into_the_spaces() -> None:
    source = (
        "Ch 4, join with sl st to form a ring.\n"
        "Rnd 1: Ch 3 (counts as dc), 2 dc in ring, ch 2, (3 dc in ring, ch 2) 3 times, join with sl st in top of ch-3. (12 dc, 4 ch-2 sps)\n"
        "Rnd 2: Sl st in next 2 dc and in ch-2 sp, ch 3 (counts as dc), (2 dc, ch 2, 3 dc) in same sp, ch 1, *(3 dc, ch 2, 3 dc) in next ch-2 sp, ch 1; rep from * 2 more times, join. (24 dc)\n"
    )
    first, second = traced(source)[0].rows
    assert first.ring and spots(first) == ["dc@", "dc@", "dc@", "[2]"] * 4
    assert spots(second)[:8] == ["dc@3", "dc@3", "dc@3", "[2]", "dc@3", "dc@3", "dc@3", "[1]"]
    assert spots(second)[-2:] == ["dc@15", "[1]"]


def test_both_sides_of_a_chain() -> None:
    source = "Ch 6.\nRnd 1: Sc in 2nd ch from hook, sc in next 3 ch, 3 sc in last ch, working along other side of chain, sc in next 3 ch, 2 sc in last ch. (12 sc)\n"
    found = row(source, "Rnd 1")
    assert found.both_sides
    assert [s.removeprefix("sc@") for s in spots(found)] == ["1", "2", "3", "4", "5", "5", "5", "4", "3", "2", "1", "1"]


def test_stitches_that_are_not_there_are_marked() -> None:
    source = "Ch 5.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (4 sc)\nRow 2: Ch 1, sc in next 6 sts, turn.\n"
    assert [c.spot.beyond for c in row(source, "Row 2").stitches or () if c.spot is not None] == [False] * 4 + [True] * 2


def test_a_picot_sits_on_the_stitch_before_it() -> None:
    source = "Ch 7.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (6 sc)\nRow 2: Ch 1, *sc in next 2 sts, picot, sc in next st; rep from * across. (6 sc)\n"
    assert [c.spot.picots for c in row(source, "Row 2").stitches or () if c.spot is not None] == [0, 1, 0, 0, 1, 0]


def test_the_first_size_is_traced_and_rows_of_others_are_left_out() -> None:
    source = (
        "US terms.\nSizes: S (M, L)\n\nStrap\nCh 9 (11, 13).\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (8 (10, 12) sc)\n"
        "Sizes M and L only:\nRow 2: Ch 1, sc in each st across, turn.\nAll sizes:\nRow 3: Ch 1, sc in each st across, turn. (8 (10, 12) sc)\n"
    )
    (piece,) = traced(source)
    assert piece.size == "S"
    assert [r.work.label for r in piece.rows] == ["Row 1", "Row 3"]
    assert len(piece.rows[1].stitches or ()) == 8


def test_a_row_that_was_not_read_is_not_traced() -> None:
    source = "Ch 9.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (8 sc)\nRow 2: Work shells evenly across, turn. (12 sc)\nRow 3: Ch 1, sc in each st across, turn. (12 sc)\n"
    first, second, third = traced(source)[0].rows
    assert first.stitches is not None
    assert second.stitches is None and second.reason == "not read"
    assert third.stitches is not None and not third.goes_on and not third.known_base


def test_a_row_wider_than_anybody_makes_is_not_traced() -> None:
    source = f"Ch {MOST_CELLS * 50}.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn.\n"
    (found,) = traced(source)[0].rows
    assert found.stitches is None and found.reason == "too wide"


def test_a_pattern_for_any_multiple_is_traced_on_its_smallest_witness() -> None:
    (piece,) = traced("Scarf\nCh a multiple of 6 plus 2.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn.\n")
    assert piece.multiple == (6, 2, 14)
    assert len(piece.rows[0].stitches or ()) == 13


def test_rows_worked_from_the_same_words_on_the_same_base_are_known_to_be_alike() -> None:
    source = "Ch 9.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (8 sc)\nRows 2-9: Ch 1, sc in each st across, turn. (8 sc)\n"
    marks = [r.same_as for r in traced(source)[0].rows]
    assert marks[3] == marks[5] == marks[7] and marks[4] == marks[6] and marks[3] != marks[4]


def test_a_cell_of_the_working_knows_nothing_of_its_spot() -> None:
    """A proof does not pay for the pictures: places are kept only where a row is traced."""
    assert Cell("dc").spot is None
