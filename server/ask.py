"""What a code action is asked for: a stretch of a proofed text, the findings there, and the means to try a change."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from lsprotocol import types as t

from ..lint.finding import Correction, Finding
from ..lint.text import Span, Text
from .analysis import Again, Proofed

if TYPE_CHECKING:
    from ..lint.proof import Proof


@dataclass(frozen=True)
class Ask:
    """One request. ``findings`` are those of the proof in its order; the ones that stand in ``span`` have the
    corrections that hold, tried already. ``again`` proofs a text. ``named``: the client asked for a kind by name.
    """

    on: Proofed
    proof: Proof
    findings: Sequence[Finding]
    span: Span
    again: Again
    versioned: bool
    resolves: bool
    named: bool

    @property
    def here(self) -> Iterator[tuple[Finding, t.Diagnostic]]:
        """The findings asked about, each as the client knows it."""
        for index in sorted(self.on.standing(self.span)):
            yield self.findings[index], self.on.diagnostics[index]

    def edit(self, correction: Correction) -> t.WorkspaceEdit:
        return self.on.edit(correction.edits, self.versioned)

    def corrected(self, correction: Correction) -> Proof:
        """The proof of the text with a change in it."""
        return self.again(Text(correction.apply(self.proof.text.source), self.proof.text.name))


def wanted(kind: str, only: Sequence[t.CodeActionKind | str] | None) -> bool:
    """Whether a client that asks for some kinds asks for this one: "source" takes in "source.fixAll"."""
    if only is None:
        return True
    names = [each.value if isinstance(each, t.CodeActionKind) else each for each in only]
    return any(name == "" or kind == name or kind.startswith(f"{name}.") for name in names)
