"""Pattern texts with what is expected of them written under the line it concerns: tests/cases/<family>/<rule>.txt.

Texts are parted by a line ``===== title``. Under a line stands, for each finding of it, indented ``^ rule severity:
words``; the words, where given, must occur in the message. What is expected is cut out before the text is read. Every
finding that is wrong or a query must be written down, so that a surplus one fails; milder ones may be. A finding that
hangs under another is written with ``^ follows rule severity``.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

import pytest
from tenterhook.lint.finding import Finding, Severity
from tenterhook.lint.proof import proof
from tenterhook.lint.style import Style
from tenterhook.lint.text import Text

FOLDER = Path(__file__).parent / "cases"
PARTING = re.compile(r"^=====[ \t]*(.*)\n", re.MULTILINE)
EXPECTED = re.compile(r"^\s*\^ (?P<follows>follows )?(?P<rule>[a-z-]+) (?P<severity>wrong|query|style|suggestion)(?:: (?P<words>.*))?$")
LOUD = (Severity.WRONG, Severity.QUERY)


@dataclass(frozen=True)
class Expected:
    line: int
    rule: str
    severity: str
    words: str = ""
    follows: bool = False

    def __str__(self) -> str:
        return f"line {self.line}: {'follows ' if self.follows else ''}{self.rule} {self.severity}: {self.words}"


@dataclass(frozen=True)
class Case:
    file: str
    title: str
    text: str
    expected: tuple[Expected, ...]

    def __str__(self) -> str:
        return f"{self.file}: {self.title}"


def read(file: Path) -> list[Case]:
    parts = PARTING.split(file.read_text(encoding="utf-8"))
    assert not parts[0].strip(), f"{file}: a text without a title"
    return [split(str(file.relative_to(FOLDER)), title, body) for title, body in zip(parts[1::2], parts[2::2], strict=True)]


def split(file: str, title: str, body: str) -> Case:
    kept: list[str] = []
    expected: list[Expected] = []
    for line in body.strip("\n").split("\n"):
        found = EXPECTED.match(line)
        if found is None:
            assert not line.lstrip().startswith("^ "), f"{file}: {title}: cannot be read: {line}"
            kept.append(line)
        else:
            expected.append(Expected(len(kept), found["rule"], found["severity"], found["words"] or "", bool(found["follows"])))
    return Case(file, title, "\n".join(kept) + "\n", tuple(expected))


CASES = [case for file in sorted(FOLDER.glob("*/*.txt")) for case in read(file)]


def meets(expected: Expected, finding: Finding, text: Text) -> bool:
    return (
        finding.rule == expected.rule
        and finding.severity.value == expected.severity
        and text.line_number(finding.span.start) <= expected.line <= text.line_number(max(finding.span.start, finding.span.end - 1))
        and expected.words in finding.message
        and (finding.follows is not None) == expected.follows
    )


def differences(case: Case) -> list[str]:
    text = Text(case.text, case.title)
    surplus = list(proof(text, Style(strict=True)).findings)
    out: list[str] = []
    for expected in case.expected:
        found = next((f for f in surplus if meets(expected, f, text)), None)
        if found is None:
            out.append(f"not found: {expected}")
        else:
            surplus.remove(found)
    for f in surplus:
        if f.severity in LOUD:
            follows = "follows " if f.follows is not None else ""
            out.append(f"surplus: line {text.line_number(f.span.start)}: {follows}{f.rule} {f.severity.value}: {f.message}")
    return out


@pytest.mark.parametrize("case", CASES, ids=str)
def test_case(case: Case) -> None:
    assert differences(case) == []


def test_every_case_has_a_title_of_its_own() -> None:
    names = [str(case) for case in CASES]
    assert [name for name in names if names.count(name) > 1] == []


def test_a_surplus_finding_fails_a_case() -> None:
    wrong = split("none", "one too many", "Ch 13.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (13 sc)")
    assert len(differences(wrong)) == 1
    assert differences(split("none", "named", wrong.text + "    ^ row-total wrong: makes 12")) == []
    assert len(differences(split("none", "other words", wrong.text + "    ^ row-total wrong: makes 11"))) == 2
