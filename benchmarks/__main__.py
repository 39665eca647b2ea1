"""Measure, and print a table: ``python -m benchmarks [--long]``.

Times are seconds of the processor, so that other work on the machine counts for less; only the gain from a second
process is told by the wall clock. The yardstick is ten million additions in a plain loop: a figure divided by it can be
compared between machines. The last lines time checkers of other languages on what they read, where they are installed.
"""

from __future__ import annotations

import argparse
import os
import random
import resource
import statistics
import subprocess
import sys
import sysconfig
import tempfile
import time
from concurrent.futures import ProcessPoolExecutor
from importlib.util import find_spec
from pathlib import Path

from rich.console import Console
from rich.table import Table
from tenterhook.lint.fabric.memory import Memory
from tenterhook.lint.proof import proof
from tenterhook.lint.text import Text

from .texts import strip, with_slips

EXAMPLES = Path(__file__).parent.parent / "examples"
TENTERHOOK = (sys.executable, "-m", "tenterhook.lint.cli")


def yardstick() -> float:
    """Seconds for ten million additions."""
    start = time.process_time()
    total = 0
    for i in range(10_000_000):
        total += i
    return time.process_time() - start


def command(*words: str, times: int = 5) -> float:
    """Seconds that a command takes, the best of several runs."""
    taken: list[float] = []
    for _ in range(times):
        before = os.times()
        subprocess.run(words, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, check=False)
        after = os.times()
        taken.append(after.children_user + after.children_system - before.children_user - before.children_system)
    return min(taken)


def rows_proved(source: str) -> int:
    return proof(Text(source), corrections=False).work.tally()["proved"]


def in_a_process_of_its_own(rows: int) -> tuple[float, float]:
    """Seconds to proof a strip of so many rows, and the most memory the process held, in MB."""
    with ProcessPoolExecutor(1) as pool:
        return pool.submit(_cold, rows).result()


def _cold(rows: int) -> tuple[float, float]:
    proof(Text(strip(10)))  # what is loaded once is start-up, and measured there
    source = strip(rows)
    start = time.process_time()
    if rows_proved(source) != rows:
        raise SystemExit("a generated strip did not come out: the figures would mean nothing")
    return time.process_time() - start, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def keystrokes(rows: int, count: int) -> list[float]:
    """Seconds of every re-proof while a space is typed at the end of one row after another; 20 rows of the text differ."""
    source, memory, dice = with_slips(rows, 20), Memory(), random.Random(7)
    proof(Text(source), corrections=False, memory=memory)
    taken: list[float] = []
    for _ in range(count):
        end = source.index("\n", source.index(f"\nRow {dice.randrange(2, rows)}: ") + 1)
        changed = source[:end] + " " + source[end:]
        start = time.process_time()
        proof(Text(changed), corrections=False, memory=memory)
        taken.append(time.process_time() - start)
        source = changed
    return taken


def leaflets(workers: int, count: int) -> float:
    """Leaflets of 40 rows a second with so many processes."""
    sources = [strip(40, seed) for seed in range(count)]
    with ProcessPoolExecutor(workers) as pool:
        list(pool.map(rows_proved, sources[: 4 * workers]))
        start = time.perf_counter()
        list(pool.map(rows_proved, sources, chunksize=4))
        return count / (time.perf_counter() - start)


def neighbours() -> list[tuple[str, float]]:
    """Lines a second of checkers of other languages, on files of the Python library."""
    library = Path(sysconfig.get_path("stdlib"))
    python = [library / name for name in ("argparse.py", "typing.py", "tarfile.py", "inspect.py", "subprocess.py", "pickle.py")]
    found: list[tuple[str, float]] = []
    lines = sum(p.read_text("utf-8", "replace").count("\n") for p in python)
    for name, module in (("pycodestyle", "pycodestyle"), ("flake8", "flake8"), ("codespell", "codespell_lib")):
        if find_spec(module):
            found.append((name, lines / command(sys.executable, "-m", module, *map(str, python), times=3)))
    return found


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m benchmarks", description=(__doc__ or "").split("\n")[0])
    parser.add_argument("--long", action="store_true", help="also 100,000 rows in one text; takes some minutes")
    chosen = parser.parse_args()
    loop = min(yardstick() for _ in range(3))
    table = Table("what", "figure", "in loops of the yardstick", title=f"Python {sys.version.split()[0]}, {os.cpu_count()} cores, yardstick {loop:.2f} s")

    def line(what: str, seconds: float) -> None:
        table.add_row(what, f"{seconds * 1000:,.0f} ms", f"{seconds / loop:.3f}")

    def rate(what: str, per_second: float, unit: str) -> None:
        table.add_row(what, f"{per_second:,.0f} {unit}/s", f"{per_second * loop:,.0f} {unit} a loop")

    example = min(EXAMPLES.glob("[0-9]*.*"))
    line("python -c pass", command(sys.executable, "-c", "pass"))
    line("tenterhook --version", command(*TENTERHOOK, "--version"))
    line(f"tenterhook proof {example.name}", command(*TENTERHOOK, "proof", str(example)))
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "strip.txt"
        path.write_text(strip(2_000), "utf-8")
        line("tenterhook proof, 2,000 rows", command(*TENTERHOOK, "proof", str(path), times=2))
    for rows in (2_000, 4_000, *((25_000, 100_000) if chosen.long else ())):
        seconds, memory = in_a_process_of_its_own(rows)
        rate(f"cold, {rows:,} rows (at most {memory:,.0f} MB)", rows / seconds, "rows")
    for rows, count in ((500, 60), (5_000, 12)):
        taken = sorted(keystrokes(rows, count))
        line(f"keystroke, {rows:,} rows, half within", statistics.median(taken))
        line(f"keystroke, {rows:,} rows, 99 of 100 within", taken[min(len(taken) - 1, int(len(taken) * 0.99))])
    one, two = leaflets(1, 80), leaflets(2, 80)
    rate("leaflets of 40 rows, one process", one, "leaflets")
    rate(f"leaflets of 40 rows, two processes (× {two / one:.2f})", two, "leaflets")
    for name, lines in neighbours():
        rate(f"for comparison: {name} on Python code", lines, "lines")
    Console().print(table)


if __name__ == "__main__":
    main()
