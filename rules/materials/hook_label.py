"""A hook's letter or number against its millimetres."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ...lint import regex
from ...lint.finding import Correction, Edit, Finding, Severity
from ...lint.measures_hooks import HookSize, hook_sizes, lone_labels
from ...lint.rule import Rule, Subject
from ...lint.text import Span
from ...lint.trade.hooks import agrees, hooks, labels, millimetres, steel

_STEEL_APART = 0.35
"""Steel hooks in metric sizes (1, 1.25, 1.5, 1.75 mm) are sold under the number next to theirs."""


def check(subject: Subject) -> Iterator[Finding]:
    found = list(hook_sizes(subject.text.source))
    for hook in found:
        said = agrees(hook.label, hook.mm)
        if said is False and not _next_in_steel(hook):
            yield _wrong(subject, hook)
        elif said and hook.bare:
            yield from _another_usual(subject, hook)
    if not found:
        yield from _no_millimetres(subject)


def _next_in_steel(hook: HookSize) -> bool:
    return any(abs(mm - hook.mm) < _STEEL_APART for mm in steel(hook.label))


def _wrong(subject: Subject, hook: HookSize) -> Finding:
    meant = millimetres(hook.label)
    names = labels(hook.mm)
    label = _name(hook)
    other = f", and {hook.mm:g} mm is {names[0]}" if names else ""
    corrections: list[Correction] = []
    if names and not hook.bare and not hook.parted:
        new = _in_style(names[0], hook)
        at = hook.label_span
        corrections.append(Correction(f"Make it {new}", (Edit(Span(at.end - len(label), at.end), new),)))
    if len(meant) == 1:
        mm = _figure(meant[0], subject.text[hook.mm_span])
        corrections.append(Correction(f"Make it {mm} mm", (Edit(hook.mm_span, mm),)))
    return Finding(
        RULE.name,
        Severity.QUERY if hook.bare or hook.label.startswith("steel") else Severity.WRONG,
        f"Hook {label} is {_either(meant)} mm{other}; the text says {subject.text[hook.mm_span]} mm. Which hook is meant?",
        hook.span,
        corrections=tuple(corrections),
    )


def _another_usual(subject: Subject, hook: HookSize) -> Iterator[Finding]:
    """A letter alone that most charts give to another size than the one printed."""
    letters = regex.findall(r"[A-U]", _name(hook))
    usual = [h.mm for h in hooks() if h.number and set(letters) <= set(h.letters)]
    if not usual or hook.mm in usual:
        return
    yield Finding(
        RULE.name,
        Severity.SUGGESTION,
        f"{_name(hook)} is {_either(usual)} mm in most charts and {hook.mm:g} mm in a few. Is {hook.mm:g} mm right?",
        hook.span,
    )


def _no_millimetres(subject: Subject) -> Iterator[Finding]:
    """A label that means several hooks, in a manuscript that never gives the millimetres."""
    for label, span in lone_labels(subject.text.source):
        sizes = millimetres(label)
        if len(sizes) > 1:
            yield Finding(
                RULE.name,
                Severity.SUGGESTION,
                f"Hook {label} is {_either(sizes)} mm, by the chart that is used, and no millimetres are given. Could they be added?",
                span,
            )


def _either(sizes: Sequence[float]) -> str:
    words = [f"{mm:g}" for mm in sizes]
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} or {words[-1]}"


def _name(hook: HookSize) -> str:
    """The label without the word before it."""
    return hook.label.removeprefix("steel ")


def _in_style(label: str, hook: HookSize) -> str:
    """The chart's label with the stroke or hyphen the text uses."""
    if regex.fullmatch(r"[A-Z]\s?/\s?\d.*", _name(hook)):
        label = regex.sub(r"^([A-Z])-", r"\1/", label)
    if regex.fullmatch(r"\d.*", _name(hook)):
        label = regex.sub(r"^[A-Z/]+-", "", label)
    return label.replace(" 1/2", "½") if "½" in hook.label else label


def _figure(mm: float, like: str) -> str:
    words = f"{mm:.1f}" if regex.fullmatch(r"\d+[.,]\d", like) and mm * 10 % 1 == 0 else f"{mm:g}"
    return words.replace(".", ",") if "," in like else words


RULE = Rule(
    name="hook-label",
    severity=Severity.WRONG,
    title="A hook's letter or number and its millimetres do not agree",
    why="A maker takes the hook by whichever of the two is printed on hers. Half a millimetre changes the gauge, and with it the size and the yarn needed.",
    looks_like="US terms.\nHook: I-9 (5 mm)\n\nCh 13.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (12 sc)\n",
    better="US terms.\nHook: H-8 (5 mm)\n\nCh 13.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (12 sc)\n",
    let_stand="When the maker of the hook named in the pattern labels it so.",
    check=check,
    source="Charts of hook sizes that agree with one another and with leaflets (hooks.toml); no standard fixes the letters.",
)
