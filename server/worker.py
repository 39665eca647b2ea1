"""A thread for work that takes a while, apart from the library's own pool, that never keeps the process alive."""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Callable
from concurrent.futures import Future
from queue import SimpleQueue
from typing import Any, TypeVar

T = TypeVar("T")


class Worker:
    """Runs jobs one after another. A daemon thread: a long job does not delay the end of the process."""

    def __init__(self, name: str) -> None:
        self._name = name
        self._jobs: SimpleQueue[tuple[Future[Any], Callable[[], Any]]] = SimpleQueue()
        self._thread: threading.Thread | None = None

    def run(self, job: Callable[[], T]) -> asyncio.Future[T]:
        """Start a job from the event loop; a job cancelled before its turn never runs."""
        if self._thread is None:
            self._thread = threading.Thread(target=self._work, name=self._name, daemon=True)
            self._thread.start()
        future: Future[T] = Future()
        self._jobs.put((future, job))
        return asyncio.wrap_future(future)

    def _work(self) -> None:
        while True:
            future, job = self._jobs.get()
            if not future.set_running_or_notify_cancel():
                continue
            try:
                result = job()
            except BaseException as error:
                future.set_exception(error)
            else:
                future.set_result(result)
