"""How long the server takes from a keystroke to its diagnostics: ``python -m tests.server.latency [ROWS [real]]``.

Prints milliseconds. With the hand-made proof this is the cost of the server alone.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path
from statistics import quantiles

sys.path.insert(0, str(Path(__file__).parent))
from raw import HERE, SPARES, Raw, edit


def pattern(rows: int) -> str:
    lines = "".join(f"Row {n}: Ch 1, sc in each st across, turn. (11 sc)\n" for n in range(2, rows + 2))
    return "Ch 12.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (11 sc)\n" + lines


def measure(rows: int, real: bool, keys: int = 200) -> None:
    script = HERE / ("real_server.py" if real else "fake_server.py")
    began = time.perf_counter()
    with Raw(script=script) as raw:
        raw.initialize("utf-16", initializationOptions={"calm": False})
        ready = time.perf_counter() - began
        began = time.perf_counter()
        raw.open(pattern(rows) + "teh\n")
        opened = time.perf_counter() - began
        taken = []
        line = rows // 2
        for key in range(keys):
            began = time.perf_counter()
            raw.diagnostics(raw.change(edit(line, 8, 8 + key % 2, "" if key % 2 else "x")))
            taken.append((time.perf_counter() - began) * 1000)
            time.sleep(0.01)
    cut = quantiles(taken, n=100)
    print(
        f"{rows} rows: ready {ready * 1000:.0f}, opened {opened * 1000:.0f}, "
        f"keystroke p50 {cut[49]:.1f}, p99 {cut[98]:.1f}, most {max(taken):.1f}"
    )


if __name__ == "__main__":
    measure(int(sys.argv[1]) if len(sys.argv) > 1 else 500, "real" in sys.argv)
    SPARES.end()
