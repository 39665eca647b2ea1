"""A proof as SARIF 2.1.0, the format of OASIS for the results of checks, which publishing pipelines and editors read.

Lines and columns count from 1, columns in code points, ends exclusive; a line ends as everywhere in the program.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from hashlib import sha256
from typing import Any
from urllib.parse import quote

from .. import regex
from ..finding import Because, Correction, Finding, Severity
from ..manuscript.read import Unreadable
from ..proof import Proof
from ..rule import Rule
from ..text import Span, Text
from ..version import VERSION
from ..words import one_line
from .places import Places
from .scope import Summary, scope, summary

SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
FINGERPRINT = "placeAndWords/v1"
"""Names how a finding is known again: by its rule, its place and its words, not by where in the file they stand."""

_LEVELS = {Severity.WRONG: "error", Severity.QUERY: "warning", Severity.STYLE: "note", Severity.SUGGESTION: "note"}
_WINDOWS_ROOT = regex.compile(r"[A-Za-z]:[\\/]")


@dataclass(frozen=True)
class Entry:
    """One manuscript's part of the run. ``results`` count what they follow from 0 in this list."""

    path: str
    results: tuple[dict[str, Any], ...]
    summary: Summary
    remark: str = ""


def manuscript(path: str, proof: Proof, remark: str = "") -> Entry:
    """One manuscript's findings as results."""
    places = Places(proof.work)
    marks = _fingerprints(proof, places)
    results = [_result(path, proof, places, finding, mark) for finding, mark in zip(proof.findings, marks, strict=True)]
    return Entry(path, tuple(results), summary(path, proof), remark)


def report(entries: Iterable[Entry], unreadable: Iterable[Unreadable], rules: Iterable[Rule], *, ascii_only: bool = False) -> str:
    """The whole log, of one run. ``ascii_only`` escapes every other character."""
    done, failed = list(entries), list(unreadable)
    known = sorted(rules, key=lambda rule: rule.name)
    ids = [rule.name for rule in known]
    results: list[dict[str, Any]] = []
    for index, entry in enumerate(done):
        offset = len(results)
        results += [_placed(result, index, offset, ids) for result in entry.results]
    run = {
        "tool": {
            "driver": {
                "name": "Tenterhook",
                "semanticVersion": VERSION,
                "version": VERSION,
                "shortDescription": {"text": "Proofreads written crochet patterns."},
                "rules": [_rule(rule) for rule in known],
                "notifications": [
                    {"id": "unreadable", "shortDescription": {"text": "A file could not be read."}, "defaultConfiguration": {"level": "error"}},
                    {"id": "reading", "shortDescription": {"text": "How a file was read."}, "defaultConfiguration": {"level": "note"}},
                    {"id": "scope", "shortDescription": {"text": "What this report covers."}, "defaultConfiguration": {"level": "note"}},
                ],
            }
        },
        "columnKind": "unicodeCodePoints",
        "newlineSequences": ["\r\n", "\n", "\r"],
        "artifacts": [{"location": _artifact(entry.path), "roles": ["analysisTarget"]} for entry in done],
        "invocations": [{"executionSuccessful": not failed, "toolExecutionNotifications": _notifications(done, failed)}],
        "results": results,
    }
    whole = {"$schema": SCHEMA, "version": "2.1.0", "runs": [run]}
    return json.dumps(whole, ensure_ascii=ascii_only) + "\n"


# -- the run --------------------------------------------------------------------------------------------------------------


def _rule(rule: Rule) -> dict[str, Any]:
    page = {
        "Why": rule.why,
        "What it looks like": rule.looks_like,
        "What is better": rule.better,
        "When to let it stand": rule.let_stand,
        "Source": rule.source,
    }
    parts = {heading: words.strip("\n") for heading, words in page.items() if words.strip()}
    samples = ("What it looks like", "What is better")
    return {
        "id": rule.name,
        "shortDescription": {"text": rule.title},
        "fullDescription": {"text": rule.why},
        "help": {
            "text": "\n\n".join(f"{heading}\n{words}" for heading, words in parts.items()),
            "markdown": "\n\n".join(
                f"**{heading}**\n\n" + (f"```text\n{words}\n```" if heading in samples else words) for heading, words in parts.items()
            ),
        },
        "defaultConfiguration": {"level": _LEVELS[rule.severity]},
        "properties": {"tags": [rule.family], "severity": rule.severity.value},
    }


def _notifications(done: Sequence[Entry], failed: Sequence[Unreadable]) -> list[dict[str, Any]]:
    out = [_notification("unreadable", "error", f"{one_line(entry.path)}: {one_line(entry.reason)}", entry.path) for entry in failed]
    out += [_notification("reading", "note", f"{one_line(entry.remark)}.", entry.path) for entry in done if entry.remark]
    if done:
        out.append(_notification("scope", "note", " ".join(scope([entry.summary for entry in done]))))
    return out


def _notification(name: str, level: str, words: str, path: str | None = None) -> dict[str, Any]:
    made: dict[str, Any] = {"descriptor": {"id": name}, "level": level, "message": {"text": words}}
    if path is not None:
        made["locations"] = [{"physicalLocation": {"artifactLocation": _artifact(path)}}]
    return made


def _placed(result: dict[str, Any], artifact: int, offset: int, ids: Sequence[str]) -> dict[str, Any]:
    """A result in the run: the number of its rule, its file and what it follows."""
    made = {**result, "properties": dict(result["properties"])}
    if result["ruleId"] in ids:
        made["ruleIndex"] = ids.index(result["ruleId"])
    if made["properties"].get("follows") is not None:
        made["properties"]["follows"] += offset
    (location,) = result["locations"]
    physical = location["physicalLocation"]
    numbered = {**physical, "artifactLocation": {**physical["artifactLocation"], "index": artifact}}
    made["locations"] = [{**location, "physicalLocation": numbered}]
    return made


# -- one finding ----------------------------------------------------------------------------------------------------------


def _result(path: str, proof: Proof, places: Places, finding: Finding, mark: str) -> dict[str, Any]:
    text = proof.text
    piece = places.piece_name(finding.span)
    location: dict[str, Any] = {"physicalLocation": _physical(path, text, finding.span, snippet=True)}
    if text.origins:
        location["message"] = {"text": text.where(finding.span.start)}
    if finding.place:
        full = "/".join(one_line(part) for part in (piece, finding.place) if part)
        location["logicalLocations"] = [{"name": one_line(finding.place), "fullyQualifiedName": full}]
    made: dict[str, Any] = {
        "ruleId": finding.rule,
        "level": _LEVELS[finding.severity],
        "message": {"text": finding.message},
        "locations": [location],
        "partialFingerprints": {FINGERPRINT: mark},
        "properties": {"severity": finding.severity.value, "sizes": list(finding.sizes), "follows": finding.follows},
    }
    related = [_because(path, text, because) for because in finding.because]
    if finding.follows is not None:
        cause = proof.findings[finding.follows]
        related.append(_because(path, text, Because(cause.span, f"This follows from here: {cause.message}")))
    if related:
        made["relatedLocations"] = [{"id": number, **place} for number, place in enumerate(related, 1)]
    if finding.stands:
        made["suppressions"] = [{"kind": "external", "status": "accepted", "justification": finding.stands}]
    if finding.corrections:
        made["fixes"] = [_fix(path, text, correction) for correction in finding.corrections]
    return made


def _because(path: str, text: Text, because: Because) -> dict[str, Any]:
    return {"physicalLocation": _physical(path, text, because.span), "message": {"text": because.message}}


def _fix(path: str, text: Text, correction: Correction) -> dict[str, Any]:
    edits = [
        {"deletedRegion": _region(text, edit.span), **({"insertedContent": {"text": edit.text}} if edit.text else {})}
        for edit in sorted(correction.edits, key=lambda edit: edit.span)
    ]
    return {
        "description": {"text": correction.title},
        "artifactChanges": [{"artifactLocation": _artifact(path), "replacements": edits}],
    }


def _fingerprints(proof: Proof, places: Places) -> list[str]:
    """A mark for each finding that stays while the manuscript changes elsewhere; like findings are told apart by their order."""
    seen: Counter[tuple[str, ...]] = Counter()
    out: list[str] = []
    for finding in proof.findings:
        words = " ".join(proof.text[finding.span].split())
        signs = (finding.rule, places.piece_name(finding.span), finding.place, words)
        seen[signs] += 1
        signed = "\x1f".join((*signs, str(seen[signs])))
        out.append(sha256(signed.encode("utf-8", "surrogatepass")).hexdigest()[:32])
    return out


# -- places ---------------------------------------------------------------------------------------------------------------


def _artifact(path: str) -> dict[str, Any]:
    return {"uri": _uri(path)}


def _uri(path: str) -> str:
    """A path as a reference: relative paths stay relative, so that a log can be read where the files are."""
    if _WINDOWS_ROOT.match(path):
        return "file:///" + path[0] + ":" + quote(path[2:].replace("\\", "/"))
    written = quote(path, errors="surrogateescape")
    return f"file://{written}" if path.startswith("/") else written


def _physical(path: str, text: Text, span: Span, *, snippet: bool = False) -> dict[str, Any]:
    region = _region(text, span)
    if snippet:
        region["snippet"] = {"text": text[span]}
    return {"artifactLocation": _artifact(path), "region": region}


def _region(text: Text, span: Span) -> dict[str, Any]:
    start, end = text.place(span.start), text.place(span.end)
    return {"startLine": start.line, "startColumn": start.column, "endLine": end.line, "endColumn": end.column}
