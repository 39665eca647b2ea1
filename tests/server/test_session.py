"""What an editor gets besides findings, from the server as delivered: over a whole session, a folder, a series."""

from __future__ import annotations

import random
import time
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from tenterhook.server.features.semantic_tokens import LEGEND

from .raw import HERE, URI, Raw, at, edit

DOCUMENT = {"uri": URI}
EXAMPLES = HERE.parents[1] / "examples"
TEXT = """US terms.

Abbreviations
ch - chain
dtr - double treble crochet
sc - single crochet
st(s) - stitch(es)

Strap
Ch 13.
Row 1 (RS): Sc in 2nd ch from hook and in each ch across, turn. (12 sc)
Row 2: Ch 1, *sc in next st, 2 sc in next st; rep from * 5 more times,
turn. (18 sc)
Rows 3 and 4: Rep Rows 1 and 2.
"""
ABLE = {
    "textDocument": {
        "semanticTokens": {"requests": {"full": True, "range": True}, "tokenTypes": [], "tokenModifiers": [], "formats": ["relative"]},
        "publishDiagnostics": {"codeDescriptionSupport": True, "tagSupport": {"valueSet": [1, 2]}},
        "documentLink": {"tooltipSupport": True},
        "rename": {"prepareSupport": True},
    },
    "window": {"showDocument": {"support": True}, "workDoneProgress": True},
    "workspace": {"didChangeWatchedFiles": {"dynamicRegistration": True}, "inlayHint": {"refreshSupport": True}},
}  # fmt: skip


@pytest.fixture(scope="module")
def session() -> Iterator[Raw]:
    with Raw(script=HERE / "real_server.py", rest=0.3) as client:
        client.initialize("utf-16", capabilities=ABLE, initializationOptions={"calm": False})
        yield client


@pytest.fixture
def able(session: Raw) -> Iterator[Raw]:
    """A client that can do everything, and answers what the server asks."""
    session.begin_anew()
    yield session
    session.put_away()


def asked(client: Raw, method: str, answer: Any = None) -> dict[str, Any]:
    """What the server has asked the client for."""
    message = client.next(lambda m: m.get("method") == method and "id" in m)
    client.send({"jsonrpc": "2.0", "id": message["id"], "result": answer})
    return message.get("params", {})


def tokens(client: Raw, within: dict[str, Any] | None = None) -> list[tuple[int, str, str, bool]]:
    """Line, words, type and whether it is a definition, of every token."""
    method = "textDocument/semanticTokens/" + ("range" if within else "full")
    data = client.request(method, {"textDocument": DOCUMENT, **({"range": within} if within else {})})["data"]
    lines, line, column, found = TEXT.split("\n"), 0, 0, []
    for down, along, length, kind, modifiers in zip(*(iter(data),) * 5, strict=True):
        line, column = line + down, along if down else column + along
        found.append((line, lines[line][column : column + length], LEGEND.token_types[kind], bool(modifiers)))
    return found


def test_findings_lead_to_their_rules_page_and_fade_what_is_not_needed(able: Raw):
    (unused,) = (d for d in able.open(TEXT) if d["code"] == "abbreviation-unused")
    page, heading = unused["codeDescription"]["href"].split("#")
    assert heading == "abbreviation-unused"
    assert "### abbreviation-unused" in Path(page.removeprefix("file://")).read_text("utf-8")
    assert unused["tags"] == [1]


def test_a_rule_is_explained_by_opening_its_page(able: Raw):
    able.open(TEXT)
    waiting = able.start("workspace/executeCommand", {"command": "tenterhook.explain", "arguments": ["row-total"]})
    shown = asked(able, "window/showDocument", {"success": True})
    page = Path(shown["uri"].removeprefix("file://")).read_text("utf-8").split("\n")
    assert page[shown["selection"]["start"]["line"]] == "### row-total"
    assert "rips back" in able.answer(waiting)["result"]


def test_a_rule_is_told_in_a_message_where_no_page_can_be_opened(real: Raw):
    assert real.request("workspace/executeCommand", {"command": "tenterhook.explain", "arguments": ["row-total"]})
    message = real.next(lambda m: m.get("method") == "window/showMessage")["params"]["message"]
    assert message.startswith("row-total: The stated count is not what the row makes.")
    unknown = {"command": "tenterhook.explain", "arguments": ["no-such-rule"]}
    assert real.request("workspace/executeCommand", unknown) is None


def test_the_parts_of_a_row_are_told_apart(able: Raw):
    able.open(TEXT)
    found = tokens(able)
    assert (5, "sc", "function", True) in found
    assert [(words, kind) for line, words, kind, _ in found if line == 10][:6] == [
        ("Row 1 (RS):", "class"),
        ("Sc", "function"),
        ("in", "parameter"),
        ("2nd", "number"),
        ("ch", "parameter"),
        ("from hook", "parameter"),
    ]
    assert [(words, kind) for line, words, kind, _ in found if line == 12] == [("turn", "macro"), ("(18 sc)", "string")]
    part = tokens(able, {"start": at(11, 0), "end": at(12, 0)})
    assert part == [token for token in found if token[0] in (11, 12)]


def test_rows_named_are_links(able: Raw):
    able.open(TEXT)
    links = able.request("textDocument/documentLink", {"textDocument": DOCUMENT})
    assert [(link["target"], link["tooltip"]) for link in links] == [
        (f"{URI}#L11,1", "Row 1, line 11"),
        (f"{URI}#L12,1", "Row 2, line 12"),
    ]


def test_selecting_goes_from_the_word_to_the_whole(able: Raw):
    able.open(TEXT)
    (chain,) = able.request("textDocument/selectionRange", {"textDocument": DOCUMENT, "positions": [at(11, 32)]})
    words = []
    while chain:
        words.append(cut(chain["range"]))
        chain = chain.get("parent")
    assert words[:2] == ["sc", "2 sc in next st"]
    assert "*sc in next st, 2 sc in next st; rep from * 5 more times" in words
    assert any(word.startswith("Row 2: Ch 1") and word.endswith("(18 sc)") for word in words)
    assert words[-1] == TEXT
    assert all(inner in outer for inner, outer in pairwise(words))


def cut(range_: dict[str, Any]) -> str:
    lines = TEXT.split("\n")

    def offset(place: dict[str, int]) -> int:
        return sum(len(line) + 1 for line in lines[: place["line"]]) + place["character"]

    return TEXT[offset(range_["start"]) : offset(range_["end"])]


def test_symbols_are_found_by_letters_in_their_order(able: Raw):
    able.open(TEXT)
    found = able.request("workspace/symbol", {"query": "stra"})
    assert [(s["name"], s["kind"]) for s in found] == [("Strap", 5)]
    assert ("Row 2", "Strap") in [(s["name"], s.get("containerName")) for s in able.request("workspace/symbol", {"query": "row2"})]


def test_hints_can_be_had_for_every_row_and_for_none(able: Raw):
    able.open(TEXT)
    whole = {"textDocument": DOCUMENT, "range": {"start": at(0, 0), "end": at(99, 0)}}

    def labels(setting: str) -> list[str]:
        able.notify("workspace/didChangeConfiguration", {"settings": {"tenterhook": {"hints": setting}}})
        asked(able, "workspace/inlayHint/refresh")
        return [hint["label"] for hint in able.request("textDocument/inlayHint", whole) or []]

    assert labels("all")[:2] == ["for the next: 12 sc", "for the next: 18 sc"]
    assert labels("off") == []
    able.notify("workspace/didChangeConfiguration", {"settings": {"tenterhook": {"hints": "unstated"}}})


def test_a_hint_can_be_put_into_the_text(able: Raw):
    able.open("Strap\nCh 13.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn.\n")
    whole = {"textDocument": DOCUMENT, "range": {"start": at(0, 0), "end": at(99, 0)}}
    (hint,) = able.request("textDocument/inlayHint", whole)
    assert (hint["label"], hint["textEdits"][0]["newText"]) == ("makes 12 sc", " (12 sc)")
    where, words = hint["textEdits"][0]["range"]["start"], hint["textEdits"][0]["newText"]
    able.diagnostics(able.change(edit(where["line"], where["character"], where["character"], words)))
    assert able.request("textDocument/inlayHint", whole) == []


# A series in a folder

WRONG = "Strap\nCh 13.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (13 sc)\n"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "strap.txt").write_text(WRONG)
    (tmp_path / "notes.md").write_text("# To do\nBuy teh wool; sc it.\n")
    (tmp_path / "good.md").write_text((EXAMPLES / "37-withy-cushion.md").read_text("utf-8"), "utf-8")
    return tmp_path


def opening(root: Path, **options: bool) -> dict[str, Any]:
    here = {"uri": root.as_uri(), "name": root.name}
    return {"workspaceFolders": [here], "initializationOptions": {"calm": False, **options}}


def test_a_folder_is_proofed_when_asked_for_and_followed(folder: Path):
    with Raw(script=HERE / "real_server.py") as client:
        client.initialize("utf-16", capabilities=ABLE, **opening(folder, folder=True))
        globs = {w["globPattern"] for w in asked(client, "client/registerCapability")["registrations"][0]["registerOptions"]["watchers"]}
        assert {"**/*.toml", "**/*.md", "**/*.txt"} <= globs
        asked(client, "window/workDoneProgress/create")
        told = {name: client.published((folder / name).as_uri())["diagnostics"] for name in ("strap.txt", "notes.md", "good.md")}
        assert [d["code"] for d in told["strap.txt"]] == ["row-total"]
        assert told["notes.md"] == [], "a text without rows is no pattern"
        assert [d for d in told["good.md"] if d["severity"] < 3] == []
        steps = [client.next(lambda m: m.get("method") == "$/progress")["params"]["value"] for _ in range(5)]
        assert [step["kind"] for step in steps] == ["begin", "report", "report", "report", "end"]
        assert steps[3]["message"] == "3 of 3 manuscripts"

        strap = folder / "strap.txt"
        strap.write_text(WRONG.replace("(13 sc)", "(12 sc)"))
        client.notify("workspace/didChangeWatchedFiles", {"changes": [{"uri": strap.as_uri(), "type": 2}]})
        assert client.published(strap.as_uri())["diagnostics"] == []
        strap.unlink()
        client.notify("workspace/didChangeWatchedFiles", {"changes": [{"uri": strap.as_uri(), "type": 3}]})
        assert client.published(strap.as_uri())["diagnostics"] == []
        found = client.request("workspace/symbol", {"query": "FRONT"})
        assert (folder / "good.md").as_uri() in {symbol["location"]["uri"] for symbol in found}


def test_a_folder_can_be_pulled_and_only_what_changed_comes_again(folder: Path):
    able = {**ABLE, "textDocument": {**ABLE["textDocument"], "diagnostic": {}}}
    with Raw(script=HERE / "real_server.py") as client:
        offered = client.initialize("utf-16", capabilities=able, **opening(folder, folder=True, pull=True))
        assert offered["diagnosticProvider"]["workspaceDiagnostics"] is True
        asked(client, "client/registerCapability")
        first = client.request("workspace/diagnostic", {"previousResultIds": [], "workDoneToken": "w"})["items"]
        assert {item["uri"].rsplit("/")[-1]: len(item["items"]) for item in first}["strap.txt"] == 1
        before = [{"uri": item["uri"], "value": item["resultId"]} for item in first]
        time.sleep(0.02)
        (folder / "strap.txt").write_text(WRONG.replace("(13 sc)", "(12 sc), "))
        second = client.request("workspace/diagnostic", {"previousResultIds": before})["items"]
        assert {item["uri"].rsplit("/")[-1]: item["kind"] for item in second} == {
            "strap.txt": "full",
            "notes.md": "unchanged",
            "good.md": "unchanged",
        }
        assert client.next(lambda m: m.get("method") == "$/progress")["params"]["token"] == "w"


def test_a_folder_nobody_asked_about_is_left_alone_until_the_command_is_given(folder: Path):
    with Raw(script=HERE / "real_server.py") as client:
        client.initialize("utf-16", **opening(folder))
        with pytest.raises(AssertionError, match="no such message"):
            client.published((folder / "strap.txt").as_uri(), patience=0.5)
        assert client.request("workspace/executeCommand", {"command": "tenterhook.proofFolder", "arguments": []}) == 3
        assert len(client.published((folder / "strap.txt").as_uri())["diagnostics"]) == 1


def test_each_folder_has_its_own_settings(tmp_path: Path):
    calm, brisk = tmp_path / "calm", tmp_path / "brisk"
    able = {"workspace": {"configuration": True, "workspaceFolders": True}}
    folders = [{"uri": f.as_uri(), "name": f.name} for f in (calm, brisk)]
    with Raw(rest=30) as client:
        client.initialize("utf-16", capabilities=able, workspaceFolders=folders)
        message = client.next(lambda m: m.get("method") == "workspace/configuration")
        assert [item.get("scopeUri") for item in message["params"]["items"]] == [None, *(f["uri"] for f in folders)]
        client.send({"jsonrpc": "2.0", "id": message["id"], "result": [{}, {"calm": True}, {"calm": False}]})
        told = {}
        for folder in (calm, brisk):
            uri = (folder / "cowl.txt").as_uri()
            client.open("te", uri)
            version = client.change(edit(0, 2, 2, "h"), uri=uri)
            told[folder.name] = len(client.diagnostics(version, uri))
        assert told == {"calm": 0, "brisk": 1}


def test_new_house_settings_proof_everything_anew(able: Raw, tmp_path: Path):
    able.open(TEXT)
    changed = {"changes": [{"uri": (tmp_path / "tenterhook.toml").as_uri(), "type": 2}]}
    able.notify("workspace/didChangeWatchedFiles", changed)
    assert able.published()["version"] == 1


def test_what_a_house_and_an_editor_have_put_down_is_heeded(able: Raw, tmp_path: Path):
    strap, house = tmp_path / "strap.txt", tmp_path / "tenterhook.toml"
    uri, changed = strap.as_uri(), {"changes": [{"uri": house.as_uri(), "type": 2}]}
    assert [d["code"] for d in able.open(WRONG, uri)] == ["row-total"]
    house.write_text('[rules]\nrow-total = "off"\n')
    able.notify("workspace/didChangeWatchedFiles", changed)
    assert able.published(uri)["diagnostics"] == []
    house.write_text('[rules]\nrow-totl = "off"\n')
    able.notify("workspace/didChangeWatchedFiles", changed)
    (remark,) = able.published(uri)["diagnostics"]
    assert remark["message"].startswith("This text is not proofed, because of ") and "row-totl" in remark["message"]
    house.unlink()
    able.notify("workspace/didChangeWatchedFiles", changed)
    assert [d["code"] for d in able.published(uri)["diagnostics"]] == ["row-total"]

    params = {"textDocument": {"uri": uri}, "range": {"start": at(2, 0), "end": at(3, 0)}, "context": {"diagnostics": []}}
    stand = next(a for a in able.request("textDocument/codeAction", params) if a["title"].startswith("Let it stand"))
    command = {key: stand["command"][key] for key in ("command", "arguments")}
    assert able.request("workspace/executeCommand", command) is True
    assert able.published(uri)["diagnostics"] == []
    assert "row-total" in (tmp_path / "strap.txt.toml").read_text("utf-8")
    titles = [action["title"] for action in able.request("textDocument/codeAction", params)]
    assert not any("row-total" in title for title in titles)
    assert able.request("workspace/executeCommand", command) is False
    assert able.next(lambda m: m.get("method") == "window/showMessage")["params"]["message"].startswith("This could not be")
    assert able.request("workspace/executeCommand", {**command, "arguments": ["untitled:none", "row-total", "x"]}) is False


# A long sitting


def test_a_sitting_of_edits_ends_where_a_fresh_start_does(real: Raw):
    """Typed, deleted, pasted, taken back; at the end nothing is remembered that is not so."""


    seed = random.Random(37)
    text = TEXT
    real.open(text)
    bits = ["sc in next st, ", "Row 9: Ch 1, sc in each st across, turn. (12 sc)\n", "(", "*", "\n", "é\U0001f9f6", " ", "2"]
    past: list[str] = []
    for step in range(120):
        if past and seed.random() < 0.3:
            text = past.pop()
            version = real.change({"text": text})
        else:
            past.append(text)
            a = seed.randrange(len(text) + 1)
            b = min(len(text), a + seed.choice((0, 0, 1, 3, 40)))
            put = seed.choice(bits) if seed.random() < 0.8 else ""
            version = real.change({"range": {"start": _place(text, a), "end": _place(text, b)}, "text": put})
            text = text[:a] + put + text[b:]
        if step % 40 == 39:
            found = real.diagnostics(version)
            fresh = real.open(text, "untitled:fresh.txt")
            assert found == fresh
            real.notify("textDocument/didClose", {"textDocument": {"uri": "untitled:fresh.txt"}})
            real.version = version


def _place(text: str, offset: int) -> dict[str, int]:
    before = text[:offset].split("\n")
    return at(len(before) - 1, len(before[-1].encode("utf-16-le")) // 2)
