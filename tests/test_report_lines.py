"""One finding a line, in the GNU form."""

from __future__ import annotations

import re
from dataclasses import replace

from tenterhook.lint.proof import Proof
from tenterhook.lint.report import lines


def test_every_finding_has_its_line(cowl: Proof) -> None:
    written = lines.report("cowl.md", cowl)
    assert written.splitlines()[0] == (
        "cowl.md:14:90: wrong: 9 sc + 8 FPdc + 9 sc = 26 stitches; the row says 27. "
        "Should it say 26, or is an increase meant? [row-total]"
    )
    form = re.compile(r"cowl\.md:\d+:\d+: (wrong|query|style|suggestion): .+ \[[a-z-]+\]")
    assert [bool(form.fullmatch(line)) for line in written.splitlines()] == [True] * len(cowl.findings)


def test_a_message_or_path_never_breaks_the_line(cowl: Proof) -> None:
    finding = replace(cowl.findings[0], message="One.\nTwo\r\n\x1b[31m three.")
    written = lines.report("a\nb.md", replace(cowl, findings=(finding,)))
    assert written == "a b.md:14:90: wrong: One. Two \ufffd[31m three. [row-total]\n"


def test_nothing_found_gives_nothing(cowl: Proof) -> None:
    assert lines.report("cowl.md", replace(cowl, findings=())) == ""
