"""The JSON that other programs read keeps to its contract."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from handmade import COWL
from jsonschema import Draft202012Validator
from tenterhook.lint.manuscript.read import Unreadable
from tenterhook.lint.proof import Proof
from tenterhook.lint.report import json_report, worksheet_json
from tenterhook.lint.version import VERSION


def closed(**properties: object) -> dict[str, object]:
    """An object with just these members, all of them there."""
    return {"type": "object", "properties": properties, "required": list(properties), "additionalProperties": False}


def several(item: object) -> dict[str, object]:
    return {"type": "array", "items": item}


STRING = {"type": "string"}
WORDS = {"type": "string", "minLength": 1}
NUMBER = {"type": ["integer", "null"], "minimum": 0}
PLACE = closed(line={"type": "integer", "minimum": 1}, column={"type": "integer", "minimum": 1})
RANGE = {"start": PLACE, "end": PLACE}
PROOF_SCHEMA = closed(
    schema={"const": 1},
    version={"type": "string", "pattern": r"^\d+\.\d+\.\d+$"},
    manuscripts=several(
        closed(
            path=WORDS,
            terms={"enum": ["US", "UK", None]},
            sizes=several(WORDS),
            rows=closed(**{name: {"type": "integer"} for name in ("total", "proved", "differs", "assumed", "unread")}),
            findings=several(
                closed(
                    rule={"type": "string", "pattern": r"^[a-z]+(-[a-z]+)*$"},
                    severity={"enum": ["wrong", "query", "style", "suggestion"]},
                    message=WORDS,
                    place=STRING,
                    sizes=several(WORDS),
                    **RANGE,
                    because=several(closed(message=WORDS, **RANGE)),
                    follows=NUMBER,
                    corrections=several(closed(title=WORDS, edits=several(closed(**RANGE, text=STRING)))),
                    handle=WORDS,
                    stands={"type": ["string", "null"], "minLength": 1},
                )
            ),
            stand={"type": "integer", "minimum": 0},
            spent=several(closed(rule=WORDS, place=STRING, because=WORDS, line={"type": ["integer", "null"], "minimum": 1})),
        )
    ),
    unreadable=several(closed(path=WORDS, reason=WORDS)),
)
# What is said besides of a document, whose lines nobody sees.
_ENTRY = PROOF_SCHEMA["properties"]["manuscripts"]["items"]["properties"]  # type: ignore[index]
_ENTRY["remark"] = STRING
_ENTRY["findings"]["items"]["properties"] |= {"where": WORDS, "origins": several({"type": "object"})}
SIZE = closed(
    size={"type": ["string", "null"]},
    base=NUMBER,
    used=NUMBER,
    made=NUMBER,
    stated=NUMBER,
    kinds={"type": "object", "additionalProperties": {"type": "integer"}},
    spaces=NUMBER,
    working=STRING,
)
ROW = closed(
    label=WORDS,
    line={"type": "integer", "minimum": 1},
    side={"enum": ["RS", "WS", None]},
    turned={"type": "boolean"},
    status={"enum": ["proved", "differs", "assumed", "unread"]},
    sizes=several(SIZE),
)
ROW["properties"]["where"] = WORDS  # type: ignore[index]  # of a document alone
ROW["properties"]["times"] = {"type": "integer", "minimum": 2}  # type: ignore[index]  # of a summary entry alone
WORKSHEET_SCHEMA = closed(
    schema={"const": 1},
    worksheets=several(closed(path=WORDS, pieces=several(closed(name=STRING, rows=several(ROW))))),
)


def check_proof(written: str) -> dict[str, list[dict[str, object]]]:
    """The report, found to keep to the contract."""
    report = json.loads(written)
    Draft202012Validator(PROOF_SCHEMA).validate(report)
    for manuscript in report["manuscripts"]:
        for index, finding in enumerate(manuscript["findings"]):
            assert finding["follows"] != index
            assert finding["follows"] is None or finding["follows"] < len(manuscript["findings"])
            ends = [(finding[end]["line"], finding[end]["column"]) for end in ("start", "end")]
            assert ends[0] <= ends[1]
        rows = manuscript["rows"]
        assert rows["total"] == rows["proved"] + rows["differs"] + rows["assumed"] + rows["unread"]
    return report


def check_worksheet(written: str) -> dict[str, list[dict[str, object]]]:
    """The worksheet, found to keep to the contract."""
    report = json.loads(written)
    Draft202012Validator(WORKSHEET_SCHEMA).validate(report)
    return report


def test_a_proof_keeps_to_the_contract(cowl: Proof) -> None:
    report = check_proof(
        json_report.report([json_report.manuscript("cowl.md", cowl)], [Unreadable("x.pdf", "not read yet")])
    )
    assert report["version"] == VERSION
    assert report["unreadable"] == [{"path": "x.pdf", "reason": "not read yet"}]
    (manuscript,) = report["manuscripts"]
    assert manuscript["rows"] == {"total": 7, "proved": 3, "differs": 2, "assumed": 1, "unread": 1}
    findings = manuscript["findings"]
    assert [finding["follows"] for finding in findings] == [None, 0, 1, None, None, None]  # type: ignore[attr-defined]


def test_places_count_from_one_and_ends_are_exclusive(cowl: Proof) -> None:
    first = json_report.manuscript("cowl.md", cowl)["findings"][0]
    line = COWL.splitlines()[first["start"]["line"] - 1]
    assert first["start"]["line"] == first["end"]["line"]
    assert line[first["start"]["column"] - 1 : first["end"]["column"] - 1] == "27 sts"
    (edit,) = first["corrections"][0]["edits"]
    assert line[edit["start"]["column"] - 1 : edit["end"]["column"] - 1] == "27"
    assert edit["text"] == "26"
    assert first["because"][0]["start"] == {"line": first["start"]["line"] - 1, "column": 1}


def test_a_worksheet_keeps_to_the_contract(cowl: Proof) -> None:
    report = check_worksheet(worksheet_json.report([worksheet_json.worksheet("cowl.md", cowl)]))
    pieces = report["worksheets"][0]["pieces"]
    assert [piece["name"] for piece in pieces] == ["Body", "Strap"]  # type: ignore[attr-defined]
    row = pieces[0]["rows"][2]  # type: ignore[index]
    assert row == {
        "label": "Row 3",
        "line": 14,
        "side": "RS",
        "turned": True,
        "status": "differs",
        "sizes": [
            {
                "size": None,
                "base": 26,
                "used": 26,
                "made": 26,
                "stated": 27,
                "kinds": {"sc": 18, "FPdc": 8},
                "spaces": 0,
                "working": "9 sc + 8 FPdc + 9 sc = 26",
            }
        ],
    }


def test_times_stands_in_a_summary_entry_alone(cowl: Proof) -> None:
    piece = cowl.work.pieces[0]
    summary = replace(piece.rows[0], times=500)
    proof = replace(cowl, work=replace(cowl.work, pieces=(replace(piece, rows=(summary, piece.rows[1])),)))
    sheet = worksheet_json.worksheet("cowl.md", proof)
    check_worksheet(worksheet_json.report([sheet]))
    assert [row.get("times") for row in sheet["pieces"][0]["rows"]] == [500, None]
    assert json_report.manuscript("cowl.md", proof)["rows"]["total"] == 501


@pytest.mark.parametrize("ascii_only", [True, False])
def test_every_character_comes_back(cowl: Proof, ascii_only: bool) -> None:
    entry = json_report.manuscript("caf\u00e9 \U0001f9f6.md", cowl)
    written = json_report.report([entry], [], ascii_only=ascii_only)
    assert written.isascii() == ascii_only
    assert json.loads(written)["manuscripts"][0]["path"] == "caf\u00e9 \U0001f9f6.md"
