"""Things in a line, each wanting a place and needing room."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise


def spread(wanted: Sequence[float], widths: Sequence[float], weights: Sequence[float] | None = None) -> list[float]:
    """Centres, in the order given, as near to the wanted places as their widths allow.

    The least squares answer under least distances: with the distances taken off, what is left must never fall, and
    neighbours that would pass each other are pooled at their weighted mean (isotonic regression by pooling).
    """
    offsets = [0.0] if wanted else []
    for left, right in pairwise(widths):
        offsets.append(offsets[-1] + (left + right) / 2)
    pools: list[tuple[float, float, int]] = []  # mean, weight, how many
    for index, place in enumerate(wanted):
        mean, weight, many = place - offsets[index], weights[index] if weights else 1.0, 1
        while pools and pools[-1][0] > mean:
            before, heavy, n = pools.pop()
            mean = (before * heavy + mean * weight) / (heavy + weight)
            weight += heavy
            many += n
        pools.append((mean, weight, many))
    level = [mean for mean, _, many in pools for _ in range(many)]
    return [mean + offset for mean, offset in zip(level, offsets, strict=True)]


def spread_round(wanted: Sequence[float], widths: Sequence[float], period: float, weights: Sequence[float] | None = None) -> list[float]:
    """The same on a closed line ``period`` long, where the last is the neighbour of the first.

    ``wanted`` need not lie within one period. Where the widths fill the whole line, all stand evenly.
    """
    total = sum(widths)
    if not wanted:
        return []
    line = unrolled(wanted, period)
    if total >= period * 0.999:
        room = period / total
        places = [0.0]
        for left, right in pairwise(widths):
            places.append(places[-1] + (left + right) / 2 * room)
        shift = sum(w - p for w, p in zip(line, places, strict=True)) / len(line)
        return [p + shift for p in places]
    # Three turns of the line, of which the middle one has neighbours on both sides.
    turns = [place + turn * period for turn in (-1, 0, 1) for place in line]
    done = spread(turns, list(widths) * 3, list(weights) * 3 if weights else None)
    return done[len(line) : 2 * len(line)]


def eased(places: Sequence[float], widths: Sequence[float], period: float, share: float) -> list[float]:
    """Places on a closed line moved a share of the way to where all gaps would be alike, in proportion to the widths."""
    room = period / sum(widths)
    even = [0.0]
    for left, right in pairwise(widths):
        even.append(even[-1] + (left + right) / 2 * room)
    shift = sum(p - e for p, e in zip(places, even, strict=True)) / len(places)
    return [p + share * (e + shift - p) for p, e in zip(places, even, strict=True)]


def unrolled(places: Sequence[float], period: float) -> list[float]:
    """Places on a closed line as places on an open one: each as near as can be to the one before it."""
    out: list[float] = []
    for place in places:
        if out:
            place += round((out[-1] - place) / period) * period
        out.append(place)
    return out
