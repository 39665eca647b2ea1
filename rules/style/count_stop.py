"""Where the full stop stands at the end of a row with a stitch count: turn. (12 sc) or turn (12 sc)."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from ...lint.finding import Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.style import Choice
from ...lint.syntax.tree import Tree
from .habit import Use, closing_count, departures, in_trees, plainly, sample

STOP = Choice("count-stop", "where the full stop stands beside a stitch count", ("turn. (12 sc)", "turn (12 sc).", "turn (12 sc.)", "turn. (12 sc)."))


@lru_cache(maxsize=2048)
def _find(tree: Tree, words: str) -> tuple[Use, ...]:
    count = closing_count(tree, words)
    if count is None:
        return ()
    core = words[: count.at.start].rstrip()
    bracketed = words[count.at.start] in "([{<"
    if not bracketed or not core:
        return ()
    before, after = core.endswith("."), words[count.at.end :].strip() == "."
    inside = words[count.at.end - 2] == "."
    if inside and not before and not after:
        form = "turn (12 sc.)"
    elif before or after:
        form = f"turn{'.' if before else ''} (12 sc){'.' if after else ''}"
    else:
        return ()
    start = max(core.rfind(" "), core.rfind("\n")) + 1
    return (Use(form, start, len(words.rstrip())),)


def check(subject: Subject) -> Iterator[Finding]:
    for departure in departures(subject, STOP, in_trees(_find)):

        def change(printed: str, wanted: str = departure.wanted) -> str | None:
            word, gap, count = printed.partition(" ")
            word, count = word.removesuffix("."), count.removesuffix(".")
            if not gap or count[-2:-1] == "." or wanted == "turn (12 sc.)":
                return None
            return f"{word}{'.' if wanted.startswith('turn.') else ''} {count}{'.' if wanted.endswith('.') else ''}"

        yield plainly(subject, RULE.name, departure, change)


RULE = Rule(
    name="count-stop",
    severity=Severity.STYLE,
    title="A full stop on the other side of the stitch count",
    why="It is a small thing, and the kind that shows once it has been set in type forty times.",
    looks_like=sample("Row 8: Ch 1, sc in each sc across, turn (10 sc)."),
    better=sample("Row 8: Ch 1, sc in each sc across, turn. (10 sc)"),
    let_stand="When the count is part of the sentence.",
    check=check,
    settings=(STOP,),
)
