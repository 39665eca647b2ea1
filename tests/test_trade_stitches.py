"""The arithmetic of each stitch against handbooks, tutorials and leaflets."""

from __future__ import annotations

import pytest
from tenterhook.lint.trade import stitches
from tenterhook.lint.trade.stitches import Tally, tally

# Dummies.com, turning chain; Oombawka Design, recommended turning chains. trtr is memory.
# Yarn overs, loops, usual turning chain, first stitch in chain.
BASICS = {
    "sc": (0, 2, 1, 2),
    "hdc": (1, 3, 2, 3),
    "dc": (1, 3, 3, 4),
    "tr": (2, 4, 4, 5),
    "dtr": (3, 5, 5, 6),
    "trtr": (4, 6, 6, 7),
}


@pytest.mark.parametrize("abbr, figures", BASICS.items())
def test_a_basic_stitch(abbr: str, figures: tuple[int, int, int, int]) -> None:
    found = stitches.basic(abbr)
    assert found is not None
    assert (found.yarn_overs, found.loops, found.turning_chain[0], found.first_chain[0]) == figures
    assert (found.uses, found.makes) == (1, 1)
    # Handbook of 1918: one chain a draw, so each stitch stands one chain taller and the hook enters above it.
    assert found.first_chain[0] == found.turning_chain[0] + 1
    assert found.loops == found.yarn_overs + 2


def test_how_many_chains_ten_stitches_need() -> None:
    # Hooked Stitched and Glued: 11, 11 and 12 chains for 10 UK dc, htr and tr.
    chains = {a: b.chains_for(10, counting=a != "sc") for a, b in stitches.basics().items()}
    assert (chains["sc"], chains["hdc"], chains["dc"]) == (11, 11, 12)
    # Not counting, the skipped chains come on top: 34 hdc on 36 chains, 10 dc on 13.
    assert stitches.basics()["hdc"].chains_for(34, counting=False) == 36
    assert stitches.basics()["dc"].chains_for(10, counting=False) == 13


def test_the_chains_skipped_and_the_stitches_fill_the_foundation() -> None:
    for found in stitches.basics().values():
        skipped = found.first_chain[0] - 1
        assert found.chains_for(20, counting=False) == 20 + skipped
        if found.counts != "no":
            assert found.chains_for(20, counting=True) == 19 + skipped


def test_whether_the_turning_chain_counts() -> None:
    # cherryheartcrochet.co.uk: the chain of single crochet never counts, the others do; hdc varies in leaflets.
    counts = {a: b.counts for a, b in stitches.basics().items()}
    assert counts == {"sl st": "no", "sc": "no", "hdc": "varies", "dc": "usually", "tr": "usually", "dtr": "usually", "trtr": "usually"}
    assert stitches.basics()["sl st"].turning_chain == (0, 1)  # two pages say 0, one says 1


@pytest.mark.parametrize(
    "name, expected",
    [
        ("sc2tog", Tally(2, 1, 3)),  # a crochet book's glossary: 3 and 4 loops
        ("sc3tog", Tally(3, 1, 4)),
        ("hdc2tog", Tally(2, 1, 5)),  # leaflets: a yarn over for each leg
        ("dc2tog", Tally(2, 1, 3)),  # Craftorator, diagonal shells
        ("dc3tog", Tally(3, 1, 4)),  # leaflets
        ("dc5tog", Tally(5, 1, 6)),
        ("tr2tog", Tally(2, 1, 3)),
        ("inc", Tally(1, 2)),
        ("FPdc", Tally(1, 1, 3)),  # Interweave's primer: the stitch behind the post is passed
        ("BPtr", Tally(1, 1, 4)),
        ("esc", Tally(1, 1, 2)),
        ("fsc", Tally(0, 1)),
        ("shell", Tally(1, 5)),  # Modern Made
        ("V-st", Tally(1, 2)),
        ("crossed pair", Tally(2, 2)),  # Annie's stitch guide
        ("popcorn", Tally(1, 1)),  # Chunky Stitches
        ("bobble", Tally(1, 1, 6)),  # leaflets: 5 dc, 6 loops
        ("puff", Tally(1, 1, 9)),  # day 324: 4 draws, 9 loops
        ("cluster", Tally(1, 1, 4)),
        ("picot", Tally(0, 0)),  # Dillmont
        ("cable 2/2", Tally(4, 4)),  # Knot Sew Cute
        ("cable 3/3", Tally(6, 6)),
        ("filet mesh", Tally(3, 3)),  # Dillmont
        ("ch", Tally(0, 0)),
        ("join", Tally(0, 0)),
        ("sl st", Tally(1, 1, 2)),
    ],
)
def test_what_it_uses_and_leaves(name: str, expected: Tally) -> None:
    assert tally(name) == expected


@pytest.mark.parametrize(
    "name, k, expected",
    [("shell", 7, Tally(1, 7)), ("cluster over stitches", 4, Tally(4, 1, 5)), ("puff", 3, Tally(1, 1, 7)), ("in ring", 12, Tally(0, 12)), ("open work", 2, Tally(2, 0)), ("inc in one", 3, Tally(1, 3)), ("popcorn", 4, Tally(1, 1))],
)
def test_groups_of_k(name: str, k: int, expected: Tally) -> None:
    assert tally(name, k) == expected


@pytest.mark.parametrize("name", ["", "knit", "sc0tog", "tog", "SC", "FP", "fpdc", "sc2tog2"])
def test_unknown_names_have_no_tally(name: str) -> None:
    assert tally(name) is None


def test_how_many_legs_are_usual() -> None:
    # chunkystitches: popcorns of 4 to 7, usually 5; Modern Made: shells of 3 to 7, usually 5.
    groups = stitches.workings()
    assert (groups["popcorn"].legs, groups["popcorn"].k) == ((4, 7), 5)
    assert (groups["shell"].legs, groups["shell"].k) == ((3, 7), 5)
    assert groups["fdc"].start_chain == 3 and groups["fsc"].start_chain == 2
    assert groups["corner block"].unit == "block" and groups["in space"].spaces == 1


def test_flat_circles() -> None:
    # craftymaria.blogspot.com (6, 8, 12) and mkcarroll.com (ranges, treble).
    assert [stitches.flat_circle(a) for a in ("sc", "hdc", "dc", "tr", "dtr")] == [(6, 6), (8, 8), (10, 12), (12, 14), None]
