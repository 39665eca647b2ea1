"""Give bytes that nobody would write to what reads, led by what of the program they reach."""

from __future__ import annotations

import argparse
import gc
import os
import subprocess
import sys
import tempfile
import tomllib
from collections.abc import Callable, Iterable, Sequence
from hashlib import sha256
from pathlib import Path
from types import FunctionType

from .targets import KEPT, TARGETS

ROOT = Path(__file__).parents[2]
LARGEST = 3_000
"""The longest input tried, in bytes: what is longer is slow to try and reaches nothing new."""
SLOWEST = 60
"""How many seconds one input may take before it counts as a failure."""


def main(argv: Sequence[str] | None = None) -> int:
    ask = argparse.ArgumentParser(prog="python -m tests.fuzz", description=__doc__)
    ask.add_argument("targets", nargs="*", metavar="TARGET", help=f"of {', '.join(TARGETS)} (all of them)")
    ask.add_argument("--seconds", type=int, default=600, metavar="N", help="how long for each target (600)")
    ask.add_argument("--found", type=Path, metavar="FOLDER", help="where inputs that reach something new are kept and taken up again")
    ask.add_argument("--inside", choices=TARGETS, help=argparse.SUPPRESS)
    args = ask.parse_args(argv)
    if args.inside:
        _inside(TARGETS[args.inside], args.seconds, args.found)
    unknown = [name for name in args.targets if name not in TARGETS]
    if unknown:
        ask.error(f"there is no target {', '.join(unknown)}")
    failed = [name for name in args.targets or TARGETS if not _run(name, args.seconds, args.found)]
    print(f"failed: {', '.join(failed)}; the inputs are in {KEPT}" if failed else "none failed")
    return 1 if failed else 0


def _run(target: str, seconds: int, found: Path | None) -> bool:
    """One target in a process of its own, which the fuzzer ends as it likes. True where nothing failed."""
    with tempfile.TemporaryDirectory() as scratch:
        folder = found / target if found else Path(scratch)
        folder.mkdir(parents=True, exist_ok=True)
        for seed in seeds(target):
            (folder / sha256(seed).hexdigest()[:16]).write_bytes(seed)
        command = [sys.executable, "-m", "tests.fuzz", "--inside", target, "--seconds", str(seconds), "--found", str(folder)]
        return subprocess.run(command, cwd=ROOT).returncode == 0


def seeds(target: str) -> Iterable[bytes]:
    """What the fuzzer starts from: real inputs of the kind."""
    yield from (path.read_bytes() for path in sorted((KEPT / target).glob("*")))
    if target == "manuscript":
        for path in sorted((ROOT / "tests" / "cases").rglob("*.txt")):
            yield from (case.encode()[:LARGEST] for case in path.read_text("utf-8").split("=====")[1:])
        for table in sorted((ROOT / "tests" / "forms").glob("*.toml")):
            yield from (form["text"].encode() for form in tomllib.loads(table.read_text("utf-8"))["form"])
    else:
        yield from (words.encode() for words in _SEEDS[target])


_ROWS = "Row 1: Sc in 2nd ch from hook.", "Row 2: Ch 1, sc in each st across. (10 sc)"
_SEEDS = {
    "web-page": (
        f"<!doctype html><html><head><title>Mat</title><style>p {{}}</style></head><body><h1>Mat</h1><p>{_ROWS[0]}<br>{_ROWS[1]}</p></body></html>",
        f"<ol start=3><li>{_ROWS[0]}<li>{_ROWS[1]}</ol><table><tr><th colspan=2>Row<td>Sts<tr><td>1<td>12</table><pre>{_ROWS[0]}\n</pre>&frac12;&#x2a;<img alt='chart'><del>x</del>",
    ),
    "word-body": (
        "".join(f"<w:p><w:r><w:t>{row}</w:t></w:r></w:p>" for row in _ROWS),
        '<w:p><w:pPr><w:numPr><w:ilvl w:val="0"/><w:numId w:val="1"/></w:numPr></w:pPr><w:ins><w:r><w:rPr><w:strike/></w:rPr><w:t xml:space="preserve">Row </w:t><w:tab/><w:br/></w:r></w:ins><w:del><w:r><w:delText>x</w:delText></w:r></w:del></w:p>'
        "<w:tbl><w:tr><w:tc><w:p><w:r><w:t>1</w:t></w:r></w:p></w:tc><w:tc><w:p/></w:tc></w:tr></w:tbl>",
    ),
    "opendocument-body": (
        "".join(f"<text:p>{row}</text:p>" for row in _ROWS),
        f'<text:list><text:list-item><text:p>{_ROWS[0]}<text:s text:c="3"/><text:tab/><text:line-break/></text:p></text:list-item></text:list>'
        f'<table:table><table:table-row><table:table-cell table:number-columns-spanned="2"><text:p>{_ROWS[1]}</text:p></table:table-cell></table:table-row></table:table>',
    ),
    "house-style": (
        'terms = "US"\nthreshold = "style"\n[style]\nrow-form = "Row 1:"\n[rules]\nyarn-weight = "off"\n',
        "[tolerances]\nin-cm = 0.5\ngauge-size = 8\n[cautions]\nsmall-parts = \"Eyes are small parts: embroider them.\"\n",
    ),
    "side-file": (
        '[[stet]]\nrule = "base-short"\nseverity = "wrong"\npiece = "Foot"\nplace = "Rnd 4"\nwords = "3 sc"\nbefore = ""\nafter = ""\nwhich = 1\nof = 1\nsaid = "2 too many"\nbecause = "gathered"\n',
        '[[gauge]]\nstitches = 18\nrows = 20\nover = "10 cm"\npieces = ["Back"]\n[[measure]]\npiece = "Back"\nbody = "86 (96, 107) cm"\nease = "6 cm"\nshare = 0.5\n',
    ),
}
_WORDS = """* ** ( ) [ ] ; : , . - – / = + ½ × 1 2 3 12 17 ch-2 2nd 3rd Row Rnd Rows RS WS sc hdc dc tr FPdc BPdc sc2tog inc dec
ch ss st sts sl sp sps ring join turn rep repeat from across around to last first next each in of the hook times twice
once end sk miss working front behind same shell popcorn cluster counts as magic Abbreviations Notes Gauge Materials
Sizes: US UK terms make every alternate odd even multiple plus Ch until unworked leaving fasten off"""
_NAMES = """<p> </p> <br> <li> <td> &amp; &#65; <w:p> </w:p> <w:r> <w:t> <w:tbl> <w:tr> <w:tc> <text:p> </text:p> <text:s/> <text:list> <table:table>
terms threshold style rules tolerances cautions stet gauge measure rule severity piece place words before after
which of said because pattern stitches rows over pieces width length body ease share true false inf nan cm in"""


def _dictionary(path: Path) -> None:
    words = dict.fromkeys(f"{_WORDS} {_NAMES}".split())
    escaped = ("".join(f"\\x{byte:02x}" for byte in word.encode()) for word in [*words, "\n", "\nRow 2: ", "\n[[stet]]\n"])
    path.write_text("".join(f'"{word}"\n' for word in escaped), "ascii")


def _inside(target: Callable[[bytes], None], seconds: int, folder: Path) -> None:
    """Fuzz until the time is over or something fails; does not come back."""
    import atheris

    words = folder.with_suffix(".words")
    _dictionary(words)
    name = next(name for name, each in TARGETS.items() if each is target)
    (KEPT / name).mkdir(parents=True, exist_ok=True)
    options = [f"-max_total_time={seconds}", f"-max_len={LARGEST}", f"-timeout={SLOWEST}", f"-report_slow_units={SLOWEST}", f"-dict={words}", f"-artifact_prefix={KEPT / name}{os.sep}", "-print_final_stats=1"]
    # The program alone: instrumenting every library there is takes longer, and leads away from it.
    for function in [each for each in gc.get_objects() if isinstance(each, FunctionType) and (each.__module__ or "").startswith("tenterhook.")]:
        atheris.instrument_func(function)
    atheris.Setup([sys.argv[0], *options, str(folder)], target)
    atheris.Fuzz()


if __name__ == "__main__":
    sys.exit(main())
