"""JSON-RPC as the protocol's specification has it, where the library answers otherwise or not at all."""

from __future__ import annotations

import logging
from typing import Any

from lsprotocol import types as t
from pygls.exceptions import JsonRpcException, JsonRpcInternalError
from pygls.protocol import LanguageServerProtocol

_log = logging.getLogger(__name__)

PARSE_ERROR = int(t.ErrorCodes.ParseError)
INVALID_REQUEST = int(t.ErrorCodes.InvalidRequest)
METHOD_NOT_FOUND = int(t.ErrorCodes.MethodNotFound)
INVALID_PARAMS = int(t.ErrorCodes.InvalidParams)
NOT_INITIALIZED = int(t.ErrorCodes.ServerNotInitialized)


class Protocol(LanguageServerProtocol):
    """Every request is answered, with the code the specification names, and no answer carries a traceback."""

    @property
    def ended_well(self) -> bool:
        """Whether the client asked for a shutdown."""
        return self._shutdown

    def handle_message(self, message: Any) -> None:
        if isinstance(message, (dict, list)) or not hasattr(message, "jsonrpc"):
            identifier = message.get("id") if isinstance(message, dict) else None
            return self.refuse(identifier, INVALID_REQUEST, "not a JSON-RPC 2.0 message")
        method, identifier = getattr(message, "method", None), getattr(message, "id", None)
        if method and method not in (t.INITIALIZE, t.EXIT) and self._workspace is None:
            if identifier is not None:
                self.refuse(identifier, NOT_INITIALIZED, "the session has not been opened with initialize yet")
            return None
        if method and identifier is not None and self._shutdown:
            return self.refuse(identifier, INVALID_REQUEST, "the session has already been shut down")
        if method == t.INITIALIZE and identifier is not None and self._workspace is not None:
            return self.refuse(identifier, INVALID_REQUEST, "the session has already been opened")
        return super().handle_message(message)

    def structure_message(self, data: dict[str, Any]) -> Any:
        try:
            return super().structure_message(data)
        except JsonRpcException:
            if "id" in data and "method" in data:
                method = data["method"]
                if method in self.fm.builtin_features or method in self.fm.features:
                    self.refuse(data["id"], INVALID_PARAMS, f"the parameters of {method} were not understood")
                else:
                    self.refuse(data["id"], METHOD_NOT_FOUND, f"{method} is not offered")
            raise

    def refuse(self, identifier: Any, code: int, message: str) -> None:
        """Answer with an error; ``identifier`` is None where the request could not even be read."""
        self._send_response(identifier, error=t.ResponseError(code, message))

    def _send_response(self, msg_id: Any, result: Any | None = None, error: t.ResponseError | None = None) -> None:
        if error is not None:
            # Tracebacks and paths belong in the log on this machine, not in an answer.
            if error.code == JsonRpcInternalError.CODE:
                error.message = "this request could not be answered; the server's log says why"
            error.data = None
        super()._send_response(msg_id, result, error)
