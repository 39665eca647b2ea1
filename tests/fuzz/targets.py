"""What reads bytes from outside, and what must hold whatever they are. A target raises where it does not hold."""

from __future__ import annotations

import io
import json
import tempfile
import zipfile
from collections.abc import Callable, Iterator, Mapping
from importlib import import_module
from pathlib import Path

from tenterhook.lint.beside.house import read_house_style
from tenterhook.lint.beside.margin_file import read_margin
from tenterhook.lint.beside.toml_file import Faulty
from tenterhook.lint.confined import Refused
from tenterhook.lint.manuscript.assembly import unpacked
from tenterhook.lint.manuscript.read import READERS, Unreadable, manuscript_from
from tenterhook.lint.proof import Proof, proof
from tenterhook.lint.report import json_report, lines, worksheet_json
from tenterhook.lint.rule_sets import installed_rules
from tenterhook.lint.style import Style
from tenterhook.lint.syntax.fold import fold
from tenterhook.lint.text import Span

KEPT = Path(__file__).with_name("kept")
"""One folder a target; a file in it once failed."""


def manuscript(data: bytes) -> None:
    """A manuscript is proofed, or refused with a reason; every place named lies in it; reports can be written."""
    try:
        text = manuscript_from(data, "fuzz.txt").text
    except Unreadable as refused:
        assert refused.reason
        return
    source = text.source
    assert len(fold(source)) == len(source)
    done = proof(text, Style(strict=True))
    assert all(0 <= span.start <= span.end <= len(source) for span in spans(done))
    for i, finding in enumerate(done.findings):
        assert finding.message.strip()
        assert finding.follows is None or 0 <= finding.follows < i
    said = lines.report("fuzz.txt", done)
    assert len(said.splitlines()) == sum(not finding.stands for finding in done.findings)
    json.loads(json_report.report([json_report.manuscript("fuzz.txt", done)], ()))
    json.loads(worksheet_json.report([worksheet_json.worksheet("fuzz.txt", done)]))


def spans(done: Proof) -> Iterator[Span]:
    """Every span that a proof points at."""
    for finding in done.findings:
        yield finding.span
        yield from (because.span for because in finding.because)
        yield from (edit.span for correction in finding.corrections for edit in correction.edits)
    for row in done.work.rows():
        yield from (row.span, row.label_span, *row.unread)


def house_style(data: bytes) -> None:
    """A house style is taken whole, or refused with a reason."""
    _read(lambda path: read_house_style(path, installed_rules()), data)


def side_file(data: bytes) -> None:
    """A side file is taken whole, or refused with a reason."""
    _read(read_margin, data)


def _read(read: Callable[[str], object], data: bytes) -> None:
    with tempfile.NamedTemporaryFile(suffix=".toml") as file:
        file.write(data)
        file.flush()
        try:
            read(file.name)
        except Faulty as faulty:
            assert faulty.reason


def web_page(data: bytes) -> None:
    """A web page gives a text, or is refused with a reason; in a child of its own a fault would be one more reason."""
    _document("html", data)


def word_body(data: bytes) -> None:
    """As ``web_page``, for what stands in the body of a Word file."""
    _document("word", _packed({"word/document.xml": _within(WORD_BODY, data)}))


def opendocument_body(data: bytes) -> None:
    """As ``web_page``, for what stands in the body of an OpenDocument text."""
    _document("opendocument", _packed({"mimetype": b"application/vnd.oasis.opendocument.text", "content.xml": _within(OPENDOCUMENT_BODY, data)}))


WORD_BODY = '<w:document xmlns:w="http://schemas.openxmlformats.org/wordprocessingml/2006/main"><w:body>%s</w:body></w:document>'
OPENDOCUMENT_BODY = "".join(
    (
        "<office:document-content",
        *(f' xmlns:{name}="urn:oasis:names:tc:opendocument:xmlns:{name}:1.0"' for name in ("office", "text", "table", "style")),
        "><office:body><office:text>%s</office:text></office:body></office:document-content>",
    )
)


def _within(frame: str, data: bytes) -> bytes:
    return frame.encode().replace(b"%s", data)


def _packed(parts: Mapping[str, bytes]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as file:
        for name, content in parts.items():
            file.writestr(name, content)
    return out.getvalue()


def _document(kind: str, data: bytes) -> None:
    module, _, function = READERS[kind][0].partition(":")
    try:
        packed, _ = getattr(import_module(f"tenterhook.lint.{module}"), function)(data, {})
        text, _ = unpacked(packed)
    except Refused as refused:
        assert refused.reason
        return
    proof(text, Style(strict=True), corrections=False)


TARGETS: dict[str, Callable[[bytes], None]] = {
    "manuscript": manuscript,
    "house-style": house_style,
    "side-file": side_file,
    "web-page": web_page,
    "word-body": word_body,
    "opendocument-body": opendocument_body,
}
