"""PDF files, drawn with reportlab: lines, columns, tables, running heads, and where each character is printed."""

from __future__ import annotations

import io

import pytest
from documents import Pages, pdf, read
from PIL import Image
from reportlab.lib.utils import ImageReader
from reportlab.pdfbase.pdfmetrics import stringWidth
from tenterhook.lint.confined import Refused
from tenterhook.lint.manuscript.origins import OnPage
from tenterhook.lint.text import Span

ROWS = [
    "Row 1: Sc in 2nd ch from hook and in each ch across, turn. (10 sc)",
    "Row 2: Ch 1, sc in each sc across, turn. (10 sc)",
    "Row 3: Ch 1, 2 sc in first sc, sc in each sc to last sc, 2 sc in last sc, turn. (12 sc)",
]


def test_lines_that_were_ended_stay_and_every_character_knows_its_box() -> None:
    text, remark = read("pdf", pdf(["Gannet Strap", "", "Ch 11.", *ROWS]))
    assert text.source.split("\n") == ["Gannet Strap", "", "Ch 11.", *ROWS, ""]
    assert remark == ""
    start = text.source.index("each sc across")
    (stretch,) = text.origins_of(Span(start, start + 4))
    assert isinstance(stretch.origin, OnPage) and stretch.origin.where == "page 1"
    left, bottom, right, top = stretch.origin.box(start - stretch.span.start, start + 4 - stretch.span.start)
    before = stringWidth(ROWS[1].partition("each sc across")[0], "Helvetica", 10)
    assert left == pytest.approx(60 + before, abs=0.3)
    assert right == pytest.approx(60 + before + stringWidth("each", "Helvetica", 10), abs=0.3)
    baseline = 841.89 - (60 + 4 * 13)
    assert bottom < baseline < top and 8 < top - bottom < 14
    covered = sum(len(stretch.span) for stretch in text.origins)
    assert covered == len(text.source.replace("\n", ""))


def test_lines_broken_by_width_are_joined_and_words_put_together_again() -> None:
    lines = [
        "Row 1 (RS): Ch 1, sc in each of the next 5 sts, ch 2, sk next 2 sts, *dc in next st, ch 1, single cro-",
        "chet in the next st, FPdc around the post of the next st; rep from * to the last 4 sts, sc in the ch-",
        "2 sp, sc in each st to the end, turn. Leave the last stitch for the border that is to be worked when",
        "all is done.",
        "Row 2: Ch 1, sc in each st across, turn.",
    ]
    text, _ = read("pdf", pdf(lines))
    assert text.source == (
        "Row 1 (RS): Ch 1, sc in each of the next 5 sts, ch 2, sk next 2 sts, *dc in next st, ch 1, single crochet in the "
        "next st, FPdc around the post of the next st; rep from * to the last 4 sts, sc in the ch-2 sp, sc in each st to "
        "the end, turn. Leave the last stitch for the border that is to be worked when all is done.\n"
        "Row 2: Ch 1, sc in each st across, turn.\n"
    )


def test_columns_are_read_one_after_the_other() -> None:
    pages = Pages()
    pages.line(60, 60, "Gannet Strap, in two columns for the folded leaflet", 16)
    left = ["Materials: 1 ball of Skerry Cotton in", "Brine and a 4 mm hook.", "Gauge is not important here.", "Ch 11.", "Row 1: Sc in 2nd ch from hook and in", "each ch across, turn. (10 sc)"]
    right = ["Row 2: Ch 1, sc in each sc across,", "turn. (10 sc)", "Rows 3-6: Rep Row 2.", "Fasten off and weave in the ends.", "Block lightly and let it dry flat, away", "from the sun."]
    pages.lines(60, 100, left)
    pages.lines(320, 100, right)
    text, _ = read("pdf", pages.file())
    flat = " ".join(text.source.split())
    assert flat == "Gannet Strap, in two columns for the folded leaflet " + " ".join([*left, *right])
    assert "Row 1: Sc in 2nd ch from hook and in each ch across, turn. (10 sc)\n" in text.source
    assert "Row 2: Ch 1, sc in each sc across, turn. (10 sc)\n" in text.source


def test_a_table_is_read_row_by_row() -> None:
    pages = Pages()
    for at, words in enumerate((("Rnd", "Instructions", "Stitches"), ("1", "6 sc in magic ring", "6"), ("2", "2 sc in each st around", "12"), ("3", "(Sc in next st, inc) around", "18"))):
        for left, value in zip((60, 110, 400), words, strict=True):
            pages.line(left, 100 + 18 * at, value)
    text, _ = read("pdf", pages.file())
    assert "1" in text.source
    lines = [" ".join(line.split()) for line in text.source.strip().split("\n")]
    assert lines[-3:] == ["Rnd 1: 6 sc in magic ring (6)", "Rnd 2: 2 sc in each st around (12)", "Rnd 3: (Sc in next st, inc) around (18)"]


def test_running_heads_and_page_numbers_do_not_break_into_a_row() -> None:
    pages = Pages()
    for number, rows in enumerate(([*ROWS, "Row 4: Ch 1, sc in each of the next 5 sts, 2 sc in next st, sc in each"], ["st to the end, turn. (13 sc)", "Fasten off."]), 1):
        pages.line(60, 30, "Quarrywell Leaflets")
        pages.lines(60, 100, rows)
        pages.line(290, 820, str(number))
        pages.next_page()
    text, remark = read("pdf", pages.file())
    assert "Row 4: Ch 1, sc in each of the next 5 sts, 2 sc in next st, sc in each st to the end, turn. (13 sc)\n" in text.source
    assert text.source.endswith("\n\nQuarrywell Leaflets\n") and text.source.count("Quarrywell") == 1
    assert remark == "running heads were read after the text"
    assert text.where(text.source.index("Fasten")) == "page 2"


def test_raised_figures_ligatures_and_fractions() -> None:
    pages = Pages()
    pages.line(60, 100, "Row 1: Work 12")
    end = 60 + stringWidth("Row 1: Work 12", "Helvetica", 10)
    pages.line(end, 96, "1", 6)
    pages.line(end + 4, 100, " sts to a \u00bd in strip.")
    text, _ = read("pdf", pages.file())
    assert text.source == "Row 1: Work 12¹ sts to a ½ in strip.\n"


def test_a_page_that_is_turned_is_read_as_it_is_seen() -> None:
    pages = Pages()
    pages.canvas.setPageRotation(90)
    pages.canvas.translate(595, 0)
    pages.canvas.rotate(90)
    pages.canvas.setFont("Helvetica", 10)
    for at, words in enumerate(ROWS):
        pages.canvas.drawString(60, 500 - 14 * at, words)
    text, _ = read("pdf", pages.file())
    assert text.source == "\n".join(ROWS) + "\n"
    (stretch,) = text.origins_of(Span(0, 3))
    assert isinstance(stretch.origin, OnPage)
    left, bottom, right, top = stretch.origin.box(0, 3)
    assert pytest.approx(bottom, abs=0.5) == 60 and left < 595 - 500 < right and top - bottom > 10


def picture() -> ImageReader:
    out = io.BytesIO()
    Image.new("RGB", (60, 80), "grey").save(out, "PNG")
    return ImageReader(out)


def test_a_page_that_is_a_picture_is_said_to_be_unread() -> None:
    pages = Pages()
    pages.lines(60, 100, ROWS)
    pages.next_page()
    pages.canvas.drawImage(picture(), 20, 20, 550, 800)
    pages.next_page()
    pages.lines(60, 100, ["Finishing", "Fasten off and weave in the ends."])
    text, _ = read("pdf", pages.file())
    (gap,) = text.gaps
    assert gap.message == "Page 2 is a picture, and it was not read."
    assert text.source.index("turn. (12 sc)") < gap.offset <= text.source.index("Finishing")
    scan = Pages()
    scan.canvas.drawImage(picture(), 20, 20, 550, 800)
    with pytest.raises(Refused, match="pages are pictures"):
        read("pdf", scan.file())


def test_words_that_lie_aslant_or_off_the_page() -> None:
    pages = Pages()
    pages.lines(60, 100, ROWS)
    pages.line(60, -40, "PRINTER'S MARK")
    pages.canvas.saveState()
    pages.canvas.translate(200, 300)
    pages.canvas.rotate(45)
    pages.canvas.drawString(0, 0, "SAMPLE COPY")
    pages.canvas.restoreState()
    text, _ = read("pdf", pages.file())
    assert text.source.rstrip("\n") == "\n".join(ROWS)
    assert [gap.message for gap in text.gaps] == ["Words that lie aslant on page 1 were not read."]
