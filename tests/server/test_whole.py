"""The server as it is delivered, with the real proof behind it."""

from __future__ import annotations

from .raw import URI, Raw, at, edit

WRONG = "Ch 11.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (11 sc)\n"


def loud(found: list[dict]) -> list[tuple[str, int, int]]:
    """Rule, line and severity of what is more than a suggestion."""
    return [(d["code"], d["range"]["start"]["line"], d["severity"]) for d in found if d["severity"] < 3]


def test_a_wrong_count_is_found_and_gone_when_put_right(real: Raw):
    assert loud(real.open(WRONG)) == [("row-total", 1, 1)]
    count = WRONG.splitlines()[1].index("(11") + 1
    version = real.change(edit(1, count, count + 2, "10"))
    assert loud(real.diagnostics(version)) == []
    hover = real.request("textDocument/hover", {"textDocument": {"uri": URI}, "position": at(1, 2)})
    assert "10" in hover["contents"]["value"]


def test_the_corrections_offered_put_it_right(real: Raw):
    real.open(WRONG)
    whole = {"start": at(1, 0), "end": at(2, 0)}
    params = {"textDocument": {"uri": URI}, "range": whole, "context": {"diagnostics": []}}
    actions = [a for a in real.request("textDocument/codeAction", params) if a["kind"] == "quickfix"]
    assert all(action["diagnostics"][0]["code"] == "row-total" for action in actions)
    for action in actions:
        changes = action["edit"]["changes"][URI]
        for change in sorted(changes, key=lambda c: list(c["range"]["start"].values()), reverse=True):
            version = real.change({"range": change["range"], "text": change["newText"]})
        assert loud(real.diagnostics(version)) == []
        assert loud(real.diagnostics(real.change({"text": WRONG}))) == [("row-total", 1, 1)]


def test_findings_after_edits_are_those_of_a_fresh_start(real: Raw):
    real.open(WRONG)
    real.change(edit(1, 0, 0, "Row 0: Ch 1.\n"))
    real.change(edit(0, 3, 5, "12"))
    version = real.change({"range": {"start": at(1, 0), "end": at(2, 0)}, "text": ""})
    after = real.diagnostics(version)
    assert after == real.open(WRONG.replace("Ch 11", "Ch 12"))
    assert loud(after) == []
