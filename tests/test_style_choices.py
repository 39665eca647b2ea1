"""Every choice of a house style, with each of its forms: chosen, used first, mostly used here, and off.

The texts are strips of eight rows in the test authors' own words; what each form looks like is common practice among
pattern writers, not a rule of anybody's.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from itertools import permutations
from pathlib import Path

import pytest
from tenterhook.lint.finding import Finding, Severity
from tenterhook.lint.proof import proof
from tenterhook.lint.rule import Rule
from tenterhook.lint.style import AS_FIRST, AS_MOSTLY, OFF, Choice, Chosen, Style
from tenterhook.lint.text import Text
from tenterhook.rules import rules

RULES = {setting.name: rule for rule in rules() for setting in rule.settings if isinstance(setting, Choice)}
CHOICES = {setting.name: setting for rule in RULES.values() for setting in rule.settings if isinstance(setting, Choice)}

FOUNDATION = "Ch 11.\n\n"
SC = "sc in each sc across, turn. (10 sc)"
MESH = "ch 1, sc in first sc, *ch 3, sc in next {}; rep from * across, turn."

# What a row looks like in each form; {n} is its number, {r} and {s} the ends of a run of rows, {th} its ordinal.
ROWS: dict[str, dict[str, str]] = {
    "row-form": {
        "Row 1:": "Row {n}: Ch 1, sc in each sc across, turn.",
        "Row 1.": "Row {n}. Ch 1, sc in each sc across, turn.",
        "Row 1 –": "Row {n} – Ch 1, sc in each sc across, turn.",
        "Row 1": "Row {n} Ch 1, sc in each sc across, turn.",
        "1st row:": "{th} row: Ch 1, sc in each sc across, turn.",
        "1st row –": "{th} row – Ch 1, sc in each sc across, turn.",
    },
    "row-word": {"Row": "Row {n}: Ch 1, " + SC, "R": "R{n}: Ch 1, " + SC},
    "round-word": {word: word + " {n}: Sc in each sc around. (10 sc)" for word in ("Rnd", "Round", "Rd")} | {"R": "R{n}: Sc in each sc around. (10 sc)"},
    "row-case": {word: word + " {n}: Ch 1, " + SC for word in ("Row", "ROW", "row")},
    "range-form": {
        "Rows 3–6": "Rows {r}–{s}: Ch 1, " + SC,
        "Rows 3-6": "Rows {r}-{s}: Ch 1, " + SC,
        "Rows 3 to 6": "Rows {r} to {s}: Ch 1, " + SC,
        "Rows 3 through 6": "Rows {r} through {s}: Ch 1, " + SC,
    },
    "first-letter": {"capital": "Row {n}: Ch 1, " + SC, "small": "Row {n}: ch 1, " + SC},
    "row-end": {"stop": "Row {n}: Ch 1, sc in each sc across, turn.", "no stop": "Row {n}: Ch 1, sc in each sc across, turn"},
    "count-mark": {
        "(12)": "Row {n}: Ch 1, sc in each sc across, turn. (10)",
        "[12]": "Row {n}: Ch 1, sc in each sc across, turn. [10]",
        "{12}": "Row {n}: Ch 1, sc in each sc across, turn. {{10}}",
        "<12>": "Row {n}: Ch 1, sc in each sc across, turn. <10>",
        "– 12": "Row {n}: Ch 1, sc in each sc across, turn – 10 sc.",
        "= 12": "Row {n}: Ch 1, sc in each sc across, turn = 10 sc.",
        "12": "Row {n}: Ch 1, sc in each sc across, turn. 10 sc",
    },
    "count-unit": {unit: "Row {n}: Ch 1, sc in each sc across, turn. (" + unit.replace("12", "10") + ")" for unit in ("12", "12 sts", "12 sc")},
    "count-stop": {
        end: "Row {n}: Ch 1, sc in each sc across, " + end.replace("12", "10") for end in ("turn. (12 sc)", "turn (12 sc).", "turn (12 sc.)", "turn. (12 sc).")
    },
    "turning-chain-place": {"start": "Row {n}: Ch 1, " + SC, "end": "Row {n}: Sc in each sc across, ch 1, turn. (10 sc)"},
    "repeat-mark": {
        "*": "Row {n}: Ch 1, *sc in next 2 sc; rep from * across, turn.",
        "* *": "Row {n}: Ch 1, *sc in next 2 sc*, rep from * to * across, turn.",
        "[ ]": "Row {n}: Ch 1, [sc in next 2 sc] 5 times, turn.",
        "( )": "Row {n}: Ch 1, (sc in next 2 sc) 5 times, turn.",
    },
    "group-mark": {
        f"{a} {b}": f"Row {{n}}: Ch 1, {a * 2 if a == '{' else a}sc, ch 1, sc{b * 2 if b == '}' else b} in next sc, sc in each sc across, turn."
        for a, b in ("()", "[]", "{}", "<>")
    },
    "repeat-number": {
        "3 times": "Row {n}: Ch 1, [sc in next 2 sc] 5 times, turn.",
        "three times": "Row {n}: Ch 1, [sc in next 2 sc] five times, turn.",
        "x 3": "Row {n}: Ch 1, [sc in next 2 sc] x 5, turn.",
    },
    "number-order": {"3 dc": "Row {n}: Ch 1, 9 sc, 2 sc in next sc, turn.", "dc 3": "Row {n}: Ch 1, sc 9, 2 sc in next sc, turn."},
    "number-space": {"3 dc": "Row {n}: Ch 1, sc in each sc across, turn. (10 sc)", "3dc": "Row {n}: Ch 1, sc in each sc across, turn. (10sc)"},
    "chain-form": {form: "Row {n}: " + form.replace("3", "1").capitalize() + ", " + SC for form in ("ch 3", "ch3", "3 ch", "3ch", "chain 3")},
    "space-form": {form: "Row {n}: " + MESH.format(form) for form in ("ch-3 sp", "ch 3 sp", "ch3 sp", "ch3-sp", "3-ch sp", "3 ch sp", "3ch sp", "ch-3 space")},
    "abbreviation-case": {letters: f"Row {{n}}: Ch 1, {letters} in each stitch across, turn." for letters in ("sc", "SC", "Sc")},
    "side-mark": {
        "Row 1 (RS):": "Row {n} (RS): Ch 1, " + SC,
        "Row 1: (RS)": "Row {n}: (RS) Ch 1, " + SC,
        "Row 1: RS": "Row {n}: RS: Ch 1, " + SC,
    },
}

NO_KIN = {
    # Whether the stitch is named is looked at, not by which name.
    ("count-unit", "12 sts", "12 sc"),
    # An asterisk here and brackets there are two tools of one trade.
    *(("repeat-mark", star, bracket) for star in ("*", "* *") for bracket in ("[ ]", "( )")),
    # On which side the number stands, and which word it has, is for word-mixed.
    *(("space-form", one, other) for one in ("ch-3 sp", "ch 3 sp", "ch3 sp", "ch3-sp") for other in ("3-ch sp", "3 ch sp", "3ch sp")),
    *(("space-form", one, "ch-3 space") for one in ROWS["space-form"] if one != "ch-3 space"),
}


def ordinal(n: int) -> str:
    return f"{n}{ {1: 'st', 2: 'nd', 3: 'rd'}.get(n, 'th') }"


def strip(lines: list[str]) -> str:
    """Rows written as given, one after another, numbered from 2."""
    rows = [line.format(n=n, th=ordinal(n), r=2 * n, s=2 * n + 1) for n, line in enumerate(lines, 2)]
    return FOUNDATION + "\n\n".join(rows) + "\n"


def found(name: str, source: str, chosen: Chosen | None, *, corrections: bool = False) -> list[Finding]:
    style = Style(strict=True, choices={} if chosen is None else {name: chosen})
    return list(proof(Text(source), style, [RULES[name]], corrections).findings)


EACH = [(name, form) for name, forms in ROWS.items() for form in forms]
PAIRS = [(name, one, other) for name, forms in ROWS.items() for one, other in permutations(forms, 2)]


def test_every_choice_and_every_form_of_it_is_tried_here() -> None:
    apart = {"size-form", "unit-first", "section-order", "count-given", "turning-chain-statement"}  # below
    assert set(ROWS) == set(CHOICES) - apart
    assert {name: set(forms) for name, forms in ROWS.items()} == {name: set(CHOICES[name].values) for name in ROWS}


def test_there_are_twenty_at_least() -> None:
    assert len(CHOICES) >= 20
    for name, rule in RULES.items():
        assert rule.name == name
        assert rule.severity is Severity.STYLE


@pytest.mark.parametrize(("name", "form"), EACH)
@pytest.mark.parametrize("chosen", ["it", AS_FIRST, AS_MOSTLY, OFF, None])
def test_one_form_throughout_is_never_spoken_of(name: str, form: str, chosen: str | None) -> None:
    assert found(name, strip([ROWS[name][form]] * 8), form if chosen == "it" else chosen) == []


@pytest.mark.parametrize(("name", "one", "other"), PAIRS)
def test_the_house_s_form_is_asked_for(name: str, one: str, other: str) -> None:
    source = strip([ROWS[name][other]] * 3)
    (finding,) = found(name, source, one)
    assert (finding.rule, finding.severity) == (name, Severity.STYLE)
    assert "the house style is" in finding.message
    assert "2 more places" in finding.message
    assert found(name, source, OFF) == []


@pytest.mark.parametrize(("name", "one", "other"), PAIRS)
def test_the_first_form_is_the_standard(name: str, one: str, other: str) -> None:
    source = strip([ROWS[name][one], ROWS[name][other], ROWS[name][one]])
    spoken = found(name, source, AS_FIRST)
    apart = {(name, one, other), (name, other, one)} & NO_KIN and name == "repeat-mark"
    assert len(spoken) == (0 if apart else 1)
    assert all("the first one here is" in f.message for f in spoken)
    assert found(name, source, OFF) == []


@pytest.mark.parametrize(("name", "one", "other"), PAIRS)
def test_a_clear_habit_is_the_standard_and_half_and_half_is_none(name: str, one: str, other: str) -> None:
    forms = ROWS[name]
    spoken = found(name, strip([forms[one]] * 6 + [forms[other]]), AS_MOSTLY)
    assert len(spoken) == (0 if {(name, one, other), (name, other, one)} & NO_KIN else 1)
    assert all("everywhere else it is" in f.message and "(6 times)" in f.message for f in spoken)
    assert found(name, strip([forms[one]] * 5 + [forms[other]]), AS_MOSTLY) == []
    assert found(name, strip([forms[one], forms[other]] * 4), AS_MOSTLY) == []
    if CHOICES[name].usual == AS_MOSTLY:
        assert found(name, strip([forms[one]] * 6 + [forms[other]]), None) == spoken


@pytest.mark.parametrize(("name", "one", "other"), PAIRS)
def test_a_correction_leaves_nothing_to_say(name: str, one: str, other: str) -> None:
    source = strip([ROWS[name][other]] * 3)
    for finding in found(name, source, one, corrections=True):
        for correction in finding.corrections:
            assert found(name, correction.apply(source), one) == []


CORRECTED = {
    "row-form": "Row 1:", "row-word": "Row", "round-word": "Rnd", "row-case": "Row", "range-form": "Rows 3–6", "first-letter": "capital",
    "row-end": "stop", "count-mark": "(12)", "count-stop": "turn. (12 sc)", "repeat-mark": "[ ]", "group-mark": "( )", "repeat-number": "3 times",
    "number-order": "3 dc", "number-space": "3 dc", "chain-form": "ch 3", "space-form": "ch-3 sp", "abbreviation-case": "sc", "side-mark": "Row 1 (RS):",
}  # fmt: skip


@pytest.mark.parametrize(("name", "form"), CORRECTED.items())
def test_most_choices_bring_a_correction(name: str, form: str) -> None:
    others = [other for other in ROWS[name] if other != form]
    brought = [f.corrections for other in others for f in found(name, strip([ROWS[name][other]] * 3), form, corrections=True)]
    assert any(brought)


# The choices that are not seen in one row alone.


def sizes(lists: list[str]) -> str:
    rows = "".join(f"Row {n}: Ch 1, sc in each st across, turn. {numbers} sc\n" for n, numbers in enumerate(lists, 2))
    return "Sizes: S (M, L, XL)\n\nCh 11 (13, 15, 17).\n" + rows


SIZE_FORMS = {"12 (14, 16)": "10 (12, 14, 16)", "12 [14, 16]": "10 [12, 14, 16]", "12 (14) 16": "10 (12) 14 (16)", "12 (14: 16)": "10 (12: 14: 16)", "12/14/16": "10/12/14/16"}


def test_every_size_form_is_tried() -> None:
    assert set(SIZE_FORMS) == set(CHOICES["size-form"].values)


@pytest.mark.parametrize(("one", "other"), list(permutations(SIZE_FORMS, 2)))
def test_size_form(one: str, other: str) -> None:
    a, b = SIZE_FORMS[one], SIZE_FORMS[other]
    for chosen in (one, AS_FIRST, AS_MOSTLY, OFF):
        assert found("size-form", sizes([a] * 8), chosen) == []
    (house,) = found("size-form", sizes([b] * 3), one, corrections=True)
    (correction,) = house.corrections
    assert correction.apply(sizes([b] * 3)) == sizes([a] * 3)
    assert len(found("size-form", sizes([a, b]), AS_FIRST)) == 1
    assert len(found("size-form", sizes([a] * 6 + [b]), AS_MOSTLY)) == 1
    assert found("size-form", sizes([a, b]), OFF) == found("size-form", sizes([a, b] * 4), AS_MOSTLY) == []


def test_size_form_leaves_two_sizes_alone() -> None:
    source = "Sizes: S (M)\n\nCh 11 (13).\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. 10 [12] sc\n"
    assert found("size-form", source, "12 (14, 16)") == []


def lengths(first: list[str]) -> str:
    inches = [(n, f"{n * 2.54:.1f}") for n in range(10, 10 + len(first))]
    lines = [f"Part {i}: " + (f"{a} in ({b} cm)" if unit == "in" else f"{b} cm ({a} in)") for i, ((a, b), unit) in enumerate(zip(inches, first, strict=True), 1)]
    return "Finished size\n" + "\n".join(lines) + "\n\nCh 11.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (10 sc)\n"


@pytest.mark.parametrize(("one", "other"), [("in", "cm"), ("cm", "in")])
def test_unit_first(one: str, other: str) -> None:
    for chosen in (one, AS_FIRST, AS_MOSTLY, OFF, None):
        assert found("unit-first", lengths([one] * 8), chosen) == []
    (house,) = found("unit-first", lengths([other] * 2), one, corrections=True)
    assert house.corrections[0].apply(lengths([other] * 2)) == lengths([one] * 2)
    assert len(found("unit-first", lengths([one, other]), AS_FIRST)) == 1
    assert len(found("unit-first", lengths([one] * 6 + [other]), AS_MOSTLY)) == 1
    assert found("unit-first", lengths([one, other] * 4), AS_MOSTLY) == found("unit-first", lengths([one, other]), OFF) == []


def flat(counts: list[str]) -> str:
    """Rounds of a flat circle, each with the words given after it."""
    rows = ["Rnd 1: 6 sc in magic ring." + counts[0].format(6)]
    for n, count in enumerate(counts[1:], 2):
        between = f"sc in next {n - 2} sts, " if n > 2 else ""
        rows.append(f"Rnd {n}: *{between}2 sc in next st; rep from * around.{count.format(6 * n)}")
    return "\n".join(rows) + "\n"


EVEN = "Rnd {}: Sc in each st around.{}\n"


def test_count_given() -> None:
    said, silent = " ({} sc)", ""
    all_said = flat([said] * 7)
    for chosen in (*CHOICES["count-given"].values, AS_FIRST, AS_MOSTLY, OFF, None):
        assert found("count-given", all_said, chosen) == []
    lost = flat([said] * 6 + [silent])
    for chosen in ("every row", "when it changes", AS_FIRST, AS_MOSTLY, None):
        (finding,) = found("count-given", lost, chosen)
        assert finding.message.startswith("Rnd 7 gives no stitch count; ")
    assert found("count-given", lost, OFF) == []
    assert found("count-given", flat([said, silent] * 3), AS_MOSTLY) == []


def test_count_given_where_the_count_does_not_change() -> None:
    source = flat([" ({} sc)"] * 3) + EVEN.format(4, "")
    assert found("count-given", source, "when it changes") == found("count-given", source, AS_FIRST) == []
    assert [f.place for f in found("count-given", source, "every row")] == ["Rnd 4"]
    said_first = flat([" ({} sc)"] * 3) + EVEN.format(4, " (18 sc)") + EVEN.format(5, "")
    (finding,) = found("count-given", said_first, AS_FIRST)
    assert "the first rows here give it in every row" in finding.message


def test_a_count_in_words_after_the_row_is_a_count() -> None:
    source = flat([" ({} sc)"] * 2 + [""]) + "There are now 18 sts.\n"
    assert found("count-given", source, "every row") == []


TALL = "Ch 12.\nRow 1: Dc in 4th ch from hook (skipped chs count as dc) and in each ch across, turn. (10 dc)\n"
SAID, THROUGHOUT, NOT_SAID = "Ch 3 (counts as dc)", "Ch 3 (counts as dc here and throughout)", "Ch 3"
NOTE = "Notes\nThe ch 3 at the start of a row counts as dc.\n\n"


def tall(starts: list[str], note: str = "") -> str:
    return note + "Piece\n" + TALL + "".join(f"Row {n}: {start}, dc in next dc and in each dc across, turn. (10 dc)\n" for n, start in enumerate(starts, 2))


@pytest.mark.parametrize(
    ("chosen", "source", "words"),
    [
        ("in each row", tall([SAID] * 3), None),
        ("in each row", tall([SAID, NOT_SAID]), "does not say what it counts as"),
        ("in each row", tall([NOT_SAID] * 3, NOTE), "It is so in 2 more rows."),
        ("at first use", tall([THROUGHOUT, NOT_SAID, NOT_SAID]), None),
        ("at first use", tall([SAID, NOT_SAID]), "does not say here what it counts as throughout"),
        ("at first use", tall([THROUGHOUT, SAID]), "says again what it counts as"),
        ("in the notes", tall([NOT_SAID] * 2, NOTE), None),
        ("in the notes", tall([NOT_SAID, SAID], NOTE), "says here what it counts as"),
        ("in the notes", tall([NOT_SAID] * 2), "has no note of what it counts as"),
        (AS_FIRST, tall([SAID] * 3), None),
        (AS_FIRST, tall([SAID, NOT_SAID]), "here it is first said in each row"),
        (AS_FIRST, tall([THROUGHOUT, NOT_SAID]), None),
        (AS_FIRST, tall([THROUGHOUT, SAID]), "here it is first said once, at first use"),
        (AS_FIRST, tall([NOT_SAID, SAID], NOTE), "here it is first said in the notes"),
        (AS_FIRST, tall([NOT_SAID] * 2), None),
        (AS_MOSTLY, tall([SAID] * 6 + [NOT_SAID]), "the other rows say so (6 times)"),
        (AS_MOSTLY, tall([SAID] * 5 + [NOT_SAID]), None),
        (AS_MOSTLY, tall([THROUGHOUT] + [NOT_SAID] * 7), None),
        (None, tall([SAID] * 6 + [NOT_SAID]), "the other rows say so (6 times)"),
        (OFF, tall([SAID] * 6 + [NOT_SAID]), None),
        ("in each row", "Square\nRnd 1: Ch 4, join with sl st to form ring.\nRnd 2: Ch 1, 8 sc in ring, join with sl st in first sc. (8 sc)\n", None),
        ("in each row", "Tie\nRow 1: Ch 5, sc in 2nd ch from hook and in each ch across, turn. (4 sc)\n", None),
    ],
)
def test_turning_chain_statement(chosen: str | None, source: str, words: str | None) -> None:
    spoken = found("turning-chain-statement", source, chosen)
    assert (words is None) == (spoken == [])
    assert words is None or any(words in f.message for f in spoken)
    assert not [f for f in proof(Text(source)).findings if f.severity in (Severity.WRONG, Severity.QUERY)]


LEAFLET = {
    "sizes": "Finished size\n10 in square\n",
    "materials": "Materials\n1 ball of DK yarn\n",
    "gauge": "Gauge\n16 sc and 18 rows = 4 in\n",
    "notes": "Notes\nThe mat is worked flat.\n",
    "pieces": "Mat\nCh 11.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (10 sc)\n",
    "finishing": "Finishing\nWeave in the ends.\n",
}


def leaflet(*parts: str) -> str:
    return "Harbour Mat\n\n" + "\n".join(LEAFLET[part] for part in parts)


def test_section_order() -> None:
    order = ("sizes", "materials", "gauge", "pieces", "finishing")
    assert found("section-order", leaflet(*order), order) == []
    assert found("section-order", leaflet("sizes", "notes", "materials", "gauge", "pieces", "finishing"), order) == []  # notes may stand anywhere
    (finding,) = found("section-order", leaflet("materials", "sizes", "gauge", "pieces", "finishing"), order)
    assert finding.message == "“Finished size” (sizes) stands below “Materials” (materials), which comes after it in the house style."
    again = leaflet("sizes", "materials", "gauge", "materials", "pieces", "finishing")
    (finding,) = found("section-order", again, AS_FIRST)
    assert "apart from the other materials above" in finding.message
    assert found("section-order", leaflet(*order), AS_FIRST) == []
    for chosen in (OFF, None):
        assert found("section-order", leaflet(*reversed(order)), chosen) == []


# What one form leaves alone, because it is something else.


@pytest.mark.parametrize(
    ("name", "chosen", "row"),
    [
        ("row-form", "Row 1.", "Next row: Ch 1, sc in each sc across, turn."),
        ("row-word", "R", "Rnd 2: Sc in each sc around."),
        ("round-word", "Round", "Row 2: Ch 1, sc in each sc across, turn."),
        ("row-case", "ROW", "2nd row: Ch 1, sc in each sc across, turn."),
        ("first-letter", "capital", "Row 2: *sc in next sc; rep from * across, turn."),
        ("first-letter", "small", "Row 2: FPdc around each st across, turn."),
        ("range-form", "Rows 3–6", "Row 2: Rep Rows 2 and 3 5 times."),
        ("count-mark", "[12]", "Row 2: Ch 1, (sc, ch 1, sc) in next sc, sc in each sc across, turn."),
        ("count-unit", "12", "Row 2: Ch 1, sc in first sc, *ch 2, sk 2 sc, sc in next sc; rep from * across, turn. (4 sc, 3 ch-2 sps)"),
        ("count-unit", "12", "Row 2: Ch 1, *ch 2, sk 1 sc, sl st in next sc; rep from * across, turn. (5 ch-2 sps)"),
        ("turning-chain-place", "end", "Row 2: Ch 1, sc in each sc across, join with sl st in first sc."),
        ("repeat-mark", "[ ]", "Row 2: Ch 1, (sc, ch 1, sc) in each sc across, turn."),
        ("group-mark", "[ ]", "Row 2: Ch 1, (sc in next sc, ch 1) 10 times, turn. (10 sc)"),
        ("repeat-number", "3 times", "Row 2: Ch 1, [sc in next 5 sc] twice, turn."),
        ("number-order", "dc 3", "Row 2: Ch 1, 2 sc in next sc, (2 sc, ch 1, 2 sc) in next sc, turn."),
        ("number-space", "3dc", "Row 2: Ch 1, sc2tog over first 2 sts, sc in 2nd sc, turn."),
        ("chain-form", "3 ch", "Row 2: Sc in next ch-1 sp, sc in 2nd ch from hook, sc in next 3 ch, turn."),
        ("space-form", "3-ch sp", "Row 2: Ch 3, sk next sp, sc in next sp, turn."),
        ("abbreviation-case", "sc", "Row 2: With A, ch 1. Sc in each stitch across, FPdc around next stitch, turn."),
        ("side-mark", "Row 1: (RS)", "Row 2: Ch 1, sc in each sc across, turn."),
    ],
)
def test_what_is_something_else_is_left_alone(name: str, chosen: str, row: str) -> None:
    assert found(name, f"Ch 11.\n\n{row}\n", chosen) == []


@pytest.mark.parametrize("rule", [r for r in rules() if r.family == "style"], ids=lambda rule: rule.name)
def test_a_family_of_style_is_never_loud(rule: Rule) -> None:
    """Whatever a house chooses, a point of style is no query."""
    for setting in rule.settings:
        assert isinstance(setting, Choice)
        for value in (*setting.values, *setting.beside):
            chosen: Chosen = (value,) if setting.ordered and value in setting.values else value
            for source in (rule.looks_like, rule.better, leaflet(*LEAFLET), tall([SAID, NOT_SAID])):
                assert {f.severity for f in found(setting.name, source, chosen)} <= {Severity.STYLE}


# Finished leaflets


EXAMPLES = sorted(path for path in (Path(__file__).parent.parent / "examples").iterdir() if path.name[:2].isdigit())
STYLE_RULES = [rule for rule in rules() if rule.family == "style"]


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.name)
def test_a_well_kept_leaflet_is_left_in_peace(path: Path) -> None:
    text = Text(path.read_text(encoding="utf-8"))
    assert [f.message for f in proof(text, Style(strict=True), STYLE_RULES).findings] == []


Change = str | Callable[[re.Match[str]], str]
LABEL = r"(?m)^((?:Row|Rnd) \d+(?: \([RW]S\))?:)"
SLIPS: dict[str, tuple[str, Change]] = {
    "row-form": (LABEL, lambda m: m[1][:-1] + "."),
    "count-mark": (r"(?m)\((\d+ ?(?:sc|hdc|dc|tr|sts))\)$", r"[\1]"),
    "first-letter": (LABEL + r" ([A-Z])(?=[a-z]+ )", lambda m: f"{m[1]} {m[2].lower()}"),
    "row-case": (r"(?m)^(Row|Rnd)(?= \d)", lambda m: m[1].upper()),
    "abbreviation-case": (r"(?<=, )(sc|dc|hdc)(?= in (?:next|each))", lambda m: m[1].upper()),
}


@pytest.mark.parametrize("name", SLIPS)
def test_one_slip_in_a_well_kept_leaflet_is_seen(name: str) -> None:
    """Each slip is planted in the middle of every leaflet where the habit it breaks is plain."""
    pattern, change = SLIPS[name]
    tried = 0
    for path in EXAMPLES:
        source = path.read_text(encoding="utf-8")
        places = list(re.finditer(pattern, source))
        if len(places) < 9:
            continue
        place = places[len(places) // 2]
        slipped = source[: place.start()] + re.sub(pattern, change, source[place.start() :], count=1)
        spoken = [f.rule for f in proof(Text(slipped), Style(strict=True), [RULES[name]], corrections=False).findings]
        assert spoken == [name], path.name
        tried += 1
    assert tried > 0
