"""Generated leaflets to measure on: sound patterns whose rows differ, so that nothing is won by having seen a row before."""

from __future__ import annotations

import random

_STITCHES = 60


def strip(rows: int, seed: int = 3) -> str:
    """A strip of so many rows, each of one of six forms; every row works out."""
    dice = random.Random(seed)
    lines = ["Long Strip", "US terms.", "", f"Ch {_STITCHES + 1}.", f"Row 1 (RS): Sc in 2nd ch from hook and in each ch across, turn. ({_STITCHES} sc)"]
    lines += [f"Row {i}: {_row(dice)}" for i in range(2, rows + 1)]
    return "\n".join(lines) + "\nFasten off.\n"


def _row(dice: random.Random) -> str:
    n = _STITCHES
    a = dice.randrange(2, 9)
    return dice.choice(
        (
            f"Ch 1, sc in each st across, turn. ({n} sc)",
            f"Ch 1, sc in next {a} sts, dc in each of next {n - 2 * a} sts, sc in last {a} sts, turn. ({n} sts)",
            f"Ch 3 (counts as dc), dc in next st, *sk next st, 2 dc in next st; rep from * to last 2 sts, dc in last 2 sts, turn. ({n} dc)",
            f"Ch 1, sc in first 3 sts, [sc2tog, 2 sc in next st] {(n - 6) // 3} times, sc in last 3 sts, turn. ({n} sc)",
            f"Ch 1, *sc in next 2 sts, dc in next st; rep from * across, turn. ({n} sts)",
            f"Ch 1, hdc in first st, (hdc in next 4 sts, sc in next st) {(n - 5) // 5} times, hdc in last 4 sts, turn. ({n} sts)",
        )
    )


def with_slips(rows: int, slips: int, seed: int = 3) -> str:
    """A strip in which so many rows state one stitch too many."""
    lines = strip(rows, seed).split("\n")
    step = max(1, rows // (slips + 1))
    for i in range(step, rows, step)[:slips]:
        at = 4 + i
        lines[at] = lines[at].replace(f"({_STITCHES} ", f"({_STITCHES + 1} ")
    return "\n".join(lines)
