"""The worksheet as a page: well formed, every row of the JSON worksheet in it, every picture with its words."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from pages import SVG, XHTML, all_of, check, parsed, words
from tenterhook.lint import cli
from tenterhook.lint.manuscript.read import Unreadable
from tenterhook.lint.proof import proof
from tenterhook.lint.report import worksheet_html, worksheet_json
from tenterhook.lint.text import Text
from tenterhook.lint.trade.symbols import CREDIT
from tenterhook.lint.trade.terms import in_terms

ROOT = Path(__file__).parent.parent
EXAMPLES = sorted([*ROOT.glob("examples/3*"), *ROOT.glob("examples/submitted/3*")])


def page_of(source: str, name: str = "leaflet.txt") -> str:
    return worksheet_html.report([worksheet_html.sheet(name, proof(Text(source, name), rules=()), 1)], [])


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda p: f"{p.parent.name}/{p.name}")
def test_every_row_of_the_json_worksheet_is_in_the_page(path: Path) -> None:
    source = path.read_text("utf-8")
    tree = check(page_of(source))
    tables = [t for t in all_of(tree, "table") if (t.get("id") or "").endswith("-counts")]
    done = proof(Text(source), rules=())
    sheet = worksheet_json.worksheet(path.name, done)
    pieces = [piece for piece in sheet["pieces"] if piece["rows"]]
    assert len(tables) == len(pieces)
    several = any(len(r["sizes"]) > 1 for piece in pieces for r in piece["rows"])
    for table, piece in zip(tables, pieces, strict=True):
        lines = [[words(cell) for cell in tr] for tr in all_of(table, "tr")][1:]
        at = 0
        for row in piece["rows"]:
            state = {"unread": "not read"}.get(row["status"], row["status"])
            label = row["label"] + (f" ×{row['times']}" if row.get("times", 1) > 1 else "")
            for number, size in enumerate(row["sizes"]):
                line = lines[at]
                at += 1
                if number == 0:
                    assert line[:2] == [f"{label} line {row['line']}", row["side"] or "–"]
                    assert state in line
                    line = line[2:]
                if several:
                    assert line[0] == size["size"]
                    line = line[1:]
                shown = ["–" if size[k] is None else str(size[k]) for k in ("base", "used", "made", "stated")]
                assert line[:4] == shown
                working = in_terms(" ".join(size["working"].split()), done.work.terms)
                assert line[-1] == working or (line[-1] == "–" and not working)
        assert at == len(lines)


def test_every_picture_is_told_in_words_beside_it() -> None:
    tree = check(page_of((ROOT / "examples/31-harbour-cosy.md").read_text("utf-8")))
    figures = all_of(tree, "figure")
    assert len(figures) == 2
    for figure in figures:
        (picture,) = all_of(figure, "svg")
        labels = {"".join(t.itertext()).split(" RS")[0].split(" WS")[0].strip("←→ ") for t in picture.iter(SVG + "text")}
        told = {words(li).split(" (")[0] for li in all_of(figure, "li")}
        assert labels == told


def test_the_key_names_what_is_drawn_and_gives_credit() -> None:
    tree = check(page_of((ROOT / "examples/31-harbour-cosy.md").read_text("utf-8")))
    terms = [words(dd).split(":")[0] for dd in all_of(tree, "dd")]
    assert terms == ["ch", "sc, single crochet", "dc, double crochet", "tr, treble crochet", "popcorn", "together", "crossed", "raised", "sunk"]
    assert CREDIT in words(tree)


def test_a_row_that_differs_is_marked_in_words_in_the_table_and_in_the_picture() -> None:
    tree = check(page_of("Ch 9.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (9 sc)\n"))
    (line,) = [tr for tr in all_of(tree, "tr") if tr.get("id")]
    assert "differs" in [words(c) for c in line] and "-1" in [words(c) for c in line]
    assert any("differs" in words(t) for t in all_of(tree, "text"))


def test_words_of_a_manuscript_are_never_markup() -> None:
    source = "<script>alert(1)</script>\n\n<b>Hat</b> & \"Cap\"\nCh 9.\nRow 1: Sc in 2nd ch from hook and in each ch across. (8 sc)\n"
    page = page_of(source, "a<img src=x onerror=y>\u202e\x1b&.txt")
    tree = check(page)
    assert "a<img src=x onerror=y>" in words(all_of(tree, "h2")[0])
    assert "\x1b" not in page and "\u202e" not in page


def test_an_empty_manuscript_has_a_page_that_says_so() -> None:
    assert "nothing to work" in words(check(page_of("")))


def test_several_manuscripts_and_one_that_could_not_be_read() -> None:
    sheets = [worksheet_html.sheet(f"{n}.txt", proof(Text("Ch 9.\nRow 1: Sc in 2nd ch from hook and in each ch across. (8 sc)\n"), rules=()), n) for n in (1, 2)]
    tree = check(worksheet_html.report(sheets, [Unreadable("x.pdf", "PDF files are not read yet")]))
    assert [words(h) for h in all_of(tree, "h2")][:3] == ["Files that could not be read", "1.txt", "2.txt"]
    assert [words(a) for a in all_of(tree, "a")][1:3] == ["1.txt", "2.txt"]


def test_it_can_be_written_in_ascii_alone() -> None:
    source = (ROOT / "examples/35-estuary-wrap.txt").read_text("utf-8")
    sheet = worksheet_html.sheet("é.txt", proof(Text(source), rules=()), 1)
    page = worksheet_html.report([sheet], [], ascii_only=True)
    assert page.isascii()
    assert "é.txt" in words(check(page))


def test_pictures_of_one_manuscript_have_an_end(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(worksheet_html, "MOST_PICTURES", 2)
    piece = "Ch 9.\nRow 1: Sc in 2nd ch from hook and in each ch across. (8 sc)\n"
    tree = check(page_of("\n".join(f"PART {n}\n{piece}" for n in "ABCD")))
    assert len(all_of(tree, "figure")) == 2
    assert "the rest is not drawn" in words(tree)


def test_the_command(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    path = tmp_path / "mat.txt"
    path.write_text("Ch 9.\nRow 1: Sc in 2nd ch from hook and in each ch across. (8 sc)\n", "utf-8")
    assert cli.main(["worksheet", "--format", "html", str(path), str(tmp_path / "none.txt")]) == cli.FAILED
    out = capsys.readouterr()
    assert "none.txt" in out.err
    assert check(out.out).tag == XHTML + "html"
    assert cli.main(["worksheet", "--format", "json", str(path)]) == cli.NOTHING
    assert len(json.loads(capsys.readouterr().out)["worksheets"]) == 1


def test_the_parser_used_here_would_notice() -> None:
    with pytest.raises(Exception, match=r"."):
        parsed("<!DOCTYPE html><html><head><title>x</title></head><body><p><div></p></body></html>")
