"""Two workings of the same rows, one from the words and one from the steps, agree on every number."""

from __future__ import annotations

import pytest
from hypothesis import given
from made_up import Hand, MadeUp, Writer, disc, flat, hands, mesh, ribs, shells, toy
from naive import Along, Chains, Each, Fabric, Fan, Foundation, InSpace, Many, Repeat, Several, Skip, Standing, Together
from tenterhook.lint.fabric.work import Status
from tenterhook.lint.proof import proof
from tenterhook.lint.style import Style
from tenterhook.lint.text import Text
from trials import tried

KINDS = {"flat": flat(), "mesh": mesh(), "shells": shells(), "ribs": ribs(), "toy": toy(), "disc": disc()}


@pytest.mark.parametrize("kind", KINDS)
def test_both_workings_agree_on_every_row(kind: str) -> None:
    @tried(25)
    @given(KINDS[kind], hands())
    def agrees(pattern: MadeUp, hand: Hand) -> None:
        text = Writer(pattern, hand).text()
        done = proof(Text(text), Style(strict=True), corrections=False)
        rows = [(row.status, *((s.base, s.used, s.made, s.stated, s.spaces, dict(s.kinds)) for s in row.sizes)) for row in done.work.rows()]
        lines = zip(pattern.lines, pattern.worked(), strict=True)
        naive = [(Status.PROVED, (m.base, m.used, m.made, line.stated if m.spaces == 0 else m.made, m.spaces, dict(m.kinds))) for line, m in lines]
        assert rows == naive, text
        assert done.loud() == (), text

    agrees()


@pytest.mark.parametrize("kind", KINDS)
def test_what_is_drawn_closes(kind: str) -> None:
    @tried(25)
    @given(KINDS[kind])
    def closes(pattern: MadeUp) -> None:
        assert [i for i in range(len(pattern.lines)) if pattern.broken(i)] == []

    closes()


def test_the_naive_working_by_hand() -> None:
    fabric = Fabric(8)
    first = fabric.row([Foundation("sc", 2)], turned=True)
    assert (first.base, first.used, first.made) == (8, 8, 7)
    second = fabric.row([Several("sc"), Each("sc", 2), Chains(1), Skip(1), Along("sc", leave=1), Together("dc", 1)], turned=True)
    assert (second.base, second.used, second.made, second.spaces) == (7, 7, 7, 1)
    # Turned: dc1tog, 2 sc, space, 2 sc, 2 sc.
    third = fabric.row([Standing("dc", 3), InSpace("dc", 4), Repeat((Fan("tr", 1, 2), Skip(1)), 2)], turned=True)
    assert (third.base, third.used, third.made, third.spaces) == (7, 7, 9, 2)
    assert third.kinds == {"dc": 5, "tr": 4}
    fourth = fabric.row([Each("sc", 11)], turned=False)
    assert (fourth.base, fourth.used, fourth.made) == (9, 11, 11)
    ring = Fabric(None).row([Standing("dc", 3), Many("dc", 11)], turned=False)
    assert (ring.base, ring.used, ring.made) == (None, None, 12)
