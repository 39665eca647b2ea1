"""What a report covers: what was checked, what was not read, and what needs eyes and hands."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from ..finding import Severity
from ..proof import Proof
from ..words import count_of, listed
from .unread import is_plain_unread, phrases_unread


@dataclass(frozen=True, slots=True)
class Summary:
    """What the end of a report says of one manuscript."""

    path: str
    severities: Counter[Severity]
    rows: dict[str, int]
    phrases_unread: int
    stand: int


def summary(path: str, proof: Proof) -> Summary:
    return Summary(path, severities(proof), proof.work.tally(), len(phrases_unread(proof)), len(proof.stand))


def severities(proof: Proof) -> Counter[Severity]:
    """Findings by severity, without those let stand and those that only point at words that were not read."""
    return Counter(f.severity for f in proof.findings if not f.stands and not is_plain_unread(f))


def scope(summaries: Sequence[Summary]) -> list[str]:
    """The statement of scope, sentence by sentence."""
    rows: Counter[str] = Counter()
    for entry in summaries:
        rows.update(entry.rows)
    phrases = sum(entry.phrases_unread for entry in summaries)
    worked = rows["proved"] + rows["differs"]
    stand = sum(entry.stand for entry in summaries)
    families = listed(_families())
    unworked = [
        f"{count_of(rows['assumed'], 'row')} taken on the designer's word" if rows["assumed"] else "",
        f"{count_of(rows['unread'], 'row')} not read" if rows["unread"] else "",
        f"{count_of(phrases, 'phrase')} not read" if phrases else "",
    ]
    said = [part for part in unworked if part]
    sentences = [
        f"Worked: {count_of(worked, 'row')} of {rows['total']}, stitch by stitch and in every size, on the row below."
        if worked
        else "Worked: no row.",
        f"Checked besides: {families}; `tenterhook explain` lists every check." if families else "",
        f"Not worked: {listed(said)}. Nothing is claimed about them." if said else "",
        f"Let stand by an editor, and not counted above: {count_of(stand, 'finding')}." if stand else "",
        "Needs eyes and hands: charts, photographs and drawings; fit, drape and finish; the yarn in the hand; and "
        "whether the numbers that come out are the ones the designer meant.",
    ]
    return [sentence for sentence in sentences if sentence]


def _families() -> list[str]:
    from ..rule_sets import installed_rules

    return list(dict.fromkeys(rule.family for rule in installed_rules()))
