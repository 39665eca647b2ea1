"""What is read, how it is decoded, and what is refused with which words."""

from __future__ import annotations

import codecs
import io
import os
import sys
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tenterhook.lint.manuscript.find import manuscripts
from tenterhook.lint.manuscript.plain import MAX_LINE
from tenterhook.lint.manuscript.read import MAX_BYTES, Unreadable, manuscript_from, read, read_manuscript

ROW = "Row 1: Ch 11, sc in 2nd ch from hook and in each ch across, turn. (10 sts)\n"


def refusal(path: Path | str) -> str:
    with pytest.raises(Unreadable) as caught:
        read(str(path))
    assert caught.value.path == str(path)
    return caught.value.reason


@pytest.mark.parametrize(
    ("data", "source"),
    [
        (ROW.encode(), ROW),
        (codecs.BOM_UTF8 + ROW.encode(), ROW),
        ("½ café – 10 sts".encode(), "½ café – 10 sts"),
        (codecs.BOM_UTF16_LE + "café".encode("utf-16-le"), "café"),
        (codecs.BOM_UTF16_BE + "café".encode("utf-16-be"), "café"),
        (codecs.BOM_UTF32_LE + "café".encode("utf-32-le"), "café"),
        (b"a\r\nb\rc\n\x0cd", "a\r\nb\rc\n\x0cd"),
    ],
)
def test_the_characters_are_kept_as_they_are(tmp_path: Path, data: bytes, source: str) -> None:
    path = tmp_path / "cowl.txt"
    path.write_bytes(data)
    manuscript = read_manuscript(str(path))
    assert (manuscript.text.source, manuscript.text.name, manuscript.remark) == (source, str(path), "")


@pytest.mark.parametrize(
    ("data", "source", "said"),
    [
        ("½ café – 10 sts".encode("cp1252"), "½ café – 10 sts", "Windows-1252"),
        (b"caf\xe9 \x81 10 sts", "caf\xe9 \x81 10 sts", "Latin-1"),
    ],
)
def test_an_older_encoding_is_read_and_said_so(data: bytes, source: str, said: str) -> None:
    manuscript = manuscript_from(data, "old.txt")
    assert manuscript.text.source == source
    assert said in manuscript.remark


@pytest.mark.parametrize(
    ("name", "data", "words"),
    [
        ("empty.txt", b"", "empty"),
        ("blank.txt", b" \r\n\t\n\xc2\xa0\n", "white space"),
        ("mark-alone.txt", codecs.BOM_UTF8, "empty"),
        ("nul.txt", b"Row 1: ch 10\0", "not text"),
        ("noise.txt", bytes(range(1, 32)) * 9, "not text"),
        ("no-mark.txt", "café".encode("utf-16-le"), "not text"),
        ("cut.txt", codecs.BOM_UTF16_LE + b"a\0b", "damaged"),
        ("cowl.docx", b"PK\x03\x04rest", "cannot be unpacked"),
        ("cowl.odt", b"", "empty"),
        ("cowl.pdf", b"Row 1: Ch 11", "not what a .pdf file begins like"),
        ("cowl.doc", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "save it as .docx"),
        ("cowl.txt", b"{\\rtf1\\ansi Row 1: Ch 11}", "a rich text file"),
        ("cowl.pages", b"Row 1: Ch 11", "only its own program reads"),
        ("large.txt", b"a\n" * (MAX_BYTES // 2 + 1), "8 MB"),
        ("line.txt", ROW.encode() + b"sc, " * (MAX_LINE // 4 + 1), "line 2 is longer"),
    ],
)
def test_what_is_refused_names_the_reason(tmp_path: Path, name: str, data: bytes, words: str) -> None:
    path = tmp_path / name
    path.write_bytes(data)
    assert words in refusal(path)


def test_the_limits_themselves_are_still_read(tmp_path: Path) -> None:
    path = tmp_path / "large.txt"
    path.write_bytes(b"a\n" * (MAX_BYTES // 2))
    assert len(read(str(path))) == MAX_BYTES
    for line_end in (b"\n", b"\r", b"\r\n", b""):
        path.write_bytes(b"b\n" + b"a" * MAX_LINE + line_end + b"c")
        if line_end:
            assert len(read(str(path))) == MAX_LINE + 3 + len(line_end)
        else:
            assert "line 2 is longer" in refusal(path)


def test_no_more_than_the_limit_is_ever_read(monkeypatch: pytest.MonkeyPatch) -> None:
    class Endless(io.RawIOBase):
        asked = 0

        def read(self, size: int = -1) -> bytes:
            self.asked = size
            return b"a\n" * (size // 2)

    endless = Endless()
    monkeypatch.setattr(sys, "stdin", type("Stream", (), {"buffer": endless})())
    read("-")
    assert endless.asked == MAX_BYTES + 1


def test_missing_folder_and_closed_input(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert "no such file" in refusal(tmp_path / "nowhere.txt")
    assert "no such file" in refusal(tmp_path / "nowhere.docx")
    assert "folder" in refusal(tmp_path)
    assert "could not be read" in refusal("a" * 5000)
    assert "could not be read" in refusal("a\0b")
    monkeypatch.setattr(sys, "stdin", None)
    assert "closed" in refusal("-")


@pytest.mark.skipif(os.name == "nt" or os.geteuid() == 0, reason="everybody may read everything here")
def test_no_permission(tmp_path: Path) -> None:
    path = tmp_path / "locked.txt"
    path.write_text(ROW)
    path.chmod(0)
    assert "permission" in refusal(path)


@settings(deadline=None)
@given(st.binary(max_size=300))
def test_any_bytes_give_a_text_or_a_reason(data: bytes) -> None:
    try:
        assert manuscript_from(data, "any.txt").text.source
    except Unreadable as unreadable:
        assert unreadable.reason


def test_a_folder_stands_for_the_manuscripts_below_it(tmp_path: Path) -> None:
    for name in ("b.txt", "a.md", "C.MARKDOWN", "sub/d.txt", ".hidden.txt", ".git/e.txt", "chart.png", "f.docx", "~$f.docx", "g.PDF"):
        path = tmp_path / name
        path.parent.mkdir(exist_ok=True)
        path.write_text(ROW)
    expected = [str(tmp_path / name) for name in ("C.MARKDOWN", "a.md", "b.txt", "f.docx", "g.PDF", "sub/d.txt")]
    assert manuscripts([str(tmp_path)]) == expected


def test_each_path_once_in_the_order_given_and_an_empty_folder_is_told(tmp_path: Path) -> None:
    empty = tmp_path / "empty"
    empty.mkdir()
    (tmp_path / "a.txt").write_text(ROW)
    found = manuscripts(["-", str(tmp_path / "a.txt"), str(empty), str(tmp_path), "-", "missing.txt"])
    assert [p if isinstance(p, str) else (p.path, "no manuscripts" in p.reason) for p in found] == [
        "-",
        str(tmp_path / "a.txt"),
        (str(empty), True),
        "missing.txt",
    ]
