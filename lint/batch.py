"""Many manuscripts: each is read and worked by itself, and one that fails does not stop the others."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from pathlib import PurePath
from typing import TypeVar

from .manuscript.read import Manuscript, Unreadable, read_manuscript

Result = TypeVar("Result")


def each(paths: Iterable[str | Unreadable], work: Callable[[Manuscript], Result]) -> Iterator[Result | Unreadable]:
    """``work`` done on every manuscript, in order. What cannot be read, or makes ``work`` raise, comes as Unreadable."""
    for path in paths:
        yield path if isinstance(path, Unreadable) else _one(path, work)


def _one(path: str, work: Callable[[Manuscript], Result]) -> Result | Unreadable:
    try:
        return work(read_manuscript(path))
    except Unreadable as unreadable:
        return unreadable
    except Exception as error:
        return Unreadable(path, _own_fault(error))


def _own_fault(error: Exception) -> str:
    """Says that the fault is not the author's, and where to look for it; nothing of the manuscript is repeated."""
    place = ""
    trace = error.__traceback__
    while trace is not None and trace.tb_next is not None:
        trace = trace.tb_next
    if trace is not None:
        code = trace.tb_frame.f_code
        place = f" in {'/'.join(PurePath(code.co_filename).parts[-2:])}, line {trace.tb_lineno}"
    return (
        f"Tenterhook failed on this manuscript ({type(error).__name__}{place}); "
        "the fault is the program's, so please report it"
    )
