"""A post stitch around something that has no post."""

from __future__ import annotations

from collections.abc import Iterator

from ...lint.finding import Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.wording import met


def check(subject: Subject) -> Iterator[Finding]:
    for m in met(subject, "post-missing"):
        found = str(m.facts.get("found") or "something else")
        below = m.below.label if m.below is not None else "the foundation"
        yield m.finding(
            RULE.name, RULE.severity,
            f"{m.label} works a post stitch around {found} of {below}, and {found} has no post. "
            f"Is a plain stitch meant there, or another stitch to go around?{m.likewise}",
        )  # fmt: skip


RULE = Rule(
    name="post-missing",
    severity=Severity.QUERY,
    title="A post stitch has no post to go around",
    why="A post is the stem of a stitch. A chain or a chain space has none, so the hook has nothing to go around.",
    looks_like=(
        "Ch 13.\nRow 1 (RS): Sc in 2nd ch from hook and in each ch across, turn. (12 sc)\n"
        "Row 2: Ch 2 (not a st), dc in first 2 sts, (ch 1, sk next st, dc in next st) 5 times, turn. (7 dc, 5 ch-1 sps)\n"
        "Row 3: Ch 2 (not a st), dc in first dc, (FPdc around next ch-1 sp, dc in next dc) 5 times, dc in last dc, turn.\n"
    ),
    better=(
        "Ch 13.\nRow 1 (RS): Sc in 2nd ch from hook and in each ch across, turn. (12 sc)\n"
        "Row 2: Ch 2 (not a st), dc in first 2 sts, (ch 1, sk next st, dc in next st) 5 times, turn. (7 dc, 5 ch-1 sps)\n"
        "Row 3: Ch 2 (not a st), dc in first dc, (dc in next ch-1 sp, FPdc around next dc) 5 times, dc in last dc, turn.\n"
    ),
    let_stand="When the hook is to go around the whole chain on purpose.",
    check=check,
)
