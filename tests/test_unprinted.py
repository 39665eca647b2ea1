"""Gauges, sizes and ease that an editor gives beside a manuscript. The sums are worked by hand: stitches ÷ gauge."""

from __future__ import annotations

from pathlib import Path

import pytest
from tenterhook.lint import cli
from tenterhook.lint.beside.margin_file import read_margin
from tenterhook.lint.beside.toml_file import Faulty
from tenterhook.lint.finding import Finding, Severity
from tenterhook.lint.margin import Margin
from tenterhook.lint.proof import proof
from tenterhook.lint.style import Style
from tenterhook.lint.text import Text
from tenterhook.lint.unprinted import GivenGauge, GivenMeasure, Unprinted

VEST = """\
Withy Vest

US terms.
Sizes: S (M, L)

Back
Ch 83 (93, 103).
Row 1: Sc in 2nd ch from hook and in each ch across, turn. 82 (92, 102) sc
Rows 2-60: Ch 1, sc in each sc across, turn. 82 (92, 102) sc

Sleeve
Ch 41 (45, 49).
Row 1: Sc in 2nd ch from hook and in each ch across, turn. 40 (44, 48) sc
Rows 2-20: Ch 1, sc in each sc across, turn. 40 (44, 48) sc
"""

RIB = '[[gauge]]\npattern = "ribbing"\nstitches = 18\nrows = 20\nover = "10 cm"\n'


def margin(tmp_path: Path, source: str) -> Margin:
    path = tmp_path / "vest.txt.toml"
    path.write_text(source, encoding="utf-8")
    return read_margin(str(path))


def found(tmp_path: Path, source: str, manuscript: str = VEST, **settings: object) -> list[Finding]:
    style = Style(strict=True, **settings)  # type: ignore[arg-type]
    return [f for f in proof(Text(manuscript), style, margin=margin(tmp_path, source)).findings if f.rule == "gauge-size"]


# Reading


def test_everything_that_can_be_given_is_read(tmp_path: Path) -> None:
    given = margin(
        tmp_path,
        RIB + 'pieces = ["Back", "Front"]\n\n[[gauge]]\npattern = "mesh"\nrows = 8\nover = "4 in"\npieces = "Sleeve"\n'
        '\n[[measure]]\npiece = "Back"\nwidth = "46 (51, 56) cm"\nlength = "12 in"\n'
        '\n[[measure]]\npiece = "Sleeve"\nbody = "30 (32, 34) cm"\nease = "4 cm"\n',
    ).unprinted  # fmt: skip
    assert given == Unprinted(
        (GivenGauge("ribbing", 18, 10, 20, 10, ("Back", "Front"), 1), GivenGauge("mesh", None, 10.16, 8, 10.16, ("Sleeve",), 8)),
        (
            GivenMeasure("Back", (46, 51, 56), (30.48,), "cm", (), 14),
            GivenMeasure(
                "Sleeve", (34, 36, 38), (), "cm",
                ("30 cm round the body and 4 cm of ease", "32 cm round the body and 4 cm of ease", "34 cm round the body and 4 cm of ease"), 19,
            ),
        ),
    )  # fmt: skip


@pytest.mark.parametrize(
    ("over", "width", "height"),
    [("10 cm", 10, 10), ("4 in", 10.16, 10.16), ('4"', 10.16, 10.16), ("4½ in", 11.43, 11.43), ("10 x 12 cm", 10, 12), ("100 mm", 10, 10)],
)
def test_the_span_of_a_gauge(tmp_path: Path, over: str, width: float, height: float) -> None:
    (gauge,) = margin(tmp_path, RIB.replace('"10 cm"', f"'{over}'")).unprinted.gauges
    assert (gauge.width, gauge.height) == pytest.approx((width, height))


@pytest.mark.parametrize(
    ("body", "ease", "share", "width"),
    [("86 cm", "5 cm", None, 91), ("86 cm", "5 cm", 0.5, 45.5), ("86 cm", "-6 cm", 0.5, 40), ("86 cm", None, None, 86), ("34 in", "2 in", None, 91.44), ("86 cm", "0 cm", 0.5, 43)],
)
def test_ease_is_put_to_the_body(tmp_path: Path, body: str, ease: str | None, share: float | None, width: float) -> None:
    source = f'[[measure]]\nbody = "{body}"\n' + (f'ease = "{ease}"\n' if ease else "") + (f"share = {share}\n" if share else "")
    assert margin(tmp_path, source).unprinted.measures[0].width == pytest.approx((width,))


def test_ease_may_differ_from_size_to_size(tmp_path: Path) -> None:
    source = '[[measure]]\nbody = "86 (96, 106) cm"\nease = "4 (6, 8) cm"\nshare = 0.5\n'
    assert margin(tmp_path, source).unprinted.measures[0].width == (45, 51, 57)


@pytest.mark.parametrize(
    ("source", "words"),
    [
        ("[[gauges]]", "line 1: there is no setting “gauges”; did you mean “gauge”?"),
        (RIB + 'piece = "Back"\n', "line 6: there is no setting “piece” in [[gauge]]; did you mean “pieces”?"),
        (RIB.replace("18", '"18"'), "line 3: “stitches” is “18”, but must be a number from 0.1 to 1000"),
        (RIB.replace("18", "0"), "line 3: “stitches” is 0"),
        (RIB.replace('"10 cm"', "10"), "line 5: “over” is 10, but must be words in quotation marks"),
        (RIB.replace("10 cm", "10"), "line 5: “over” is “10”, but must be a length with its unit, such as \"10 cm\""),
        (RIB.replace("10 cm", "0 cm"), "line 5: “over” is “0 cm”, but must be more than nothing"),
        (RIB.replace("10 cm", "10 g"), "line 5: “over” is “10 g”, but must be a length"),
        (RIB.replace("10 cm", "about 10 cm"), "line 5: “over” is “about 10 cm”, but must be a length"),
        (RIB.replace("10 cm", "10 (12, 14) cm"), "line 5: “over” is “10 (12, 14) cm”, but must be a length"),
        ('[[gauge]]\nstitches = 1\nover = "10 cm"\n', "line 1: a gauge without “pattern”"),
        ('[[gauge]]\npattern = "a"\nover = "10 cm"\n', "line 1: a gauge without “stitches” or “rows”"),
        ('[[gauge]]\npattern = "a"\nrows = 1\n', "line 1: a gauge without “over”"),
        (RIB + "pieces = []\n", "line 6: “pieces” is a list, but must be a name or a list of names"),
        ('[[measure]]\npiece = "Back"\n', "line 2: a measure without “width”, “length” or “body”"),
        ('[[measure]]\nwidth = "46 x 51 cm"\n', "line 2: “width” is “46 x 51 cm”"),
        ('[[measure]]\nease = "4 cm"\nwidth = "46 cm"\n', "line 2: “ease” is room around a body; give “body” as well"),
        ('[[measure]]\nbody = "86 cm"\nwidth = "46 cm"\n', "line 2: “width” and “body” both say how wide it is"),
        ('[[measure]]\nbody = "86 (96, 106) cm"\nease = "4 (5) cm"\n', "line 3: “ease” has 2 values and “body” 3"),
        ('[[measure]]\nbody = "86 cm"\nease = "-90 cm"\n', "line 3: “ease” takes away more than there is"),
        ('[[measure]]\nwidth = "46 cm"\nshare = 3\n', "line 3: “share” is 3, but must be a number from 0.01 to 2"),
    ],
)
def test_what_is_wrong_is_told_with_its_line(tmp_path: Path, source: str, words: str) -> None:
    with pytest.raises(Faulty) as caught:
        margin(tmp_path, source)
    assert words in caught.value.reason


# The sums: 82, 92 and 102 stitches at 18 to 10 cm are 45.6, 51.1 and 56.7 cm; 60 rows at 20 to 10 cm are 30 cm.


@pytest.mark.parametrize(
    "measure",
    [
        'width = "46 (51, 56) cm"',
        'width = "18 (20, 22) in"',
        'length = "30 cm"',
        'width = "46 (51, 56) cm"\nlength = "30 (30, 30) cm"',
        'body = "86 (96, 107) cm"\nease = "6 cm"\nshare = 0.5',
    ],
)
def test_measures_that_come_out_are_left_in_peace(tmp_path: Path, measure: str) -> None:
    assert found(tmp_path, RIB + f'\n[[measure]]\npiece = "Back"\n{measure}\n') == []


def test_one_size_that_does_not_come_out(tmp_path: Path) -> None:
    (finding,) = found(tmp_path, RIB + '\n[[measure]]\npiece = "back"\nwidth = "46 (51, 66) cm"\n')
    assert finding.severity is Severity.QUERY and finding.sizes == ("L",)
    assert finding.message == (
        "By the gauge given for ribbing beside the manuscript, Back is not as wide as it is to be: 102 stitches in Row 1 come to 56.7 cm "
        "in size L, and 66 cm is given. Is it the gauge, the count or the size that is right?"
    )


def test_ease_is_told_in_the_sum(tmp_path: Path) -> None:
    (finding,) = found(tmp_path, RIB + '\n[[measure]]\npiece = "Back"\nbody = "86 (96, 107) cm"\nease = "20 cm"\nshare = 0.5\n')
    assert finding.sizes == ("S", "M", "L")
    assert "82 stitches in Row 1 come to 45.6 cm in size S, and 53 cm is given, half of 86 cm round the body and 20 cm of ease;" in finding.message


def test_rows_against_a_length(tmp_path: Path) -> None:
    (finding,) = found(tmp_path, RIB + '\n[[measure]]\npiece = "Back"\nlength = "36 cm"\n')
    assert "Back is not as long as it is to be: 60 rows come to 30 cm in size S, and 36 cm is given; " in finding.message


def test_the_gauge_of_the_piece_is_taken(tmp_path: Path) -> None:
    both = RIB + 'pieces = "Sleeve"\n\n[[gauge]]\npattern = "mesh"\nstitches = 12\nover = "10 cm"\npieces = ["Back"]\n'
    # 40 stitches are 22.2 cm in ribbing; 82 are 68.3 cm in mesh.
    assert found(tmp_path, both + '\n[[measure]]\npiece = "Sleeve"\nwidth = "22 (24, 27) cm"\n') == []
    (finding,) = found(tmp_path, both + '\n[[measure]]\npiece = "Back"\nwidth = "46 (51, 56) cm"\n')
    assert "the gauge given for mesh beside the manuscript" in finding.message and "82 stitches in Row 1 come to 68.3 cm" in finding.message


def test_the_printed_gauge_is_taken_where_none_is_given_and_named(tmp_path: Path) -> None:
    printed = VEST.replace("Sizes:", "Gauge: 18 sc and 20 rows = 10 cm\nSizes:")
    measure = '[[measure]]\npiece = "Back"\nwidth = "{} cm"\nlength = "30 cm"\n'
    assert found(tmp_path, measure.format("46 (51, 56)"), printed) == []
    (finding,) = found(tmp_path, measure.format("46 (51, 66)"), printed)
    assert finding.message.startswith("By the printed gauge (line 4), Back is not as wide")


@pytest.mark.parametrize(("within", "spoken"), [(None, False), (3, True), (10, False)])
def test_the_allowance_of_the_house_holds(tmp_path: Path, within: float | None, spoken: bool) -> None:
    source = RIB + '\n[[measure]]\npiece = "Back"\nwidth = "48 (53, 59) cm"\n'  # 5 in a hundred more
    assert bool(found(tmp_path, source, allowances={} if within is None else {"gauge-size": within})) == spoken


@pytest.mark.parametrize(
    ("source", "words"),
    [
        (RIB + '\n[[measure]]\npiece = "Bak"\nwidth = "46 cm"\n', "The measure on line 7 of the side file is for “Bak”, and there is no such piece; is Back meant?"),
        (RIB + '\n[[measure]]\npiece = "Hood"\nwidth = "46 cm"\n', "is for “Hood”, and the pieces are Back and Sleeve."),
        (RIB + '\n[[measure]]\nwidth = "46 cm"\n', "names no piece, and there are several."),
        (RIB + '\n[[measure]]\npiece = "Back"\nwidth = "46 (51) cm"\n', "has 2 values, and there are 3 sizes."),
        ('[[measure]]\npiece = "Back"\nwidth = "46 cm"\n', "could not be checked: no one gauge is given or printed for its stitches."),
        ('[[measure]]\npiece = "Back"\nlength = "46 cm"\n', "could not be checked: no one gauge is given or printed for its rows."),
        (RIB + RIB.replace("ribbing", "mesh") + '\n[[measure]]\npiece = "Back"\nwidth = "46 cm"\n', "no one gauge is given or printed"),
    ],
)  # fmt: skip
def test_a_measure_that_nothing_came_of_is_no_silent_gap(tmp_path: Path, source: str, words: str) -> None:
    (finding,) = found(tmp_path, source)
    assert finding.severity is Severity.SUGGESTION and words in finding.message


def test_rows_told_by_length_are_not_counted(tmp_path: Path) -> None:
    manuscript = VEST.replace("Rows 2-60: Ch 1, sc in each sc across, turn. 82 (92, 102) sc\n", "Row 2: Ch 1, sc in each sc across, turn. 82 (92, 102) sc\nRep Row 2 until piece measures 30 cm.\n")
    (finding,) = found(tmp_path, RIB + '\n[[measure]]\npiece = "Back"\nlength = "30 cm"\n', manuscript)
    assert finding.severity is Severity.SUGGESTION and "told by length and not by number" in finding.message


HAT = "US terms.\n\nHat\nCh 72, join with sl st in first ch to form a ring.\nRnd 1: Ch 1, sc in each ch around, join with sl st in first sc. (72 sc)\nRnds 2-20: Ch 1, sc in each sc around, join with sl st in first sc. (72 sc)\n"
DISC = "US terms.\n\nMat\n" + "Rnd 1: 6 sc in magic ring. (6 sc)\n" + "".join(
    f"Rnd {n}: [{f'sc in next {n - 2} sts, ' if n > 2 else ''}2 sc in next st] 6 times. ({6 * n} sc)\n" for n in range(2, 9)
)


def test_a_tube_is_measured_flat_or_round_the_body(tmp_path: Path) -> None:
    # 72 stitches at 18 to 10 cm are 40 cm around and 20 cm laid flat.
    assert found(tmp_path, RIB + '\n[[measure]]\nwidth = "20 cm"\n', HAT) == []
    assert found(tmp_path, RIB + '\n[[measure]]\nbody = "42 cm"\nease = "-2 cm"\n', HAT) == []
    (finding,) = found(tmp_path, RIB + '\n[[measure]]\nwidth = "40 cm"\n', HAT)
    assert "72 stitches in Rnd 1, laid flat come to 20 cm, and 40 cm is given" in finding.message


def test_a_disc_has_no_width_in_stitches(tmp_path: Path) -> None:
    (finding,) = found(tmp_path, RIB + '\n[[measure]]\nwidth = "20 cm"\n', DISC)
    assert finding.severity is Severity.SUGGESTION and "it is worked in rounds and is no tube" in finding.message


def test_a_given_gauge_is_used_for_a_printed_size(tmp_path: Path) -> None:
    """40 stitches at 16 to 10 cm are 25 cm; the text says 40 cm."""
    printed = "US terms.\nFinished size: {} cm wide\n\nPanel\nCh 41.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (40 sc)\nRows 2-30: Ch 1, sc in each sc across, turn. (40 sc)\n"
    given = RIB.replace("18", "16")
    assert found(tmp_path, given, printed.format("25")) == []
    assert found(tmp_path, "", printed.format("32")) == []
    (finding,) = found(tmp_path, given, printed.format("32"))
    assert finding.severity is Severity.QUERY
    assert "By the gauge given for ribbing beside the manuscript 40 stitches at 16 sts to 10 cm are 25 cm, but the text says 32 cm" in finding.message
    assert finding.because == ()


def test_the_command_reads_the_side_file(tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "vest.txt").write_text(VEST, encoding="utf-8")
    assert cli.main(["proof", "--format", "lines", "vest.txt"]) == 0
    (tmp_path / "vest.txt.toml").write_text(RIB + '\n[[measure]]\npiece = "Back"\nwidth = "46 (51, 66) cm"\n', encoding="utf-8")
    capsys.readouterr()
    assert cli.main(["proof", "--format", "lines", "vest.txt"]) == 1
    assert "query: By the gauge given for ribbing beside the manuscript, Back" in capsys.readouterr().out
    assert cli.main(["worksheet", "vest.txt"]) == 0
