"""Abbreviations against the lists they were read in."""

from __future__ import annotations

import pytest
from tenterhook.lint.trade import abbreviations
from tenterhook.lint.trade.abbreviations import lookup


@pytest.mark.parametrize(
    "word, name",
    [
        # Dances With Wools, list of abbreviations (2022)
        ("ch", "chain"), ("sl st", "slip stitch"), ("sc", "single crochet"), ("hdc", "half double crochet"),
        ("dc", "double crochet"), ("tr", "treble crochet"), ("beg", "beginning"), ("bet", "between"),
        ("rnd", "round"), ("sk", "skip"), ("tog", "together"), ("yo", "yarn over"), ("RS", "right side"),
        ("WS", "wrong side"), ("ch-sp", "chain space"), ("sp", "space"), ("st", "stitch"), ("lp", "loop"),
        ("inc", "increase"), ("dec", "decrease"), ("prev", "previous"),
        # stitch4ever, abbreviations in crochet patterns (2012)
        ("dtr", "double treble crochet"), ("FPdc", "front post double crochet"), ("dc2tog", "double crochet 2 together"),
        ("BLO", "back loop only"), ("CC", "contrasting colour"),
        ("FPsc", "front post single crochet"), ("BPsc", "back post single crochet"), ("BPdc", "back post double crochet"),
        ("FPtr", "front post treble crochet"), ("CL", "cluster"), ("ls", "loop stitch"), ("alt", "alternate"), ("ea", "each"),
        # a crochet book's glossary
        ("esc", "extended single crochet"), ("sc2tog", "single crochet 2 together"), ("rev sc", "reverse single crochet"),
        ("sc3tog", "single crochet 3 together"), ("fsc", "foundation single crochet"),
        # Aabhar Creations, stitch heights
        ("trtr", "triple treble crochet"), ("qtr", "quadruple treble crochet"),
        # Ravens Crochet, foundation chain stitches
        ("fhdc", "foundation half double crochet"), ("fdc", "foundation double crochet"),
        # Spotlight (AU); crochet.com on the popcorn; Kathy's Kreations; a list of knitting and crochet words
        ("FP", "front post"), ("BP", "back post"), ("pc", "popcorn"), ("bo", "bobble"), ("sm", "slip marker"),
        # UK crochet book, abbreviation pages
        ("puff", "puff stitch"), ("tch", "turning chain"), ("in", "inch"), ("cm", "centimetre"), ("mm", "millimetre"),
        ("g", "gram"), ("oz", "ounce"), ("yd", "yard"),
        # yarn companies' leaflets, CAC0129-028772M and others
        ("hdc2tog", "half double crochet 2 together"), ("dc3tog", "double crochet 3 together"), ("V-st", "V-stitch"),
        ("tbl", "through back loop"), ("approx", "approximately"), ("pm", "place marker"), ("pat", "pattern"),
        ("MB", "make bobble"),
        # leaflets print the post last
        ("Dcfp", "front post double crochet"), ("Scbp", "back post single crochet"),
        # Star Book 98 (1953)
        ("s d c", "half double crochet"), ("tr tr c", "triple treble crochet"),
    ],
)  # fmt: skip
def test_an_abbreviation_means_what_the_list_says(word: str, name: str) -> None:
    assert [e.name for e in lookup(word)] == [name]


@pytest.mark.parametrize("word", ["sc", "SC", "Sc", "s.c.", "s c", "S. C.", "sc.", "scs", "sc's", "sc’s"])
def test_case_dots_spaces_and_plurals_are_passed_over(word: str) -> None:
    assert [e.abbr for e in lookup(word)] == ["sc"]


@pytest.mark.parametrize("word, abbr", [("sl-st", "sl st"), ("slst", "sl st"), ("Sl. St.", "sl st"), ("ss", "sl st"), ("v st", "V-st"), ("V-sts", "V-st"), ("t-ch", "tch"), ("ch sp", "ch-sp"), ("ch-sps", "ch-sp"), ("fpdc", "FPdc"), ("sts", "st"), ("F/O", "FO")])
def test_other_spellings(word: str, abbr: str) -> None:
    assert [e.abbr for e in lookup(word)] == [abbr]


def test_a_chain_already_made_is_not_a_chain_to_make() -> None:
    # Reference.com: the hyphen marks the loop that is there.
    assert [e.abbr for e in lookup("ch-")] == ["ch-"]
    assert [e.abbr for e in lookup("ch")] == ["ch"]


@pytest.mark.parametrize("word", ["", "xyz", "htr", "needle", ".", "b", "s", "sc2tog4", "begs", "yos"])
def test_unknown_words_find_nothing(word: str) -> None:
    assert lookup(word) == ()


def test_a_clash_finds_every_meaning_the_closest_spelling_first() -> None:
    assert [e.name for e in lookup("MC")] == ["main colour", "magic ring"]
    assert [e.name for e in lookup("m")] == ["marker", "metre"]
    assert [e.name for e in lookup("tc")] == ["treble crochet", "turning chain"]
    assert [e.abbr for e in lookup("BL")] == ["BLO", "blk"]
    assert [e.abbr for e in lookup("bl")] == ["blk", "BLO"]


@pytest.mark.parametrize("word, meaning", [("MC", "magic circle"), ("bo", "bind off (knitting)"), ("BO", "bobble"), ("sm", "stitch marker"), ("tbl", "third back loop"), ("sc", "slip stitch, in older British texts"), ("C", "cable")])
def test_known_clashes(word: str, meaning: str) -> None:
    found = abbreviations.clash(word)
    assert found is not None and meaning in found.meanings and len(found.meanings) > 1


def test_words_without_a_clash() -> None:
    assert abbreviations.clash("hdc") is None
    assert abbreviations.clash("c") is None  # a single letter keeps its case


def test_every_spelling_finds_its_own_entry() -> None:
    for entry in abbreviations.entries():
        for spelling in (entry.abbr, *entry.aliases, *([entry.plural] if entry.plural else [])):
            assert entry in lookup(spelling), spelling


def test_two_meanings_for_one_spelling_are_listed_as_a_clash() -> None:
    for entry in abbreviations.entries():
        if len(found := lookup(entry.abbr)) > 1:
            assert abbreviations.clash(entry.abbr), [e.name for e in found]


def test_remembered_entries_say_so() -> None:
    sure = {e.abbr: e.sure for e in abbreviations.entries()}
    assert sure["sc"] and sure["FPdc"] and not sure["edc"] and not sure["sh"] and not sure["MR"]
