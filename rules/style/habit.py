"""What the rules of style share: one form is the standard, and the places that have another are told as one finding.

The standard is what the house chose, the form used first, or the manuscript's own clear habit: a form that stands many
times against one or two of another. A manuscript that goes half one way and half the other has no habit and is left
in peace.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, NamedTuple

from ...lint import regex
from ...lint.finding import Because, Correction, Edit, Finding, Severity
from ...lint.rule import Subject
from ...lint.style import AS_FIRST, AS_MOSTLY, OFF, Choice
from ...lint.syntax.tree import Count, Group, Star, Step, Tree
from ...lint.text import Span
from ...lint.vocabulary_use import Row, row_name, rows_of
from ...lint.wording import count_of, words_at

_LEAST_USUAL = 6
_MOST_ODD = 2
_TIMES_AS_OFTEN = 6
"""A habit stands at least so often, and so many times as often as the odd form, which stands at most twice."""

_MOST_NAMED = 5
_MOST_QUOTED = 48
_AT_ONCE = 32
"""Places named in one finding, letters quoted of each, and rows whose forms are remembered together."""


class Use(NamedTuple):
    """A form, as the setting names it, at a place that counts from the start of its row's words or of the text.

    Only uses of one ``kin`` are measured against each other by what the manuscript itself does.
    """

    form: str
    start: int
    end: int
    kin: str = ""


class Found(NamedTuple):
    """Uses, where their places count from, and the row they stand in, if it is one."""

    origin: int
    uses: tuple[Use, ...]
    row: Row | None = None


Find = Callable[[str, str], tuple[Use, ...]]


class Source(NamedTuple):
    """Where uses are looked for in every row: ``read`` gives what ``find`` is to see and where its places count from."""

    read: Callable[[Row], tuple[tuple[Any, str], int]]
    find: Callable[[Any, str], tuple[Use, ...]]


@dataclass(frozen=True)
class Departure:
    """Every place that has one form where another is ``wanted``; ``basis`` says what makes it so."""

    form: str
    wanted: str
    basis: str
    places: tuple[tuple[Span, str], ...]  # with the row each stands in
    first: Span | None  # where the wanted form first stands
    times: int  # how often it stands

    def standard(self, words: str) -> str:
        """The second half of a sentence that names the wanted form, here in ``words``."""
        if self.basis == AS_FIRST:
            return f"the first one here is {words}"
        if self.basis == AS_MOSTLY:
            return f"everywhere else it is {words} ({count_of(self.times, 'time')})"
        return f"the house style is {words}"

    @property
    def more(self) -> str:
        """A closing sentence for the places after the first."""
        n = len(self.places) - 1
        return f" It is so in {count_of(n, 'more place')}." if n else ""


@lru_cache(maxsize=128)
def in_labels(find: Find) -> Source:
    """What ``find`` sees in the labels of rows, given each in the reading copy and as printed."""
    return Source(_label, find)


@lru_cache(maxsize=128)
def in_words(find: Find) -> Source:
    """What ``find`` sees in the words of rows, given each in the reading copy and as printed."""
    return Source(_words, find)


@lru_cache(maxsize=128)
def in_trees(find: Callable[[Tree, str], tuple[Use, ...]]) -> Source:
    """What ``find`` sees in rows as they were read, given each with its words in the reading copy."""

    def seen(tree: Tree | None, words: str) -> tuple[Use, ...]:
        return find(tree, words) if tree is not None else ()

    return Source(_tree, seen)


def _label(row: Row) -> tuple[tuple[str, str], int]:
    return (row.label, row.printed_label), row.label_origin


def _words(row: Row) -> tuple[tuple[str, str], int]:
    return (row.words, row.printed), row.origin


def _tree(row: Row) -> tuple[tuple[Tree | None, str], int]:
    return (row.tree, row.words), row.origin


def departures(
    subject: Subject, setting: Choice, *sources: Source, keep: Callable[[Row, Use], bool] | None = None
) -> Iterator[Departure]:
    """Every form that is not the standard, with its places. ``keep`` leaves out uses that only look like one.

    Nothing is looked for where the setting is off.
    """
    chosen = _asked(subject, setting)
    if chosen is None or _is_one(chosen, {form for source in sources for form in forms_in(subject, source)}):
        return
    found: list[Found] = []
    for row in rows_of(subject):
        for source in sources:
            read, origin = source.read(row)
            uses = tuple(use for use in source.find(*read) if keep is None or keep(row, use))
            if uses:
                found.append(Found(origin, uses, row))
    yield from _departures(chosen, found)


def departures_among(subject: Subject, setting: Choice, find: Callable[[], Iterable[Found]]) -> Iterator[Departure]:
    """The same for uses that stand outside rows."""
    chosen = _asked(subject, setting)
    if chosen is not None:
        yield from _departures(chosen, list(find()))


def _asked(subject: Subject, setting: Choice) -> str | None:
    chosen = subject.style.choice(setting)
    if chosen == OFF or not isinstance(chosen, str) or (chosen == AS_MOSTLY and subject.pattern.antique):
        return None  # the printers of old books had habits of their own
    return chosen


def forms_in(subject: Subject, source: Source) -> set[tuple[str, str]]:
    """Every kin and form in the rows of a manuscript; so many rows at once are remembered, for the next state of it."""
    rows = rows_of(subject)
    seen: set[tuple[str, str]] = set()
    for at in range(0, len(rows), _AT_ONCE):
        seen |= _forms_of(source.find, tuple(source.read(row)[0] for row in rows[at : at + _AT_ONCE]))
    return seen


@lru_cache(maxsize=2048)
def _forms_of(find: Callable[[Any, str], tuple[Use, ...]], rows: tuple[tuple[Any, str], ...]) -> frozenset[tuple[str, str]]:
    return frozenset((use.kin, use.form) for row in rows for use in find(*row))


def _is_one(chosen: str, forms: set[tuple[str, str]]) -> bool:
    """Whether nothing can depart: there is one form to each kin, or the chosen one alone."""
    if chosen in (AS_FIRST, AS_MOSTLY):
        return len(forms) == len({kin for kin, _ in forms})
    return {form for _, form in forms} <= {chosen}


def _departures(chosen: str, found: Sequence[Found]) -> Iterator[Departure]:
    tally = Counter((use.kin, use.form) for _, uses, _ in found for use in uses)
    for form, wanted, kin in _odd(chosen, tally):
        places: list[tuple[Span, str]] = []
        first: Span | None = None
        for origin, uses, row in found:
            for use in uses:
                if use.form == form and (kin is None or use.kin == kin):
                    places.append((Span(origin + use.start, origin + use.end), row_name(row.statement) if row else ""))
                elif first is None and use.form == wanted and (kin is None or use.kin == kin):
                    first = Span(origin + use.start, origin + use.end)
        basis = chosen if chosen in (AS_FIRST, AS_MOSTLY) else ""
        times = sum(n for (k, f), n in tally.items() if f == wanted and kin in (None, k))
        yield Departure(form, wanted, basis, tuple(places), first, times)


def _odd(chosen: str, tally: Counter[tuple[str, str]]) -> Iterator[tuple[str, str, str | None]]:
    """Each odd form, the form wanted in its place, and the kin they are of where that matters."""
    if chosen not in (AS_FIRST, AS_MOSTLY):
        yield from ((form, chosen, None) for form in dict.fromkeys(form for _, form in tally) if form != chosen)
        return
    for kin in dict.fromkeys(kin for kin, _ in tally):
        numbers = {form: n for (k, form), n in tally.items() if k == kin}
        wanted = next(iter(numbers)) if chosen == AS_FIRST else max(numbers, key=lambda form: numbers[form])
        for form, n in numbers.items():
            if form != wanted and (chosen == AS_FIRST or is_odd(n, numbers[wanted])):
                yield form, wanted, kin


def is_odd(n: int, usual: int) -> bool:
    """Whether a form that stands ``n`` times is a slip where another stands ``usual`` times."""
    return n <= _MOST_ODD and usual >= max(_LEAST_USUAL, n * _TIMES_AS_OFTEN)


def told(
    subject: Subject,
    rule: str,
    departure: Departure,
    message: str,
    change: Callable[[str], str | None] | None = None,
) -> Finding:
    """The finding for a departure. ``change`` makes printed words have the wanted form; None where it cannot be sure."""
    (span, place), rest = departure.places[0], departure.places[1:]
    because = [Because(departure.first, f"{quoted(subject, departure.first)} here")] if departure.first else []
    because += [Because(s, f"{quoted(subject, s)} here as well") for s, _ in rest[:_MOST_NAMED]]
    return Finding(
        rule,
        Severity.STYLE,
        message + departure.more,
        span,
        place,
        because=tuple(because),
        corrections=_corrections(subject, departure, change) if change else (),
    )


def plainly(subject: Subject, rule: str, departure: Departure, change: Callable[[str], str | None] | None = None) -> Finding:
    """The finding for a departure whose forms are words of print: “Row 4.” here; the house style is “Row 1:”."""
    wanted = f"“{departure.wanted}”" if not departure.basis or departure.first is None else quoted(subject, departure.first)
    message = f"{quoted(subject, departure.places[0][0])} here; {departure.standard(wanted)}."
    return told(subject, rule, departure, message, change)


def _corrections(subject: Subject, departure: Departure, change: Callable[[str], str | None]) -> tuple[Correction, ...]:
    edits: list[Edit] = []
    for span, _ in departure.places:
        words = change(subject.text[span])
        if words is None:
            return ()
        edits.append(Edit(span, words))
    if len(edits) == 1:
        return (Correction(f"Make it “{edits[0].text}”", tuple(edits)),)
    return (Correction(f"Make it “{edits[0].text}”, and likewise in {count_of(len(edits) - 1, 'more place')}", tuple(edits)),)


def quoted(subject: Subject, span: Span) -> str:
    """What stands in a place, or its beginning."""
    words = words_at(subject, span)
    return f"“{words}”" if len(words) <= _MOST_QUOTED else f"“{words[:_MOST_QUOTED].rstrip()}…”"


def closing_count(tree: Tree, words: str) -> Count | None:
    """The count a row ends with, or None; nothing but a stop may stand behind it, and it begins with itself."""
    last = tree.steps[-1] if tree.steps else None
    if not isinstance(last, Count) or words[last.at.end :].strip() not in ("", "."):
        return None
    return last if regex.match(r"[(\[{<]?\s*\d", words[last.at.start : last.at.end]) else None


def every_step(steps: Iterable[Step], *, in_places: bool = True) -> Iterator[Step]:
    """Steps and those inside them; ``in_places`` with those of a group that is worked in one place."""
    for step in steps:
        yield step
        if isinstance(step, Star) or (isinstance(step, Group) and (in_places or step.place is None)):
            yield from every_step(step.items, in_places=in_places)


def rebracketed(printed: str, wanted: str) -> str | None:
    """The words with their one pair of brackets changed; None where there are more, or the wanted form has none."""
    match = regex.fullmatch(r"[(\[{<]([^()\[\]{}<>]*)[)\]}>]([^()\[\]{}<>]*)", printed)
    return f"{wanted[0]}{match[1]}{wanted[-1]}{match[2]}" if match and wanted[0] in "([{<" else None


def sample(last: str, habit: str = "Row {}: Ch 1, sc in each sc across, turn. (10 sc)") -> str:
    """A strip of eight rows, the first seven written alike."""
    rows = [habit.format(n) for n in range(2, 8)]
    return "\n".join(["Ch 11.", "Row 1: Sc in 2nd ch from hook and in each ch across, turn. (10 sc)", *rows, last]) + "\n"
