"""What is known of a manuscript and not printed: gauges of its stitch patterns, sizes of its pieces, and ease.

An editor cannot check a finished size without the gauge of every stitch pattern, even where the print leaves it out.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class GivenGauge:
    """``stitches`` over ``width`` cm and ``rows`` over ``height`` cm in a stitch pattern; for all pieces where none is named."""

    pattern: str
    stitches: float | None
    width: float
    rows: float | None
    height: float
    pieces: tuple[str, ...] = ()
    line: int | None = None

    def is_for(self, piece: str) -> bool:
        return not self.pieces or piece.lower() in {p.lower() for p in self.pieces}


@dataclass(frozen=True, slots=True)
class GivenMeasure:
    """The size a piece is to have, in cm, one value a size or one for all; () where it is not given.

    ``wide`` says in words how the width was come by, such as "half of 92 cm and 5 cm of ease".
    """

    piece: str
    width: tuple[float, ...] = ()
    length: tuple[float, ...] = ()
    unit: str = "cm"
    wide: tuple[str, ...] = ()
    line: int | None = None


@dataclass(frozen=True, slots=True)
class Unprinted:
    """What an editor has given beside one manuscript."""

    gauges: tuple[GivenGauge, ...] = ()
    measures: tuple[GivenMeasure, ...] = ()
