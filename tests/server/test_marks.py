"""Patterns with marks under their words: what hover, jumps, renaming, completion and actions say there.

A mark stands on a line of its own, its caret under the place it speaks of, in the line above that is no mark. The real
server answers, over its pipes.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest

from .raw import URI, Raw, at

HERE = Path(__file__).parent
_MARK = re.compile(r"(?P<indent> *)\^ (?P<what>hover|places|rename|not renamed|nothing to rename|defined|offered|not offered|offers nothing|does not offer|does) ?(?P<rest>.*)")
DOCUMENT = {"uri": URI}


@dataclass
class Case:
    title: str
    text: str = ""
    marks: list[tuple[int, int, str, str]] = field(default_factory=list)


def cases() -> list[Case]:
    found: list[Case] = []
    for path in sorted((HERE / "marks").glob("*.txt")):
        lines: list[str] = []
        for line in path.read_text(encoding="utf-8").split("\n"):
            if line.startswith("===== "):
                found.append(Case(f"{path.stem}: {line[6:]}"))
                lines = []
            elif mark := _MARK.fullmatch(line):
                found[-1].marks.append((len(lines) - 1, len(mark["indent"]), mark["what"], mark["rest"]))
            elif found:
                lines.append(line)
                found[-1].text = "\n".join(lines)
    return found


CASES = cases()


def test_every_case_has_marks_and_every_mark_a_meaning() -> None:
    assert all(case.marks for case in CASES)
    stray = [line for path in (HERE / "marks").glob("*.txt") for line in path.read_text().split("\n") if re.match(r" *\^", line)]
    assert len(stray) == sum(len(case.marks) for case in CASES)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.title)
def test_marks(real: Raw, case: Case) -> None:
    real.open(case.text)
    for line, column, what, rest in case.marks:
        where = {"textDocument": DOCUMENT, "position": at(line, column)}
        CHECKS[what](real, case, where, rest)


def _hover(real: Raw, case: Case, where: dict[str, Any], rest: str) -> None:
    found = real.request("textDocument/hover", where)
    said = found["contents"]["value"] if found else ""
    assert [words for words in rest.split(" · ") if words not in said] == [], said


def _places(real: Raw, case: Case, where: dict[str, Any], rest: str) -> None:
    found = real.request("textDocument/references", {**where, "context": {"includeDeclaration": True}})
    assert len(found) == int(rest), [_words(case, f["range"]) for f in found]
    marked = real.request("textDocument/documentHighlight", where)
    assert sorted(map(repr, (f["range"] for f in found))) == sorted(repr(m["range"]) for m in marked)


def _words(case: Case, range_: dict[str, Any]) -> str:
    start, end = range_["start"], range_["end"]
    return f"{start['line'] + 1}: {case.text.split(chr(10))[start['line']][start['character'] : end['character']]}"


def _rename(real: Raw, case: Case, where: dict[str, Any], rest: str) -> None:
    new, number = rest.rsplit(": ", 1)
    ready = real.request("textDocument/prepareRename", where)
    assert ready["placeholder"]
    changes = real.request("textDocument/rename", {**where, "newName": new})["changes"][URI]
    assert len(changes) == int(number)
    assert {change["newText"].lower() for change in changes} == {new.lower()}
    before = real.request("textDocument/references", {**where, "context": {"includeDeclaration": True}})
    text = applied(case.text, changes)
    real.change({"text": text})
    shift = sum(
        len(c["newText"]) - (c["range"]["end"]["character"] - c["range"]["start"]["character"])
        for c in changes
        if c["range"]["start"]["line"] == where["position"]["line"]
        and c["range"]["end"]["character"] <= where["position"]["character"]
    )
    moved = {**where, "position": at(where["position"]["line"], where["position"]["character"] + shift)}
    after = real.request("textDocument/references", {**moved, "context": {"includeDeclaration": True}})
    assert len(after) == len(before), "under its new name it is found in as many places"
    real.diagnostics(real.change({"text": case.text}))


def _not_renamed(real: Raw, case: Case, where: dict[str, Any], rest: str) -> None:
    new, why = rest.split(": ", 1) if ": " in rest else ("", rest.removeprefix(": "))
    error = real.refused("textDocument/rename", {**where, "newName": new})
    assert error["code"] == -32803
    assert why in error["message"]


def _nothing_to_rename(real: Raw, case: Case, where: dict[str, Any], rest: str) -> None:
    assert real.request("textDocument/prepareRename", where) is None
    assert real.refused("textDocument/rename", {**where, "newName": "fan"})["code"] == -32803


def _defined(real: Raw, case: Case, where: dict[str, Any], rest: str) -> None:
    found = real.request("textDocument/definition", where)
    assert ", ".join(str(f["range"]["start"]["line"] + 1) for f in found) == rest


def _labels(real: Raw, where: dict[str, Any]) -> list[str]:
    return [item["label"] for item in real.request("textDocument/completion", where)["items"]]


def _words_offered(rest: str) -> list[str]:
    return [rest] if re.search(r"[(\[]", rest) else rest.split(", ")


def _offered(real: Raw, case: Case, where: dict[str, Any], rest: str) -> None:
    labels = _labels(real, where)
    assert [words for words in _words_offered(rest) if words not in labels] == [], labels


def _not_offered(real: Raw, case: Case, where: dict[str, Any], rest: str) -> None:
    labels = _labels(real, where)
    assert [words for words in _words_offered(rest) if words in labels] == []


def _offers_nothing(real: Raw, case: Case, where: dict[str, Any], rest: str) -> None:
    assert _labels(real, where) == []


def _actions(real: Raw, where: dict[str, Any]) -> dict[str, dict[str, Any]]:
    here = {"start": where["position"], "end": where["position"]}
    asked = {"textDocument": DOCUMENT, "range": here, "context": {"diagnostics": []}}
    return {action["title"]: action for action in real.request("textDocument/codeAction", asked)}


def _does(real: Raw, case: Case, where: dict[str, Any], rest: str) -> None:
    title, line = rest.split(" >> ")
    found = _actions(real, where)
    assert title in found, list(found)
    text = applied(case.text, found[title]["edit"]["changes"][URI])
    assert line in text.split("\n"), text


def _does_not_offer(real: Raw, case: Case, where: dict[str, Any], rest: str) -> None:
    assert [title for title in _actions(real, where) if title.startswith(rest)] == []


def applied(text: str, changes: list[dict[str, Any]]) -> str:
    """A text with a client's edits in it, made from its end; every line ends with LF and nothing is wide."""
    lines = text.split("\n")

    def offset(position: dict[str, int]) -> int:
        return sum(len(line) + 1 for line in lines[: position["line"]]) + position["character"]

    for change in sorted(changes, key=lambda c: offset(c["range"]["start"]), reverse=True):
        text = text[: offset(change["range"]["start"])] + change["newText"] + text[offset(change["range"]["end"]) :]
    return text


CHECKS = {
    "hover": _hover,
    "places": _places,
    "rename": _rename,
    "not renamed": _not_renamed,
    "nothing to rename": _nothing_to_rename,
    "defined": _defined,
    "offered": _offered,
    "not offered": _not_offered,
    "offers nothing": _offers_nothing,
    "does": _does,
    "does not offer": _does_not_offer,
}
