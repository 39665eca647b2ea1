"""Let a finding stand: it is put down beside the manuscript and not told again."""

from __future__ import annotations

import os
from collections.abc import Iterator

from lsprotocol import types as t

from ..ask import Ask
from ..features.let_stand import COMMAND, REASON

KIND = ""  # no fix: the words stay as they are
PLACE = 85


def actions(ask: Ask) -> Iterator[t.CodeAction]:
    if not os.path.isabs(ask.proof.text.name):
        return  # without a file there is nothing to put it down beside
    for index in sorted(ask.on.standing(ask.span)):
        handle = ask.proof.handles[index]
        title = f"Let it stand: {handle}"
        yield t.CodeAction(
            title=title,
            diagnostics=[ask.on.diagnostics[index]],
            command=t.Command(title, COMMAND, arguments=[ask.on.uri, handle, REASON]),
        )
