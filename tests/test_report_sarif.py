"""SARIF: valid against the schema of the standard, every finding at its words, known again after edits elsewhere."""

from __future__ import annotations

import json
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any
from urllib.parse import unquote

import jsonschema
import pytest
from handmade import cowl_proof
from tenterhook.lint import cli
from tenterhook.lint.finding import Correction, Edit, Severity
from tenterhook.lint.manuscript.read import Unreadable
from tenterhook.lint.proof import Proof, proof
from tenterhook.lint.report import sarif
from tenterhook.lint.rule_sets import installed_rules
from tenterhook.lint.text import Place, Span, Text

ROOT = Path(__file__).parent.parent
SCHEMA = ROOT / "tests" / "schemas" / "sarif-2.1.0-rtm.5.json"  # schemas/README.md names its source
TEXTS = sorted([*ROOT.glob("examples/3*"), *ROOT.glob("examples/submitted/3*.*")])

VOLE = ROOT / "examples/submitted/32-tuppence-vole.txt"
SLIPS = """\
Hat & “Cap”

US terms.

BODY
Ch 9.
Row 1: Sc in 2nd ch from hook and in each ch across, turn. (8 sc)
Row 2: Ch 1, sc in each st across, turn. (9 sc)
Row 3: Ch 1, sc in next 10 sts, turn. (10 sc)
"""


@cache
def validator() -> jsonschema.Draft4Validator:
    return jsonschema.Draft4Validator(json.loads(SCHEMA.read_text("utf-8")), format_checker=jsonschema.FormatChecker())


def log_of(*proofs: Proof, unreadable: tuple[Unreadable, ...] = ()) -> dict[str, Any]:
    entries = [sarif.manuscript(p.text.name or "leaflet.txt", p) for p in proofs]
    log = json.loads(sarif.report(entries, unreadable, installed_rules()))
    validator().validate(log)
    return log


def run_of(*proofs: Proof, unreadable: tuple[Unreadable, ...] = ()) -> dict[str, Any]:
    (run,) = log_of(*proofs, unreadable=unreadable)["runs"]
    return run


def words_at(text: Text, region: dict[str, int]) -> str:
    start, end = Place(region["startLine"], region["startColumn"]), Place(region["endLine"], region["endColumn"])
    return text[Span(text.offset(start), text.offset(end))]


def test_the_schema_would_notice() -> None:
    log = log_of(proof(Text(SLIPS)))
    log["runs"][0]["results"][0]["level"] = "wrong"
    with pytest.raises(jsonschema.ValidationError):
        validator().validate(log)


@pytest.mark.parametrize("path", TEXTS, ids=lambda p: f"{p.parent.name}/{p.name}")
def test_every_finding_is_there_at_its_words(path: Path) -> None:
    done = proof(Text(path.read_text("utf-8"), path.name))
    run = run_of(done)
    assert len(run["results"]) == len(done.findings)
    rules = [rule["id"] for rule in run["tool"]["driver"]["rules"]]
    for result, finding in zip(run["results"], done.findings, strict=True):
        assert result["ruleId"] == finding.rule == rules[result["ruleIndex"]]
        assert result["message"]["text"] == finding.message
        assert result["level"] == {"wrong": "error", "query": "warning"}.get(finding.severity.value, "note")
        assert result["properties"]["severity"] == finding.severity.value
        assert result["properties"]["sizes"] == list(finding.sizes)
        (location,) = result["locations"]
        region = location["physicalLocation"]["region"]
        assert words_at(done.text, region) == done.text[finding.span] == region["snippet"]["text"]
        assert run["artifacts"][location["physicalLocation"]["artifactLocation"]["index"]]["location"]["uri"] == path.name
        related = [words_at(done.text, place["physicalLocation"]["region"]) for place in result.get("relatedLocations", [])]
        assert related[: len(finding.because)] == [done.text[b.span] for b in finding.because]
        if finding.follows is not None:
            assert result["properties"]["follows"] == finding.follows
            assert related[-1] == done.text[done.findings[finding.follows].span]


def test_columns_count_code_points_and_lines_end_as_in_the_manuscript() -> None:
    source = "🧶🧶 Hat\r\rCh 9.\rRow 1: Sc in 2nd ch from hook and in each ch across, turn. 🧶 (9 sc)\r\nRow 2: Ch 1, sc in next 9 sts. (9 sc)"
    done = proof(Text(source, "hat.txt"))
    run = run_of(done)
    assert run["columnKind"] == "unicodeCodePoints" and run["newlineSequences"] == ["\r\n", "\n", "\r"]
    loud = [r for r in run["results"] if r["level"] == "error"]
    assert loud
    for result in loud:
        region = result["locations"][0]["physicalLocation"]["region"]
        assert words_at(done.text, region) == region["snippet"]["text"]


def test_corrections_are_fixes_that_give_the_corrected_text() -> None:
    done = proof(Text(VOLE.read_text("utf-8"), "vole.txt"))
    tried = 0
    for result, finding in zip(run_of(done)["results"], done.findings, strict=True):
        assert len(result.get("fixes", [])) == len(finding.corrections)
        for fix, correction in zip(result.get("fixes", []), finding.corrections, strict=True):
            tried += 1
            assert fix["description"]["text"] == correction.title
            (change,) = fix["artifactChanges"]
            source = done.text.source
            for part in reversed(change["replacements"]):
                region = part["deletedRegion"]
                start = done.text.offset(Place(region["startLine"], region["startColumn"]))
                end = done.text.offset(Place(region["endLine"], region["endColumn"]))
                source = source[:start] + part.get("insertedContent", {}).get("text", "") + source[end:]
            assert source == correction.apply(done.text.source)
    assert tried


def test_a_correction_that_only_takes_words_out_and_one_of_several_edits() -> None:
    cowl = cowl_proof()
    edits = (Edit(Span(9, 12), ""), Edit(Span(0, 3), "new"))
    finding = replace(cowl.findings[0], corrections=(Correction("Take it out", edits),))
    (fix,) = run_of(replace(cowl, findings=(finding, *cowl.findings[1:])))["results"][0]["fixes"]
    replacements = fix["artifactChanges"][0]["replacements"]
    assert [p["deletedRegion"]["startColumn"] for p in replacements] == [1, 10] or len({p["deletedRegion"]["startLine"] for p in replacements}) == 2
    assert [p.get("insertedContent", {}).get("text") for p in replacements] == ["new", None]


def marks(source: str) -> dict[tuple[str, str], str]:
    done = proof(Text(source, "hat.txt"))
    return {(f.rule, f.place): r["partialFingerprints"][sarif.FINGERPRINT] for f, r in zip(done.findings, run_of(done)["results"], strict=True)}


def test_a_finding_is_known_again_after_edits_elsewhere() -> None:
    before = marks(SLIPS)
    assert len(set(before.values())) == len(before) >= 2
    for changed in (
        SLIPS.replace("US terms.", "US terms are used throughout.\n\nGauge does not matter."),
        SLIPS.replace("\n", "\r\n"),
        SLIPS + "\nFinishing\nWeave in the ends.\n",
        SLIPS.replace("Ch 9.", "With a 4 mm hook,\nch 9."),
    ):
        after = marks(changed)
        assert {k: v for k, v in after.items() if k in before} == before, changed
    moved = marks(SLIPS.replace("(9 sc)", "(11 sc)"))
    assert moved["row-total", "Row 2"] != before["row-total", "Row 2"]  # its own words have changed


def test_like_findings_of_like_words_have_marks_of_their_own() -> None:
    cowl = cowl_proof()
    twice = replace(cowl, findings=(cowl.findings[0], replace(cowl.findings[0], follows=0)))
    results = run_of(twice)["results"]
    assert results[0]["partialFingerprints"] != results[1]["partialFingerprints"]


def test_every_rule_has_its_page() -> None:
    driver = run_of()["tool"]["driver"]
    assert [rule["id"] for rule in driver["rules"]] == sorted(rule.name for rule in installed_rules())
    pages = {rule.name: rule for rule in installed_rules()}
    for rule in driver["rules"]:
        page = pages[rule["id"]]
        assert rule["shortDescription"]["text"] == page.title and rule["fullDescription"]["text"] == page.why
        assert page.let_stand.strip() in rule["help"]["text"] and page.looks_like.strip("\n") in rule["help"]["text"]
        assert page.better.strip("\n") in rule["help"]["markdown"]
        assert rule["properties"]["tags"] == [page.family]
    levels = {rule["id"]: rule["defaultConfiguration"]["level"] for rule in driver["rules"]}
    assert levels["row-total"] == "error" and levels["post-side"] == "warning" and levels["not-read"] == "note"


def test_what_a_file_follows_from_counts_in_the_whole_run() -> None:
    source = VOLE.read_text("utf-8")
    done = proof(Text(source, "vole.txt"))
    results = run_of(done, replace(done, text=Text(source, "other.txt")))["results"]
    own = [f.follows for f in done.findings]
    assert any(f is not None for f in own)
    assert [r["properties"]["follows"] for r in results] == [*own, *(None if f is None else f + len(own) for f in own)]


def test_files_that_could_not_be_read_and_the_scope_are_told() -> None:
    done = proof(Text(SLIPS, "hat.txt"))
    entry = sarif.manuscript("hat.txt", done, "read as Windows-1252")
    log = json.loads(sarif.report([entry], [Unreadable("tables/x y.pdf", "PDF files are not read yet")], installed_rules()))
    validator().validate(log)
    (invocation,) = log["runs"][0]["invocations"]
    assert invocation["executionSuccessful"] is False
    unreadable, reading, scope = invocation["toolExecutionNotifications"]
    assert unreadable["level"] == "error" and "PDF files are not read yet" in unreadable["message"]["text"]
    assert unreadable["locations"][0]["physicalLocation"]["artifactLocation"]["uri"] == "tables/x%20y.pdf"
    assert reading["level"] == "note" and reading["message"]["text"] == "read as Windows-1252."
    assert scope["level"] == "note" and "Needs eyes and hands" in scope["message"]["text"]
    known = {n["id"] for n in log["runs"][0]["tool"]["driver"]["notifications"]}
    assert {n["descriptor"]["id"] for n in invocation["toolExecutionNotifications"]} <= known


@pytest.mark.parametrize(
    ("path", "uri"),
    [
        ("hats/cap one.txt", "hats/cap%20one.txt"),
        ("/tmp/é.txt", "file:///tmp/%C3%A9.txt"),
        ("C:\\hats\\cap.txt", "file:///C:/hats/cap.txt"),
        ("a:b#c?.txt", "a%3Ab%23c%3F.txt"),
        ("-", "-"),
        ("bad\udcff.txt", "bad%FF.txt"),
    ],
)
def test_paths_become_references(path: str, uri: str) -> None:
    run = run_of(replace(proof(Text("", path)), text=Text("", path)))
    assert run["artifacts"][0]["location"]["uri"] == uri
    if path.isascii() and ":" not in path:
        assert unquote(uri) == path


def test_severity_levels_cover_every_severity() -> None:
    cowl = cowl_proof()
    for severity in Severity:
        (result, *_) = run_of(replace(cowl, findings=(replace(cowl.findings[0], severity=severity),)))["results"]
        assert result["level"] in ("error", "warning", "note")


def test_the_command(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    path = tmp_path / "hat.txt"
    path.write_text(SLIPS, "utf-8")
    assert cli.main(["proof", "--format", "sarif", str(path)]) == cli.FINDINGS
    log = json.loads(capsys.readouterr().out)
    validator().validate(log)
    assert any(r["ruleId"] == "row-total" for r in log["runs"][0]["results"])
    assert cli.main(["proof", "--format", "sarif", str(tmp_path / "none.txt")]) == cli.FAILED
    log = json.loads(capsys.readouterr().out)
    validator().validate(log)
    assert log["runs"][0]["results"] == []


def test_what_an_editor_let_stand_is_accepted_and_kept() -> None:
    done = proof(Text(SLIPS, "hat.txt"))
    kept = replace(done, findings=(replace(done.findings[0], stands="the designer wants it so"), *done.findings[1:]))
    first, *others = run_of(kept)["results"]
    assert first["suppressions"] == [{"kind": "external", "status": "accepted", "justification": "the designer wants it so"}]
    assert others and not any("suppressions" in result for result in others)
