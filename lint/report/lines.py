"""One finding a line, in the GNU form that editors and build logs read: path:line:column: severity: message [rule]."""

from __future__ import annotations

from ..proof import Proof
from ..words import one_line


def report(path: str, proof: Proof) -> str:
    """Every finding of a manuscript, in order, those that follow from another included. Columns in code points."""
    return "".join(
        f"{one_line(path)}:{place.line}:{place.column}: {finding.severity.value}: "
        f"{one_line(finding.message)} [{finding.rule}]\n"
        for finding in proof.findings
        for place in (proof.text.place(finding.span.start),)
    )
