"""Made-up patterns for tests: the same rows as steps and as words, in several hands.

A pattern is drawn as steps that close; a hand writes them down. A slip is planted in the steps before they are written.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from hypothesis import strategies as st
from naive import (
    Along,
    Chains,
    Each,
    Fabric,
    Fan,
    Foundation,
    InSpace,
    Made,
    Many,
    Repeat,
    Several,
    Skip,
    Standing,
    Step,
    Together,
)

Draw = Callable[[st.SearchStrategy[Any]], Any]


@dataclass(frozen=True)
class Line:
    """One row or round; ``stated`` and ``spaces`` are the numbers written after it, None where none is.

    The count is of ``kind``, "" for stitches of any kind, and of spaces of ``gap`` chains.
    """

    steps: tuple[Step, ...]
    stated: int | None = None
    spaces: int | None = None
    kind: str = ""
    gap: int = 0


@dataclass(frozen=True)
class MadeUp:
    """``chains`` is None for rounds that begin in a ring; ``joined`` rounds close with a slip stitch."""

    chains: int | None
    lines: tuple[Line, ...]
    turned: bool = True
    joined: bool = False

    def worked(self) -> list[Made]:
        fabric = Fabric(self.chains)
        return [fabric.row(line.steps, self.turned) for line in self.lines]

    def counted(self) -> MadeUp:
        """The same with true counts stated."""
        pairs = zip(self.lines, self.worked(), strict=True)
        return replace(self, lines=tuple(counted(line.steps, made) for line, made in pairs))

    def broken(self, index: int) -> bool:
        """Whether this row does not close, or leaves another number than it states."""
        line, made = self.lines[index], self.worked()[index]
        return not made.closes() or line.stated != made.made or (line.spaces or 0) != made.spaces

    def with_line(self, index: int, line: Line) -> MadeUp:
        return replace(self, lines=(*self.lines[:index], line, *self.lines[index + 1 :]))


def counted(steps: tuple[Step, ...], made: Made) -> Line:
    kind, *others = {re.sub(r"\d+tog$", "", kind) for kind in made.kinds}
    return Line(steps, made.made, made.spaces or None, "" if others else kind, spaces_of(steps))


def spaces_of(steps: Sequence[Step]) -> int:
    """How many chains the spaces of a row are made of, 0 where it has none."""
    gaps = (spaces_of(s.steps) if isinstance(s, Repeat) else s.chains if isinstance(s, Fan) else s.count if isinstance(s, Chains) else 0 for s in steps)
    return max(gaps, default=0)


# Patterns


def shaped(draw: Draw, n: int) -> tuple[Step, ...]:
    """A row of single crochet over ``n`` stitches."""
    how = draw(st.sampled_from(["plain", "across", "wider", "first", "narrower", "spread", "gathered"]))
    if how == "wider":
        return (Several("sc"), Each("sc", n - 2), Several("sc"))
    if how == "first":
        return (Several("sc"), Along("sc"))
    if how == "narrower" and n >= 8:
        return (Together("sc"), Each("sc", n - 4), Together("sc"))
    if how in ("spread", "gathered") and n >= 8:
        times = draw(st.integers(2, n // 4))
        unit, over = n // times, n % times
        some: tuple[Step, ...] = (Each("sc", unit - 1), Several("sc")) if how == "spread" else (Each("sc", unit - 2), Together("sc"))
        return (*((Each("sc", over),) if over else ()), Repeat(some, times))
    return (Along("sc"),) if how == "across" else (Each("sc", n),)


@st.composite
def flat(draw: Draw) -> MadeUp:
    """Rows that widen and narrow."""
    n = draw(st.integers(6, 40))
    rows: list[tuple[Step, ...]] = [(Foundation("sc", 2),)]
    fabric = Fabric(n + 1)
    now = fabric.row(rows[0], True).made
    for _ in range(draw(st.integers(1, 5))):
        rows.append(shaped(draw, now))
        now = fabric.row(rows[-1], True).made
    return MadeUp(n + 1, tuple(map(Line, rows))).counted()


@st.composite
def mesh(draw: Draw) -> MadeUp:
    """Chain spaces over skipped stitches, and stitches worked back into them."""
    k, gap = draw(st.integers(2, 12)), draw(st.integers(1, 3))
    opened = (Each("sc"), Repeat((Chains(gap), Skip(gap), Each("sc")), k))
    filled = (Each("sc"), Repeat((InSpace("sc", gap, gap), Each("sc")), k))
    rows: list[tuple[Step, ...]] = [(Foundation("sc", 2),)]
    for _ in range(draw(st.integers(1, 2))):
        rows += [opened, filled]
    return MadeUp(k * (gap + 1) + 2, tuple(map(Line, rows))).counted()


@st.composite
def shells(draw: Draw) -> MadeUp:
    """Shells and fans in one stitch over skipped ones."""
    k = draw(st.integers(2, 10))
    row: tuple[Step, ...]
    if draw(st.booleans()):
        row = (Each("sc"), Repeat((Skip(2), Several("dc", 5), Skip(2), Each("sc")), k))
        unit, then = 6, (Along("sc"),)
    else:
        row = (Each("sc"), Repeat((Skip(1), Fan("dc", 2, 2), Skip(1), Each("sc")), k))
        unit, then = 4, ()
    rows = [(Foundation("sc", 2),), row, *([then] if then else [])]
    return MadeUp(unit * k + 2, tuple(map(Line, rows))).counted()


@st.composite
def ribs(draw: Draw) -> MadeUp:
    """Front and back posts between edge stitches, the starting chain counted."""
    k = draw(st.integers(2, 12))
    rib = (Standing("dc", 3), Repeat((Each("FPdc"), Each("BPdc")), k), Each("dc"))
    rows: list[tuple[Step, ...]] = [(Foundation("dc", 4, stands=True),), *[rib] * draw(st.integers(1, 3))]
    return MadeUp(2 * k + 4, tuple(map(Line, rows))).counted()


@st.composite
def toy(draw: Draw) -> MadeUp:
    """A ball in a spiral: 6 in a ring, out and in again."""
    top, even = draw(st.integers(1, 6)), draw(st.integers(0, 3))
    rows: list[tuple[Step, ...]] = [(Many("sc", 6),), (Repeat((Several("sc"),), 6),)]
    rows += [(Repeat((Each("sc", k), Several("sc")), 6),) for k in range(1, top + 1)]
    rows += [(Along("sc"),)] * even
    rows += [(Repeat((Each("sc", k), Together("sc")), 6),) for k in range(top, 0, -1)]
    return MadeUp(None, tuple(map(Line, rows)), turned=False).counted()


@st.composite
def disc(draw: Draw) -> MadeUp:
    """Joined rounds of double crochet, the starting chain counted."""
    m = draw(st.integers(4, 8))
    rows: list[tuple[Step, ...]] = [(Standing("dc", 3), Many("dc", 2 * m - 1))]
    for k in range(1, draw(st.integers(1, 4))):
        # The chain stands for the first stitch of the first part.
        first = (Standing("dc", 3), Each("dc", k - 1), Several("dc")) if k > 1 else (Standing("dc", 3), Several("dc"))
        rows.append((*first, Repeat((Each("dc", k), Several("dc")), m - 1)))
    return MadeUp(None, tuple(map(Line, rows)), turned=False, joined=True).counted()


@st.composite
def sized(draw: Draw) -> tuple[MadeUp, ...]:
    """One pattern in two to four sizes, smallest first: every size has the steps of the others, with its own numbers."""
    unit, least, more = draw(st.integers(4, 6)), draw(st.integers(4, 6)), draw(st.integers(1, 3))
    sizes = [least + i * more for i in range(draw(st.integers(2, 4)))]
    hows = draw(st.lists(st.sampled_from(["plain", "across", "wider", "narrower", "spread", "gathered"]), min_size=1, max_size=4))
    return tuple(_in_one_size(unit, times, hows) for times in sizes)


def _in_one_size(unit: int, times: int, hows: Sequence[str]) -> MadeUp:
    """``times`` repeats of ``unit`` stitches to begin with; what divides no more is worked straight."""
    rows: list[tuple[Step, ...]] = [(Foundation("sc", 2),)]
    part, more = unit, 0
    for how in hows:
        now = part * times + more
        if how == "plain":
            rows.append((Each("sc", now),))
        elif how == "wider":
            rows.append((Several("sc"), Each("sc", now - 2), Several("sc")))
            more += 2
        elif how == "narrower":
            rows.append((Together("sc"), Each("sc", now - 4), Together("sc")))
            more -= 2
        elif how == "spread" and more == 0:
            rows.append((Repeat((Each("sc", part - 1), Several("sc")), times),))
            part += 1
        elif how == "gathered" and more == 0 and part > 2:
            rows.append((Repeat((Each("sc", part - 2), Together("sc")), times),))
            part -= 1
        else:
            rows.append((Along("sc"),))
    return MadeUp(unit * times + 1, tuple(map(Line, rows))).counted()


def patterns() -> st.SearchStrategy[MadeUp]:
    return st.one_of(flat(), mesh(), shells(), ribs(), toy(), disc())


# Hands

_UK = {"sc": "dc", "hdc": "htr", "dc": "tr", "tr": "dtr"}
_WORDS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
_ORDINALS = {1: "1st", 2: "2nd", 3: "3rd"}


@dataclass(frozen=True)
class Hand:
    """How somebody writes."""

    uk: bool = False
    label: str = "Row 1:"  # also "1st row:", "R1:", "Row 1 -", "Row 1."
    stitches: str = "each"  # "each": sc in each of next 3 sts, "next": sc in next 3 sts, "one": 1 sc into each of the next 3 sts, "list": 3 sc
    words: bool = False  # three for 3
    repeat: str = "*"  # also "(" and "["
    open: bool = False  # "across" where a repeat ends the row, not a number of times
    times: str = "times"  # also "x"
    count: str = "()"  # also "[]", ".", "-", "=", and "(n)" and "[n]" without a noun
    noun: bool = True  # (12 sc), or (12 sts)
    skip: str = "sk"


def hands() -> st.SearchStrategy[Hand]:
    return st.builds(
        Hand,
        uk=st.booleans(),
        label=st.sampled_from(["Row 1:", "1st row:", "Row 1 -", "R1:", "Row 1."]),
        stitches=st.sampled_from(["each", "next", "one", "list"]),
        words=st.booleans(),
        repeat=st.sampled_from(["*", "(", "["]),
        open=st.booleans(),
        times=st.sampled_from(["times", "x"]),
        count=st.sampled_from(["()", "[]", ".", "-", "=", "(n)", "[n]"]),
        noun=st.booleans(),
        skip=st.sampled_from(["sk", "skip", "miss"]),
    )


class Writer:
    """Writes a made-up pattern in one hand; ``first`` is the line of its first row, counted from 1."""

    def __init__(self, pattern: MadeUp, hand: Hand) -> None:
        self.pattern = pattern
        self.hand = hand
        self.head = ["UK terms." if hand.uk else "US terms.", "", "Sampler", ""]
        if pattern.chains is not None:
            self.head += [f"{self.chains(pattern.chains).capitalize()}."]
        elif pattern.joined:
            self.head += [f"{self.chains(4).capitalize()}, join with {self.slip} in first ch to form a ring."]
        self.first = len(self.head) + 1

    @property
    def slip(self) -> str:
        return "ss" if self.hand.uk else "sl st"

    def text(self) -> str:
        return "\n".join([*self.head, *(self.line(n, line) for n, line in enumerate(self.pattern.lines, 1))]) + "\n"

    def line(self, n: int, line: Line) -> str:
        steps = list(self.steps(line.steps, top=True))
        if self.pattern.turned and not isinstance(line.steps[0], Foundation | Standing):
            steps.insert(0, self.chains(1))
        if self.pattern.joined:
            steps.append(f"join with {self.slip} in top of {self.chains(3)}")
        body = ", ".join(steps) + (", turn" if self.pattern.turned else "")
        return f"{self.label(n)} {body[0].upper()}{body[1:]}{self.count(line)}"

    def label(self, n: int) -> str:
        word = "Row" if self.pattern.turned else "Rnd"
        if self.hand.label == "1st row:":
            return f"{_ORDINALS.get(n, f'{n}th')} {word.lower()}:"
        return self.hand.label.replace("Row", word).replace("1", str(n))

    def count(self, line: Line) -> str:
        if line.stated is None:
            return "."
        noun = self.name(line.kind) if self.hand.noun and line.kind else "sts"
        if self.hand.count in ("(n)", "[n]") and line.spaces is None:
            return f" {self.hand.count.replace('n', str(line.stated))}"
        said = f"{line.stated} {noun}"
        if line.spaces is not None:
            said += f", {line.spaces} ch-{line.gap} sps"
        return {"()": f". ({said})", "(n)": f" ({said})", "[n]": f" [{said}]", "[]": f". [{said}]", ".": f". {said}.", "-": f" - {said}.", "=": f" = {said}."}[self.hand.count]

    def name(self, kind: str) -> str:
        if not self.hand.uk:
            return kind
        for post in ("FP", "BP"):
            if kind.startswith(post):
                return post + _UK[kind[2:]]
        return _UK[kind]

    def number(self, n: int) -> str:
        return _WORDS[n] if self.hand.words and n < len(_WORDS) else str(n)

    def chains(self, n: int) -> str:
        return f"{n} ch" if self.hand.uk else f"ch {n}"

    def steps(self, steps: Sequence[Step], top: bool = False) -> Iterator[str]:
        for i, step in enumerate(steps):
            if isinstance(step, Repeat):
                yield self.repeated(step, last=top and i == len(steps) - 1, more=steps[i + 1 :])
            else:
                yield self.step(step)

    def repeated(self, step: Repeat, last: bool, more: Sequence[Step]) -> str:
        inside = ", ".join(self.steps(step.steps))
        across = "around" if not self.pattern.turned else "across"
        to_last = isinstance(more[0], Each) and len(more) == 1 and self.pattern.turned if more else False
        if self.hand.repeat == "*":
            if self.hand.open and last:
                return f"*{inside}; rep from * {across}"
            if self.hand.open and to_last:
                return f"*{inside}; rep from * to last st"
            left = step.times - 1
            return f"*{inside}; rep from * " + ("once more" if left == 1 else f"{self.number(left)} more times")
        opening, closing = ("(", ")") if self.hand.repeat == "(" else ("[", "]")
        if any(isinstance(s, Fan) for s in step.steps) and opening == "(":
            opening, closing = "[", "]"
        if self.hand.open and last:
            return f"{opening}{inside}{closing} {across}"
        if self.hand.times == "x":
            return f"{opening}{inside}{closing} x {step.times}"
        return f"{opening}{inside}{closing} {self.number(step.times)} times" if step.times > 1 else f"{opening}{inside}{closing} once"

    def step(self, step: Step) -> str:
        match step:
            case Foundation(kind, nth, stands):
                counts = f" (skipped ch count as {self.name(kind)})" if stands else ""
                return f"{self.name(kind)} in {_ORDINALS.get(nth, f'{nth}th')} ch from hook{counts} and in each ch across"
            case Standing(kind, chains):
                return f"{self.chains(chains)} (counts as {self.name(kind)})"
            case Many(kind, count):
                return f"{count} {self.name(kind)} in {'ring' if self.pattern.joined else 'magic ring'}"
            case Along(kind):
                return f"{self.name(kind)} in each st {'across' if self.pattern.turned else 'around'}"
            case Each(kind, count):
                return self.each(kind, count)
            case Several(kind, count):
                if self.hand.stitches == "list" and kind == "sc" and count == 2:
                    return "inc"
                return f"{count} {self.name(kind)} in next st"
            case Together(kind, count):
                return f"{self.name(kind)}{count}tog"
            case Skip(count):
                return f"{self.hand.skip} next st" if count == 1 else f"{self.hand.skip} next {self.number(count)} sts"
            case Chains(count):
                return self.chains(count)
            case Fan(kind, side, chains):
                some = f"{side} {self.name(kind)}"
                return f"({some}, {self.chains(chains)}, {some}) in next st"
            case InSpace(kind, count, chains):
                return f"{count} {self.name(kind)} in next ch-{chains} sp"
            case Repeat():
                raise TypeError("a repeat within a repeat is not written")

    def each(self, kind: str, count: int) -> str:
        name = self.name(kind)
        where = "around" if kind[:2] in ("FP", "BP") else "in"
        if self.hand.stitches == "list":
            return f"{count} {name}"
        if count == 1:
            return f"{name} {where} next st"
        if self.hand.stitches == "next":
            return f"{name} {where} next {self.number(count)} sts"
        if self.hand.stitches == "one":
            return f"1 {name} {'into' if where == 'in' else where} each of the next {self.number(count)} sts"
        return f"{name} {where} each of next {self.number(count)} sts"


def in_sizes(patterns: Sequence[MadeUp], hand: Hand) -> str:
    """One text for all sizes: where their own texts have other numbers, the list of them, "20 (24, 28)"."""
    hand = replace(hand, words=False)
    texts = [re.split(r"(\d+)", Writer(pattern, hand).text()) for pattern in patterns]
    lines = "".join(one[0] if len(set(one)) == 1 else f"{one[0]} ({', '.join(one[1:])})" for one in zip(*texts, strict=True))
    names = ("S", "M", "L", "XL")[: len(patterns)]
    return lines.replace("Sampler\n", f"Sampler\n\nSizes: {names[0]} ({', '.join(names[1:])})\n", 1)


# Slips


def count_slips(pattern: MadeUp) -> Iterator[tuple[int, MadeUp]]:
    """One count off by one."""
    for i, line in enumerate(pattern.lines):
        if line.stated is not None:
            for by in (-1, 1):
                yield i, pattern.with_line(i, replace(line, stated=line.stated + by))


def repeat_slips(pattern: MadeUp) -> Iterator[tuple[int, MadeUp]]:
    """One repeat a time more or less."""
    for i, line in enumerate(pattern.lines):
        for j, step in enumerate(line.steps):
            if isinstance(step, Repeat):
                for times in (step.times - 1, step.times + 1):
                    if times > 1:
                        steps = (*line.steps[:j], replace(step, times=times), *line.steps[j + 1 :])
                        yield i, pattern.with_line(i, replace(line, steps=steps))


def dropped_steps(pattern: MadeUp) -> Iterator[tuple[int, MadeUp]]:
    """One step left out, in a row or in its repeat."""
    for i, line in enumerate(pattern.lines):
        for j, step in enumerate(line.steps):
            if isinstance(step, Repeat) and len(step.steps) > 1:
                for k in range(len(step.steps)):
                    inside = replace(step, steps=(*step.steps[:k], *step.steps[k + 1 :]))
                    yield i, pattern.with_line(i, replace(line, steps=(*line.steps[:j], inside, *line.steps[j + 1 :])))
            elif len(line.steps) > 1 and not isinstance(step, Standing):
                yield i, pattern.with_line(i, replace(line, steps=(*line.steps[:j], *line.steps[j + 1 :])))
