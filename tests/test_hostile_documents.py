"""Files made to do harm, and files that came to harm: each ends soon, with a reason, and costs itself alone.

They are made here and not kept. Their kinds are those usual against readers of XML, ZIP and PDF: entities that multiply,
parts that unpack to hundreds of megabytes, outside references, nesting, cycles, cuts and locks.
"""

from __future__ import annotations

import io
import os
import subprocess
import sys
import zipfile
import zlib
from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest
from documents import Pages, W, opendocument, pdf, word
from docx.opc.constants import RELATIONSHIP_TYPE
from tenterhook.lint import cli, confined
from tenterhook.lint.manuscript.read import Unreadable, manuscript_from

ROWS = ["Row 1: Ch 11, sc in 2nd ch from hook and in each ch across, turn. (10 sc)", "Row 2: Ch 1, sc in each sc across. (10 sc)"]
AT_MOST = 5.0  # seconds of work, which a machine that has other work to do does not make longer, as it does the clock


@cache
def sound_word() -> bytes:
    return word(ROWS)


def with_part(data: bytes, name: str, content: bytes) -> bytes:
    """A packed file with one part put in or replaced."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as source, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as target:
        for other in source.namelist():
            if other != name:
                target.writestr(other, source.read(other))
        target.writestr(name, content)
    return out.getvalue()


def body(inner: str, before: str = "") -> bytes:
    return with_part(sound_word(), "word/document.xml", f'<?xml version="1.0"?>{before}<w:document {W}><w:body>{inner}</w:body></w:document>'.encode())


def entities() -> bytes:
    steps = "".join(f'<!ENTITY e{n} "{f"&e{n - 1};" * 10}">' for n in range(1, 10))
    return body("<w:p><w:r><w:t>&e9;</w:t></w:r></w:p>", f'<!DOCTYPE d [<!ENTITY e0 "sc, ">{steps}]>')


def outside_entity() -> bytes:
    return body("<w:p><w:r><w:t>Row 1: &x; sc</w:t></w:r></w:p>", '<!DOCTYPE d [<!ENTITY x SYSTEM "file:///etc/hostname">]>')


def bomb_of_white_space() -> bytes:
    return body("<w:p><w:r><w:t xml:space='preserve'>" + " " * 60_000_000 + "</w:t></w:r></w:p>")


def nested(depth: int = 100_000) -> bytes:
    return body("<w:p>" * depth + "</w:p>" * depth)


def many_parts() -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as target:
        for n in range(4_000):
            target.writestr(f"word/{n}.xml", b"")
    return out.getvalue()


def marked_as_locked() -> bytes:
    data = bytearray(sound_word())
    at = -1
    while (at := data.find(b"PK\x01\x02", at + 1)) >= 0:
        data[at + 8] |= 1
    return bytes(data)


def pdf_of(*objects: bytes, trailer: bytes = b"/Root 1 0 R") -> bytes:
    """A PDF of numbered objects, with the table that says where they stand."""
    out, starts = b"%PDF-1.4\n", list[int]()
    for number, content in enumerate(objects, 1):
        starts.append(len(out))
        out += b"%d 0 obj\n%b\nendobj\n" % (number, content)
    table = b"".join(b"%010d 00000 n \n" % start for start in starts)
    head = b"xref\n0 %d\n0000000000 65535 f \n%btrailer\n<</Size %d %b>>\n" % (len(objects) + 1, table, len(objects) + 1, trailer)
    return out + head + b"startxref\n%d\n%%%%EOF\n" % len(out)


def pdf_bomb() -> bytes:
    step = zlib.compressobj(9)
    packed = b"".join(step.compress(b"(sc) Tj " * 125_000) for _ in range(300)) + step.flush()
    return pdf_of(
        b"<</Type/Catalog/Pages 2 0 R>>",
        b"<</Type/Pages/Kids[3 0 R]/Count 1>>",
        b"<</Type/Page/Parent 2 0 R/MediaBox[0 0 595 842]/Contents 4 0 R/Resources<</Font<</F 5 0 R>>>>>>",
        b"<</Length %d/Filter/FlateDecode>>stream\n%b\nendstream" % (len(packed), packed),
        b"<</Type/Font/Subtype/Type1/BaseFont/Helvetica>>",
    )


def pdf_in_a_circle() -> bytes:
    return pdf_of(b"<</Type/Catalog/Pages 2 0 R>>", b"<</Type/Pages/Kids[2 0 R 2 0 R]/Count 2>>")


def locked_pdf() -> bytes:
    pages = Pages(encrypt="plover")
    pages.lines(60, 100, ROWS)
    return pages.file()


HOSTILE: dict[str, tuple[Callable[[], bytes], str]] = {
    "entities.docx": (entities, "declares entities"),
    "outside-entity.docx": (outside_entity, "declares entities"),
    "white-space.docx": (bomb_of_white_space, "more than is read|times its size"),
    "nested.docx": (nested, "damaged|nested"),
    "many-parts.docx": (many_parts, "more than the 3,000"),
    "locked.docx": (marked_as_locked, "locked with a password"),
    "cut.docx": (lambda: sound_word()[:-2_000], "cut short"),
    "noise.docx": (lambda: b"PK\x03\x04" + bytes(range(256)) * 40, "cannot be unpacked"),
    "flipped.docx": (lambda: bytes(b ^ (0xFF if n % 97 == 50 and n < 8_000 else 0) for n, b in enumerate(sound_word())), "damaged|password|parts"),
    "no-body.docx": (lambda: with_part(sound_word(), "word/document.xml", b"<x/>"), "no body"),
    "entities.odt": (lambda: with_part(opendocument(ROWS), "content.xml", b'<!DOCTYPE d [<!ENTITY a "b">]><d>&a;</d>'), "declares entities"),
    "cut.odt": (lambda: opendocument(ROWS)[:-500], "cut short"),
    "unpacks.pdf": (pdf_bomb, "too long|memory|stop|characters"),
    "circle.pdf": (pdf_in_a_circle, "pictures, or empty|damaged|from 1 to"),
    "locked.pdf": (locked_pdf, "locked with a password"),
    "cut.pdf": (lambda: pdf(ROWS)[:-300], "cut short"),
    "noise.pdf": (lambda: b"%PDF-1.7\n" + bytes(range(256)) * 40 + b"startxref\n0\n%%EOF", "damaged"),
    "pages.pdf": (lambda: pdf_of(b"<</Type/Catalog/Pages 2 0 R>>", b"<</Type/Pages/Kids[]/Count 99999999>>"), "pages|damaged"),
    "nested.html": (lambda: b"<!doctype html>" + b"<div>" * 200_000 + b"Row 1", "nested too deep"),
    "endless-tag.html": (lambda: b"<!doctype html><p " + b"a=<" * 400_000, "no text|damaged|too long"),
}


def worked() -> float:
    """Seconds of the processor that this process and its children have had."""
    return sum(os.times()[:4])


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_file_ends_soon_with_a_reason(name: str) -> None:
    make, words = HOSTILE[name]
    data = make()
    began = worked()
    with pytest.raises(Unreadable, match=words) as caught:
        manuscript_from(data, name)
    assert worked() - began < AT_MOST
    assert "Traceback" not in caught.value.reason and len(caught.value.reason) < 200


def test_outside_references_are_not_followed() -> None:
    relations = (
        '<?xml version="1.0"?><Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
        f'<Relationship Id="r1" Type="{RELATIONSHIP_TYPE.FOOTNOTES}" Target="file:///etc/hostname" TargetMode="External"/>'
        f'<Relationship Id="r2" Type="{RELATIONSHIP_TYPE.STYLES}" Target="../../../etc/hostname"/></Relationships>'
    )
    inner = '<w:p><w:r><w:t>Row 1: Ch 11.</w:t><w:footnoteReference w:id="1"/></w:r></w:p>'
    data = with_part(body(inner), "word/_rels/document.xml.rels", relations.encode())
    assert manuscript_from(data, "strap.docx").text.source == "Row 1: Ch 11.\n"


def in_a_child(code: str) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run([sys.executable, "-c", f"from tenterhook.lint import confined as c\n{code}"], capture_output=True, check=False, timeout=60)


def test_a_child_that_goes_round_for_ever_or_takes_all_memory_is_ended() -> None:
    ended = in_a_child("c._budget = 0.4\nc._limit_time()\nwhile True: pass")
    assert ended.returncode != 0
    assert "too long" in confined._how_it_ended(ended.returncode, ended.stderr)
    if sys.platform.startswith("linux"):
        ended = in_a_child("c._limit_memory()\nbytearray(c.MEMORY)")
        assert ended.returncode != 0
        assert "memory" in confined._how_it_ended(ended.returncode, ended.stderr)


def test_files_with_no_reader_installed_name_the_extra(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The child finds modules that say they are not there, as an installation without the extras would have it."""
    for module in ("lxml", "pypdfium2"):
        (tmp_path / f"{module}.py").write_text(f"raise ModuleNotFoundError('No module named {module}', name='{module}')\n")
    monkeypatch.setenv("PYTHONPATH", str(tmp_path))
    for name, data in (("strap.docx", sound_word()), ("strap.odt", opendocument(ROWS)), ("strap.pdf", pdf(ROWS))):
        extra = {"docx": "word"}.get(name[6:], name[6:])
        with pytest.raises(Unreadable, match=rf"needs the extra “{extra}”.*pip install 'tenterhook\[{extra}\]'"):
            manuscript_from(data, name)
    assert manuscript_from(b"<!doctype html><p>Ch 11.", "strap.html").text.source == "Ch 11.\n"


def test_one_broken_file_costs_only_itself(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "a.docx").write_bytes(sound_word())
    (tmp_path / "b.pdf").write_bytes(locked_pdf())
    (tmp_path / "c.md").write_text("\n".join(ROWS))
    assert cli.main(["proof", "--format", "lines", str(tmp_path)]) == 2
    written = capsys.readouterr()
    assert written.err == f"tenterhook: {tmp_path / 'b.pdf'}: this PDF is locked with a password; save it without one\n"
    assert "Traceback" not in written.out
