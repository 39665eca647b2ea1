"""Facts of the trade about posts, ribs, basketweave, crossings and popcorns, each with where it is from."""

from __future__ import annotations

from dataclasses import dataclass

import pytest
from tenterhook.lint.fabric.row import other_side
from tenterhook.lint.fabric.work import RowWork
from tenterhook.lint.proof import Proof, proof
from tenterhook.lint.text import Text
from tenterhook.rules.sides.columns import post_for, stands_out
from tenterhook.rules.sides.cross_lean import crossing_way

PRIMER = "https://www.interweave.com/article/crochet/crochet-cables-post-stitch-primer/"
COWL = "https://www.yarnspirations.com/en-ca/blogs/how-to/rh-20151202-learn-a-stitch-make-a-crocheted-cable-cowl"
DEMYSTIFIED = "https://thebluestarboutique.com/2017/11/30/post-stitches-demystified/"
ROUNDS = "https://stitchesnscraps.com/continuous-rounds-running-stitch-markers/"
TURNED_CABLES = "https://creativecrochetcorner.com/video/how-to-work-a-2-x-2-cable-in-turned-rows"
CROSSED = "https://www.ilikecrochet.com/magazine/crochet-tips-and-tutorials/demystifying-crossed-cables/"
KNITTED_CROSSES = "https://www.gannetdesigns.com/2017/08/08/wrong-side-cable-crosses/"
POPCORN = "https://www.crochet.com/learning-center/texture-stitches/popcorn"
BOBBLE = "https://crochetpedia.com/bobble-stitch/"


def proofed(text: str) -> Proof:
    return proof(Text(text, "facts.txt"))


def row(done: Proof, label: str) -> RowWork:
    return next(r for r in done.work.rows() if r.label == label)


def spoken(done: Proof) -> list[tuple[str, str]]:
    return [(f.rule, f.place) for f in done.findings if f.severity.rank < 2]


# -- which face a post stitch stands out on ---------------------------------------------------------------------------

# A front post lies raised towards the maker, a back post away (PRIMER, DEMYSTIFIED); the four lines follow from that.
TRUTH = [("RS", "F", "RS"), ("RS", "B", "WS"), ("WS", "F", "WS"), ("WS", "B", "RS")]


@pytest.mark.parametrize(("side", "post", "face"), TRUTH)
def test_truth_table(side: str, post: str, face: str) -> None:
    assert stands_out(side, post) == face
    assert post_for(side, face) == post


@pytest.mark.parametrize(("side", "post", "face"), TRUTH)
def test_the_fabric_keeps_the_same_table(side: str, post: str, face: str) -> None:
    first = other_side(side)
    done = proofed(
        f"Ch 12.\nRow 1 ({first}): Dc in 4th ch from hook (skipped chs count as dc) and in each ch across, turn. (10 dc)\n"
        f"Row 2 ({side}): Ch 1, sc in first 3 sts, {post}Pdc around each of next 4 sts, sc in last 3 sts, turn. (10)\n"
        f"Row 3 ({first}): Ch 1, sc in first 3 sts, FPdc around each of next 4 sts, sc in last 3 sts, turn. (10)\n"
    )
    assert {(p.post, p.below) for p in row(done, "Row 2").posts} == {(post, "")}
    assert {p.below for p in row(done, "Row 3").posts} == {face}


def test_a_column_is_kept_by_front_posts_on_rs_rows_and_back_posts_on_ws_rows() -> None:
    """COWL: FP on RS rows and BP on WS rows keep a column raised on the RS."""
    assert {stands_out("RS", "F"), stands_out("WS", "B")} == {"RS"}


def test_in_rounds_not_turned_a_column_is_front_posts_throughout() -> None:
    """ROUNDS: rounds that are not turned always show the RS."""
    done = proofed(
        "Ch 20, join with sl st to form ring.\nRnd 1 (RS): Ch 2 (not a st), dc in each ch around, join. (20)\n"
        "Rnd 2: Ch 2, *FPdc around each of next 2 sts, dc in next 3 sts; rep from * around, join. (20)\nRnds 3-6: Rep Rnd 2.\n"
    )
    faces = [p.below for r in done.work.rows() if (r.number or 0) > 2 for p in r.posts]
    assert set(faces) == {"RS"}
    assert spoken(done) == []


# -- ribs ---------------------------------------------------------------------------------------------------------------


def worked(words: list[str], side: str) -> list[str]:
    """The faces of a row, as seen from the RS and left to right, from its posts in working order."""
    faces = [stands_out(side, post) for post in words]
    return faces[::-1] if side == "RS" else faces


@pytest.mark.parametrize("ribs", [1, 2, 3])
@pytest.mark.parametrize("width", range(2, 25))
def test_rib_parity(ribs: int, width: int) -> None:
    """Over whole pairs of ribs the same words every row make a rib; over an odd number of ribs they must swap (derived)."""
    if width % ribs:
        return
    words = ["F" if (i // ribs) % 2 == 0 else "B" for i in range(width)]
    swapped = ["B" if p == "F" else "F" for p in words]
    even = (width // ribs) % 2 == 0
    assert (worked(words, "RS") == worked(words, "WS")) is even
    assert (worked(words, "RS") == worked(swapped, "WS")) is not even


def rib(width: int, second: str, third: str) -> str:
    return (
        f"Ch {width + 4}.\nRow 1 (RS): Dc in 4th ch from hook (skipped chs count as dc) and in each ch across, turn. ({width + 2} dc)\n"
        f"Row 2: Ch 1, sc in first st, {second}, sc in last st, turn. ({width + 2})\n"
        f"Row 3: Ch 1, sc in first st, {third}, sc in last st, turn. ({width + 2})\n"
    )


def flips(r: RowWork) -> int:
    assert r.side is not None
    return sum(stands_out(r.side, p.post) != p.below for p in r.posts)


def test_even_rib_repeats_its_words_in_the_fabric() -> None:
    words = "*FPdc around next st, BPdc around next st; rep from * to last st"
    assert flips(row(proofed(rib(8, words, words)), "Row 3")) == 0


def test_odd_rib_swaps_its_words_in_the_fabric() -> None:
    one = "FPdc around next st, *BPdc around next st, FPdc around next st; rep from * to last st"
    two = "BPdc around next st, *FPdc around next st, BPdc around next st; rep from * to last st"
    assert flips(row(proofed(rib(9, one, two)), "Row 3")) == 0
    assert flips(row(proofed(rib(9, one, one)), "Row 3")) > 0


# -- basketweave ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("blocks", range(2, 9))
@pytest.mark.parametrize("wide", [2, 3, 4, 5])
def test_basketweave_words(blocks: int, wide: int) -> None:
    """Creative Crochet Corner's blocks of 3 over 6n + 2 keep their words for two rows, since their number is even.

    With an odd number of blocks the words must swap on every turn (derived).
    """
    words = ["F" if (i // wide) % 2 == 0 else "B" for i in range(blocks * wide)]
    assert (worked(words, "WS") == worked(words, "RS")) is (blocks % 2 == 0)


def test_basketweave_is_left_in_peace() -> None:
    one = "*FPdc around each of next 3 sts, BPdc around each of next 3 sts; rep from * to last st"
    two = "*BPdc around each of next 3 sts, FPdc around each of next 3 sts; rep from * to last st"
    text = rib(18, one, one) + rib(18, two, two).split("\n", 2)[2].replace("Row 3", "Row 5").replace("Row 2", "Row 4")
    done = proofed(text + "Rows 6-13: Rep Rows 2-5 twice.\n")
    assert flips(row(done, "Row 3")) == 0
    assert flips(row(done, "Row 4")) > 0
    assert spoken(done) == []


# -- crossings: an independent small model of the posts ------------------------------------------------------------------------


@dataclass(frozen=True)
class Strand:
    """A post below and the stitch above it: places counted from the maker's right, depth counted away from the maker."""

    below: int
    above: int
    depth: int


def crossing(skipped: int, beyond: int, in_front: bool) -> list[Strand]:
    """Skip some posts, work the ones beyond into the first places, then the skipped ones into the places after them."""
    first = [Strand(skipped + i, i, 1) for i in range(beyond)]
    last = [Strand(i, beyond + i, 0 if in_front else 2) for i in range(skipped)]
    return first + last


def seen_from_rs(strands: list[Strand], side: str) -> list[Strand]:
    """The same posts as somebody sees them who looks at the RS: from a WS row everything is mirrored and near is far."""
    if side == "RS":
        return strands
    last = len(strands) - 1
    return [Strand(last - s.below, last - s.above, -s.depth) for s in strands]


def lean(strands: list[Strand]) -> str:
    """Which way the strand on top goes from its foot to its head; places are counted from the right."""
    nearest = min(s.depth for s in strands)
    ways = {"left" if s.above > s.below else "right" for s in strands if s.depth == nearest}
    assert len(ways) == 1
    return ways.pop()


WIDTHS = [(k, k) for k in range(1, 7)] + [(1, 2), (2, 1), (3, 1)]


@pytest.mark.parametrize(("skipped", "beyond"), WIDTHS)
@pytest.mark.parametrize("in_front", [True, False])
def test_a_crossing_uses_every_post_once(skipped: int, beyond: int, in_front: bool) -> None:
    """CROSSED: skip k, work k beyond, go back for the k skipped: 2k posts used, 2k stitches left."""
    strands = crossing(skipped, beyond, in_front)
    assert sorted(s.below for s in strands) == sorted(s.above for s in strands) == list(range(skipped + beyond))


@pytest.mark.parametrize(("skipped", "beyond"), WIDTHS)
@pytest.mark.parametrize("in_front", [True, False])
def test_lean_on_rs_rows(skipped: int, beyond: int, in_front: bool) -> None:
    """TURNED_CABLES: skipped stitches in front make a left cross, behind a right cross."""
    words = (
        f"sk next {skipped} sts, FPtr around each of next {beyond} sts, working {'in front of' if in_front else 'behind'} sts just made, "
        f"FPtr around each of {skipped} skipped sts"
    ).lower()
    assert lean(seen_from_rs(crossing(skipped, beyond, in_front), "RS")) == crossing_way(words) == ("left" if in_front else "right")


@pytest.mark.parametrize(("skipped", "beyond"), WIDTHS)
@pytest.mark.parametrize("in_front", [True, False])
def test_lean_on_ws_rows(skipped: int, beyond: int, in_front: bool) -> None:
    """Our own derivation, from the model above: the hand of a cross does not change with the side it is worked on.

    No published source for crochet was found; for knitting, KNITTED_CROSSES says the same.
    """
    strands = crossing(skipped, beyond, in_front)
    assert lean(seen_from_rs(strands, "WS")) == lean(seen_from_rs(strands, "RS"))


def test_on_ws_rows_the_strand_on_top_is_the_one_far_from_the_maker() -> None:
    """Our own derivation as well: the first-made strands are on top on the RS when the skipped ones are worked in front."""
    strands = crossing(2, 2, in_front=True)
    nearest = min(seen_from_rs(strands, "WS"), key=lambda s: s.depth)
    assert nearest.depth == -1
    assert min(strands, key=lambda s: s.depth).depth == 0


def test_a_crossing_moved_to_ws_rows_swaps_its_posts_and_keeps_its_words() -> None:
    """Follows from the two before: BP stands out on the RS there, and in front still leans to the left."""
    assert post_for("WS", "RS") == "B"
    done = proofed(
        "Ch 16.\nRow 1 (WS): Dc in 4th ch from hook (skipped chs count as dc) and in each ch across, turn. (14 dc)\n"
        "Row 2 (RS): Ch 1, sc in first 5 sts, FPdc around each of next 4 sts, sc in last 5 sts, turn. (14)\n"
        "Row 3 (WS): Ch 1, sc in first 5 sts, sk next 2 sts, BPtr around each of next 2 sts, working in front, "
        "BPtr around each of 2 skipped sts, sc in last 5 sts, turn. (14)\n"
    )
    assert [(c.way, c.post, c.side) for c in row(done, "Row 3").crossings] == [("F", "B", "WS")]
    assert spoken(done) == []


# -- popcorns and bobbles -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("way", "asked"), [("from front to back", True), ("from back to front", False)])
def test_popcorns_on_ws_rows_are_closed_from_back_to_front(way: str, asked: bool) -> None:
    """POPCORN: front to back on the RS, back to front on the WS, so that it still pops on the RS."""
    done = proofed(
        f"Popcorn: 5 dc in same st, drop loop, insert hook in first of these dc {way}, pull dropped loop through.\nCh 10.\n"
        "Row 1 (RS): Sc in 2nd ch from hook and in each ch across, turn. (9 sc)\n"
        "Row 2 (WS): Ch 1, sc in first 4 sts, popcorn in next st, sc in last 4 sts, turn. (9)\n"
    )
    assert spoken(done) == ([("raised-stitch-side", "Row 2")] if asked else [])


def test_bobbles_belong_on_ws_rows() -> None:
    """BOBBLE: it pushes to the far side, so it is worked on WS rows to show on the RS."""
    done = proofed(
        "Bobble: (yo, insert hook in st and pull up a loop, yo and draw through 2 loops) 5 times in same st, yo, draw through all 6 loops on hook.\n"
        "Ch 10.\nRow 1 (RS): Sc in 2nd ch from hook and in each ch across, turn. (9 sc)\n"
        "Row 2 (WS): Ch 1, sc in first 4 sts, bobble in next st, sc in last 4 sts, turn. (9)\n"
    )
    assert row(done, "Row 2").side == "WS"
    assert spoken(done) == []
