"""Message headers as the specification of the protocol has them: names in any case, spaces as one likes."""

from __future__ import annotations

from typing import BinaryIO, cast


class Headers:
    """An input whose header lines are put the one way the library reads them; what follows them is left alone."""

    def __init__(self, stream: BinaryIO) -> None:
        self._stream = stream

    def readline(self) -> bytes:
        line = self._stream.readline()
        name, colon, value = line.partition(b":")
        if colon and name.strip().lower() == b"content-length":
            return b"Content-Length: " + value.strip() + b"\r\n"
        return b"\r\n" if line == b"\n" else line

    def read(self, size: int) -> bytes:
        return self._stream.read(size)


def tolerant(stream: BinaryIO) -> BinaryIO:
    """A stream of messages that takes headers in any case."""
    return cast("BinaryIO", Headers(stream))
