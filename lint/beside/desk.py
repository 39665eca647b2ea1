"""How the manuscripts of one run are proofed: each in the style of its house and with its own margin.

Looking for what lies beside a manuscript costs a question for each folder above it; nothing more is loaded unless
something is there.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from ..finding import Severity
from ..manuscript.read import STANDARD_INPUT, Unreadable
from ..margin import Margin
from ..style import Style

if TYPE_CHECKING:
    from ..proof import Proof
    from ..queries import QueryList
    from ..rule import Rule
    from ..text import Text
    from .toml_file import Faulty

HOUSE_FILE = "tenterhook.toml"


class Desk:
    """Each house style is looked for and read once. ``threshold``, where given, holds for every manuscript.

    ``asked`` is a query list that came back.
    """

    def __init__(self, threshold: Severity | None = None, asked: QueryList | None = None) -> None:
        self._threshold = threshold
        self._asked = asked
        self._files: dict[str, str | None] = {}
        self._styles: dict[str | None, Style] = {}

    def style_for(self, manuscript: str) -> Style:
        """The style of a manuscript's folder or the nearest above it. Raises Unreadable where its file is at fault."""
        path = self._file_for(os.getcwd() if manuscript == STANDARD_INPUT else os.path.dirname(os.path.abspath(manuscript)))
        if path not in self._styles:
            style = Style() if path is None else self._read_style(path, manuscript)
            self._styles[path] = replace(style, threshold=self._threshold) if self._threshold else style
        return self._styles[path]

    def margin_for(self, manuscript: str) -> Margin:
        """What an editor has put down beside a manuscript. Raises Unreadable where the file is at fault."""
        path = margin_path(manuscript)
        if path is None or not os.path.isfile(path):
            return Margin()
        from .margin_file import read_margin
        from .toml_file import Faulty

        try:
            return read_margin(path)
        except Faulty as faulty:
            raise _not_proofed(manuscript, faulty) from None

    def proof(self, text: Text, rules: Iterable[Rule] | None = None) -> Proof:
        """The proof of a manuscript that was read from ``text.name``. Raises Unreadable."""
        from ..proof import proof

        done = proof(text, self.style_for(text.name), rules, margin=self.margin_for(text.name))
        if self._asked is None:
            return done
        from ..queries import answered

        return answered(done, self._asked.of(text.name))

    def _read_style(self, path: str, manuscript: str) -> Style:
        from ..rule_sets import installed_rules
        from .house import read_house_style
        from .toml_file import Faulty

        try:
            return read_house_style(path, installed_rules())
        except Faulty as faulty:
            raise _not_proofed(manuscript, faulty) from None

    def _file_for(self, folder: str) -> str | None:
        passed: list[str] = []
        while folder not in self._files:
            path, above = os.path.join(folder, HOUSE_FILE), os.path.dirname(folder)
            if os.path.isfile(path) or above == folder:
                self._files[folder] = path if os.path.isfile(path) else None
                break
            passed.append(folder)
            folder = above
        self._files.update(dict.fromkeys(passed, self._files[folder]))
        return self._files[folder]


def margin_path(manuscript: str) -> str | None:
    """The side file of a manuscript: ``cowl.md.toml`` for ``cowl.md``. None for standard input, which has none."""
    return None if manuscript == STANDARD_INPUT else f"{manuscript}.toml"


def query_list(path: str, *, alone: bool) -> QueryList:
    """The query list in a file; ``alone`` where one manuscript is proofed. Raises Unreadable."""
    from .answers import read_answers
    from .toml_file import Faulty

    try:
        return replace(read_answers(path), alone=alone)
    except Faulty as faulty:
        raise Unreadable(path, faulty.reason) from None


def let_stand(proof: Proof, names: Sequence[str], because: str) -> None:
    """Put down beside a manuscript that these findings, named by their handles, stand. Raises Unreadable."""
    from ..stet import entry
    from .margin_file import let_stand_in
    from .toml_file import Faulty

    path = margin_path(proof.text.name)
    if path is None:
        raise Unreadable(STANDARD_INPUT, "there is no file to put a stet beside; give the manuscript by its name")
    stets = [entry(proof.text, proof.work, proof.findings, index, because) for index in _named(proof, names)]
    try:
        let_stand_in(path, stets)
    except Faulty as faulty:
        raise Unreadable(_shown(faulty.path), faulty.reason) from None


def _named(proof: Proof, names: Sequence[str]) -> list[int]:
    """The findings with these handles, each once; the name of a rule alone will do where it has one finding."""
    from .toml_file import near_miss

    out: list[int] = []
    for name in names:
        named = [i for i, handle in enumerate(proof.handles) if handle == name] or [i for i, f in enumerate(proof.findings) if f.rule == name]
        if not named:
            open_ones = [handle for handle, f in zip(proof.handles, proof.findings, strict=True) if not f.stands]
            raise Unreadable(proof.text.name, f"there is no finding “{name}”{near_miss(name, open_ones, 'the report shows the name of each')}; nothing was put down")
        if len(named) > 1:
            which = ", ".join(proof.handles[i] for i in named[:6])
            raise Unreadable(proof.text.name, f"“{name}” has {len(named)} findings: {which}; nothing was put down")
        finding = proof.findings[named[0]]
        if finding.stands:
            raise Unreadable(proof.text.name, f"“{name}” stands already: {finding.stands}")
        out += [i for i in named if i not in out]
    return out


def _not_proofed(manuscript: str, faulty: Faulty) -> Unreadable:
    return Unreadable(manuscript, f"not proofed, because of {_shown(faulty.path)}: {faulty.reason}")


def _shown(path: str) -> str:
    """A path as seen from where the program was called, if that is shorter."""
    try:
        return min(os.path.relpath(path), path, key=len)
    except ValueError:  # another drive
        return path
