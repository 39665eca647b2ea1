"""Work on files that others made, done in a child process whose memory and time are limited.

A library that reads a word-processor file or a PDF may be led to take all the memory there is, to go round for ever or
to crash. In a child it costs that file alone. The child is a fresh Python that does one task on bytes it is handed; what
comes back is JSON and bytes, so nothing that a file could have made of the child is run here.

Memory is limited where the system can (``RLIMIT_AS``); where it cannot, the checks that readers make before they unpack
anything, and the time limit, are what holds.
"""

from __future__ import annotations

import faulthandler
import json
import os
import sys
from collections.abc import Mapping
from contextlib import suppress
from importlib import import_module
from typing import Any

MEMORY = 512 * 2**20
"""Bytes of address space a child may take."""

SECONDS = 3
"""Seconds of work a child may spend before it has shown anything for it; ``allow`` gives more."""

MOST_SECONDS = 30
"""Seconds of work a child may spend in all."""

PATIENCE = 3
"""How many times as long as its work a child may take by the clock, on a machine that has other work to do."""

_HEADER = 8  # bytes that say how long the JSON part of a message is

_budget = 0.0  # seconds of work that this process may spend; 0 where it is no child


class Refused(Exception):
    """A task that could not be done, and the reason in words a person can act on."""

    def __init__(self, reason: str) -> None:
        super().__init__(reason)
        self.reason = reason


def confined(task: str, data: bytes, extra: str = "", arguments: Mapping[str, Any] | None = None) -> tuple[dict[str, Any], bytes]:
    """Do a task on ``data`` in a child process and return what it gave. Raises Refused and nothing else.

    ``task`` names a function of this package as ``module:function``; it takes the bytes and the arguments and gives
    something that JSON can hold, and bytes. ``extra`` is the extra of the package that installs what the task imports.
    """
    import subprocess  # not at the top: plain text has no use for it, and it takes its time to import

    try:
        run = subprocess.run(
            [sys.executable, "-P", "-m", __name__, task],
            input=_packed(dict(arguments or {}), data),
            capture_output=True,
            timeout=MOST_SECONDS * PATIENCE,
            check=False,
            creationflags=subprocess.CREATE_NO_WINDOW if sys.platform == "win32" else 0,
        )
    except subprocess.TimeoutExpired:
        raise Refused(_too_long()) from None
    except OSError as error:
        raise Refused(f"this kind of file is read in a process of its own, which could not be started ({error.strerror})") from None
    if run.returncode != 0:
        raise Refused(_how_it_ended(run.returncode, run.stderr))
    answer, rest = _unpacked(run.stdout)
    if "missing" in answer:
        raise Refused(_missing(answer["missing"], extra))
    if "refused" in answer:
        raise Refused(answer["refused"])
    return answer, rest


def allow(seconds: float) -> None:
    """Give the child more time, for what it has got done: a long manuscript takes longer than a short one."""
    global _budget
    if _budget:
        _budget = min(_budget + seconds, MOST_SECONDS)
        _limit_time()


def main() -> None:
    """The child: one task from standard input to standard output."""
    global _budget
    _budget = SECONDS
    _limit_memory()
    _limit_time()
    arguments, data = _unpacked(sys.stdin.buffer.read())
    with open(os.dup(sys.stdout.fileno()), "wb") as out:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())  # what a library prints is no part of the answer
        out.write(_answer(sys.argv[1], data, arguments))
        out.flush()
    os._exit(0)  # at once: some libraries take long over putting away a damaged file


def _answer(task: str, data: bytes, arguments: dict[str, Any]) -> bytes:
    module, _, function = task.partition(":")
    try:
        return _packed(*getattr(import_module(f".{module}", __package__), function)(data, arguments))
    except Refused as refused:
        reason = refused.reason
    except ModuleNotFoundError as missing:
        return _packed({"missing": missing.name or ""}, b"")
    except MemoryError:
        reason = _too_large()
    except RecursionError:
        reason = "this file is nested too deep to be read; is it damaged?"
    except Exception as error:
        reason = f"this file is damaged or not what its name says ({type(error).__name__})"
    return _packed({"refused": reason}, b"")


def _missing(module: str, extra: str) -> str:
    if not extra or module.startswith("tenterhook"):
        return f"a part of the program is missing ({module}); install it again"
    return f"reading it needs the extra “{extra}”, which is not installed: python -m pip install 'tenterhook[{extra}]'"


def _limit_memory() -> None:
    with suppress(ImportError, OSError, ValueError):
        import resource

        _, most = resource.getrlimit(resource.RLIMIT_AS)
        wanted = MEMORY if most == resource.RLIM_INFINITY else min(MEMORY, most)
        resource.setrlimit(resource.RLIMIT_AS, (wanted, most))


def _limit_time() -> None:
    """By the processor's time where the system counts it, and by the clock in any case: no library can hold that up."""
    patience = 1
    with suppress(ImportError, OSError, ValueError):
        import resource

        _, most = resource.getrlimit(resource.RLIMIT_CPU)
        resource.setrlimit(resource.RLIMIT_CPU, (int(_budget + 0.5), most))
        patience = PATIENCE
    faulthandler.dump_traceback_later(_budget * patience, exit=True)


def _how_it_ended(status: int, complaint: bytes) -> str:
    """Why a child gave no answer. The system says so by a signal, the clock by a note it leaves."""
    signal = -status
    if b"Timeout (" in complaint or signal in (9, 14, 24):  # SIGKILL, SIGALRM, SIGXCPU
        return _too_long()
    if b"MemoryError" in complaint:
        return _too_large()
    return "this file brought the library that reads it to a stop; is it damaged?"


def _too_long() -> str:
    return "reading this file took too long, so it was given up; is it damaged, or very large?"


def _too_large() -> str:
    return f"reading this file took more than {MEMORY // 2**20} MB of memory, so it was given up"


def _packed(header: Mapping[str, Any], data: bytes) -> bytes:
    words = json.dumps(header).encode("ascii")
    return len(words).to_bytes(_HEADER, "big") + words + data


def _unpacked(message: bytes) -> tuple[dict[str, Any], bytes]:
    end = _HEADER + int.from_bytes(message[:_HEADER], "big")
    return json.loads(message[_HEADER:end]), message[end:]


if __name__ == "__main__":
    # Tasks import this module by its name: what they raise and allow must be that module's, not this copy's.
    import_module(f"{__package__}.confined").main()
