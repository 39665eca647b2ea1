"""Word files, made with python-docx and with Word's own XML (ECMA-376) where it has no words for a thing."""

from __future__ import annotations

import io

from documents import W, put_in, read, run, saved, word
from docx import Document
from docx.opc.constants import RELATIONSHIP_TYPE
from docx.opc.packuri import PackURI
from docx.opc.part import Part
from tenterhook.lint.manuscript.origins import InParagraph
from tenterhook.lint.manuscript.word import characters, paragraphs, runs
from tenterhook.lint.text import Span

STRAP = ["Gannet Strap", "", "Ch 11.", "Row 1: Sc in 2nd ch from hook and in each ch across, turn. (10 sc)"]


def test_paragraphs_are_lines_and_every_character_knows_its_run() -> None:
    document = Document()
    document.add_heading("Gannet Strap", 1)
    paragraph = document.add_paragraph("Row 1: ")
    paragraph.add_run("Ch 11").bold = True
    paragraph.add_run(", sc in 2nd ch\tfrom hook.")
    document.add_table(1, 1).cell(0, 0).text = "Use a 5\u00a0mm hook."
    data = saved(document)
    text, remark = read("word", data)
    assert text.source == "Gannet Strap\n\nRow 1: Ch 11, sc in 2nd ch\tfrom hook.\n\nUse a 5\u00a0mm hook.\n\n"
    assert remark == ""
    body = Document(io.BytesIO(data)).part.element
    seen = ""
    for stretch in text.origins:
        at = stretch.origin
        assert isinstance(at, InParagraph) and at.part == "word/document.xml"
        shown = "".join(chars for _, chars in characters(runs(paragraphs(body)[at.paragraph])[at.run]))
        words = text[stretch.span]
        assert shown[at.start : at.start + len(words)] == words
        seen += words
    assert seen == text.source.replace("\n", "")
    bold = text.source.index("Ch 11")
    (stretch,) = text.origins_of(Span(bold, bold + 2))
    assert stretch.origin.where == "paragraph 2"
    assert stretch.origin.facts(0, 2) == {"part": "word/document.xml", "paragraph": 2, "run": 2, "characters": [0, 2]}
    assert text.where(text.source.index("5\u00a0mm")) == "table 1, row 1, cell 1"


def test_the_numbers_of_lists_are_part_of_the_text_and_count_as_printed() -> None:
    document = Document()
    for words in ("6 sc in ring.", "2 sc in each st.", "*Sc, inc; rep from * around."):
        document.add_paragraph(words, "List Number")
    document.add_paragraph("Yarn needle", "List Bullet")
    text, _ = read("word", saved(document))
    assert text.source == "1. 6 sc in ring.\n2. 2 sc in each st.\n3. *Sc, inc; rep from * around.\n• Yarn needle\n"
    number = next(stretch for stretch in text.origins if text[stretch.span] == "2. ")
    assert number.origin.facts(0, 1)["run"] is None


NUMBERING = f"""<w:numbering {W}>
<w:abstractNum w:abstractNumId="7">
<w:lvl w:ilvl="0"><w:start w:val="5"/><w:numFmt w:val="decimal"/><w:lvlText w:val="Rnd %1:"/></w:lvl>
<w:lvl w:ilvl="1"><w:start w:val="1"/><w:numFmt w:val="lowerLetter"/><w:lvlText w:val="%1.%2)"/></w:lvl>
</w:abstractNum>
<w:num w:numId="40"><w:abstractNumId w:val="7"/></w:num>
<w:num w:numId="41"><w:abstractNumId w:val="7"/><w:lvlOverride w:ilvl="0"><w:startOverride w:val="1"/></w:lvlOverride></w:num>
</w:numbering>"""


def test_lists_that_start_elsewhere_nest_go_on_and_begin_anew() -> None:
    document = Document()
    document.part.numbering_part._element[:] = list(type(document.part.numbering_part).load(
        PackURI("/word/numbering.xml"), "application/xml", NUMBERING.encode(), document.part.package
    )._element)  # fmt: skip
    for number, level, words in ((40, 0, "a"), (40, 1, "b"), (40, 1, "c"), (40, 0, "d"), (40, 1, "e"), (41, 0, "f"), (40, 0, "g")):
        paragraph = document.add_paragraph(words)
        put = f'<w:pPr {W}><w:numPr><w:ilvl w:val="{level}"/><w:numId w:val="{number}"/></w:numPr></w:pPr>'
        paragraph._p.insert(0, _element(put))
    text, _ = read("word", saved(document))
    assert text.source.split("\n") == ["Rnd 5: a", "5.a) b", "5.b) c", "Rnd 6: d", "6.a) e", "Rnd 1: f", "Rnd 2: g", ""]


def _element(xml: str) -> object:
    from docx.oxml import parse_xml

    return parse_xml(xml)


def test_tracked_changes_are_read_as_accepted_and_said() -> None:
    document = Document()
    paragraph = document.add_paragraph("Row 2: Ch 1, sc in each of next ")
    put_in(paragraph, f'<w:del w:id="1" w:author="A">{run("9").replace("w:t", "w:delText", 2)}</w:del>')
    put_in(paragraph, f'<w:ins w:id="2" w:author="A">{run("10")}</w:ins>{run(" sts, turn.")}')
    text, remark = read("word", saved(document))
    assert text.source == "Row 2: Ch 1, sc in each of next 10 sts, turn.\n"
    assert remark == "tracked changes were read as accepted (put in: 1, taken out: 1)"


def test_a_break_between_paragraphs_that_was_taken_out_joins_them() -> None:
    document = Document()
    first = document.add_paragraph("Row 2: Ch 1, ")
    first._p.insert(0, _element(f'<w:pPr {W}><w:rPr><w:del w:id="1" w:author="A"/></w:rPr></w:pPr>'))
    document.add_paragraph("sc in each st across.")
    text, _ = read("word", saved(document))
    assert text.source == "Row 2: Ch 1, sc in each st across.\n"


def test_what_is_not_printed_is_left_out_and_what_is_printed_otherwise_is_so_read() -> None:
    document = Document()
    paragraph = document.add_paragraph("Work")
    put_in(paragraph, run(" SECRET", "<w:vanish/>") + run(" 3-dc", "<w:strike/>") + run("", '<w:strike w:val="0"/>'))
    put_in(paragraph, "<w:r><w:t> 2</w:t><w:softHyphen/><w:noBreakHyphen/><w:t>dc group</w:t></w:r>")
    put_in(paragraph, run(", 12") + run("1", '<w:vertAlign w:val="superscript"/>') + run(" sts, 1"))
    put_in(paragraph, run("1", '<w:vertAlign w:val="superscript"/>') + run("/2 in"))
    put_in(paragraph, '<w:r><w:sym w:font="Symbol" w:char="F0B4"/></w:r>')
    put_in(paragraph, '<w:r><w:fldChar w:fldCharType="begin"/></w:r><w:r><w:instrText>PAGE</w:instrText></w:r>')
    put_in(paragraph, f'<w:r><w:fldChar w:fldCharType="separate"/></w:r>{run(" p. 4")}<w:r><w:fldChar w:fldCharType="end"/></w:r>')
    text, remark = read("word", saved(document))
    assert remark == "words that are struck out were left out"
    assert text.source == "Work 2\u2011dc group, 12¹ sts, 1 1/2 in× p. 4\n"


def test_a_table_of_rounds_reads_as_rounds_and_another_table_in_bars() -> None:
    document = Document()
    rounds = (("Round", "Instructions", "Stitches"), ("1", "6 sc in magic ring", "6"), ("2", "2 sc in each st around", "12"))
    sizes = (("", "S", "M"), ("Bust", "32", "36"))
    for rows in (rounds, sizes):
        table = document.add_table(len(rows), 3)
        for row, words in zip(table.rows, rows, strict=True):
            for cell, value in zip(row.cells, words, strict=True):
                cell.text = value
        document.add_paragraph("")
    text, _ = read("word", saved(document))
    assert "Rnd 1: 6 sc in magic ring (6)\nRnd 2: 2 sc in each st around (12)\n" in text.source
    assert "| | S | M |\n| Bust | 32 | 36 |\n" in text.source.replace("|  |", "| |")


BOX = (
    '<w:r><mc:AlternateContent xmlns:mc="http://schemas.openxmlformats.org/markup-compatibility/2006">'
    '<mc:Choice Requires="wps"><w:drawing><w:txbxContent><w:p>{0}</w:p></w:txbxContent></w:drawing></mc:Choice>'
    '<mc:Fallback><w:pict><w:txbxContent><w:p>{0}</w:p></w:txbxContent></w:pict></mc:Fallback>'
    "</mc:AlternateContent></w:r>"
)  # fmt: skip


def test_text_boxes_notes_and_heads_are_read_once_and_say_where_they_stand() -> None:
    document = Document()
    document.sections[0].header.paragraphs[0].text = "Quarrywell Leaflets"
    put_in(document.add_paragraph("Row 1: Ch 11."), BOX.format(run("Gauge: 13 sts = 4 in")) + '<w:r><w:footnoteReference w:id="2"/></w:r>')
    notes = f'<w:footnotes {W}><w:footnote w:id="0" w:type="separator"><w:p/></w:footnote><w:footnote w:id="2"><w:p>{run("Or 12 for a longer strap.")}</w:p></w:footnote></w:footnotes>'
    kind = "application/vnd.openxmlformats-officedocument.wordprocessingml.footnotes+xml"
    document.part.relate_to(Part(PackURI("/word/footnotes.xml"), kind, notes.encode(), document.part.package), RELATIONSHIP_TYPE.FOOTNOTES)
    text, remark = read("word", saved(document))
    assert text.source == "Row 1: Ch 11.\nGauge: 13 sts = 4 in\n\nNotes\nOr 12 for a longer strap.\n\nQuarrywell Leaflets\n"
    assert remark == "footnotes, headers and footers were read after the text"
    where = {words: text.where(text.source.index(words)) for words in ("Gauge", "Or 12", "Quarry")}
    assert where == {"Gauge": "text box at paragraph 1", "Or 12": "footnote 1", "Quarry": "header"}


def test_what_another_program_made_is_said_to_be_unread() -> None:
    document = Document()
    put_in(document.add_paragraph("Row 1: Ch 11."), "<w:r><w:object/></w:r>")
    text, _ = read("word", saved(document))
    (gap,) = text.gaps
    assert "spreadsheet, and it was not read" in gap.message and gap.offset >= text.source.index("Ch 11")


def test_nothing_of_a_plain_manuscript_is_added_or_lost() -> None:
    text, remark = read("word", word(STRAP))
    assert (text.source, remark) == ("\n".join(STRAP) + "\n", "")
    assert text.gaps == ()
