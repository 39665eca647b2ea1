"""The house style file: found upwards, read strictly, and obeyed by what it names."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tenterhook.lint import cli
from tenterhook.lint.beside.desk import Desk
from tenterhook.lint.beside.house import read_house_style
from tenterhook.lint.beside.margin_file import read_margin
from tenterhook.lint.beside.toml_file import MAX_BYTES, Faulty, TomlFile
from tenterhook.lint.finding import Finding, Severity
from tenterhook.lint.manuscript.read import Unreadable
from tenterhook.lint.proof import proof
from tenterhook.lint.rule import Rule, Subject
from tenterhook.lint.schema import schema, sentence
from tenterhook.lint.style import AS_FIRST, AS_MOSTLY, OFF, Choice, Style
from tenterhook.lint.text import Text
from tenterhook.rules import rules

RULES = tuple(rules())

MAT = """\
Harbour Mat

Abbreviations (US terms)
ch - chain
sc - single crochet
st(s) - stitch(es)

Mat
Ch 11.
Row 1: Sc in 2nd ch from hook and in each ch across, turn. (10 sts)
Row 2: Ch 1, sc in each st across, turn. (10 sts)
Row 3: Ch 1, sc in each st across, turn. (10 sts)
"""

HOUSE = """\
# The style of Thornhythe Leaflets
terms = "US"
threshold = "style"

[style]
row-form = "Row 1:"          # never a full stop
count-mark = "(12)"
repeat-mark = "as first used here"
row-end = "off"
section-order = ["sizes", "materials", "gauge", "abbreviations", "notes", "pieces", "finishing"]

[rules]
yarn-weight = "off"
notions = "on"

[tolerances]
in-cm = 0.5
gauge-size = 5

[cautions]
small-parts = "Eyes and buttons are small parts: embroider them for a child under three."
cords = "off"
"""


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def read(folder: Path) -> Callable[[str], Style]:
    def of(source: str) -> Style:
        path = folder / "tenterhook.toml"
        path.write_text(source, encoding="utf-8")
        return read_house_style(str(path), RULES)

    return of


def reason(read: Callable[[str], Style], source: str) -> str:
    with pytest.raises(Faulty) as caught:
        read(source)
    assert caught.value.path.endswith("tenterhook.toml")
    return caught.value.reason


# Reading


def test_every_kind_of_setting_is_read(read: Callable[[str], Style]) -> None:
    style = read(HOUSE)
    assert (style.terms, style.threshold) == ("US", Severity.STYLE)
    assert style.off == {"yarn-weight", "caution-cords"}
    assert style.choices["row-form"] == "Row 1:"
    assert style.choices["repeat-mark"] == AS_FIRST
    assert style.choices["section-order"][:2] == ("sizes", "materials")
    assert dict(style.allowances) == {"in-cm": 0.5, "gauge-size": 5.0}
    assert list(style.texts) == ["small-parts"]


def test_an_empty_file_changes_nothing(read: Callable[[str], Style]) -> None:
    assert read("") == read("# nothing yet\n") == read("[style]\n[rules]\n") == Style()


def test_every_setting_takes_every_value_it_says(read: Callable[[str], Style]) -> None:
    for setting in schema(RULES)["style"].values():
        assert isinstance(setting, Choice)
        for value in (*(() if setting.ordered else setting.values), *setting.beside):
            assert read(f"[style]\n{setting.name} = {json.dumps(value)}\n").choices == {setting.name: value}
        assert setting.usual in (AS_MOSTLY, OFF)


@pytest.mark.parametrize(
    ("source", "words"),
    [
        ('threshhold = "style"', "line 1: there is no setting “threshhold”; did you mean “threshold”?"),
        ('\n[styles]\nrow-form = "Row 1:"', "line 2: there is no setting “styles”; did you mean “style”?"),
        ('[style]\n\nrow-fom = "Row 1:"', "line 3: there is no setting “row-fom” in [style]; did you mean “row-form”?"),
        ('[style]\nROW-FORM = "Row 1:"', "line 2: there is no setting “ROW-FORM” in [style]; did you mean “row-form”?"),
        ('[style]\nxyzzy = "Row 1:"', "there is no setting “xyzzy” in [style]; `tenterhook explain settings` lists them all"),
        ('[rules]\nnotion = "off"', "line 2: there is no setting “notion” in [rules]; did you mean “notions”?"),
        ("[rules]\nnotions = false", "line 2: “notions” is false, but must be “on” or “off”"),
        ("[tolerances]\nin-cms = 1", "line 2: there is no setting “in-cms” in [tolerances]; did you mean “in-cm”?"),
        ('[tolerances]\nin-cm = "half"', "line 2: “in-cm” is “half”, but must be a number from 0 to 50, in cm"),
        ("[tolerances]\nin-cm = true", "line 2: “in-cm” is true, but must be a number"),
        ("[tolerances]\nin-cm = -1", "line 2: “in-cm” is -1, but must be a number"),
        ("[tolerances]\nin-cm = nan", "line 2: “in-cm” is nan, but must be a number"),
        ("[tolerances]\ngauge-size = inf", "line 2: “gauge-size” is inf, but must be a number"),
        ('[cautions]\nsmall-part = "off"', "did you mean “small-parts”?"),
        ("[cautions]\nsmall-parts = 3", "line 2: “small-parts” is 3, but must be words in quotation marks"),
        ('[cautions]\nsmall-parts = "on"', "line 2: “small-parts” is “on”, but must be the words the house prints, or “off”"),
        ("terms = 1", "line 1: “terms” is 1, but must be “US”, “UK” or “off”"),
        ('terms = "American"', "line 1: “terms” is “American”, but must be “US”, “UK” or “off”"),
        ('threshold = "querry"', "“threshold” is “querry”, but must be “wrong”, “query”, “style” or “suggestion”; did you mean “query”?"),
        ("style = 3", "line 1: “style” is 3, but must be a table headed [style]"),
        ("[[style]]\n", "“style” is a list, but must be a table headed [style]"),
        ('[style]\nrow-form = "Row 1;"', "line 2: “row-form” is “Row 1;”, but must be “Row 1:”, "),
        ("[style]\nrow-form = []", "line 2: “row-form” is a list, but must be "),
        ("[style]\nrow-form = {}", "line 2: “row-form” is a table, but must be "),
        ('[style]\nsection-order = ["sizzes"]', "line 2: “section-order” has “sizzes” in it, but may have only “sizes”, "),
        ('[style]\nsection-order = ["sizes", 3]', "has 3 in it"),
        ('[style]\nsection-order = ["sizes", "sizes"]', "each once"),
        ('[style]\nsection-order = []', "each once"),
        ('[style]\nsection-order = "sizes"', "line 2: “section-order” is “sizes”"),
        ('style.row-fom = "x"', "line 1: there is no setting “row-fom” in [style]"),
        ("[style", "this is not TOML: at its end: expected ']'"),
        ("a = 1\nb = @\n", "this is not TOML: line 2: invalid value"),
        ("a = 1\nb = ", "this is not TOML: at its end: invalid value"),
        ("a = 1\na = 2", "cannot overwrite a value"),
    ],
)
def test_what_is_wrong_is_told_with_its_line_and_what_was_meant(read: Callable[[str], Style], source: str, words: str) -> None:
    assert words in reason(read, source)


def test_everything_wrong_is_told_at_once_in_the_order_of_the_file(read: Callable[[str], Style]) -> None:
    told = reason(read, 'terms = 1\n[tolerances]\nin-cm = "x"\n[style]\nrow-fom = 1\n')
    assert [part.split(":")[0] for part in told.split("; ") if part.startswith("line")] == ["line 1", "line 3", "line 5"]


def test_a_key_inside_a_long_string_is_no_key(read: Callable[[str], Style]) -> None:
    source = '[cautions]\nsmall-parts = """\nrow-fom = 1 and more words\n"""\nsmall-part = "off"\n'
    assert reason(read, source).startswith("line 5: ")


@pytest.mark.parametrize(
    "source",
    ["x" * 3 + " = " + "[" * 20_000, "a" + ".a" * 50_000 + " = 1", "a = " + "9" * 10_000, 'a = "' + "\\u0041" * 20_000, "a = 1\r\r\r", "\ufeff\ufeffx = 1"],
)
def test_hostile_files_are_refused_in_words(read: Callable[[str], Style], source: str) -> None:
    assert reason(read, source)


def test_a_file_is_bounded_and_utf_8(folder: Path) -> None:
    path = folder / "tenterhook.toml"
    path.write_bytes(b"#" * (MAX_BYTES + 1))
    with pytest.raises(Faulty, match="larger than 256 kB"):
        read_house_style(str(path), RULES)
    path.write_bytes('terms = "US" # caf\xe9'.encode("latin-1"))
    with pytest.raises(Faulty, match="not UTF-8"):
        read_house_style(str(path), RULES)
    path.write_bytes(b'\xef\xbb\xbfterms = "US"\r\n[rules]\r\nnotions = "off"\r\n')
    assert read_house_style(str(path), RULES).off == {"notions"}


@given(st.text(alphabet='ab[]{}"\'=.#\n\r\t 019-\\u', max_size=200))
def test_reading_raises_faulty_and_nothing_else(source: str) -> None:
    try:
        file = TomlFile("x.toml", source)
        file.whole.known(("a",))
        file.finish()
    except Faulty as faulty:
        assert faulty.reason


# Finding the file


def test_the_nearest_file_above_the_manuscript_holds(folder: Path) -> None:
    (folder / "series" / "first").mkdir(parents=True)
    (folder / "tenterhook.toml").write_text('threshold = "wrong"\n', encoding="utf-8")
    (folder / "series" / "first" / "tenterhook.toml").write_text('threshold = "style"\n', encoding="utf-8")
    desk = Desk()
    assert desk.style_for("series/mat.txt").threshold is Severity.WRONG
    assert desk.style_for("series/first/mat.txt").threshold is Severity.STYLE
    assert desk.style_for(str(folder / "series" / "first" / "mat.txt")).threshold is Severity.STYLE
    assert desk.style_for("-").threshold is Severity.WRONG
    assert Desk(Severity.SUGGESTION).style_for("series/mat.txt").threshold is Severity.SUGGESTION


def test_a_deep_folder_is_no_trouble(folder: Path) -> None:
    assert Desk().style_for("/".join(["d"] * 1500) + "/mat.txt") == Style()


def test_a_file_at_fault_names_the_manuscript_that_is_not_proofed(folder: Path) -> None:
    (folder / "tenterhook.toml").write_text("terms = 3\n", encoding="utf-8")
    with pytest.raises(Unreadable) as caught:
        Desk().style_for("mat.txt")
    assert caught.value.path == "mat.txt"
    assert caught.value.reason == "not proofed, because of tenterhook.toml: line 1: “terms” is 3, but must be “US”, “UK” or “off”"


def test_a_folder_of_that_name_is_no_house_style(folder: Path) -> None:
    (folder / "tenterhook.toml").mkdir()
    assert Desk().style_for("mat.txt") == Style()


# The command


def run(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    status = cli.main(list(arguments))
    written = capsys.readouterr()
    return status, written.out, written.err


def test_a_house_style_end_to_end(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / "leaflets").mkdir()
    (folder / "leaflets" / "mat.txt").write_text(MAT, encoding="utf-8")
    assert run(capsys, "proof", "--format", "lines", "leaflets/mat.txt")[:2] == (0, "")
    (folder / "tenterhook.toml").write_text('threshold = "style"\n[style]\nrow-form = "Row 1."\n', encoding="utf-8")
    status, out, err = run(capsys, "proof", "--format", "lines", "leaflets/mat.txt")
    assert (status, err) == (1, "")
    assert out == "leaflets/mat.txt:10:1: style: “Row 1:” here; the house style is “Row 1.”. It is so in 2 more places. [row-form]\n"
    assert run(capsys, "proof", "--format", "lines", "--threshold", "query", "leaflets/mat.txt")[0] == 0
    (folder / "tenterhook.toml").write_text('[style]\nrow-form = "Row 1."\n[rules]\nrow-form = "off"\n', encoding="utf-8")
    assert run(capsys, "proof", "--format", "lines", "leaflets/mat.txt")[:2] == (0, "")


@pytest.mark.parametrize("form", ["text", "lines", "json"])
def test_a_house_style_at_fault_ends_with_status_2(folder: Path, capsys: pytest.CaptureFixture[str], form: str) -> None:
    (folder / "sound").mkdir()
    (folder / "faulty").mkdir()
    (folder / "sound" / "mat.txt").write_text(MAT, encoding="utf-8")
    (folder / "faulty" / "mat.txt").write_text(MAT, encoding="utf-8")
    (folder / "faulty" / "tenterhook.toml").write_text('[style]\nrow-fom = "Row 1:"\n', encoding="utf-8")
    status, out, err = run(capsys, "proof", "--format", form, "sound/mat.txt", "faulty/mat.txt")
    assert status == 2
    assert "faulty/mat.txt: not proofed, because of faulty/tenterhook.toml: line 2: there is no setting “row-fom” in [style]; did you mean “row-form”?" in err
    assert "Traceback" not in out + err
    assert form == "lines" or "sound/mat.txt" in out


def test_a_worksheet_is_worked_in_the_terms_of_the_house(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / "mat.txt").write_text("12ch.\nRow 1: 1dc in each ch to end, turn. (12dc)\n", encoding="utf-8")
    kinds = []
    for terms in ("US", "UK"):
        (folder / "tenterhook.toml").write_text(f'terms = "{terms}"\n', encoding="utf-8")
        _, out, _ = run(capsys, "worksheet", "--format", "json", "mat.txt")
        kinds.append(json.loads(out)["worksheets"][0]["pieces"][0]["rows"][0]["sizes"][0]["kinds"])
    assert kinds == [{"dc": 12}, {"sc": 12}]


def test_explain_tells_every_setting(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, _ = run(capsys, "explain", "settings")
    assert status == 0
    for table, settings in schema(RULES).items():
        assert f"[{table}]" in out or not table
        for setting in settings.values():
            assert f"\n  {setting.name}\n" in out
            assert sentence(setting).endswith((".", "”."))
    assert "\n[rules]\n" in out
    assert "In the house style: [style] row-form" in run(capsys, "explain", "row-form")[1]


@pytest.mark.parametrize("beside", [False, True])
def test_a_run_pays_only_for_what_is_there(folder: Path, beside: bool) -> None:
    (folder / "mat.txt").write_text(MAT, encoding="utf-8")
    if beside:
        (folder / "tenterhook.toml").write_text('[style]\nrow-form = "Row 1:"\n', encoding="utf-8")
    code = (
        "import sys; from tenterhook.lint import cli; cli.main(['proof', '--format', 'lines', 'mat.txt']);"
        "print([m for m in ('toml_file', 'house', 'margin_file') if f'tenterhook.lint.beside.{m}' in sys.modules], 'difflib' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, env={**os.environ})
    loaded, _, difflib = done.stdout.strip().partition("] ")
    assert loaded + "]" == ("['toml_file', 'house']" if beside else "[]")
    assert difflib in ("True", "False")


# What the settings do


def of(source: str, **settings: object) -> list[Finding]:
    return list(proof(Text(source), Style(strict=True, **settings)).findings)  # type: ignore[arg-type]


def told(source: str, rule: str, **settings: object) -> list[Finding]:
    return [f for f in of(source, **settings) if f.rule == rule]


def test_terms_that_are_not_the_house_s_are_a_point_of_style() -> None:
    assert told(MAT, "terms-mixed", terms="US") == []
    assert told(MAT, "terms-mixed", terms=None) == []
    (finding,) = told(MAT, "terms-mixed", terms="UK")
    assert finding.severity is Severity.STYLE
    assert finding.message == "These are US terms, declared here; the house style is UK terms."
    undeclared = "Ch 11.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (10 sc)\n"
    (finding,) = told(undeclared, "terms-mixed", terms="UK")
    assert finding.severity is Severity.STYLE and "only US terms have" in finding.message


def test_a_rule_that_is_off_says_nothing() -> None:
    wrong = MAT.replace("(10 sts)\nRow 3", "(12 sts)\nRow 3")
    assert told(wrong, "row-total") and not told(wrong, "row-total", off=frozenset({"row-total"}))


PAIR = "Finished size: {} square\n\nCh 11.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (10 sc)\n"


@pytest.mark.parametrize(
    ("pair", "within", "severity"),
    [
        # 16 in is 40.64 cm (1 in = 2.54 cm exactly); the usual allowance is 0.5 cm (lint/trade/units.toml).
        ("16 in (40.5 cm)", None, None),
        ("16 in (39 cm)", None, Severity.WRONG),
        ("16 in (39 cm)", 2, None),
        ("16 in (38 cm)", 2, Severity.WRONG),
        ("16 in (41 cm)", None, None),
        ("16 in (41 cm)", 0.2, Severity.STYLE),
        ("16 in (40.6 cm)", 0.2, None),
        ("40.5 cm (16 in)", 0.2, None),
        ("41 cm (16 in)", 0.2, Severity.STYLE),
        ("about 16 in (41 cm)", 0.2, None),
        ("4 in (10 cm)", 0, None),  # a customary pair
    ],
)
def test_the_allowance_for_inches_and_centimetres(pair: str, within: float | None, severity: Severity | None) -> None:
    found = told(PAIR.format(pair), "unit-pair", allowances={} if within is None else {"in-cm": within})
    assert [f.severity for f in found] == ([] if severity is None else [severity])


def test_a_pair_too_coarse_for_the_house_is_corrected() -> None:
    source = PAIR.format("16 in (41 cm)")
    (finding,) = told(source, "unit-pair", allowances={"in-cm": 0.2})
    assert "16 in is 40.5 cm" in finding.message and "the house allows 0.2 cm" in finding.message
    (correction,) = finding.corrections
    assert told(correction.apply(source), "unit-pair", allowances={"in-cm": 0.2}) == []


def test_the_allowance_for_other_pairs() -> None:
    yarn = "Materials\n1 ball of DK yarn, {}\n\nCh 11.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (10 sc)\n"
    # 137 yd is 125.3 m, 1.75 oz is 49.6 g.
    assert told(yarn.format("137 yd (126 m)"), "unit-pair") == []
    assert [f.severity for f in told(yarn.format("137 yd (126 m)"), "unit-pair", allowances={"yd-m": 0.5})] == [Severity.STYLE]
    assert [f.severity for f in told(yarn.format("137 yd (130 m)"), "unit-pair")] == [Severity.WRONG]
    assert told(yarn.format("137 yd (130 m)"), "unit-pair", allowances={"yd-m": 5}) == []
    assert told(yarn.format("1.8 oz (50 g)"), "unit-pair", allowances={"oz-g": 0.2}) != []


SIZE = (
    "US terms.\nFinished size: {} in wide and 12 in long\nGauge: 16 sc and 18 rows = 4 in\n\nPanel\nCh 61.\n"
    "Row 1: Sc in 2nd ch from hook and in each ch across, turn. (60 sc)\nRows 2-54: Ch 1, sc in each sc across, turn. (60 sc)\n"
)


@pytest.mark.parametrize(("wide", "within", "spoken"), [("15", None, False), ("14", None, False), ("14", 3, True), ("10.5", None, True), ("10.5", 50, False)])
def test_the_allowance_for_sizes(wide: str, within: float | None, spoken: bool) -> None:
    """60 stitches at 16 to 4 in are 15 in."""
    assert bool(told(SIZE.format(wide), "gauge-size", allowances={} if within is None else {"gauge-size": within})) == spoken


OTTER = "US terms.\nOtter\n{}\nMaterials: 1 ball of DK yarn; 3 mm hook; 2 safety eyes; toy stuffing\n\nHead\nRnd 1: 6 sc in magic ring. (6)\nRnd 2: 2 sc in each st around. (12)\nPut in the eyes and stuff.\n"
WORDS = "Eyes are small parts and may be swallowed. Embroider them for a child under three, and check the rules where you live."
CAUTION = "caution-small-parts"


def test_the_house_text_answers_the_question() -> None:
    house = {"small-parts": WORDS}
    assert told(OTTER.format(WORDS), CAUTION, texts=house) == []
    assert told(OTTER.format(WORDS.replace(". ", ".\n").upper()), CAUTION, texts=house) == []
    (asked,) = told(OTTER.format(""), CAUTION, texts=house)
    assert "no caution was found" in asked.message and f"The house text is: “{WORDS}”" in asked.message
    (correction,) = asked.corrections
    assert WORDS in correction.apply(OTTER.format(""))
    assert told(correction.apply(OTTER.format("")), CAUTION, texts=house) == []


def test_another_wording_of_the_house_text_is_a_point_of_style() -> None:
    other = "Eyes are small parts which may be swallowed; embroider them for any child under three."
    assert told(OTTER.format(other), CAUTION) == []
    (finding,) = told(OTTER.format(other), CAUTION, texts={"small-parts": WORDS})
    assert finding.severity is Severity.STYLE
    (correction,) = finding.corrections
    assert correction.apply(OTTER.format(other)) == OTTER.format(WORDS)


def test_a_caution_is_turned_off_by_its_name(read: Callable[[str], Style]) -> None:
    style = read('[cautions]\nsmall-parts = "off"\n')
    assert [f for f in proof(Text(OTTER.format("")), style).findings if f.rule == CAUTION] == []


@pytest.mark.parametrize("name", ["small-parts", "cords", "sleep"])
def test_no_wording_of_a_house_puts_words_of_judgement_into_our_mouth(name: str) -> None:
    for source in (OTTER.format(""), "Baby Blanket\n\nCh 11.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (10 sc)\n"):
        for finding in of(source, texts={name: WORDS}):
            assert not {"safe", "unsafe", "compliant"} & set(finding.message.replace(WORDS, "").lower().split())


# Rules of other packages


def speaks(subject: Subject) -> list[Finding]:
    return [Finding("house-turn", Severity.STYLE, f"The choice is {subject.style.choice(TURN)}.", subject.text.line_span(1))]


TURN = Choice("house-turn", "the house's word for turn", ("turn", "turn work"))
HOUSE_RULE = Rule("house-turn", Severity.STYLE, "A title", "Why.", "Row 1: sc", "Row 1: dc", "When.", speaks, settings=(TURN,))


def test_a_rule_of_a_house_has_settings_like_any_other(folder: Path) -> None:
    path = folder / "tenterhook.toml"
    path.write_text('[style]\nhouse-turn = "turn work"\n', encoding="utf-8")
    with pytest.raises(Faulty):
        read_house_style(str(path), RULES)
    style = read_house_style(str(path), (*RULES, HOUSE_RULE))
    assert [f.message for f in proof(Text(MAT), style, [HOUSE_RULE]).findings] == ["The choice is turn work."]


# What word-mixed leaves to a house that has decided


def test_what_the_house_decides_is_said_once() -> None:
    rounds = "Rnd 1: 6 sc in magic ring. (6)\n" + "".join(f"Rnd {n}: Sc in each st around. (6)\n" for n in range(2, 8)) + "Round 8: Sc in each st around. (6)\n"
    assert [f.rule for f in of(rounds) if "Round" in f.message] == ["word-mixed"]
    assert [f.rule for f in of(rounds, choices={"round-word": "Rnd"}) if "Round" in f.message] == ["round-word"]
    assert {f.message for f in of(rounds, choices={"round-word": OFF})} == {f.message for f in of(rounds)}
    mesh = "".join(f"Row {n}: Ch 1, sc in next ch-2 sp, turn.\n" for n in range(1, 8)) + "Row 8: Ch 1, sc in next 2-ch sp, turn.\n"
    assert [f.rule for f in of(mesh) if "2-ch" in f.message] == ["word-mixed"]
    assert [f.rule for f in of(mesh, choices={"space-form": "ch-3 sp"}) if "2-ch" in f.message] == ["space-form"]


# The page that shows people how


README = (Path(__file__).parent.parent / "README.md").read_text(encoding="utf-8")


def test_the_examples_in_the_readme_are_good(read: Callable[[str], Style], folder: Path) -> None:
    blocks = re.findall(r"```toml\n(.*?)```", README, re.DOTALL)
    assert len(blocks) == 2
    style = read(blocks[0])
    assert style.threshold is Severity.STYLE and style.texts and style.choices and style.allowances and style.off
    side = folder / "vest.txt.toml"
    side.write_text(blocks[1], encoding="utf-8")
    unprinted = read_margin(str(side)).unprinted
    assert unprinted.gauges[0].pieces == ("Back", "Front")
    assert unprinted.measures[0].width == (46, 51, 56.5)
