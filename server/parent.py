"""Following the editor's process, so that a server never outlives the editor that started it."""

from __future__ import annotations

import os
import sys
import threading
import time

INTERVAL = 1.0  # seconds between two looks


def alive(pid: int) -> bool:
    """Whether a process with this number is running. POSIX only: elsewhere the question itself would end it."""
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    except (PermissionError, OverflowError):
        return True
    return True


def _follow(pid: int) -> None:
    child = os.getppid() == pid
    while alive(pid) and not (child and os.getppid() != pid):
        time.sleep(INTERVAL)
    os._exit(1)


def _follow_on_windows(pid: int) -> None:
    import ctypes

    synchronize, infinite = 0x00100000, 0xFFFFFFFF
    kernel = ctypes.WinDLL("kernel32", use_last_error=True)  # type: ignore[attr-defined]
    kernel.OpenProcess.restype = ctypes.c_void_p
    handle = kernel.OpenProcess(synchronize, False, pid)
    if handle:
        kernel.WaitForSingleObject(ctypes.c_void_p(handle), infinite)
        os._exit(1)


def follow(pid: int) -> None:
    """End this process with code 1 within about a second of the end of process ``pid``."""
    if pid <= 0:
        return
    target = _follow_on_windows if sys.platform == "win32" else _follow
    threading.Thread(target=target, args=(pid,), name="follow-parent", daemon=True).start()
