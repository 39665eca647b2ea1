"""Does each row come out: totals, left-over and missing stitches, repeats that fit."""
