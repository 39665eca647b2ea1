"""A client of a few lines that speaks JSON-RPC over pipes and leans on no client library."""

from __future__ import annotations

import contextlib
import json
import subprocess
import sys
import time
from pathlib import Path
from queue import Empty, Queue
from threading import Thread
from typing import Any

HERE = Path(__file__).parent
URI = "untitled:cowl.txt"
PATIENCE = 15.0  # seconds; far more than any answer takes


def launch(script: Path, *options: str) -> subprocess.Popen[bytes]:
    command = [sys.executable, str(script), *options]
    return subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE)


def put_down(process: subprocess.Popen[bytes]) -> None:
    process.kill()
    process.wait()
    for stream in (process.stdin, process.stdout, process.stderr):
        if stream:
            with contextlib.suppress(OSError):
                stream.close()


class Spares:
    """Servers started ahead, one of a script: most of a start is loading, which another core does meanwhile."""

    def __init__(self) -> None:
        self._waiting: dict[Path, subprocess.Popen[bytes]] = {}

    def take(self, script: Path) -> subprocess.Popen[bytes]:
        taken = self._waiting.pop(script, None) or launch(script)
        self._waiting[script] = launch(script)
        return taken

    def end(self) -> None:
        while self._waiting:
            put_down(self._waiting.popitem()[1])


SPARES = Spares()


class Raw:
    def __init__(self, *options: str, rest: float = 1.0, script: Path = HERE / "fake_server.py") -> None:
        self.rest = rest
        self.process = launch(script, *options) if options or script.parent != HERE else SPARES.take(script)
        self._messages: Queue[dict[str, Any] | None] = Queue()
        self._log: list[bytes] = []
        self._pending: list[dict[str, Any]] = []
        self._identifier = 0
        self.version = 0
        self.agreed: dict[str, Any] = {}
        self.opened: set[str] = set()
        Thread(target=self._read, daemon=True).start()
        Thread(target=self._read_log, daemon=True).start()

    def _read(self) -> None:
        out = self.process.stdout
        assert out
        while header := out.readline():
            length = 0
            while header.strip():
                name, _, value = header.partition(b":")
                if name.lower() == b"content-length":
                    length = int(value)
                header = out.readline()
            self._messages.put(json.loads(out.read(length)))
        self._messages.put(None)

    def _read_log(self) -> None:
        assert self.process.stderr
        for line in self.process.stderr:
            self._log.append(line)

    @property
    def log(self) -> str:
        return b"".join(self._log).decode()

    def send_bytes(self, body: bytes) -> None:
        assert self.process.stdin
        self.process.stdin.write(b"Content-Length: %d\r\n\r\n" % len(body) + body)
        self.process.stdin.flush()

    def send(self, message: Any) -> None:
        self.send_bytes(json.dumps(message, ensure_ascii=False).encode("utf-8", "surrogatepass"))

    def notify(self, method: str, params: Any = None) -> None:
        self.send({"jsonrpc": "2.0", "method": method, "params": params})

    def start(self, method: str, params: Any = None) -> int:
        """Send a request without waiting for its answer."""
        self._identifier += 1
        self.send({"jsonrpc": "2.0", "id": self._identifier, "method": method, "params": params})
        return self._identifier

    def next(self, wanted, patience: float = PATIENCE) -> dict[str, Any]:
        """The first message, from the oldest not yet taken, that ``wanted`` says yes to."""
        for index, message in enumerate(self._pending):
            if wanted(message):
                return self._pending.pop(index)
        deadline = time.monotonic() + patience
        while True:
            try:
                message = self._messages.get(timeout=max(0.0, deadline - time.monotonic()))
            except Empty:
                raise AssertionError(f"no such message came; log:\n{self.log}") from None
            if message is None:
                raise AssertionError(f"the server closed its output; log:\n{self.log}")
            if wanted(message):
                return message
            self._pending.append(message)

    def answer(self, identifier: int | None) -> dict[str, Any]:
        return self.next(lambda m: "method" not in m and m.get("id") == identifier)

    def request(self, method: str, params: Any = None) -> Any:
        answer = self.answer(self.start(method, params))
        assert "error" not in answer, f"{answer}; log:\n{self.log}"
        return answer["result"]

    def refused(self, method: str, params: Any = None) -> dict[str, Any]:
        return self.answer(self.start(method, params))["error"]

    def initialize(self, encoding: str | None = None, **more: Any) -> dict[str, Any]:
        capabilities = more.pop("capabilities", {})
        if encoding:
            capabilities = {**capabilities, "general": {"positionEncodings": [encoding]}}
        more["initializationOptions"] = {"rest": self.rest, **more.get("initializationOptions", {})}
        answer = self.request("initialize", {"processId": None, "rootUri": None, "capabilities": capabilities, **more})
        self.notify("initialized", {})
        self.agreed = answer["capabilities"]
        return self.agreed

    def open(self, text: str, uri: str = URI) -> list[dict[str, Any]]:
        self.version = 1
        self.opened.add(uri)
        item = {"uri": uri, "languageId": "plaintext", "version": 1, "text": text}
        self.notify("textDocument/didOpen", {"textDocument": item})
        return self.diagnostics(1, uri)

    def change(self, *changes: dict[str, Any], uri: str = URI) -> int:
        self.version += 1
        document = {"uri": uri, "version": self.version}
        self.notify("textDocument/didChange", {"textDocument": document, "contentChanges": list(changes)})
        return self.version

    def published(self, uri: str = URI, patience: float = PATIENCE) -> dict[str, Any]:
        return self.next(
            lambda m: m.get("method") == "textDocument/publishDiagnostics" and m["params"]["uri"] == uri, patience
        )["params"]

    def diagnostics(self, version: int | None, uri: str = URI) -> list[dict[str, Any]]:
        """What is published for a version; what came for older ones is passed over."""
        while True:
            params = self.published(uri)
            if params.get("version") == version:
                return params["diagnostics"]

    def begin_anew(self) -> None:
        """Forget what came so far."""
        self._pending.clear()
        while not self._messages.empty():
            self._messages.get()
        self._log.clear()

    def put_away(self) -> None:
        """Close what is open, if the server still listens."""
        if self.process.poll() is None and self.opened:
            for uri in self.opened:
                self.notify("textDocument/didClose", {"textDocument": {"uri": uri}})
            self.opened.clear()
            self.answer(self.start("workspace/symbol", {"query": ""}))

    def close_down(self) -> int:
        self.request("shutdown")
        self.notify("exit")
        return self.process.wait(PATIENCE)

    def __enter__(self) -> Raw:
        return self

    def __exit__(self, *_: object) -> None:
        put_down(self.process)


def at(line: int, character: int) -> dict[str, int]:
    return {"line": line, "character": character}


def edit(line: int, start: int, end: int, text: str) -> dict[str, Any]:
    return {"range": {"start": at(line, start), "end": at(line, end)}, "text": text}
