"""Runs the score tools that lie beside a checkout, and compares what they say with the floors.

    python .ci/scores.py SHARED PROGRAM

SHARED is the folder with ``tools``, ``cases``, ``forms``, ``manuscripts`` and ``corpus``; PROGRAM the tenterhook to
score. Exit status 0 when every floor holds, 1 when one does not, 2 when a score could not be taken.
"""

from __future__ import annotations

import json
import re
import subprocess
import sys
from pathlib import Path

FLOORS = Path(__file__).with_name("floors")
CEILING = "_max"


def floors(written: str) -> dict[str, int]:
    """``key = number`` a line; ``#`` starts a remark."""
    lines = (line.partition("#")[0].strip() for line in written.splitlines())
    return {key.strip(): int(value) for key, _, value in (line.partition("=") for line in lines if line)}


def case_scores(said: str) -> dict[str, int]:
    """From the table of groups: cases, caught, quiet, both."""
    rows = re.findall(r"(?m)^(yes|maybe|no|control) +(\d+) +(\d+) +(\d+) +(\d+)$", said)
    if not rows:
        raise LookupError("no table of groups")
    both = {name: int(both) for name, _, _, _, both in rows}
    return {"cases_yes_both": both.get("yes", 0), "cases_quiet_all": sum(int(quiet) for _, _, _, quiet, _ in rows)}


def form_scores(said: str) -> dict[str, int]:
    """From “score 120/180 right, 3 loud”."""
    right, loud = numbers(r"(?m)^score (\d+)/\d+ right, (\d+) loud$", said)
    return {"forms_right": right, "forms_loud_max": loud}


def manuscript_scores(said: str) -> dict[str, int]:
    """From “score found 20/40, named 18, false 2 in 12, worked 300/400”."""
    found, false, worked = numbers(r"(?m)^score found (\d+)/\d+, named \d+, false (\d+) in \d+, worked (\d+)/\d+$", said)
    return {"manuscripts_found": found, "manuscripts_false_max": false, "manuscripts_worked": worked}


def numbers(pattern: str, said: str) -> tuple[int, ...]:
    found = re.search(pattern, said)
    if not found:
        raise LookupError("no line of scores")
    return tuple(map(int, found.groups()))


def failures(scores: dict[str, int], wanted: dict[str, int]) -> list[str]:
    """What falls short, in words; a floor without a score is one too."""
    short: list[str] = []
    for key, floor in wanted.items():
        if key not in scores:
            short.append(f"{key}: no score was taken")
        elif key.endswith(CEILING) and scores[key] > floor:
            short.append(f"{key}: {scores[key]}, at most {floor} allowed")
        elif not key.endswith(CEILING) and scores[key] < floor:
            short.append(f"{key}: {scores[key]}, at least {floor} wanted")
    return short


def corpus_failures(report: dict[str, list[dict]]) -> list[str]:
    """Every wrong, query and unreadable file of a JSON report on texts that have none."""
    short = [f"corpus: {entry['path']} could not be read: {entry['reason']}" for entry in report["unreadable"]]
    for manuscript in report["manuscripts"]:
        short += (
            f"corpus: {manuscript['path']}:{finding['start']['line']}: {finding['severity']} {finding['rule']}: "
            f"{finding['message']}"
            for finding in manuscript["findings"]
            if finding["severity"] in ("wrong", "query")
        )
    return short


def main(shared: Path, program: str) -> int:
    scores: dict[str, int] = {}
    for topic, read in (("cases", case_scores), ("forms", form_scores), ("manuscripts", manuscript_scores)):
        tool = shared / "tools" / f"score_{topic}.py"
        run = subprocess.run(
            [sys.executable, str(tool), str(shared / topic), "--program", program], capture_output=True, text=True
        )
        try:
            if run.returncode:
                raise LookupError(f"exit status {run.returncode}")
            scores |= read(run.stdout)
        except LookupError as missing:
            print(f"{topic}: no score could be taken ({missing})", run.stdout[-2000:], run.stderr[-2000:], sep="\n")
            return 2
    texts = sorted(map(str, (shared / "corpus").glob("*.txt")))
    run = subprocess.run([program, "proof", "--format", "json", *texts], capture_output=True, text=True)
    try:
        report = json.loads(run.stdout)
    except ValueError:
        print(f"corpus: no report (exit status {run.returncode})", run.stderr[-2000:], sep="\n")
        return 2
    for key, value in scores.items():
        print(f"{key:24}{value:6}")
    print(f"{'corpus_texts':24}{len(report['manuscripts']):6}")
    short = failures(scores, floors(FLOORS.read_text(encoding="utf-8"))) + corpus_failures(report)
    for line in short:
        print(f"BELOW THE FLOOR {line}")
    return 1 if short else 0


if __name__ == "__main__":
    if len(sys.argv) != 3:
        sys.exit("usage: scores.py SHARED PROGRAM")
    sys.exit(main(Path(sys.argv[1]), sys.argv[2]))
