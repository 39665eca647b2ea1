"""The server spoken to in raw JSON-RPC over pipes, as no client library would."""

from __future__ import annotations

import contextlib
import json
import os
import random
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable
from importlib.util import find_spec
from pathlib import Path

import pytest

from .raw import HERE, PATIENCE, URI, Raw, at, edit

Shared = Callable[[str | None], Raw]
OPENING = {"processId": os.getpid(), "rootUri": None, "capabilities": {}}
DOCUMENT = {"uri": URI}


def begun(raw: Raw) -> Raw:
    """A server of the test's own, its session opened."""
    raw.initialize("utf-16", initializationOptions={"calm": False})
    return raw


# Positions


@pytest.mark.parametrize(
    ("encoding", "columns"), [("utf-8", [0, 12]), ("utf-16", [0, 9]), ("utf-32", [0, 8])]
)
def test_columns_count_in_the_units_agreed(shared: Shared, encoding: str, columns: list[int]):
    client = shared(encoding)
    assert client.agreed["positionEncoding"] == encoding
    found = client.open("teh \U0001f9f6 é teh\n")
    assert [d["range"]["start"]["character"] for d in found] == columns


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16", "utf-32"])
def test_an_edit_after_wide_characters_lands_where_the_client_meant(shared: Shared, encoding: str):
    client = shared(encoding)
    client.open("\U0001f9f6é teh\n")
    column = {"utf-8": 7, "utf-16": 4, "utf-32": 3}[encoding]
    version = client.change(edit(0, column, column + 3, "the teh"))
    assert [d["range"]["start"]["character"] for d in client.diagnostics(version)] == [column + 4]


def test_only_lf_cr_and_crlf_end_a_line(ready: Raw):
    text = "a\fb\x0bc\x1c\x1d\x1e\x85\u2028\u2029d\rteh\r\nteh\nteh"
    found = ready.open(text)
    assert [d["range"]["start"]["line"] for d in found] == [1, 2, 3]
    version = ready.change(edit(1, 0, 3, "the"))
    assert [d["range"]["start"]["line"] for d in ready.diagnostics(version)] == [2, 3]


def test_positions_out_of_range_are_held_inside_the_text(ready: Raw):
    ready.open("one\r\ntwo")
    ready.change(edit(0, 99, 99, " teh"))  # before the line end, not after it
    version = ready.change({"range": {"start": at(99, 7), "end": at(100, 0)}, "text": " teh"})
    found = ready.diagnostics(version)
    assert [d["range"]["start"] for d in found] == [at(0, 4), at(1, 4)]
    hover = {"textDocument": DOCUMENT, "position": at(4000, 4000)}
    assert ready.request("textDocument/hover", hover) is None


def test_a_range_that_runs_backward_is_taken_at_its_start(ready: Raw):
    ready.open("one two")
    version = ready.change({"range": {"start": at(0, 4), "end": at(0, 1)}, "text": "teh "})
    assert ready.diagnostics(version)[0]["range"]["start"] == at(0, 4)


def test_a_lone_surrogate_is_no_reason_to_fall_over(ready: Raw):
    ready.send_bytes(
        b'{"jsonrpc":"2.0","method":"textDocument/didOpen","params":{"textDocument":{"uri":"untitled:cowl.txt",'
        b'"languageId":"plaintext","version":1,"text":"\\ud83e teh"}}}'
    )
    assert ready.diagnostics(1)[0]["range"]["start"] == at(0, 2)


def test_the_text_after_many_random_edits_is_the_text_of_a_careful_client(ready: Raw):
    seed = random.Random(7)
    bits = ["teh", " ", "\n", "\r\n", "é", "\U0001f9f6", "\f", "\u2028", "Row 1: makes 3", "the"]
    text = "teh\nteh \U0001f9f6 teh\n"
    ready.open(text)
    version = 1
    for _ in range(60):
        a, b = sorted(seed.randint(0, len(text)) for _ in range(2))
        b = min(b, a + 6)
        while a and text[a - 1 : a + 1] == "\r\n":  # no client has a position between the two
            a -= 1
        while b < len(text) and text[b - 1 : b + 1] == "\r\n":
            b += 1
        piece = seed.choice(bits)
        version = ready.change({"range": {"start": _position(text, a), "end": _position(text, b)}, "text": piece})
        text = text[:a] + piece + text[b:]
    found = ready.diagnostics(version)
    expected = [_position(text, i) for i in range(len(text)) if text.startswith("teh", i)]
    assert [d["range"]["start"] for d in found if d["code"] == "word-mixed"] == expected


def _position(text: str, offset: int) -> dict[str, int]:
    """Line and UTF-16 column, worked out the slow way."""
    before = text[:offset].replace("\r\n", "\n").replace("\r", "\n").split("\n")
    return at(len(before) - 1, len(before[-1].encode("utf-16-le")) // 2)


# Documents


def test_every_publish_names_its_version_and_closing_empties(ready: Raw):
    assert len(ready.open("teh")) == 1
    ready.notify("textDocument/didClose", {"textDocument": DOCUMENT})
    assert ready.published() == {"uri": URI, "diagnostics": []}


def test_a_document_closed_while_it_is_proofed_is_not_reported_afterwards(ready: Raw):
    item = {"uri": URI, "languageId": "plaintext", "version": 1, "text": "slow teh"}
    ready.notify("textDocument/didOpen", {"textDocument": item})
    ready.notify("textDocument/didClose", {"textDocument": DOCUMENT})
    assert ready.published() == {"uri": URI, "diagnostics": []}
    with pytest.raises(AssertionError, match="no such message"):
        ready.published(patience=1.0)


def test_a_document_opened_again_hears_nothing_of_its_former_text(ready: Raw):
    item = {"uri": URI, "languageId": "plaintext", "version": 7, "text": "slow teh teh"}
    ready.notify("textDocument/didOpen", {"textDocument": item})
    ready.notify("textDocument/didClose", {"textDocument": DOCUMENT})
    assert ready.published()["diagnostics"] == []
    ready.notify("textDocument/didOpen", {"textDocument": {**item, "version": 1, "text": "teh"}})
    params = ready.published()
    assert (params["version"], len(params["diagnostics"])) == (1, 1)


def test_a_burst_is_taken_together_and_the_last_version_comes(ready: Raw):
    ready.open("slow ")
    for column in range(60):
        ready.change(edit(0, 5 + column, 5 + column, "x"))
    version = ready.change(edit(0, 65, 65, " teh"))
    versions = []
    while not versions or versions[-1] != version:
        versions.append(ready.published()["version"])
    assert versions == sorted(set(versions))
    assert len(versions) < 10


def test_a_long_burst_still_gives_findings_on_the_way(ready: Raw):
    ready.open("slow ")
    for column in range(30):
        ready.change(edit(0, 5 + column, 5 + column, "x"))
        time.sleep(0.04)
    versions = []
    while not versions or versions[-1] != 31:
        versions.append(ready.published()["version"])
    assert len(versions) >= 3


def test_a_proof_that_fails_is_said_and_the_next_one_works(ready: Raw):
    found = ready.open("crash teh")
    assert [d["message"].startswith("This text could not be proofed") for d in found] == [True]
    assert "code" not in found[0]
    version = ready.change({"text": "teh"})
    assert [d["code"] for d in ready.diagnostics(version)] == ["word-mixed"]
    assert "a planted failure" in ready.log


def test_a_text_beyond_all_measure_is_said_and_not_proofed(ready: Raw):
    found = ready.open("teh " * 2_000_001)
    assert [d["message"] for d in found] == ["This text is not proofed: it has more than 8,000,000 characters."]
    assert [d["code"] for d in ready.diagnostics(ready.change({"text": "teh"}))] == ["word-mixed"]


def test_a_change_to_a_document_that_is_not_open_is_passed_over(ready: Raw):
    ready.notify(
        "textDocument/didChange",
        {"textDocument": {"uri": "untitled:other", "version": 2}, "contentChanges": [{"text": "teh"}]},
    )
    for method in ("hover", "documentSymbol", "foldingRange", "codeLens"):
        params = {"textDocument": {"uri": "untitled:other"}, "position": at(0, 0)}
        assert ready.request(f"textDocument/{method}", params) is None
    assert len(ready.open("teh")) == 1


# Requests, order and errors


def test_a_request_waiting_for_a_proof_can_be_cancelled(ready: Raw):
    ready.open("teh\n")
    ready.change(edit(0, 3, 3, " slow"))
    hover = ready.start("textDocument/hover", {"textDocument": DOCUMENT, "position": at(0, 0)})
    ready.notify("$/cancelRequest", {"id": hover})
    first = ready.next(lambda m: m.get("id") == hover or m.get("params", {}).get("version") == 2)
    assert first["error"]["code"] == -32800, "the answer does not wait for the proof"
    assert len(ready.diagnostics(2)) == 1


def test_a_long_proof_holds_up_nothing_else(ready: Raw):
    ready.open("teh\n")
    ready.change(edit(0, 3, 3, " slow"))
    asked = {"textDocument": DOCUMENT, "position": at(0, 0)}
    waiting = [ready.start("textDocument/hover", asked) for _ in range(20)]
    symbols = ready.start("workspace/symbol", {"query": ""})
    first = ready.next(lambda m: m.get("id") == symbols or m.get("params", {}).get("version") == 2)
    assert first["result"] == [], "twenty that wait for the proof keep nobody else waiting"
    assert all("error" not in ready.answer(each) for each in waiting)


def test_work_that_is_cancelled_stops_before_its_next_proof(ready: Raw):
    ready.open("slow teh teh teh teh teh teh\n")  # six corrections to try, half a second each
    asked = {"start": at(0, 0), "end": at(0, 28)}
    actions = ready.start("textDocument/codeAction", {"textDocument": DOCUMENT, "range": asked, "context": {"diagnostics": []}})
    time.sleep(0.1)
    ready.notify("$/cancelRequest", {"id": actions})
    assert ready.answer(actions)["error"]["code"] == -32800
    began = time.monotonic()
    assert ready.diagnostics(ready.change({"text": "teh"}))
    assert time.monotonic() - began < 2


def test_a_request_is_answered_about_the_text_it_was_asked_of(ready: Raw):
    ready.open("slow\n")
    ready.change(edit(1, 0, 0, "Row 1: makes 4"))
    hover = ready.request("textDocument/hover", {"textDocument": DOCUMENT, "position": at(1, 2)})
    assert "makes 4" in hover["contents"]["value"]


def test_requests_before_initialize_are_refused(raw: Raw):
    assert raw.refused("textDocument/hover", {"textDocument": DOCUMENT, "position": at(0, 0)})["code"] == -32002
    assert raw.refused("shutdown")["code"] == -32002
    raw.notify("textDocument/didOpen", {"textDocument": {**DOCUMENT, "languageId": "", "version": 1, "text": "teh"}})
    assert raw.initialize("utf-7")["positionEncoding"] == "utf-16", "what an unknown encoding falls back to"
    assert raw.refused("initialize", {"processId": None, "rootUri": None, "capabilities": {}})["code"] == -32600


def test_requests_after_shutdown_are_refused_and_exit_ends_with_0(raw: Raw):
    ready = begun(raw)
    ready.request("shutdown")
    assert ready.refused("textDocument/hover", {"textDocument": DOCUMENT, "position": at(0, 0)})["code"] == -32600
    ready.notify("exit")
    assert ready.process.wait(PATIENCE) == 0


def test_malformed_parameters_are_answered(ready: Raw):
    for params in ({"textDocument": 5}, {"textDocument": DOCUMENT, "position": {"line": "one"}}, None, [1]):
        error = ready.refused("textDocument/hover", params)
        assert error["code"] == -32602
        assert "data" not in error
    assert len(ready.open("teh")) == 1


def test_an_unknown_method_is_answered(ready: Raw):
    assert ready.refused("tenterhook/unheardOf", {})["code"] == -32601
    ready.send({"jsonrpc": "2.0", "id": 77, "method": "tenterhook/unheardOf"})
    assert ready.answer(77)["error"]["code"] == -32601
    ready.notify("$/unheardOf", {})
    assert len(ready.open("teh")) == 1


@pytest.mark.parametrize("body", [b"{", b"\xff\xfe\xfa", b"[" * 100_000, b"nonsense"])
def test_malformed_json_is_answered_and_survived(ready: Raw, body: bytes):
    ready.send_bytes(body)
    assert ready.answer(None)["error"]["code"] == -32700
    assert len(ready.open("teh")) == 1


@pytest.mark.parametrize("message", [{}, [], {"id": 9, "method": "shutdown"}, 5, None])
def test_what_is_not_json_rpc_is_refused_and_survived(ready: Raw, message: object):
    ready.send(message)
    identifier = message.get("id") if isinstance(message, dict) else None
    assert ready.answer(identifier)["error"]["code"] == -32600
    assert len(ready.open("teh")) == 1


def test_header_names_are_taken_in_any_case(ready: Raw):
    body = json.dumps({"jsonrpc": "2.0", "id": 500, "method": "workspace/symbol", "params": {"query": ""}}).encode()
    assert ready.process.stdin
    for header in (b"content-length:%d\r\n\r\n", b"Content-Type: x\r\nCONTENT-LENGTH:  %d\r\n\r\n"):
        ready.process.stdin.write(header % len(body) + body)
        ready.process.stdin.flush()
        assert ready.answer(500)["result"] == []


def test_a_change_that_cannot_be_understood_leaves_the_text_alone(ready: Raw):
    ready.open("teh")
    ready.notify("textDocument/didChange", {"textDocument": DOCUMENT, "contentChanges": "all of it"})
    hover = ready.request("textDocument/hover", {"textDocument": DOCUMENT, "position": at(0, 1)})
    assert hover is None
    assert [d["code"] for d in ready.diagnostics(ready.change(edit(0, 0, 0, "x ")))] == ["word-mixed"]


def test_an_error_tells_nothing_of_the_machine_it_runs_on(ready: Raw):
    ready.open("teh")
    error = ready.refused("textDocument/rename", {"textDocument": DOCUMENT, "position": at(0, 0), "newName": "x"})
    assert "data" not in error
    assert "/" not in error["message"]


# The end


def test_an_input_that_breaks_off_inside_a_message_ends_the_server(raw: Raw):
    ready = begun(raw)
    assert ready.process.stdin
    ready.process.stdin.write(b'Content-Length: 500\r\n\r\n{"jsonrpc"')
    ready.process.stdin.close()
    assert ready.process.wait(PATIENCE) == 1


def test_an_output_that_nobody_reads_any_more_ends_the_server():
    command = [sys.executable, str(HERE / "fake_server.py")]
    process = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL)
    assert process.stdin and process.stdout
    opening = json.dumps({"jsonrpc": "2.0", "id": 1, "method": "initialize", "params": OPENING}).encode()
    process.stdin.write(b"Content-Length: %d\r\n\r\n" % len(opening) + opening)
    process.stdin.flush()
    assert process.stdout.readline().startswith(b"Content-Length")
    process.stdout.close()
    with contextlib.suppress(OSError):
        process.stdin.write(b"Content-Length: 1\r\n\r\n{" * 20)
        process.stdin.close()
    assert process.wait(PATIENCE) is not None


def test_exit_without_shutdown_ends_with_1(raw: Raw):
    ready = begun(raw)
    ready.notify("exit")
    assert ready.process.wait(PATIENCE) == 1


def test_exit_before_initialize_ends_with_1(raw: Raw):
    raw.notify("exit")
    assert raw.process.wait(PATIENCE) == 1


def test_a_closed_input_ends_the_server(raw: Raw):
    ready = begun(raw)
    assert ready.process.stdin
    ready.process.stdin.close()
    assert ready.process.wait(PATIENCE) == 1


def test_the_end_does_not_wait_for_a_proof_under_way(raw: Raw):
    ready = begun(raw)
    item = {"uri": URI, "languageId": "plaintext", "version": 1, "text": "stuck"}
    ready.notify("textDocument/didOpen", {"textDocument": item})
    time.sleep(0.2)
    began = time.monotonic()
    assert ready.close_down() == 0
    assert time.monotonic() - began < 3


@pytest.mark.skipif(sys.platform == "win32", reason="processes end otherwise there")
@pytest.mark.parametrize("by_option", [False, True])
def test_the_server_ends_with_its_editor(by_option: bool):
    editor = subprocess.Popen([sys.executable, "-c", "import time; time.sleep(60)"])
    with Raw(*(["--clientProcessId", str(editor.pid)] if by_option else [])) as raw:
        raw.request("initialize", {"processId": None if by_option else editor.pid, "rootUri": None, "capabilities": {}})
        assert raw.process.poll() is None
        editor.send_signal(signal.SIGKILL)
        editor.wait()
        assert raw.process.wait(PATIENCE) == 1


def test_what_a_rule_prints_does_not_get_between_the_messages(tmp_path: Path):
    script = tmp_path / "chatty.py"
    script.write_text(
        f"import sys\nsys.path.insert(0, {str(HERE)!r})\nfrom fake_proof import fake\n"
        "from tenterhook.server.main import main\n"
        "def chatty(text, memory):\n    print('Hello!')\n    return fake(text)\n"
        "sys.exit(main([], prove=chatty))\n",
        encoding="utf-8",
    )
    with Raw(script=script) as raw:
        raw.initialize()
        assert len(raw.open("teh")) == 1
        assert raw.close_down() == 0
        assert "Hello!" in raw.log


@pytest.mark.parametrize("options", [["--tcp", "localhost", "many"], ["--port"], ["--tcp", "localhost"]])
def test_bad_usage_ends_with_2(options: list[str]):
    from tenterhook.server.main import main

    assert main(options) == 2


def test_a_web_socket_without_its_package_is_said(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]):
    from tenterhook.server import main

    monkeypatch.setattr(main, "find_spec", lambda name: None)
    assert main.main(["--ws", "localhost", "8900"]) == 2
    assert "websockets" in capsys.readouterr().err


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


@pytest.mark.skipif(find_spec("websockets") is None, reason="the package websockets is not installed")
def test_the_server_listens_for_a_web_socket():
    from websockets.sync.client import connect

    port = free_port()
    with Raw("--ws", "127.0.0.1", str(port)) as raw:
        deadline = time.monotonic() + 10
        while True:
            try:
                connection = connect(f"ws://127.0.0.1:{port}", open_timeout=5)
                break
            except OSError:
                assert time.monotonic() < deadline, raw.log
                time.sleep(0.05)
        with connection:
            connection.send(json.dumps({"jsonrpc": "2.0", "id": 1, "method": "initialize", "params": OPENING}))
            assert "positionEncoding" in json.loads(connection.recv(timeout=10))["result"]["capabilities"]
            connection.send(json.dumps({"jsonrpc": "2.0", "id": 2, "method": "shutdown"}))
            assert json.loads(connection.recv(timeout=10))["result"] is None
            connection.send(json.dumps({"jsonrpc": "2.0", "method": "exit"}))
        assert raw.process.wait(PATIENCE) == 0


def test_the_server_listens_on_a_port():
    port = free_port()
    with Raw("--tcp", "127.0.0.1", str(port)) as raw:
        deadline = time.monotonic() + 10
        while True:
            try:
                connection = socket.create_connection(("127.0.0.1", port), timeout=5)
                break
            except OSError:
                assert time.monotonic() < deadline, raw.log
                time.sleep(0.05)
        with connection, connection.makefile("rwb") as stream:
            for message in (
                {"id": 1, "method": "initialize", "params": OPENING},
                {"id": 2, "method": "shutdown", "params": None},
                {"method": "exit", "params": None},
            ):
                body = json.dumps({"jsonrpc": "2.0", **message}).encode()
                stream.write(b"Content-Length: %d\r\n\r\n" % len(body) + body)
                stream.flush()
            assert b'"positionEncoding"' in stream.read()
        assert raw.process.wait(PATIENCE) == 0
