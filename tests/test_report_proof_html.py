"""The proof as a page: every finding with its words, tied both ways to its row in the counts; the scope stated."""

from __future__ import annotations

import json
import time
from dataclasses import replace
from pathlib import Path
from xml.etree.ElementTree import Element

import pytest
from pages import XHTML, all_of, check, words
from tenterhook.lint import cli
from tenterhook.lint.manuscript.read import Unreadable
from tenterhook.lint.proof import Proof, proof
from tenterhook.lint.report import proof_html, sarif, worksheet_html
from tenterhook.lint.report.unread import is_plain_unread
from tenterhook.lint.rule_sets import installed_rules
from tenterhook.lint.text import Text
from test_invariants import NASTY

ROOT = Path(__file__).parent.parent
TEXTS = sorted([*ROOT.glob("examples/3*"), *ROOT.glob("examples/submitted/3*.*")])
VOLE = ROOT / "examples/submitted/32-tuppence-vole.txt"


def tree_of(*proofs: Proof) -> Element:
    parts = [proof_html.part(p.text.name or "leaflet.txt", p, n) for n, p in enumerate(proofs, 1)]
    return check(proof_html.report(parts, [], installed_rules()))


def by_id(tree: Element, name: str) -> Element:
    return next(element for element in tree.iter() if element.get("id") == name)


def targets(element: Element) -> list[str]:
    return [str(a.get("href"))[1:] for a in all_of(element, "a")]


@pytest.mark.parametrize("path", TEXTS, ids=lambda p: f"{p.parent.name}/{p.name}")
def test_every_finding_and_its_row_lead_to_each_other(path: Path) -> None:
    done = proof(Text(path.read_text("utf-8"), path.name))
    tree = tree_of(done)
    labels = {row.label for row in done.work.rows()}
    for index, finding in enumerate(done.findings):
        if is_plain_unread(finding):
            continue
        place = by_id(tree, f"m1-f{index}")
        said = words(place)
        assert " ".join(finding.message.split()) in said and finding.rule in said
        assert f"rule-{finding.rule}" in targets(place)
        for because in finding.because:
            assert because.message.rstrip(".") in said
        for correction in finding.corrections:
            assert correction.title.rstrip(".") in said
        if finding.follows is None:
            (marked, *_) = all_of(place, "mark")
            assert words(marked)[:40] == " ".join(done.text[finding.span].split())[:40]
        rows = [t for t in targets(place) if "-r" in t and t.startswith("m1-p")]
        if finding.place in labels and rows:
            row = by_id(tree, rows[0])
            assert words(row).startswith(f"{finding.place} line ")
            assert f"m1-f{index}" in targets(row)


def test_a_finding_says_what_it_is_without_its_colour() -> None:
    tree = tree_of(proof(Text(VOLE.read_text("utf-8"), VOLE.name)))
    heads = [words(h) for h in all_of(tree, "h4") if (h.get("id") or "").endswith("-title")]
    assert heads[0].startswith("1. Query · line 15")
    assert heads[1].startswith("2. Wrong · BODY, Rnd 16, line 52")


def test_what_follows_hangs_under_its_cause_and_is_not_numbered() -> None:
    done = proof(Text(VOLE.read_text("utf-8"), VOLE.name))
    tree = tree_of(done)
    index = next(i for i, f in enumerate(done.findings) if f.follows is not None)
    cause = by_id(tree, f"m1-f{done.findings[index].follows}")
    assert any(li.get("id") == f"m1-f{index}" for li in all_of(cause, "li"))
    assert "1 finding follows from this" in words(cause)


def test_a_correction_shows_what_it_changes() -> None:
    done = proof(Text(VOLE.read_text("utf-8"), VOLE.name))
    tree = tree_of(done)
    assert [(words(i), words(d)) for i, d in zip(all_of(tree, "ins"), all_of(tree, "del"), strict=True)] == [("6", "7")]


def test_the_scope_is_stated() -> None:
    tree = tree_of(proof(Text(VOLE.read_text("utf-8"), VOLE.name)))
    scope = words(next(s for s in all_of(tree, "section") if s.get("aria-labelledby") == "scope"))
    for said in ("Worked: 65 rows of 66", "Checked besides: ", "Not worked: 1 row taken on the designer's word", "Needs eyes and hands"):
        assert said in scope


def test_words_that_were_not_read_are_listed() -> None:
    tree = tree_of(proof(Text(VOLE.read_text("utf-8"), VOLE.name)))
    section = next(s for s in all_of(tree, "section") if s.get("aria-labelledby") == "m1-unread")
    assert "BODY, Rnd 16, line 52: “x 6”" in words(section)


def test_the_checks_that_spoke_are_explained_in_the_page() -> None:
    done = proof(Text(VOLE.read_text("utf-8"), VOLE.name))
    section = next(s for s in all_of(tree_of(done), "section") if s.get("aria-labelledby") == "rules")
    assert [words(h) for h in all_of(section, "h3")] == sorted({f.rule for f in done.findings})
    pages = {rule.name: rule for rule in installed_rules()}
    for finding in done.findings:
        assert " ".join(pages[finding.rule].let_stand.split()) in words(section)


def test_landmarks_and_a_way_past_the_start() -> None:
    tree = tree_of(proof(Text(VOLE.read_text("utf-8"), VOLE.name)))
    for landmark in ("header", "main", "footer", "nav"):
        assert all_of(tree, landmark)
    assert all(nav.get("aria-label") for nav in all_of(tree, "nav"))
    first = next(a for a in tree.iter(f"{XHTML}a"))
    assert words(first) == "Skip to the report" and first.get("href") == "#report"
    for section in all_of(tree, "section"):
        assert section.get("aria-labelledby")
    for frame in [d for d in all_of(tree, "div") if d.get("role") == "region"]:
        assert frame.get("tabindex") == "0" and frame.get("aria-label")  # a keyboard can reach and move a wide table


def test_several_manuscripts_have_an_overview_and_ids_of_their_own() -> None:
    source = VOLE.read_text("utf-8")
    tree = tree_of(proof(Text(source, "a.txt")), proof(Text("", "b.txt")))
    overview = next(s for s in all_of(tree, "section") if s.get("aria-labelledby") == "overview")
    lines = [[words(c) for c in tr] for tr in all_of(overview, "tr")]
    assert lines[0] == ["Manuscript", "Wrong", "Query", "Style", "Suggestion", "Rows", "Proved"]
    assert lines[1][0] == "a.txt" and lines[2] == ["b.txt", "0", "0", "0", "0", "0", "0"]
    assert targets(overview) == ["m1", "m2"]


def test_nothing_found_and_nothing_read() -> None:
    assert "no findings" in words(tree_of(proof(Text(""))))
    page = proof_html.report([], [Unreadable("x.pdf", "PDF files are not read yet")], installed_rules())
    assert "x.pdf: PDF files are not read yet" in words(check(page))


def test_a_manuscript_cannot_be_markup_and_ascii_is_enough() -> None:
    source = "</style><script>x</script>\nCh 9.\nRow 1: Sc in 2nd ch from hook and in each ch <b>across</b>, turn. (9 sc)\n"
    done = proof(Text(source, "é<i>.txt"))
    page = proof_html.report([proof_html.part("é<i>.txt", done, 1, "read as Windows-1252")], [], installed_rules(), ascii_only=True)
    assert page.isascii()
    tree = check(page)
    assert words(all_of(tree, "h2")[0]) == "é<i>.txt" and "Note: read as Windows-1252." in words(tree)


def test_a_long_row_is_shown_around_its_words() -> None:
    row = "Row 2: Ch 1, " + "sc in next st, " * 80
    done = proof(Text(f"Ch 81.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (80 sc)\n{row}turn. (99 sc)\n"))
    (shown,) = [words(p) for p in all_of(tree_of(done), "p") if p.get("class") == "words"]
    assert shown.startswith("… ") and shown.endswith("(99 sc)") and len(shown) < proof_html.MOST_SHOWN


def test_many_followers_are_counted_and_not_all_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(proof_html, "MOST_FOLLOWERS", 1)
    done = proof(Text(VOLE.read_text("utf-8"), VOLE.name))
    index = next(i for i, f in enumerate(done.findings) if f.follows is not None)
    more = replace(done, findings=(*done.findings, done.findings[index], done.findings[index]))
    assert "and 2 more like these" in words(tree_of(more))


@pytest.mark.parametrize("name", NASTY)
def test_odd_manuscripts_have_pages_and_logs(name: str) -> None:
    done = proof(Text(NASTY[name], name))
    start = time.perf_counter()
    check(proof_html.report([proof_html.part(name, done, 1)], [], installed_rules()))
    check(worksheet_html.report([worksheet_html.sheet(name, done, 1)], []))
    json.loads(sarif.report([sarif.manuscript(name, done)], [], installed_rules()))
    assert time.perf_counter() - start < 20


def test_the_command(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["proof", "--format", "html", str(VOLE)]) == cli.FINDINGS
    check(capsys.readouterr().out)


def test_what_an_editor_let_stand_is_told_apart_with_the_reason() -> None:
    done = proof(Text(VOLE.read_text("utf-8"), VOLE.name))
    at = next(i for i, f in enumerate(done.findings) if not is_plain_unread(f) and f.follows is None)
    kept = replace(done, findings=tuple(replace(f, stands="as the maker likes it") if i == at else f for i, f in enumerate(done.findings)))
    tree = tree_of(kept)
    stand = next(section for section in all_of(tree, "section") if section.get("aria-labelledby") == "m1-stand")
    assert "as the maker likes it" in words(stand) and by_id(stand, f"m1-f{at}") is not None
    findings = next(section for section in all_of(tree, "section") if section.get("aria-labelledby") == "m1-findings")
    assert " ".join(done.findings[at].message.split()) not in words(findings)
