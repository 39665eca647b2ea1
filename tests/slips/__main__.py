"""Plant slips in sound manuscripts and report which were found: python -m tests.slips PATH..."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence

from tenterhook.lint.manuscript.read import Unreadable
from tenterhook.lint.words import count_of

from .harness import Outcome, Tally, chosen, share, sound, tried
from .planting import KINDS


def main(argv: Sequence[str] | None = None) -> int:
    ask = argparse.ArgumentParser(prog="python -m tests.slips", description=__doc__)
    ask.add_argument("paths", nargs="+", metavar="PATH", help="a manuscript, a folder of them, or a TOML file of forms")
    ask.add_argument("--each", type=int, default=3, metavar="N", help="slips of each kind for each manuscript (3); 0 for all there can be")
    ask.add_argument("--seed", type=int, default=1, metavar="N", help="another draw (1)")
    ask.add_argument("--kind", action="append", choices=KINDS, help="only this kind; may be given again")
    ask.add_argument("--show", action="append", choices=[*map(str, Outcome), "none"], default=[], help="print these, too: “none” for what is no slip")
    ask.add_argument("--at-least", type=float, default=0, metavar="N", help="exit with status 1 when fewer of 100 are found")
    args = ask.parse_args(argv)
    try:
        clean, left = sound(args.paths)
    except (Unreadable, OSError) as error:
        print(error, file=sys.stderr)
        return 2
    print(*left, sep="\n", end="\n" if left else "")
    tally = Tally()
    for manuscript, slip in chosen(clean, args.each or None, args.seed, args.kind or KINDS):
        one = tried(manuscript, slip)
        tally.add(one)
        if str(one.outcome or "none") in args.show:
            print(one)
    print(count_of(len(clean), "manuscript"), tally.table(), sep="\n")
    return 1 if (share(tally.all) or 0) * 100 < args.at_least else 0


if __name__ == "__main__":
    sys.exit(main())
