"""The server as it is delivered, with the real proof behind it."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from tenterhook.lint.proof import proof
from tenterhook.lint.text import Text

from .raw import HERE, URI, Raw, at, edit

WRONG = "Ch 11.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (11 sc)\n"


@pytest.fixture
def raw() -> Iterator[Raw]:
    try:
        proof(Text(""))
    except NotImplementedError:
        pytest.skip("the proof is not there yet")
    with Raw(script=HERE / "real_server.py") as client:
        client.initialize("utf-16", initializationOptions={"calm": False})
        yield client


def loud(found: list[dict]) -> list[tuple[str, int, int]]:
    """Rule, line and severity of what is more than a suggestion."""
    return [(d["code"], d["range"]["start"]["line"], d["severity"]) for d in found if d["severity"] < 3]


def test_a_wrong_count_is_found_and_gone_when_put_right(raw: Raw):
    assert loud(raw.open(WRONG)) == [("row-total", 1, 1)]
    count = WRONG.splitlines()[1].index("(11") + 1
    version = raw.change(edit(1, count, count + 2, "10"))
    assert loud(raw.diagnostics(version)) == []
    hover = raw.request("textDocument/hover", {"textDocument": {"uri": URI}, "position": at(1, 2)})
    assert "10" in hover["contents"]["value"]


def test_the_corrections_offered_put_it_right(raw: Raw):
    raw.open(WRONG)
    whole = {"start": at(1, 0), "end": at(2, 0)}
    params = {"textDocument": {"uri": URI}, "range": whole, "context": {"diagnostics": []}}
    actions = raw.request("textDocument/codeAction", params)
    assert all(action["diagnostics"][0]["code"] == "row-total" for action in actions)
    for action in actions:
        changes = action["edit"]["changes"][URI]
        for change in sorted(changes, key=lambda c: list(c["range"]["start"].values()), reverse=True):
            version = raw.change({"range": change["range"], "text": change["newText"]})
        assert loud(raw.diagnostics(version)) == []
        assert loud(raw.diagnostics(raw.change({"text": WRONG}))) == [("row-total", 1, 1)]


def test_findings_after_edits_are_those_of_a_fresh_start(raw: Raw):
    raw.open(WRONG)
    raw.change(edit(1, 0, 0, "Row 0: Ch 1.\n"))
    raw.change(edit(0, 3, 5, "12"))
    version = raw.change({"range": {"start": at(1, 0), "end": at(2, 0)}, "text": ""})
    after = raw.diagnostics(version)
    assert after == raw.open(WRONG.replace("Ch 11", "Ch 12"))
    assert loud(after) == []
