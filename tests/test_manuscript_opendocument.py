"""OpenDocument texts, made with odfpy."""

from __future__ import annotations

import io
import zipfile
from typing import Any

import pytest
from documents import opendocument, read, saved
from lxml import etree
from odf.draw import Frame, TextBox
from odf.namespaces import TEXTNS
from odf.opendocument import OpenDocumentText
from odf.style import Header, MasterPage, PageLayout, Style, TextProperties
from odf.table import Table, TableCell, TableRow
from odf.text import (
    ChangedRegion,
    Deletion,
    H,
    Insertion,
    LineBreak,
    List,
    ListItem,
    ListLevelStyleBullet,
    ListLevelStyleNumber,
    ListStyle,
    Note,
    NoteBody,
    NoteCitation,
    P,
    S,
    Span,
    Tab,
    TrackedChanges,
)  # fmt: skip
from tenterhook.lint.confined import Refused
from tenterhook.lint.manuscript.opendocument import nodes, paragraphs
from tenterhook.lint.manuscript.origins import InParagraph


def test_paragraphs_are_lines_and_every_character_knows_where_it_stands() -> None:
    document = OpenDocumentText()
    document.text.addElement(H(outlinelevel=1, text="Gannet Strap"))
    paragraph = P(text="Row 1: ")
    paragraph.addElement(Span(text="Ch 11"))
    paragraph.addText(",")
    paragraph.addElement(S(c=2))
    paragraph.addText("sc in 2nd ch")
    paragraph.addElement(Tab())
    paragraph.addText("from hook.")
    paragraph.addElement(LineBreak())
    paragraph.addText("Turn.")
    document.text.addElement(paragraph)
    data = saved(document)
    text, remark = read("opendocument", data)
    assert text.source == "Gannet Strap\n\nRow 1: Ch 11,  sc in 2nd ch\tfrom hook.\nTurn.\n"
    assert remark == ""
    body = etree.fromstring(zipfile.ZipFile(io.BytesIO(data)).read("content.xml"))
    seen = ""
    for stretch in text.origins:
        at = stretch.origin
        assert isinstance(at, InParagraph) and at.part == "content.xml"
        shown = list(nodes(paragraphs(body)[at.paragraph]))[at.run].chars
        words = text[stretch.span]
        assert shown[at.start : at.start + len(words)] == words
        seen += words
    assert seen.replace("\n", "") == text.source.replace("\n", "")
    assert text.where(text.source.index("hook")) == "paragraph 2"


def numbered(before: str = "", after: str = ".") -> ListStyle:
    style = ListStyle(name="L1")
    style.addElement(ListLevelStyleNumber(level=1, numformat="1", numprefix=before, numsuffix=after))
    style.addElement(ListLevelStyleNumber(level=2, numformat="a", numsuffix=")"))
    return style


def entry(*inner: Any) -> ListItem:
    item = ListItem()
    for each in inner:
        item.addElement(each)
    return item


def listed(*items: ListItem, **options: Any) -> List:
    made = List(**options)
    for item in items:
        made.addElement(item)
    return made


def test_the_numbers_of_lists_are_part_of_the_text_and_count_as_printed() -> None:
    document = OpenDocumentText()
    document.automaticstyles.addElement(numbered("Rnd ", ":"))
    bullets = ListStyle(name="L2")
    bullets.addElement(ListLevelStyleBullet(level=1, bulletchar="–"))
    document.automaticstyles.addElement(bullets)
    inner = listed(entry(P(text="b")), entry(P(text="c")))
    document.text.addElement(listed(entry(P(text="a"), inner), entry(P(text="d")), stylename="L1"))
    document.text.addElement(P(text="Between."))
    document.text.addElement(listed(entry(P(text="e")), stylename="L1", continuenumbering="true"))
    document.text.addElement(listed(entry(P(text="f")), stylename="L1"))
    document.text.addElement(listed(entry(P(text="Yarn needle")), stylename="L2"))
    text, _ = read("opendocument", saved(document))
    lines = ["Rnd 1: a", "a) b", "b) c", "Rnd 2: d", "Between.", "Rnd 3: e", "Rnd 1: f", "• Yarn needle", ""]
    assert text.source.split("\n") == lines


def test_tracked_changes_are_read_as_accepted_and_said() -> None:
    document = OpenDocumentText()
    changes = TrackedChanges()
    for name, kind in (("ct1", Insertion()), ("ct2", Deletion())):
        region = ChangedRegion(qattributes={(TEXTNS, "id"): name}, check_grammar=False)
        if name == "ct2":
            kind.addElement(P(text="9"))
        region.addElement(kind)
        changes.addElement(region)
    document.text.addElement(changes)
    document.text.addElement(P(text="Row 2: Ch 1, sc in each of next 10 sts, turn."))
    text, remark = read("opendocument", saved(document))
    assert text.source == "Row 2: Ch 1, sc in each of next 10 sts, turn.\n"
    assert remark == "tracked changes were read as accepted (put in: 1, taken out: 1)"


def test_words_struck_out_are_left_out_and_raised_figures_stay_apart() -> None:
    document = OpenDocumentText()
    struck, raised = Style(name="T1", family="text"), Style(name="T2", family="text")
    struck.addElement(TextProperties(attributes={"textlinethroughstyle": "solid"}))
    raised.addElement(TextProperties(attributes={"textposition": "super 58%"}))
    document.automaticstyles.addElement(struck)
    document.automaticstyles.addElement(raised)
    paragraph = P(text="Work ")
    paragraph.addElement(Span(stylename="T1", text="11 "))
    paragraph.addText("12")
    paragraph.addElement(Span(stylename="T2", text="1"))
    paragraph.addText(" sts.")
    document.text.addElement(paragraph)
    text, remark = read("opendocument", saved(document))
    assert (text.source, remark) == ("Work 12¹ sts.\n", "words that are struck out were left out")


def test_tables_boxes_notes_and_heads_are_read_once_and_say_where_they_stand() -> None:
    document = OpenDocumentText()
    layout = PageLayout(name="pl")
    document.automaticstyles.addElement(layout)
    page = MasterPage(name="Standard", pagelayoutname=layout)
    document.masterstyles.addElement(page)
    header = Header()
    header.addElement(P(text="Quarrywell Leaflets"))
    page.addElement(header)
    table = Table()
    for words in (("Rnd", "What", "Sts"), ("1", "6 sc in magic ring", "6"), ("2", "2 sc in each st", "12")):
        row = TableRow()
        for value in words:
            cell = TableCell()
            cell.addElement(P(text=value))
            row.addElement(cell)
        table.addElement(row)
    document.text.addElement(table)
    paragraph = P(text="Fasten off.")
    note, body = Note(noteclass="footnote"), NoteBody()
    note.addElement(NoteCitation(text="1"))
    body.addElement(P(text="Leave a long tail."))
    note.addElement(body)
    paragraph.addElement(note)
    frame, box = Frame(), TextBox()
    box.addElement(P(text="Gauge: 13 sts = 4 in"))
    frame.addElement(box)
    paragraph.addElement(frame)
    document.text.addElement(paragraph)
    text, remark = read("opendocument", saved(document))
    assert text.source == (
        "Rnd 1: 6 sc in magic ring (6)\nRnd 2: 2 sc in each st (12)\n\nFasten off.\nGauge: 13 sts = 4 in\n\nNotes\n"
        "Leave a long tail.\n\nQuarrywell Leaflets\n"
    )
    assert remark == "footnotes were read after the text; headers and footers were read after the text"
    where = {words: text.where(text.source.index(words)) for words in ("2 sc", "Leave", "Quarry")}
    assert where == {"2 sc": "table 1, row 3, cell 2", "Leave": "footnote 1", "Quarry": "header"}
    assert text.where(text.source.index("Gauge")).startswith("text box at paragraph ")


def test_other_opendocument_files_and_locked_ones_are_refused() -> None:
    data = opendocument(["Row 1: Ch 11."])
    for old, new, words in (
        (b"<manifest:file-entry ", b"<manifest:encryption-data/><manifest:file-entry ", "locked with a password"),
        (b"office:text", b"office:drawing", "no text document"),
    ):
        with pytest.raises(Refused, match=words):
            read("opendocument", changed(data, old, new))


def changed(data: bytes, old: bytes, new: bytes) -> bytes:
    """A packed file with words in its parts replaced."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as source, zipfile.ZipFile(out, "w") as target:
        for name in source.namelist():
            target.writestr(name, source.read(name).replace(old, new))
    return out.getvalue()
