"""The finished leaflets are proved without a question; each slip of the submitted ones is found on its line."""

from __future__ import annotations

import tomllib
from difflib import SequenceMatcher
from functools import lru_cache
from pathlib import Path
from typing import Any

import pytest
from tenterhook.lint.finding import Finding, Severity
from tenterhook.lint.proof import Proof, proof
from tenterhook.lint.rule_sets import installed_rules
from tenterhook.lint.text import Text

EXAMPLES = Path(__file__).parent.parent / "examples"
SUBMITTED = EXAMPLES / "submitted"
LEAFLETS = sorted(p.name for p in EXAMPLES.iterdir() if p.suffix in {".md", ".txt"} and p.name[0].isdigit())
SLIPS: list[dict[str, Any]] = tomllib.loads((SUBMITTED / "slips.toml").read_text("utf-8"))["slip"]

# Rows of the finished leaflets that nobody can prove from the words: (leaflet, piece, row) and why.
TAKEN_ON_WORD: dict[tuple[str, str, str], str] = {
    ("33-almshouse-blanket.md", "border", "Rnd 1"): "worked along the edges of joined motifs",
    ("34-tidewrack-vest.txt", "right front neck", "Row 1"): "begins in stitches that the Front left unworked",
    ("34-tidewrack-vest.txt", "neckband", "Rnd 1"): "worked along row ends",
    ("34-tidewrack-vest.txt", "armband", "Rnd 1"): "worked evenly around the armhole",
    ("37-withy-cushion.md", "joining", "Rnd 1"): "worked evenly along each edge",
    ("37-withy-cushion.md", "joining", "Rnd 2"): "the corners lie where Rnd 1 was said to put them",
}


@lru_cache
def proofed(path: Path) -> Proof:
    return proof(Text(path.read_text("utf-8"), path.name))


def lines(found: Finding, text: Text) -> range:
    last = max(found.span.start, found.span.end - 1)
    return range(text.line_number(found.span.start), text.line_number(last) + 1)


def said(findings: tuple[Finding, ...], text: Text) -> list[str]:
    return [f"line {lines(f, text)[0]}: {f.severity}: {f.message} [{f.rule}]" for f in findings]


def test_there_are_enough_leaflets_and_each_was_submitted_first() -> None:
    assert len(LEAFLETS) >= 8
    assert sorted({slip["file"] for slip in SLIPS}) == LEAFLETS


@pytest.mark.parametrize("name", LEAFLETS)
def test_a_finished_leaflet_raises_no_question(name: str) -> None:
    done = proofed(EXAMPLES / name)
    assert said(done.loud(Severity.QUERY), done.text) == []


@pytest.mark.parametrize("name", LEAFLETS)
def test_every_row_of_a_finished_leaflet_is_proved_or_known_not_to_be(name: str) -> None:
    work = proofed(EXAMPLES / name).work
    not_proved = [
        (piece.name, row.label, row.status.value)
        for piece in work.pieces
        for row in piece.rows
        if row.status != "proved"
        and not (row.status == "assumed" and (name, piece.name.casefold(), row.label) in TAKEN_ON_WORD)
    ]
    assert not_proved == []
    assert work.tally()["proved"] > 0


@pytest.mark.parametrize("name", LEAFLETS)
def test_a_submitted_leaflet_differs_only_in_its_slips(name: str) -> None:
    finished = (EXAMPLES / name).read_text("utf-8").splitlines()
    submitted = (SUBMITTED / name).read_text("utf-8").splitlines()
    slips = [slip for slip in SLIPS if slip["file"] == name]
    changed: set[int] = set()
    removed = 0
    for what, before, before_end, after, after_end in SequenceMatcher(None, finished, submitted, False).get_opcodes():
        if what == "delete":
            removed += before_end - before
        elif what != "equal":
            changed.update(range(after + 1, after_end + 1))
    assert changed == {slip["line"] for slip in slips if "removed" not in slip}
    assert removed == sum(slip.get("removed", 0) for slip in slips)


@pytest.mark.parametrize("slip", SLIPS, ids=lambda slip: f"{slip['file']}-{slip['rule']}")
def test_a_slip_is_found_on_its_line(slip: dict[str, Any]) -> None:
    names = {rule.name for rule in installed_rules()}
    wanted = {slip["rule"], *slip.get("also", ())}
    if slip["rule"] not in names:
        pytest.skip(f"the rule {slip['rule']} is not installed")
    done = proofed(SUBMITTED / slip["file"])
    on_the_line = tuple(f for f in done.findings if slip["line"] in lines(f, done.text))
    loud = [f for f in on_the_line if f.severity.at_least(Severity.STYLE)]
    assert wanted & {f.rule for f in loud}, said(on_the_line, done.text) or said(done.findings, done.text)
