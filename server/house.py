"""Proofing as the house of a manuscript wants it: its style, and what an editor has put down beside the manuscript."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ..lint.beside.desk import Desk
    from ..lint.fabric.memory import Memory
    from ..lint.proof import Proof
    from ..lint.text import Text


class House:
    """Keeps the styles it has read until it is told to look again."""

    def __init__(self) -> None:
        self._desk: Desk | None = None

    def look_again(self) -> None:
        """A house style may have changed: the next proof reads it anew."""
        self._desk = None

    def proof(self, text: Text, memory: Memory | None = None) -> Proof:
        """The proof of a text; one without a file of its own belongs to no house.

        Corrections are tried when they are asked for: that costs a proof for each, too much for every keystroke.
        Raises Unreadable where a house style or a side file is at fault.
        """
        # Loaded at the first proof, off the event loop: the client has its answer to initialize meanwhile.
        from ..lint.beside.desk import Desk
        from ..lint.proof import proof

        if not os.path.isabs(text.name):
            return proof(text, corrections=False, memory=memory)
        desk = self._desk = self._desk or Desk()
        style, margin = desk.style_for(text.name), desk.margin_for(text.name)
        return proof(text, style, corrections=False, memory=memory, margin=margin)
