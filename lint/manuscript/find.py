"""Paths a person gave → the manuscripts they stand for."""

from __future__ import annotations

import os
from collections.abc import Collection, Iterable, Iterator

from .read import DOCUMENT_SUFFIXES, TEXT_SUFFIXES, Unreadable

_NOT_MEANT = (".", "~$")  # hidden, or what Word keeps beside a file that is open


def manuscripts(paths: Iterable[str], suffixes: Collection[str] = TEXT_SUFFIXES | DOCUMENT_SUFFIXES) -> list[str | Unreadable]:
    """Every path in the order given, each once; a folder stands for the manuscripts below it, told by their
    suffixes and sorted.

    Hidden files and folders are left out, and links to folders are not followed. A folder that holds no manuscript or
    cannot be looked into comes back as Unreadable, in its place. Whether a file exists is for the reader to say.
    """
    found: dict[str, str | Unreadable] = {}
    for path in paths:
        if os.path.isdir(path):
            for entry in _below(path, suffixes):
                found.setdefault(entry if isinstance(entry, str) else entry.path, entry)
        else:
            found.setdefault(path, path)
    return list(found.values())


def _below(folder: str, suffixes: Collection[str]) -> Iterator[str | Unreadable]:
    closed: list[Unreadable] = []
    files: list[str] = []

    def refused(error: OSError) -> None:
        reason = (error.strerror or str(error)).lower()
        closed.append(Unreadable(str(error.filename), f"this folder could not be looked into ({reason})"))

    for place, folders, names in os.walk(folder, onerror=refused):
        folders[:] = [name for name in folders if not name.startswith(".")]
        files += (
            os.path.join(place, name)
            for name in names
            if not name.startswith(_NOT_MEANT) and os.path.splitext(name)[1].lower() in suffixes
        )
    yield from sorted(file for file in files if os.path.isfile(file))
    yield from closed
    if not files and not closed:
        yield Unreadable(folder, "no manuscripts: this folder holds no text, Markdown, Word, OpenDocument, PDF or HTML file")
