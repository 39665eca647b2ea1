"""American and British words against published comparisons."""

from __future__ import annotations

import pytest
from tenterhook.lint.trade import stitches, terms

# Fun Crochet Designs, crochet terms by country; trtr and qtr are memory.
PAIRS = [("ch", "ch"), ("sc", "dc"), ("hdc", "htr"), ("dc", "tr"), ("tr", "dtr"), ("dtr", "trtr"), ("trtr", "qtr")]


@pytest.mark.parametrize("us, uk", PAIRS)
def test_pairs_both_ways(us: str, uk: str) -> None:
    assert terms.to_uk(us) == uk
    assert terms.to_us(uk) == us


@pytest.mark.parametrize(
    "us, uk",
    [  # British book's abbreviation pages; basketweave square in both terms
        ("sc2tog", "dc2tog"), ("dc2tog", "tr2tog"), ("FPdc", "FPtr"), ("BPdc", "BPtr"),
    ],
)  # fmt: skip
def test_decreases_and_post_stitches(us: str, uk: str) -> None:
    assert terms.to_uk(us) == uk
    assert terms.to_us(uk) == us


def test_pairs_by_name_and_other_spelling() -> None:
    assert (found := terms.pair("Half Treble", "UK")) and found.us.abbr == ("hdc",)
    assert (found := terms.pair("triple crochet", "US")) and found.uk.abbr[0] == "dtr"
    assert (found := terms.pair("ttr", "UK")) and found.us.abbr == ("dtr",)
    assert (found := terms.pair("SS", "UK")) and found.us.name == "slip stitch"
    assert terms.pair("htr", "US") is None
    assert terms.pair("sc", "UK") is None
    assert terms.to_us("needle") is terms.to_uk("") is None


def test_no_spelling_stands_for_two_stitches_in_the_same_terms() -> None:
    for side in ("US", "UK"):
        spellings = [a for p in terms.pairs() for a in (p.us if side == "US" else p.uk).abbr]
        assert len(spellings) == len(set(spellings)), side


@pytest.mark.parametrize(
    "word, told",
    [
        # beautybady.com: sc is American only; hdc and htr follow from the tables
        ("sc", ("US", "strong")), ("hdc", ("US", "strong")), ("htr", ("UK", "strong")), ("S.C.", ("US", "strong")),
        ("sc2tog", ("US", "strong")), ("htr2tog", ("UK", "strong")),
        # in both terms, with other meanings
        ("dc", None), ("tr", None), ("dtr", None), ("dc2tog", None), ("ch", None), ("sl st", None),
        # leaflet PAC0125-000240M prints Miss beside American names; yoh likewise in most leaflets
        ("miss", ("UK", "weak")), ("tension", ("UK", "weak")), ("gauge", ("US", "weak")), ("yoh", None),
        ("fasten off", None), ("colour", ("UK", "weak")), ("anything", None),
    ],
)  # fmt: skip
def test_what_a_word_tells(word: str, told: tuple[str, str] | None) -> None:
    assert terms.tells(word) == told


def test_strength_is_that_of_the_stronger_side() -> None:
    assert (found := terms.pair("sc", "US")) and found.strength == "strong"
    assert (found := terms.pair("dc", "US")) and found.strength == "none"
    assert (found := terms.pair("trtr", "US")) and found.strength == "weak"


def test_older_names() -> None:
    old = {(h.where, name): h.means for h in terms.historic() for name in h.old}
    # Handbook of Wool Knitting and Crochet, 1918: an American book with the British scheme.
    assert old["American handbook of 1918", "single crochet"] == "sl st"
    assert old["American handbook of 1918", "treble"] == "dc"
    # Beeton, 1870, and Dillmont, 1886.
    assert old["Beeton, 1870", "long treble"] == "tr"
    assert old["Dillmont, 1886", "plain stitch"] == "sc"


def test_stitch_names_are_the_same_in_both_tables() -> None:
    for abbr, basic in stitches.basics().items():
        found = terms.pair(abbr, "US")
        assert found and found.us.name == basic.name
        assert basic.uk_name in (found.uk.name, *found.uk.also)
