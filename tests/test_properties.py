"""What holds for any text, and for any pattern that closes: proved without a question; and for corrections."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest
from fuzz.targets import spans
from hypothesis import assume, given
from hypothesis import strategies as st
from made_up import (
    Hand,
    MadeUp,
    Writer,
    count_slips,
    disc,
    flat,
    hands,
    in_sizes,
    mesh,
    patterns,
    repeat_slips,
    ribs,
    shells,
    sized,
    toy,
)
from tenterhook.lint.fabric.work import Status
from tenterhook.lint.finding import Finding
from tenterhook.lint.proof import proof
from tenterhook.lint.report.worksheet_json import worksheet
from tenterhook.lint.style import Style
from tenterhook.lint.syntax.lexer import Vocabulary, joined, lexer_for
from tenterhook.lint.syntax.lexicon import Stitch
from tenterhook.lint.text import Text
from trials import tried

STRICT = Style(strict=True)

# Any text at all

WORDS = """\
* ** ( ) [ ] { } " ' , ; : . - – — ½ × = + / # & | ^ 0 1 2 3 4 6 12 17 300 99999999 1/2 x6 *6 ch-2 ch-3 2nd 3rd 4th Row Rnd Round Rows R7: 7. Row
sc hdc dc tr dtr FPdc BPdc fptr sc2tog dc3tog inc dec ch ss st sts sl sp sps ring loop join turn rep repeat from across around
to last first next each in into of the hook and then more times twice once end even sk skip miss next working front behind
post stitch same place V-st shell popcorn cluster counts as does not count throughout magic RS WS (RS) (WS) (12 sc) [12]
Abbreviations Notes Gauge Materials Sizes: S (M, L) 12 (14, 16) US UK terms. Sleeve (make 2) every alternate odd even rows
multiple plus Ch until remain unworked leaving fasten off skipped counted dec1 2sc 3dc ch3 fsc Rows 4-9: Rep Rows 2 and 3
"""
TRADE = WORDS.split()
trade_text = st.lists(st.tuples(st.sampled_from(TRADE), st.sampled_from([" ", " ", " ", "", "\n", ", ", "; ", "\nRow 2: "])), max_size=60).map(
    lambda words: "".join(word + gap for word, gap in words)
)
plain_text = st.text(st.characters(max_codepoint=126), max_size=200)
any_text = st.text(max_size=120)


def stays_inside(source: str) -> None:
    done = proof(Text(source), STRICT)
    assert [span for span in spans(done) if span.end > len(source)] == []
    for i, finding in enumerate(done.findings):
        assert finding.follows is None or 0 <= finding.follows < i
        assert finding.message.strip()


@tried(80)
@given(trade_text)
def test_the_words_of_the_trade_in_any_order(source: str) -> None:
    stays_inside(source)


@tried(30)
@given(plain_text)
def test_plain_characters_in_any_order(source: str) -> None:
    stays_inside(source)


@tried(30)
@given(any_text)
def test_any_characters_in_any_order(source: str) -> None:
    stays_inside(source)


@tried(30)
@given(trade_text)
def test_a_row_of_any_words_on_a_good_one(words: str) -> None:
    stays_inside(f"US terms.\nCh 13.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (12 sc)\nRow 2: {words}\nRow 3: Sc across. (12 sc)\n")


@tried(100)
@given(st.one_of(trade_text, plain_text, any_text))
def test_tokens_give_back_the_text(source: str) -> None:
    for vocabulary in (Vocabulary(), Vocabulary("UK", sizes=3, stitches=(("shell", Stitch("shell")),))):
        assert joined(lexer_for(vocabulary).tokens(source), source) == source


# Patterns that close

KINDS = {"flat": flat(), "mesh": mesh(), "shells": shells(), "ribs": ribs(), "toy": toy(), "disc": disc()}


@pytest.mark.parametrize("kind", KINDS)
def test_a_pattern_that_closes_is_proved_without_a_question(kind: str) -> None:
    @tried(72)
    @given(KINDS[kind], hands(), st.booleans())
    def proved(pattern: MadeUp, hand: Hand, counted: bool) -> None:
        if not counted:
            pattern = replace(pattern, lines=tuple(replace(line, stated=None) for line in pattern.lines))
        text = Writer(pattern, hand).text()
        done = proof(Text(text), STRICT)
        assert [f.message for f in done.loud()] == [], text
        assert {row.status for row in done.work.rows()} == {Status.PROVED}, text

    proved()


@tried(72)
@given(sized(), hands())
def test_a_pattern_in_sizes_that_closes_is_proved_in_every_size(sizes: tuple[MadeUp, ...], hand: Hand) -> None:
    text = in_sizes(sizes, hand)
    done = proof(Text(text), STRICT, corrections=False)
    assert [f.message for f in done.loud()] == [], text
    naive = zip(*(pattern.worked() for pattern in sizes), strict=True)
    for row, made in zip(done.work.rows(), naive, strict=True):
        assert row.status is Status.PROVED, text
        assert [(s.base, s.used, s.made, s.stated) for s in row.sizes] == [(m.base, m.used, m.made, m.made) for m in made], text


def sheet(source: str) -> list[dict[str, object]]:
    """The worksheet of a text, row by row, without the lines of the text its rows stand on."""
    pieces = worksheet("", proof(Text(source), STRICT, corrections=False))["pieces"]
    return [{key: value for key, value in row.items() if key != "line"} for piece in pieces for row in piece["rows"]]


@tried(60)
@given(patterns(), hands(), hands())
def test_a_pattern_written_by_two_hands_has_one_worksheet(pattern: MadeUp, one: Hand, other: Hand) -> None:
    left, right = Writer(pattern, one).text(), Writer(pattern, other).text()
    assume(left != right)
    assert sheet(left) == sheet(right), f"{left}\n{right}"


# Corrections


def marks(findings: tuple[Finding, ...]) -> Counter[tuple[str, str, str]]:
    return Counter((f.rule, f.severity.value, f.place) for f in findings)


def test_a_correction_removes_its_finding_and_adds_none() -> None:
    offered: list[str] = []

    @tried(40)
    @given(patterns(), hands(), st.data())
    def holds(pattern: MadeUp, hand: Hand, data: st.DataObject) -> None:
        planted = [*count_slips(pattern), *repeat_slips(pattern)]
        _, slipped = data.draw(st.sampled_from(planted))
        source = Writer(slipped, replace(hand, open=False)).text()
        done = proof(Text(source), STRICT)
        before = marks(done.findings)
        for finding in done.findings:
            for correction in finding.corrections:
                offered.append(correction.title)
                after = marks(proof(Text(correction.apply(source)), STRICT, corrections=False).findings)
                assert after <= before, (source, correction)
                assert after.total() < before.total(), (source, correction)

    holds()
    assert len(offered) >= 10


def test_corrections_applied_until_there_are_none_leave_a_clean_text() -> None:
    """One slip in a count has the correction that writes the true one; with it the text is as it was."""

    @tried(20)
    @given(patterns(), hands(), st.data())
    def clean(pattern: MadeUp, hand: Hand, data: st.DataObject) -> None:
        _, slipped = data.draw(st.sampled_from(list(count_slips(pattern))))
        source = Writer(slipped, hand).text()
        for _ in range(5):
            done = proof(Text(source), STRICT)
            corrections = [c for f in done.findings if f.severity.at_least(f.severity.QUERY) for c in f.corrections]
            if not corrections:
                break
            source = corrections[0].apply(source)
        else:
            pytest.fail(f"no end of corrections: {source}")
        if source != Writer(slipped, hand).text():
            assert [f.message for f in done.loud()] == [], source

    clean()
