"""A row stitch by stitch in words: what the drawing shows, for those who read or hear it instead. US names."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from ..fabric.row import ANY, CHAIN, SPACE, Cell, Spot
from ..fabric.trace import TracedRow

_LONGEST = 12  # phrases of a repeat that is looked for
_MOST = 60  # phrases of one row that are written out
_LIES = {
    "over": "worked back over the stitches it crosses",
    "under": "worked back under the stitches it crosses",
    "unsaid": "worked back across; which lies on top is not said",
}
_FACES = {"RS": "standing out on the RS", "WS": "standing out on the WS", "": "its face not known"}
_NO_SPOT = Spot()


def row_in_words(row: TracedRow) -> str:
    """The stitches of a row in the order made."""
    phrases = list(_phrases(row.stitches or (), row.base or ()))
    folded = _folded(phrases)
    if len(folded) > _MOST:
        folded = [*folded[:_MOST], f"and {len(folded) - _MOST} more steps"]
    start = f"ch {row.turning_chain} that does not count, " if row.turning_chain else ""
    return start + (", ".join(folded) or "nothing")


def _phrases(stitches: Sequence[Cell], base: Sequence[Cell]) -> Iterator[tuple[int, str]]:
    """What is made, as so many of a phrase; stitches that share a place are one phrase."""
    index = 0
    while index < len(stitches):
        end = _shared(stitches, index)
        if end - index > 1:
            inner = ", ".join(_folded([(1, _name(c)) for c in stitches[index:end]]))
            place = _place(stitches[index], base)
            yield 1, f"({inner}) in one {place}" if "," in inner else f"{inner} in one {place}"
        else:
            yield 1, _alone(stitches[index], base)
        index = end


def _shared(stitches: Sequence[Cell], start: int) -> int:
    """The end of the run of stitches that go into the same place as the one at ``start``, chains between them included."""
    spot = stitches[start].spot
    if stitches[start].kind == SPACE or spot is None or len(spot.bases) != 1 or spot.beyond or spot.lies:
        return start + 1
    end = start + 1
    for at in range(start + 1, len(stitches)):
        cell = stitches[at]
        if cell.kind == SPACE:
            continue
        if cell.spot is None or cell.spot.bases != spot.bases or cell.spot.lies or cell.spot.beyond:
            break
        end = at + 1
    return end


def _place(cell: Cell, base: Sequence[Cell]) -> str:
    bases = (cell.spot or _NO_SPOT).bases
    into = base[bases[0]] if bases and bases[0] < len(base) else None
    if into is None:
        return "place"
    if into.kind == SPACE:
        return f"ch-{into.size} space"
    return {CHAIN: "chain", ANY: "stitch"}.get(into.kind, into.kind)


def _name(cell: Cell) -> str:
    """A stitch by its name, with what is drawn on it."""
    if cell.kind == SPACE:
        return f"ch {cell.size}"
    if cell.tch:
        return f"ch {cell.tch} that counts as {cell.kind}"
    name = "stitch of a kind not known" if cell.kind == ANY else cell.kind
    if cell.kind.startswith(("FP", "BP")):
        name += f" {_FACES[cell.face]}"
    picots = (cell.spot or _NO_SPOT).picots
    return name + (f" with {'a picot' if picots == 1 else f'{picots} picots'}" if picots else "")


def _alone(cell: Cell, base: Sequence[Cell]) -> str:
    spot = cell.spot or _NO_SPOT
    name = _name(cell)
    if spot.beyond:
        return f"{name} with nothing left to go into"
    if spot.lies:
        return f"{name}, {_LIES[spot.lies]}"
    if spot.below > 1:
        return f"{name} {spot.below} rows below"
    if cell.kind != SPACE and spot.bases and spot.bases[0] < len(base) and base[spot.bases[0]].kind == SPACE:
        return f"{name} in a {_place(cell, base)}"
    return name


def _folded(phrases: Iterable[tuple[int, str]]) -> list[str]:
    """Phrases with repeats drawn together: “5 sc”, “(dc, ch 1) 4 times”."""
    runs: list[tuple[int, str]] = []
    for n, phrase in phrases:
        if runs and runs[-1][1] == phrase:
            runs[-1] = (runs[-1][0] + n, phrase)
        else:
            runs.append((n, phrase))
    said = [_times(n, phrase) for n, phrase in runs]
    out: list[str] = []
    at = 0
    while at < len(said):
        length, times = _repeat(said, at)
        if times > 1:
            out.append(f"[{', '.join(said[at : at + length])}] {times} times")
            at += length * times
        else:
            out.append(said[at])
            at += 1
    return out


def _times(n: int, phrase: str) -> str:
    if n == 1:
        return phrase
    # “3 sc”, but “3 times ch 2” and “3 times 5 dc in one sc”
    return f"{n} {phrase}" if not phrase[0].isdigit() and not phrase.startswith(("ch ", "(", "[")) else f"{n} times {phrase}"


def _repeat(said: Sequence[str], at: int) -> tuple[int, int]:
    """The run of phrases from ``at`` on that repeats itself and saves most: its length and how often it stands there."""
    best = (1, 1)
    for length in range(2, _LONGEST + 1):
        times = 1
        while said[at : at + length] == said[at + times * length : at + (times + 1) * length]:
            times += 1
        if times > 1 and length * (times - 1) > best[0] * (best[1] - 1):
            best = (length, times)
    return best
