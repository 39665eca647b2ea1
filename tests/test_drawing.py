"""The pictures of the work: symbols after the published conventions, every stitch where it is worked, bounded whatever the piece."""

from __future__ import annotations

import math
import re
import time
from itertools import pairwise
from pathlib import Path
from xml.etree.ElementTree import Element

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tenterhook.lint.drawing.ground import Circle, Fan, Oval, Polygon, Straight
from tenterhook.lint.drawing.grounds import laid_out
from tenterhook.lint.drawing.key import entries
from tenterhook.lint.drawing.layout import Layout, Placed, PlacedRow
from tenterhook.lint.drawing.parts import MOST_ROWS, parts
from tenterhook.lint.drawing.picture import Picture, pictures
from tenterhook.lint.drawing.spread import eased, spread, spread_round
from tenterhook.lint.drawing.strokes import Ink, draw, symbol_for
from tenterhook.lint.drawing.window import WIDEST, repeat_of, window_for
from tenterhook.lint.fabric.row import SPACE
from tenterhook.lint.fabric.trace import trace
from tenterhook.lint.proof import proof
from tenterhook.lint.text import Text
from tenterhook.lint.trade.stitches import basics
from tenterhook.lint.trade.symbols import CREDIT, symbols

ROOT = Path(__file__).parent.parent


def layouts(source: str) -> list[Layout]:
    return [layout for piece in trace(proof(Text(source), rules=()).pattern) for part in parts(piece) if part.rows for _, layout in laid_out(part)]


def drawn(source: str) -> list[Picture]:
    return [p for piece in trace(proof(Text(source), rules=()).pattern) for p in pictures(piece, "x")]


def row(layout: Layout, label: str) -> PlacedRow:
    return next(r for r in layout.rows if r.traced.work.label == label)


def solid(found: PlacedRow) -> list[Placed]:
    return [s for s in found.stitches if s.cell.kind != SPACE]


def ink(stitch: Placed) -> Ink:
    made = Ink()
    draw(stitch, made)
    return made


def first_of(source: str, label: str, kind: str) -> Placed:
    return next(s for s in row(layouts(source)[0], label).stitches if s.cell.kind == kind)


# -- symbols --------------------------------------------------------------------------------------------------------------

# Cozy Crochet, crochet chart symbols (https://www.cozycrochet.ca/crochet-chart-symbols/), and Daily Handmade
# (https://dailyhandmade.com/?p=2036), both read: chain an oval, slip stitch a filled dot, single crochet + or ×, half
# double a plain T, double a T with one bar, treble two; the bars are the yarn-overs before the hook goes in.
PUBLISHED = {"ch": ("oval", 0), "sl st": ("dot", 0), "sc": ("cross", 0), "hdc": ("line", 0), "dc": ("line", 1), "tr": ("line", 2)}


@pytest.mark.parametrize(("kind", "form"), PUBLISHED.items())
def test_the_symbols_are_the_published_ones(kind: str, form: tuple[str, int]) -> None:
    found = symbols()[kind]
    assert (found.form, found.bars) == form
    assert found.sure and found.source.startswith(("Cozy Crochet", "Daily Handmade"))


def test_the_bars_of_a_tall_stitch_are_its_yarn_overs() -> None:
    for kind, stitch in basics().items():
        if kind in ("dc", "tr", "dtr", "trtr"):
            assert symbols()[kind].bars == stitch.yarn_overs
    assert symbols()["hdc"].bars == 0 and basics()["hdc"].yarn_overs == 1  # the one exception in print


def test_what_is_only_remembered_says_so_in_the_key() -> None:
    lines = {e.name.partition(",")[0]: e.words for e in entries(frozenset({"dc", "bobble", "loop"}), frozenset({"raised", "crossed"}))}
    assert "no source at hand" not in lines["dc"]
    assert "no source at hand" in lines["bobble"] and "no source at hand" in lines["raised"]
    assert "no published symbol" in lines["loop"]


def test_a_uk_pattern_has_both_names_in_its_key() -> None:
    assert [e.name for e in entries(frozenset({"dc"}), frozenset(), uk=True)] == ["dc, double crochet (UK tr)"]


def test_the_credit_names_the_source_of_the_symbols() -> None:
    """The booklet's contents page asks for a line naming www.YarnStandards.com as the source."""
    assert "www.YarnStandards.com" in CREDIT


def test_post_stitches_and_decreases_have_the_symbol_of_their_stitch() -> None:
    for kind, plain in {"FPdc": "dc", "BPtr": "tr", "sc2tog": "sc", "FPdc2tog": "dc", "dc5tog": "dc", "popcorn": "popcorn"}.items():
        found = symbol_for(kind)
        assert found is not None and found.kind == plain
    assert symbol_for("edc") is None and symbol_for("wattle") is None


def row_of_kind(kind: str) -> str:
    return f"Ch 12.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (11 sc)\nRow 2: Ch 1, {kind} in each st across, turn.\n"


def test_strokes_of_a_stitch() -> None:
    """An upright line, a line across its top and a bar for every yarn-over; two crossing lines; a dot."""
    assert [len(ink(first_of(row_of_kind(kind), "Row 2", kind)).lines) for kind in ("hdc", "dc", "tr", "dtr")] == [2, 3, 4, 5]
    cross = ink(first_of(row_of_kind("sc"), "Row 2", "sc")).lines
    assert len(cross) == 2 and abs(cross[0][0].x - cross[0][1].x) < 0.1 < abs(cross[1][0].x - cross[1][1].x)
    assert len(ink(first_of(row_of_kind("sl st"), "Row 2", "sl st")).dots) == 1


def test_a_stitch_without_a_symbol_is_never_drawn_as_another() -> None:
    source = row_of_kind("edc")
    made = ink(first_of(source, "Row 2", "edc"))
    assert [words for _, words in made.words] == ["dc"] and made.rings
    assert made.lines != ink(first_of(row_of_kind("dc"), "Row 2", "dc")).lines


# -- where stitches stand -------------------------------------------------------------------------------------------------

FLAT = "Ch 8.\nRow 1 (RS): Sc in 2nd ch from hook and in each ch across, turn. (7 sc)\nRow 2: Ch 1, sc in next 3 sts, 3 dc in next st, sc in next 3 sts, turn. (9 sts)\nRow 3: Ch 1, sc in each st across, turn. (9 sc)\n"


def test_rows_on_the_right_side_run_from_right_to_left_and_rows_on_the_wrong_side_back() -> None:
    (layout,) = layouts(FLAT)
    for label, way in (("Row 1", -1), ("Row 2", 1), ("Row 3", -1)):
        xs = [s.top.x for s in row(layout, label).stitches]
        assert all((b - a) * way > 0 for a, b in pairwise(xs)), label
    # a row that begins with the wrong side facing is drawn from left to right
    xs = [s.top.x for s in row(layouts(FLAT.replace("Row 1 (RS)", "Row 1 (WS)"))[0], "Row 1").stitches]
    assert xs == sorted(xs)


def test_a_stitch_stands_above_what_it_is_worked_into() -> None:
    (layout,) = layouts(FLAT)
    third, second, first = row(layout, "Row 3"), row(layout, "Row 2"), row(layout, "Row 1")
    for s in third.stitches:
        assert s.feet[0] == s.into[0].top and abs(s.top.x - s.into[0].top.x) < 0.01
    group = second.stitches[3:6]
    assert len({s.feet for s in group}) == 1 and group[0].feet[0] == first.stitches[3].top
    assert [round(s.top.x - group[1].top.x, 2) for s in group] == [-1, 0, 1]  # spread evenly over it
    assert all(s.top.y > s.feet[0].y for r in layout.rows for s in r.stitches)


def test_stitches_worked_together_reach_down_to_all_they_join() -> None:
    source = "Ch 7.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (6 sc)\nRow 2: Ch 3 (does not count), dc3tog over next 3 sts, dc in next 3 sts, turn. (4 dc)\n"
    together = row(layouts(source)[0], "Row 2").stitches[0]
    assert [f.x for f in together.feet] == [b.top.x for b in together.into]
    assert len(together.feet) == 3 and abs(together.top.x - together.feet[1].x) < 0.01


def test_a_chain_hangs_between_its_neighbours_and_what_goes_into_it_stands_in_its_curve() -> None:
    source = "Ch 8.\nRow 1: Sc in 2nd ch from hook, ch 3, sk 2 ch, sc in next ch, ch 3, sk 2 ch, sc in last ch, turn. (3 sc, 2 ch-3 sps)\nRow 2: Ch 1, sc in first sc, *3 sc in next ch-3 sp, sc in next sc; rep from * across, turn. (9 sc)\n"
    (layout,) = layouts(source)
    first, second = layout.rows
    space = first.stitches[1]
    assert space.ends == (first.stitches[0].top, first.stitches[2].top)
    assert space.top.y > first.stitches[0].top.y
    inside = [s for s in second.stitches if s.into and s.into[0].cell.kind == SPACE]
    low, high = sorted(p.x for p in (space.ends or ()))
    assert len(inside) == 6
    assert all(low < f.x < high for s in inside[3:] for f in s.feet)


def test_rounds_go_around_against_the_clock_and_no_stitch_meets_another() -> None:
    source = "Magic ring.\nRnd 1: 6 sc in ring. (6)\nRnd 2: Inc x 6. (12)\nRnd 3: (sc, inc) x 6. (18)\nRnd 4: (2 sc, inc) x 6. (24)\n"
    (layout,) = layouts(source)
    assert isinstance(layout.ground, Circle) and layout.ring > 0
    for placed in layout.rows:
        angles = [math.atan2(s.top.y, s.top.x) for s in placed.stitches]
        steps = [(b - a) % (2 * math.pi) for a, b in pairwise([*angles, angles[0]])]
        assert abs(sum(steps) - 2 * math.pi) < 1e-6  # once around, always the same way
        for a, b in pairwise([*placed.stitches, placed.stitches[0]]):
            assert math.dist(a.top, b.top) > 0.6
    radii = [[math.hypot(*s.top) for s in placed.stitches] for placed in layout.rows]
    assert all(max(inner) < min(outer) for inner, outer in pairwise(radii))


def granny(corners: int) -> str:
    return (
        "Ch 4, join with sl st to form a ring.\n"
        f"Rnd 1: Ch 3 (counts as dc), 2 dc in ring, ch 2, (3 dc in ring, ch 2) {corners - 1} times, join with sl st in top of ch-3.\n"
        "Rnd 2: Sl st in next 2 dc and in ch-2 sp, ch 3 (counts as dc), (2 dc, ch 2, 3 dc) in same sp, ch 1, *(3 dc, ch 2, 3 dc) in next ch-2 sp, ch 1; "
        f"rep from * {corners - 2} more times, join with sl st in top of ch-3.\n"
    )


@pytest.mark.parametrize("corners", [3, 4, 5, 6, 8])
def test_a_motif_that_grows_at_its_corners_has_them(corners: int) -> None:
    (layout,) = layouts(granny(corners))
    assert isinstance(layout.ground, Polygon) and layout.ground.corners == corners
    for placed in layout.rows:
        spaces = [s for s in placed.stitches if s.cell.kind == SPACE and s.cell.size == 2]
        others = [s for s in placed.stitches if s.cell.kind != SPACE]
        assert len(spaces) == corners
        # a corner lies farther out than anything else of its round
        assert min(math.hypot(*s.top) for s in spaces) > max(math.hypot(*s.top) for s in others) * 0.99


def test_a_round_without_corners_of_its_own_stays_round() -> None:
    source = "Magic ring.\nRnd 1: Ch 4 (counts as dc and ch 1), (dc in ring, ch 1) 11 times, join with sl st in 3rd ch of ch-4. (12 dc)\n"
    assert isinstance(layouts(source)[0].ground, Circle)


def test_a_foot_begun_along_both_sides_of_a_chain_is_an_oval() -> None:
    source = "Ch 6.\nRnd 1: Sc in 2nd ch from hook, sc in next 3 ch, 3 sc in last ch, working along other side of chain, sc in next 3 ch, 2 sc in last ch. (12 sc)\n"
    (layout,) = layouts(source)
    assert isinstance(layout.ground, Oval)
    ys = [s.top.y for s in layout.rows[0].stitches]
    assert max(ys[:4]) < 0 < min(ys[7:10])  # out below the chain, back above it


def test_a_shawl_from_the_middle_of_its_edge_opens_like_a_fan() -> None:
    source = "Ch 4, join with sl st to form a ring.\nRow 1 (RS): Ch 3 (counts as dc), 6 dc in ring, turn. (7 dc)\nRow 2: Ch 3 (counts as dc), dc in same st, 2 dc in each dc across, turn. (14 dc)\n"
    (layout,) = layouts(source)
    assert isinstance(layout.ground, Fan)
    assert all(s.top.y > -1 for r in layout.rows for s in r.stitches)


def test_rounds_that_have_stopped_growing_are_drawn_straight() -> None:
    source = "Magic ring.\nRnd 1: 6 sc in ring. (6)\nRnd 2: Inc x 6. (12)\n" + "".join(f"Rnd {n}: Sc in each st around. (12)\n" for n in range(3, 7))
    flat, tube = layouts(source)
    assert isinstance(flat.ground, Circle) and isinstance(tube.ground, Straight)
    labels = [r.traced.work.label for layout in (flat, tube) for r in layout.rows]
    assert labels == [f"Rnd {n}" for n in range(1, 7)]
    said = " ".join(note for p in drawn(source) for note in p.notes)
    assert "drawn straight" in said and "row below" in said


# -- posts and crossings --------------------------------------------------------------------------------------------------


def posts(side: str, post: str) -> str:
    other = "WS" if side == "RS" else "RS"
    return f"Ch 9.\nRow 1 ({other}): Dc in 4th ch from hook (skipped chs count as dc) and in each ch across, turn. (7 dc)\nRow 2 ({side}): Ch 1, sc in first st, {post}dc around each of next 5 sts, sc in last st, turn. (7 sts)\n"


@pytest.mark.parametrize(
    ("side", "post", "raised"),
    # A front post lies raised towards the worker, a back post away: Interweave, post stitch primer,
    # https://www.interweave.com/article/crochet/crochet-cables-post-stitch-primer/; the four cases are our derivation.
    [("RS", "FP", True), ("RS", "BP", False), ("WS", "FP", False), ("WS", "BP", True)],
)
def test_a_post_is_hooked_on_the_face_it_stands_out_on(side: str, post: str, raised: bool) -> None:
    stitch = first_of(posts(side, post), "Row 2", f"{post}dc")
    foot = stitch.feet[0]
    around = [p.x for curve in ink(stitch).curves for p in curve]
    assert (max(around) - foot.x > 0.3) is raised
    assert (foot.x - min(around) > 0.3) is not raised
    below = stitch.into[0]
    assert below.feet[0].y < foot.y < below.top.y  # around the post, not in the top
    (picture,) = drawn(posts(side, post))
    assert ("raised" if raised else "sunk") in picture.changes
    words = {r.label: w for r, w in picture.lines}
    assert f"5 {post}dc standing out on the {'RS' if raised else 'WS'}" in words["Row 2"]


def cable(side: str, way: str) -> str:
    other, post = ("WS", "FP") if side == "RS" else ("RS", "BP")
    return f"Ch 9.\nRow 1 ({other}): Dc in 4th ch from hook (skipped chs count as dc) and in each ch across, turn. (7 dc)\nRow 2 ({side}): Ch 1, sc in first st, sk next 3 sts, {post}tr around each of next 2 sts, working {way} sts just made, {post}tr around each of 3 skipped sts, sc in last st, turn. (7 sts)\n"


@pytest.mark.parametrize(
    ("side", "way", "lean"),
    # Skipped stitches in front: a left cross (https://creativecrochetcorner.com/video/how-to-work-a-2-x-2-cable-in-turned-rows).
    # A cross keeps its hand from both faces (from knitting: https://www.gannetdesigns.com/2017/08/08/wrong-side-cable-crosses/);
    # for crochet on WS rows this is our derivation.
    [("RS", "in front of", "left"), ("RS", "behind", "right"), ("WS", "in front of", "left"), ("WS", "behind", "right")],
)
def test_the_strand_on_top_leans_the_way_of_its_cross_and_is_drawn_last(side: str, way: str, lean: str) -> None:
    source = cable(side, way)
    strands = [s for s in row(layouts(source)[0], "Row 2").stitches if s.cell.kind.endswith("tr")]
    over = [s for s in strands if s.lies == "over"] or [s for s in strands if s.crossed]
    under = [s for s in strands if s not in over]
    assert {len(over), len(under)} == {2, 3}
    assert all((s.top.x < s.feet[0].x) is (lean == "left") for s in over)
    assert all((s.top.x < s.feet[0].x) is not (lean == "left") for s in under)
    (picture,) = drawn(source)
    assert picture.drawing is not None
    looks = [p.get("class", "") for p in picture.drawing.iter("path")]
    below, halo, above = (looks.index(f"ink {look}") for look in ("under", "halo", "over"))
    assert below < halo < above
    paths = [p.get("d", "") for p in picture.drawing.iter("path")]
    assert paths[halo] == paths[above]  # the gap is cut along the strand that lies on top
    # every leg of the strands on top is in the group on top, every other leg in the one below
    assert paths[above].count("M") / len(over) == paths[below].count("M") / len(under)


def test_a_crossing_that_is_not_told_breaks_neither_strand_and_says_so() -> None:
    (picture,) = drawn(cable("RS", "in front of").replace(", working in front of sts just made", ""))
    assert picture.drawing is not None
    assert not [p for p in picture.drawing.iter("path") if "halo" in p.get("class", "")]
    assert any("does not say which" in note for note in picture.notes)
    assert "not said" in {r.label: w for r, w in picture.lines}["Row 2"]


# -- what is not known ----------------------------------------------------------------------------------------------------


def test_what_was_not_read_is_said_and_never_drawn() -> None:
    source = "Ch 9.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (8 sc)\nRow 2: Work shells evenly across, turn. (12 sc)\nRow 3: Ch 1, sc in each st across, turn. (12 sc)\n"
    first, second = drawn(source)
    assert any(note == "Row 2 was not read, so it is not drawn." for note in first.notes)
    assert [r.label for r, _ in first.lines] == ["Row 1"] and [r.label for r, _ in second.lines] == ["Row 3"]
    (layout,) = [lay for lay in layouts(source) if lay.rows[0].traced.work.label == "Row 3"]
    rings = Ink()
    for b in layout.base:
        draw(b, rings)
    assert len(rings.rings) == 12 and not rings.lines  # the stitches below are open rings: nothing is known of their kind


def test_an_assumed_row_is_drawn_as_one() -> None:
    source = "Ch 9.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (8 sc)\nRow 2: Work shells as you like.\nRow 3: Ch 1, (sc in next st, ch 1, sk next st) 6 times, turn. (6 sc)\n"
    picture = drawn(source)[-1]
    assert picture.drawing is not None
    groups = [g.get("class") for g in picture.drawing.iter("g")]
    assert any("assumed" in (g or "") for g in groups)
    assert any("designer’s word" in note for note in picture.notes)


def texts(drawing: Element) -> list[str]:
    return ["".join(t.itertext()) for t in drawing.iter("text")]


def test_a_row_that_differs_is_marked_in_words_as_well_as_in_colour() -> None:
    source = "Ch 9.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (9 sc)\n"
    (picture,) = drawn(source)
    assert picture.drawing is not None
    assert any("differs" in t for t in texts(picture.drawing))
    assert any("differs" in (g.get("class") or "") for g in picture.drawing.iter("g"))
    assert any("Row 1 differs" in note for note in picture.notes) and "Row 1 differs" in picture.description


def test_stitches_left_over_are_ringed_and_stitches_with_no_place_are_broken() -> None:
    start = "Ch 9.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (8 sc)\n"
    (left,) = drawn(start + "Row 2: Ch 1, sc in next 6 sts, turn. (6 sc)\n")
    (beyond,) = drawn(start + "Row 2: Ch 1, sc in next 10 sts, turn. (10 sc)\n")
    for picture, look in ((left, "left"), (beyond, "beyond")):
        assert picture.drawing is not None
        assert [p for p in picture.drawing.iter("path") if look in p.get("class", "").split()]
    assert any("left over" in n for n in left.notes) and any("left to go into" in n for n in beyond.notes)


# -- large pieces ---------------------------------------------------------------------------------------------------------

WIDE = """\
Ch 200.
Row 1 (RS): Sc in 2nd ch from hook and in each ch across, turn. (199 sc)
Row 2: Ch 3 (counts as dc), dc in next st, *ch 2, sk 2 sts, dc in next 4 sts; rep from * to last 5 sts, ch 2, sk 2 sts, dc in last 3 sts, turn.
"""


def test_a_wide_piece_shows_whole_repeats_and_both_edges_and_says_what_is_left_out() -> None:
    (layout,) = layouts(WIDE)
    window = window_for(layout)
    second = row(layout, "Row 2")
    found = repeat_of(second.stitches)
    assert found is not None and found.length == 5 and abs(found.room - 6) < 0.01  # 4 dc and a space, over 6 stitches
    assert window.cut and window.repeat is not None
    shown = [s for s in second.stitches if window.moved(s) is not None]
    assert second.stitches[0] in shown and second.stitches[-1] in shown
    assert 2 * found.length <= len(shown) < len(second.stitches) / 2
    (picture,) = drawn(WIDE)
    assert any("left out" in note and str(window.shown) in note and str(window.whole) in note for note in picture.notes)
    assert picture.drawing is not None and float(picture.drawing.get("width", "0")) < (WIDEST + 20) * 20


def test_rows_that_repeat_are_drawn_once() -> None:
    source = WIDE.split("Row 2")[0] + "Rows 2-90: Ch 1, sc in each st across, turn. (199 sc)\n"
    (picture,) = drawn(source)
    assert len(picture.lines) < 10
    assert any(re.search(r"are not drawn: worked as Rows \d and \d", note) for note in picture.notes)


def test_a_long_piece_stops_and_a_row_that_differs_beyond_is_drawn_by_itself() -> None:
    lines = ["Ch 4.", "Row 1: Sc in 2nd ch from hook and in each ch across, turn. (3 sc)"]
    lines += [f"Row {n}: Ch 1, 2 sc in first st, sc in each st across, turn. ({n + 2 + (n == 70)} sc)" for n in range(2, 90)]
    done = drawn("\n".join(lines) + "\n")
    assert len(done[0].lines) == MOST_ROWS
    assert any("for want of room" in note for note in done[0].notes)
    assert [p for p in done[1:] if any(r.label == "Row 70" for r, _ in p.lines)]


def test_a_huge_piece_costs_little() -> None:
    rounds = ["Magic ring.", "Rnd 1: 6 sc in ring. (6)"]
    rounds += [f"Rnd {n}: ({n - 2} sc, inc) x 6. ({6 * n})" for n in range(2, 400)]
    blanket = "Blanket\nCh 90001.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (90000 sc)\nRows 2-5000: Ch 1, sc in each st across, turn. (90000 sc)\n"
    start = time.perf_counter()
    for source in ("\n".join(rounds), blanket):
        done = drawn(source)
        assert sum(len(list(p.drawing.iter())) for p in done if p.drawing is not None) < 5_000
    assert time.perf_counter() - start < 30
    assert any("too wide" in note for p in drawn(blanket) for note in p.notes)


def test_the_first_size_is_drawn_and_named() -> None:
    source = "US terms.\nSizes: S (M, L)\n\nStrap\nCh 9 (11, 13).\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (8 (10, 12) sc)\n"
    (picture,) = drawn(source)
    assert "Drawn in size S, the first of the sizes." in picture.notes
    assert picture.lines[0][1] == "8 sc"


# -- in words -------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("Ch 1, sc in next 3 sts, dc in next 8 sts", "ch 1 that does not count, 3 sc, 8 dc"),
        ("Ch 1, sc in first st, *ch 2, sk 2 sts, sc in next st; rep from * twice more, sc in last st", "ch 1 that does not count, [sc, ch 2] 3 times, 2 sc"),
        ("Ch 1, 2 sc in first st, sc2tog, sc in next 8 sts", "ch 1 that does not count, 2 sc in one sc, sc2tog, 8 sc"),
        ("Ch 1, sc in next 5 sts, (dc, ch 1, dc) in next st, sc in next 5 sts", "ch 1 that does not count, 5 sc, (dc, ch 1, dc) in one sc, 5 sc"),
        ("Ch 3 (counts as dc), dc in next 9 sts, popcorn in last st", "ch 3 that counts as dc, 9 dc, popcorn"),
    ],
)
def test_a_row_in_words(words: str, said: str) -> None:
    source = f"Ch 12.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (11 sc)\nRow 2: {words}, turn.\n"
    (picture,) = drawn(source)
    assert {r.label: w for r, w in picture.lines}["Row 2"] == said


@pytest.mark.parametrize("path", sorted(ROOT.glob("examples/3*")), ids=lambda p: p.name)
def test_every_picture_of_the_examples_has_its_words(path: Path) -> None:
    done = drawn(path.read_text("utf-8"))
    pictures_of_it = [p for p in done if p.drawing is not None]
    assert pictures_of_it
    for picture in pictures_of_it:
        assert picture.drawing is not None
        title, description = picture.drawing.find("title"), picture.drawing.find("desc")
        assert title is not None and title.text and description is not None and description.text
        assert picture.lines and all(words for _, words in picture.lines)
        assert "nan" not in "".join(p.get("d", "") for p in picture.drawing.iter("path"))


# -- placing --------------------------------------------------------------------------------------------------------------

PLACES = st.lists(st.tuples(st.floats(-50, 50), st.floats(0.1, 3)), min_size=1, max_size=40)


@given(PLACES)
def test_spread_keeps_the_order_and_the_room(things: list[tuple[float, float]]) -> None:
    wanted, widths = [p for p, _ in things], [w for _, w in things]
    places = spread(wanted, widths)
    for (a, wa), (b, wb) in pairwise(zip(places, widths, strict=True)):
        assert b - a >= (wa + wb) / 2 - 1e-9
    assert abs(sum(places) - sum(wanted)) < 1e-6  # least squares: nothing is pushed one way only
    again = spread(places, widths)
    assert all(abs(a - b) < 1e-9 for a, b in zip(places, again, strict=True))


@given(PLACES, st.floats(1.0, 2.0))
def test_spread_around_leaves_room_across_the_end(things: list[tuple[float, float]], spare: float) -> None:
    widths = [w for _, w in things]
    period = sum(widths) * spare
    places = spread_round([p for p, _ in things], widths, period)
    for (a, wa), (b, wb) in pairwise([*zip(places, widths, strict=True), (places[0] + period, widths[0])]):
        assert b - a >= (wa + wb) / 2 - 1e-6
    eased_places = eased(places, widths, period, 1.0)
    gaps = [(b - a) / ((wa + wb) / 2) for (a, wa), (b, wb) in pairwise(zip(eased_places, widths, strict=True))]
    assert all(abs(g - spare) < 1e-6 for g in gaps)


@pytest.mark.parametrize("ground", [Circle(), Fan(), Polygon(4, 0.3), Polygon(6), Oval(5.0)], ids=lambda g: type(g).__name__)
def test_what_is_carried_outwards_lies_straight_outside(ground: Circle | Fan | Polygon | Oval) -> None:
    edge = ground.period(4.0) or 4 * math.pi
    for k in range(40):
        place = edge * k / 40
        inner, outer = ground.point(place, 4.0), ground.point(ground.carried(place, 4.0, 6.0), 6.0)
        assert 2 - 1e-6 <= math.dist(inner, outer) <= 2 * math.sqrt(2) + 0.5
        assert abs(ground.carried(ground.carried(place, 4.0, 6.0), 6.0, 4.0) - place) < 0.4
