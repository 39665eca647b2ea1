"""Progress, told to clients that show it: "12 of 40 manuscripts"."""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING
from uuid import uuid4

from lsprotocol import types as t

if TYPE_CHECKING:
    from .language_server import Server

_log = logging.getLogger(__name__)


PATIENCE = 5.0  # seconds for a client to agree to show progress

Tell = Callable[[int, int], None]


async def token_for(server: Server) -> t.ProgressToken | None:
    """A token for progress the server begins by itself; None where the client shows none."""
    window = server.client_capabilities.window
    if not (window and window.work_done_progress):
        return None
    token = str(uuid4())
    try:
        await asyncio.wait_for(server.work_done_progress.create_async(token), PATIENCE)
    except Exception:
        _log.warning("the client shows no progress after all", exc_info=True)
        return None
    return token


@contextmanager
def progress(server: Server, title: str, token: t.ProgressToken | None) -> Iterator[Tell]:
    """Tell how far a long task has come; gives what to call with how many are done, of how many. Silent without token."""
    if token is None:
        yield lambda done, among: None
        return
    server.work_done_progress.begin(token, t.WorkDoneProgressBegin(title=title, percentage=0))

    def tell(done: int, among: int) -> None:
        words = f"{done} of {among} manuscripts"
        server.work_done_progress.report(
            token, t.WorkDoneProgressReport(message=words, percentage=done * 100 // max(among, 1))
        )

    try:
        yield tell
    finally:
        server.work_done_progress.end(token, t.WorkDoneProgressEnd(message="done"))
