"""Change the program a little, one place at a time, in a copy of it, and see whether its tests notice."""

from __future__ import annotations

import argparse
import json
import os
import random
import shutil
import sqlite3
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]
PARTS = ("lint", "rules", "server", "tests", "examples", "pyproject.toml", "README.md", "SECURITY.md", "DEVELOPERS.md")
TIMEOUT = 120.0
"""Seconds after which a change that keeps the tests going counts as noticed."""

TARGETS = {
    "counts": (["rules/counts"], "tests/test_corrections.py tests/test_cases.py -k 'corrections or counts'"),
    "repeats": (["rules/repeats"], "tests/test_cases.py -k repeats"),
    "sizes": (["rules/sizes"], "tests/test_cases.py -k sizes"),
    "row": (["lint/fabric/row.py"], "tests/test_oracle.py tests/test_forms.py"),
    "tally": (["lint/fabric/tally.py"], "tests/test_forms.py tests/test_cases.py"),
}
"""What is changed, and the tests that have to notice: the narrowest that are meant for it."""


def main(argv: Sequence[str] | None = None) -> int:
    ask = argparse.ArgumentParser(prog="python -m tests.mutation", description=__doc__)
    ask.add_argument("targets", nargs="*", metavar="TARGET", help=f"of {', '.join(TARGETS)} (all of them)")
    ask.add_argument("--changes", type=int, default=40, metavar="N", help="how many changes of each target, drawn at random (40); 0 for all there are")
    ask.add_argument("--seed", type=int, default=1, metavar="N", help="another draw (1)")
    args = ask.parse_args(argv)
    unknown = [name for name in args.targets if name not in TARGETS]
    if unknown:
        ask.error(f"there is no target {', '.join(unknown)}")
    with tempfile.TemporaryDirectory() as scratch:
        copy = _copy(Path(scratch))
        for name in args.targets or TARGETS:
            _report(name, _tried(copy, name, args.changes, args.seed))
    return 0


def _copy(folder: Path) -> Path:
    """The checkout, laid out so that it is imported in place of what is installed."""
    copy = folder / "checkout"
    copy.mkdir()
    for part in PARTS:
        kept, target = ROOT / part, copy / part
        if kept.is_dir():
            shutil.copytree(kept, target, ignore=shutil.ignore_patterns("__pycache__"))
        else:
            shutil.copy(kept, target)
    package = folder / "path" / "tenterhook"
    package.mkdir(parents=True)
    for part in ("lint", "rules", "server"):
        (package / part).symlink_to(copy / part, target_is_directory=True)
    return copy


def _tried(copy: Path, name: str, changes: int, seed: int) -> list[dict[str, Any]]:
    paths, tests = TARGETS[name]
    config, session = copy / f"{name}.toml", copy / f"{name}.sqlite"
    command = f"{sys.executable} -m pytest -x -q -p no:cacheprovider {tests}"
    config.write_text(
        f"[cosmic-ray]\nmodule-path = {json.dumps(paths)}\ntimeout = {TIMEOUT}\nexcluded-modules = []\ntest-command = {json.dumps(command)}\n"
        '[cosmic-ray.distributor]\nname = "local"\n',
        "utf-8",
    )
    _cosmic_ray(copy, "baseline", config.name)
    _cosmic_ray(copy, "init", config.name, session.name)
    _keep(session, changes, seed)
    _cosmic_ray(copy, "exec", config.name, session.name)
    lines = _cosmic_ray(copy, "dump", session.name).splitlines()
    return [{**item["mutations"][0], **(result or {})} for item, result in map(json.loads, lines)]


def _keep(session: Path, changes: int, seed: int) -> None:
    """Draw so many of a session's changes and drop the others. One of “X | None” changes an annotation, which never runs."""
    order = "module_path, start_pos_row, start_pos_col, operator_name, operator_args, occurrence"
    with sqlite3.connect(session) as table:
        found = [job for (job,) in table.execute(f"select job_id from mutation_specs where operator_name not like '%BitOr%' order by {order}")]
        kept = [(job,) for job in random.Random(seed).sample(found, min(changes, len(found)) if changes else len(found))]
        table.execute("create temporary table kept (job_id varchar)")
        table.executemany("insert into kept values (?)", kept)
        for name in ("mutation_specs", "work_items"):
            table.execute(f"delete from {name} where job_id not in (select job_id from kept)")


def _cosmic_ray(copy: Path, *arguments: str) -> str:
    environment = os.environ | {"PYTHONPATH": str(copy.parent / "path"), "PYTHONDONTWRITEBYTECODE": "1"}
    program = Path(sys.executable).with_name("cosmic-ray")
    return subprocess.run([program, *arguments], cwd=copy, env=environment, check=True, stdout=subprocess.PIPE, text=True).stdout


def _report(name: str, changes: Sequence[dict[str, Any]]) -> None:
    lived = [change for change in changes if change.get("test_outcome") == "survived"]
    print(f"{name}: {len(changes) - len(lived)} of {len(changes)} changes noticed")
    for change in lived:
        print(f"  {change['module_path']}:{change['start_pos'][0]} {change['operator_name']}")
        print(*(f"    {line}" for line in (change.get("diff") or "").splitlines() if line[:1] in "+-" and line[:3] not in ("+++", "---")), sep="\n")


if __name__ == "__main__":
    sys.exit(main())
