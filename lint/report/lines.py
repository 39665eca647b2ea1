"""One finding a line, in the GNU form that editors and build logs read: path:line:column: severity: message [rule]."""

from __future__ import annotations

from collections.abc import Iterator

from ..finding import Finding
from ..proof import Proof
from ..words import count_of, one_line


def report(path: str, proof: Proof) -> str:
    """Every finding of a manuscript, in order, those that follow from another included. Columns in code points.

    Of a document, whose lines nobody sees, the page or paragraph is named as well.
    What an editor let stand is counted and named on one line at the end, and so are entries whose finding is gone.
    """
    return "".join(f"{one_line(path)}{line}\n" for line in _lines(proof))


def _lines(proof: Proof) -> Iterator[str]:
    for finding in proof.findings:
        if not finding.stands:
            place = proof.text.place(finding.span.start)
            where = f" ({proof.text.where(finding.span.start)})" if proof.text.origins else ""
            yield f":{place.line}:{place.column}: {finding.severity.value}: {one_line(finding.message)}{where}{_asked(finding)} [{finding.rule}]"
    stand = [
        f"{handle} ({proof.text.where(finding.span.start)})"
        for finding, handle in zip(proof.findings, proof.handles, strict=True)
        if finding.stands
    ]
    if stand:
        yield f": {len(stand)} stand{'s' if len(stand) == 1 else ''}: {', '.join(stand)}"
    if proof.spent:
        yield f": {count_of(len(proof.spent), 'stet is', 'stets are')} spent: {', '.join(map(str, proof.spent))}"


def _asked(finding: Finding) -> str:
    return f" ({finding.asked.name}, {finding.asked.state})" if finding.asked else ""
