"""Web pages: the text as a browser shows it, and where each character stands in the source."""

from __future__ import annotations

from html import unescape

import pytest
from documents import read
from tenterhook.lint.confined import Refused
from tenterhook.lint.manuscript.origins import InSource
from tenterhook.lint.manuscript.read import manuscript_from

HEAD = "<!doctype html><html><head><title>Not shown</title><style>p { color: red }</style></head><body>"


def shown(body: str) -> str:
    return read("html", (HEAD + body).encode())[0].source


@pytest.mark.parametrize(
    ("body", "source"),
    [
        ("<h2>Gannet  Strap</h2><p>Ch\n 11.<p>Row 1: <b>Sc</b> in 2nd ch", "Gannet Strap\n\nCh 11.\nRow 1: Sc in 2nd ch\n"),
        ("<p>5&nbsp;mm &amp; 1&frac12; in &lt;4 in&#62; &bogus;", "5\u00a0mm & 1½ in <4 in> &bogus;\n"),
        ("<p>Row 1:&#26; 6 sc&#x1;.", "Row 1: 6 sc.\n"),
        ("<p>Ch 11.<br>Row 1: sc across.<br/>Turn.", "Ch 11.\nRow 1: sc across.\nTurn.\n"),
        ("<p hidden>No.<p style='display:none'>Nor this.<p>Yes.<script>*</script><!-- nor this -->", "Yes.\n"),
        ("<p>Sc in next <del>9</del><ins>10</ins> sts.", "Sc in next 10 sts.\n"),
        ("<p>Row 2: 12<sup>1</sup> sts, 1<sup>1</sup>/2 in, st\u00adi\u00adtch", "Row 2: 12¹ sts, 1 1/2 in, stitch\n"),
        ("<ol start=3><li>6 sc.<li>2 sc in each.</ol><ul><li>Yarn needle</ul>", "3. 6 sc.\n4. 2 sc in each.\n• Yarn needle\n"),
        ("<ol type=a><li>One<ol><li>Two</ol><li value=5>Three</ol>", "a. One\n1. Two\ne. Three\n"),
        ("<dl><dt>sc<dd>single crochet<dt>ch<dd>chain</dl>", "sc: single crochet\nch: chain\n"),
        ("<pre>\nRow 1: sc\n  (6)</pre>after", "Row 1: sc\n  (6)\nafter\n"),
        (
            "<table><tr><th>Rnd<th>What<th>Stitches<tr><td>1<td>6 sc in ring<td>6<tr><td>2<td>2 sc in each<td>12</table>",
            "Rnd 1: 6 sc in ring (6)\nRnd 2: 2 sc in each (12)\n",
        ),
        ("<table><tr><td rowspan=2>Bust<td>32<tr><td>36</table>", "| Bust | 32 |\n| | 36 |\n"),
        ("<div>One <div>Two</div> three</div></span></div>four", "One\nTwo\nthree\nfour\n"),
    ],
)
def test_a_page_reads_as_a_browser_shows_it(body: str, source: str) -> None:
    assert [line.replace("|  |", "| |").rstrip() for line in shown(body).strip("\n").split("\n")] == [*source.strip("\n").split("\n")]


def test_every_character_knows_its_place_in_the_source() -> None:
    page = HEAD + "\n<p>Row&nbsp;1:\n  <i>Ch</i> 11 &amp; turn&hellip; caf\u00e9\n<table><tr><td>a<td>b</table>"
    text, _ = read("html", page.encode())
    seen = ""
    for stretch in text.origins:
        at, words = stretch.origin, text[stretch.span]
        assert isinstance(at, InSource)
        start, end = at.facts(0, len(words))["characters"]  # type: ignore[misc]
        assert " ".join(unescape(page[start:end]).split(" ")).strip() == words.strip() or words == " "
        assert at.line == page[:start].count("\n") + 1
        seen += words
    assert "".join(seen.split()) == "".join(text.source.replace("|", "").split())
    assert text.where(text.source.index("turn")) == "line 3 of the source"


def test_what_a_page_says_without_words_is_said_to_be_unread() -> None:
    text, _ = read("html", (HEAD + "<p>Ch 11.</p><svg><text>Row 1</text></svg><iframe src=x></iframe>").encode())
    assert text.source == "Ch 11.\n"
    assert [gap.message.partition(" is set in")[0] for gap in text.gaps] == ["A drawing", "Another page"]
    with pytest.raises(Refused, match="no text of its own"):
        read("html", (HEAD + "<script>document.write('Row 1')</script>").encode())


@pytest.mark.parametrize("encoding", ["utf-8", "windows-1252", "utf-16"])
def test_the_encoding_a_page_names_is_used(encoding: str) -> None:
    page = f"<!doctype html><meta charset={encoding}><p>½ café – 10 sts".encode(encoding)
    assert read("html", page)[0].source == "½ café – 10 sts\n"


def test_a_page_is_known_by_its_name_or_its_beginning() -> None:
    page = (HEAD + "<p>Ch 11.").encode()
    for name in ("strap.html", "strap.HTM", "-", "strap"):
        manuscript = manuscript_from(page, name)
        assert (manuscript.kind, manuscript.text.source) == ("html", "Ch 11.\n")
    assert manuscript_from(b"Ch 11. <b>Turn</b>", "strap.md").kind == "text"
