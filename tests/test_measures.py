"""Amounts, pairs, hook sizes, gauges and yarn as read from text."""

from __future__ import annotations

import math

import pytest
from tenterhook.lint.measures import amounts, number, pairs, printed
from tenterhook.lint.measures_gauge import gauges
from tenterhook.lint.measures_hooks import hook_sizes
from tenterhook.lint.measures_yarn import yarn_of
from tenterhook.lint.proof import proof
from tenterhook.lint.rule import Subject
from tenterhook.lint.style import Style
from tenterhook.lint.text import Span, Text
from tenterhook.lint.trade.units import convert


@pytest.mark.parametrize(
    ("words", "value"),
    [("7", 7), ("7.5", 7.5), ("7½", 7.5), ("7 ½", 7.5), ("½", 0.5), ("7 1/2", 7.5), ("7-1/2", 7.5), ("3/4", 0.75), ("1,244", 1244), ("8,0", 8), ("6,5", 6.5), (".5", 0.5)],
)
def test_a_printed_number_has_its_value(words: str, value: float) -> None:
    assert number(words) == value


@pytest.mark.parametrize("words", ["", "x", "1/0", "7/", "½½"])
def test_what_is_no_number_has_none(words: str) -> None:
    assert number(words) is None


def read(source: str) -> list[tuple[tuple[float, ...], str]]:
    return [(a.values, a.symbol) for a in amounts(source)]


@pytest.mark.parametrize(
    ("source", "expected"),
    [
        ("36 (40, 44) in", [((36, 40, 44), "in")]),
        ("7 [8] in. (18 [20.5] cm)", [((7, 8), "in"), ((18, 20.5), "cm")]),
        ("8 in wide x 12 in long", [((8, 12), "in")]),
        ('54" x 66"', [((54, 66), "in")]),
        ("6½ in          7¼ in          8 in", [((6.5, 7.25, 8), "in")]),
        ("24cm           (28cm,           31cm)", [((24, 28, 31), "cm")]),
        ("21-23 in", [((21, 23), "in")]),
        ("1.75 oz/50 g; 164 yd/150 m", [((1.75,), "oz"), ((50,), "g"), ((164,), "yd"), ((150,), "m")]),
        ("18 sc and 20 rows = 4 in", [((4,), "in")]),
        ("3 sc in next st, 2 in the ring", []),
        ("Rows 2-20, 100% wool, #118", []),
        ("22,5 cm", [((22.5,), "cm")]),
        ("1,244 yd", [((1244,), "yd")]),
        ("5'6\"", []),
    ],
)
def test_amounts(source: str, expected: list[tuple[tuple[float, ...], str]]) -> None:
    assert read(source) == expected


def test_the_span_of_an_amount_holds_its_figures_and_unit() -> None:
    source = "about 36 (40, 44) in wide"
    (amount,) = amounts(source)
    assert source[amount.span.start : amount.span.end] == "36 (40, 44) in"
    assert [source[f.span.start : f.span.end] for f in amount.figures] == ["36", "40", "44"]
    assert amount.about


def paired(source: str) -> list[tuple[tuple[float, ...], tuple[float, ...]]]:
    return [(p.first.values, p.second.values) for p in pairs(source)]


@pytest.mark.parametrize(
    ("source", "expected"),
    [
        ("20 in (51 cm)", [((20,), (51,))]),
        ("20 in / 51 cm", [((20,), (51,))]),
        ("3.5 oz = 100 g", [((3.5,), (100,))]),
        ("10.5 in wide (26.5 cm)", [((10.5,), (26.5,))]),
        ("4 x 4 in / 10 x 10 cm", [((4, 4), (10, 10))]),
        ("4 x 4 in (10 cm)", [((4,), (10,))]),
        ("36 (40, 44) in\n91.5 (101.5, 112) cm\n", [((36, 40, 44), (91.5, 101.5, 112))]),
        ("50 g / 125 m (1.75 oz / 137 yd)", [((50,), (1.75,)), ((125,), (137,))]),
        ("20 in, 30 cm deep", []),
        ("20 in across and 30 cm deep", []),
        ("2 yd of ribbon (70 cm for each bag)", []),
        ("2 yd (70 cm for each bag)", []),
        ("36 (40, 44) in / 91.5 (101.5) cm", []),
        ("20 in\n\n51 cm", []),
        ("437 yds (400 m), 274 m/300 yds, 137 yd/125 m", [((437,), (400,)), ((274,), (300,)), ((137,), (125,))]),
        ("20 in\n51 cm of ribbon", []),
        ("3.5 oz/210 yd", []),
    ],
)
def test_pairs(source: str, expected: list[tuple[tuple[float, ...], tuple[float, ...]]]) -> None:
    assert paired(source) == expected


def test_numbers_are_printed_as_the_text_prints_them() -> None:
    assert (printed(8.25, "9½"), printed(8.25, "9 1/2"), printed(8.25, "9"), printed(0.5, "¼"), printed(24, "½")) == ("8¼", "8 1/4", "8.25", "½", "24")


@pytest.mark.parametrize(
    ("source", "expected"),
    [
        ("5 mm (H-8) crochet hook", [("H-8", 5.0)]),
        ("Size F-5 (3.75 mm) hook", [("F-5", 3.75)]),
        ("Hook: G, 4.25 mm", [("G", 4.25)]),
        ("4mm hook (US G-6)", [("G-6", 4.0)]),
        ("Hook, size K-10½ / 6.5 mm", [("K-10½", 6.5)]),
        ("Hooks: H-8 and I-9 (5 mm and 5.5 mm)", [("H-8", 5.0), ("I-9", 5.5)]),
        ("Hooks: H-8 and I-9 (5.5 mm)", [("I-9", 5.5)]),
        ("No. 7 (1.65 mm) steel hook", [("steel 7", 1.65)]),
        ("UK 6 (5 mm) hook", []),
        ("Using B and 4 mm hook", []),
        ("With B, 4 mm hook", []),
        ("color B (4 mm hook)", []),
        ("Size M (10 mm) beads", []),
        ("hook; US 2 (3 mm) needles", []),
        ("hook of 8,0 mm", []),
    ],
)
def test_hook_sizes(source: str, expected: list[tuple[str, float]]) -> None:
    assert [(h.label, h.mm) for h in hook_sizes(source)] == expected


def one_gauge(source: str) -> tuple[float, str, float, float | None, str, bool]:
    (gauge,) = gauges(source, [Span(0, len(source))])
    return gauge.across, gauge.noun, round(gauge.width, 2), gauge.rows, gauge.stitch, gauge.pattern


@pytest.mark.parametrize(
    ("source", "expected"),
    [
        ("13 sts and 14 rows = 4 in (10 cm) in sc", (13, "sts", 10.16, 14, "sc", False)),
        ("24 dc = 10 cm (4 in)", (24, "dc", 10, None, "dc", False)),
        ("8 squares and 8 rows to 10cm (4in).", (8, "squares", 10, 8, "", False)),
        ("One motif = 6 in (15 cm) square", (1, "motif", 15.24, None, "", False)),
        ("8 sts and 6,5 rnds in single crochet = 10 x 10 cm", (8, "sts", 10, 6.5, "sc", False)),
        ("16 sts and 8 rows = 4 in (10 cm) in ripple pattern", (16, "sts", 10.16, 8, "", True)),
        ("17 sts and 10 rows to 10cm (4in) over treble.", (17, "sts", 10, 10, "tr", False)),
        ("10 cm = 24 dc and 28 rows", (24, "dc", 10, 28, "dc", False)),
        ("4 shells = 4\"", (4, "shells", 10.16, None, "", False)),
    ],
)
def test_gauges(source: str, expected: tuple[float, str, float, float | None, str, bool]) -> None:
    assert one_gauge(source) == expected


@pytest.mark.parametrize("source", ["Rounds 1-4 of the base = about 4 inches across", "The first three rnds measure one and three-quarter inches", "not so important"])
def test_a_gauge_without_stitches_is_none(source: str) -> None:
    assert list(gauges(source, [Span(0, len(source))])) == []


def materials(lines: str) -> tuple[tuple[int, ...], list[int], list[int], list[int], float | None]:
    text = Text(f"US terms.\nMaterials\n{lines}\n\nStrip\nCh 11.\nRow 1: Sc in 2nd ch from hook and in each ch across. (10 sc)\n")
    done = proof(text, rules=())
    yarn = yarn_of(Subject(text, done.layout, done.pattern, done.work, Style()))
    return yarn.weights, [round(m) for m, _ in yarn.per_ball], [round(m) for m, _ in yarn.totals], [c.n for c in yarn.counts], yarn.bought and round(yarn.bought)


@pytest.mark.parametrize(
    ("lines", "expected"),
    [
        ("Copper Gate Worsted (wool; medium #4; 3.5 oz/100 g; 200 yd/183 m): 2 skeins", ((4,), [183], [], [2], 366)),
        ("About 230 yds [210 m] of worsted (4). I used 2 balls, they are 120 yd / 110 m each", ((4,), [110], [210], [2], 219)),
        ("Sock yarn (1), 50 g balls of 230 yds (210 m): 2 balls", ((1,), [210], [], [2], 421)),
        ("3 balls (50g, 170m/186yd) of cotton", ((), [170], [], [3], 510)),
        ("DK, 100 g / 250 m: 2 skeins each in Milk and Pear", ((3,), [250], [], [2], None)),
        ("450 yd worsted", ((4,), [], [411], [], None)),
    ],
)
def test_yarn(lines: str, expected: tuple[tuple[int, ...], list[int], list[int], list[int], float | None]) -> None:
    assert materials(lines) == expected


def test_inches_of_a_gauge_are_exact() -> None:
    assert math.isclose(convert(4, "in", "cm"), 10.16)
