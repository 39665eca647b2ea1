"""What is settled about the project as a whole, each held by a check: who may import whom, what is loaded, what never raises."""

from __future__ import annotations

import ast
import json
import random
import re
import subprocess
import sys
import tomllib
from collections.abc import Callable, Iterator
from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest
from tenterhook.lint.fabric.memory import Memory
from tenterhook.lint.finding import Finding, Severity
from tenterhook.lint.proof import proof
from tenterhook.lint.rule import Rule, Subject
from tenterhook.lint.rule_sets import installed_rules
from tenterhook.lint.style import Style
from tenterhook.lint.syntax.fold import fold
from tenterhook.lint.syntax.lexer import Vocabulary, joined, lexer_for
from tenterhook.lint.text import Place, Span, Text
from tenterhook.rules import rules

ROOT = Path(__file__).parent.parent
SOURCES = sorted(path.relative_to(ROOT) for package in ("lint", "rules", "server") for path in (ROOT / package).rglob("*.py"))

GOOD = """\
US terms.

Harness Strap

Ch 13.
Row 1 (RS): Sc in 2nd ch from hook and in each ch across, turn. (12 sc)
Row 2: Ch 1, sc in each of next 5 sts, 2 sc in next st, sc in each st across, turn. (13 sc)
Row 3: Ch 1, *sc in next st, ch 1, sk next st; rep from * to last st, sc in last st, turn. (7 sc, 6 ch-1 sps)
"""

NASTY = {
    "nothing": "",
    "spaces": " \t \u00a0\u2003 ",
    "line ends": "\r\n\r\r\n\n\r",
    "nul": "Row 1: sc\0 in next st\0.\0",
    "byte order mark": "\ufeffCh 9.\nRow 1: Sc in 2nd ch from hook and in each ch across. (8 sc)",
    "surrogates": "Row 1: sc \ud800 in next st. \udfff (1 sc)",
    "other scripts": "Ряд 1: 6 сбн. (6)\nشوط ٢: ٦ غرز\n第3段：細編み6目\nRow १: sc in next २ sts",
    "look-alikes": "Rоw 1: Sс in 2nd сh frоm hооk. (6 sс)",
    "longer in lower case": "İNC x 6, ŉ, ẞ, ﬁrst st, ǰ, ΰ",
    "combining marks": "Ro\u0301w 1: s\u0327c in next st\u20dd. (1 sc\u0308)",
    "emoji": "🧶 Row 1: 👩\u200d👩\u200d👧 sc in next st 🧶 (1 sc)",
    "bidirectional": "Row 1: \u202esc in next st\u202c \u2067(1 sc)\u2069",
    "unicode line ends": "Row 1: sc in next st.\u2028Row 2: sc.\u2029Row 3: sc.\x85Row 4: sc\x0bRow 5: sc\x0c",
    "brackets never closed": "Row 1: " + "(" * 200 + "sc" + "[" * 200,
    "brackets never opened": "Row 1: sc" + ")" * 200 + "]" * 200 + "}",
    "brackets in brackets": "Row 1: " + "(" * 8 + "sc in next st" + ") 2 times" * 8 + ".",
    "stars alone": "Row 1: " + "* " * 300 + "\nRow 2: " + "*" * 300 + "\n**\n***\n",
    "recalls alone": "Row 1: rep from * across; rep from ** 3 times; rep from * to ** twice, ending last rep at **.",
    "repeats in repeats": "Row 1: " + "*(" * 3 + "sc" + "; rep from * 9 times) 9 times" * 3,
    "great numbers": "Ch " + "9" * 400 + ".\nRow 1: Sc in " + "9" * 50 + "th ch from hook, " + "9" * 60 + " sc. (" + "9" * 80 + " sc)",
    "no numbers": "Ch 0.\nRow 0: 0 sc in next 0 sts, sc0tog, (sc) 0 times, sk 0, ch 0. (0 sc)\nRow 0: sc across. (0)",
    "minus": "Ch -3.\nRow -1: -2 sc, sc in next -4 sts. (-2 sc)",
    "great range": "Row 1: Sc. (1)\nRows 2-99999999: Rep Row 1.\nRows 9-2: Rep Row 1.\nRows 5-: sc\nRow 1-?: sc",
    "reference to itself": "Row 1: Rep Row 1.\nRow 2: Rep Row 3.\nRow 3: Rep Row 2.\nRows 4-6: Rep Rows 4-6.",
    "definition of itself": "Special stitches\nShell: Shell in next st.\nFan: Web in next st.\nWeb: Fan in next st.\n\nCh 9.\nRow 1: Shell, fan, web across.",
    "many sizes": "Sizes: " + ", ".join(f"{n} years" for n in range(90)) + "\nCh 9 (" + ", ".join(map(str, range(90))) + ").\nRow 1: sc across.",
    "sizes that do not match": "Sizes: S (M, L)\nCh 10 (12).\nRow 1: Sc in each ch across. (9 (11, 13, 15) sc)\nRow 2: 1 (2, 3 sc.",
    "labels alone": "Row 1:\nRow 2:\nRnd 3:\n4.\nR5:\nRow\nRound\nRows\nRows 1\n1st\nNext row:\n",
    "one long word": "sc" * 1_500,
    "one long line": "Row 1: " + "sc in next st, " * 600,
    "many labels": "\n".join(f"Row {n}: sc" for n in range(1, 400)),
    "many brackets and stars": "Row 1: " + "*[(" * 60 + " sc " + ")]*" * 60,
    "markup": "<p>Row 1: <b>sc</b> &amp; &lt;dc&gt;</p><script>*</script>\n| Row | 1 |\n|---|---|\n```\nRow 2: sc\n```",
    "a good one cut": GOOD[: len(GOOD) // 2],
}


@pytest.mark.parametrize("name", NASTY)
def test_reading_never_raises(name: str) -> None:
    source = NASTY[name]
    done = proof(Text(source), Style(strict=True))
    assert all(f.span.end <= len(source) for f in done.findings)
    assert sum(done.work.tally().values()) >= 0


def test_every_beginning_of_a_pattern_can_be_read() -> None:
    """A designer's half-typed line is a text like any other."""
    for end in range(0, len(GOOD), 3):
        proof(Text(GOOD[:end]), Style(strict=True), corrections=False)


@pytest.mark.parametrize("name", [*NASTY, "good"])
def test_joined_tokens_give_back_the_text(name: str) -> None:
    source = NASTY.get(name, GOOD)
    tokens = list(lexer_for(Vocabulary()).tokens(source))
    assert joined(tokens, source) == source
    assert all(a.end == b.start for a, b in pairwise(tokens))


@pytest.mark.parametrize("name", [*NASTY, "good"])
def test_the_reading_copy_is_as_long_as_the_text(name: str) -> None:
    source = NASTY.get(name, GOOD)
    assert len(fold(source)) == len(source)


def test_the_reading_copy_of_each_character_is_one_character() -> None:
    every = "".join(map(chr, range(0x20000)))
    assert len(fold(every)) == len(every)
    assert [c for c in map(chr, range(0x3000)) if len(fold(c)) != 1] == []


def test_the_good_pattern_is_good() -> None:
    done = proof(Text(GOOD), Style(strict=True))
    assert done.findings == ()
    assert done.work.tally() == {"total": 3, "proved": 3, "differs": 0, "assumed": 0, "unread": 0}


# The same text, the same findings


IN_A_FRESH_PROCESS = """
import json, sys
from tenterhook.lint.proof import proof
from tenterhook.lint.text import Text
print(json.dumps([[[f.rule, f.message, f.span.start, f.span.end] for f in proof(Text(t)).findings] for t in json.load(sys.stdin)]))
"""


def edits() -> Iterator[str]:
    """One text after another, as typing would make them."""
    yield GOOD
    yield GOOD.replace("(12 sc)", "(13 sc)")
    yield GOOD.replace("Ch 13", "Ch 14")
    yield GOOD.replace("Row 2:", "Row 2: Sc,")
    yield GOOD.replace("US terms.", "UK terms.")
    yield GOOD.replace("US terms.", "Special stitches\nSc: 2 dc in next st.")
    yield GOOD.replace("Row 3", "Row 4")
    yield GOOD.replace("2 sc in next st", "2 sc in next")
    yield GOOD


def test_findings_after_any_edits_equal_findings_from_scratch() -> None:
    texts = list(edits())
    memory = Memory()
    after = [[[f.rule, f.message, f.span.start, f.span.end] for f in proof(Text(text), memory=memory).findings] for text in texts]
    assert after[0] == after[-1] == []
    assert sum(map(bool, after)) >= 4
    fresh = subprocess.run([sys.executable, "-c", IN_A_FRESH_PROCESS], input=json.dumps(texts[::-1]), capture_output=True, text=True, check=True)
    assert json.loads(fresh.stdout)[::-1] == after


@pytest.mark.parametrize("path", sorted((ROOT / "examples").glob("[0-9]*.*")), ids=lambda path: path.name)
def test_a_remembered_working_is_the_working_from_scratch(path: Path) -> None:
    """Typing into every example at one place after another, with what was worked before kept throughout."""
    good = path.read_text("utf-8")
    dice = random.Random(path.name)
    numbers = [m.span() for m in re.finditer(r"\d+", good)]
    memory = Memory()
    for _ in range(8):
        start, end = dice.choice(numbers)
        text = Text(good[:start] + str(int(good[start:end]) + 1) + good[end:])
        remembered, scratch = proof(text, corrections=False, memory=memory), proof(text, corrections=False)
        assert remembered.findings == scratch.findings
        assert remembered.work == scratch.work


# What is loaded


@pytest.mark.parametrize("what", ["import tenterhook.lint.proof, tenterhook.lint.rule_sets as r; r.installed_rules()", "import tenterhook.lint.cli"])
def test_proofing_loads_no_terminal_server_or_reader_of_files(what: str) -> None:
    heavy = "{'rich', 'lark', 'pygls', 'lsprotocol', 'lxml', 'pypdfium2', 'subprocess', 'asyncio', 'xml', 'tenterhook.lint.drawing', 'tenterhook.lint.fabric.trace'}"
    code = f"import sys; {what}; print(sorted({heavy} & set(sys.modules)))"
    assert subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.strip() == "[]"


# Who may import whom

# Stages of lint/ and what each may import besides itself, the standard library and other people's packages.
READ = {"regex", "text", "trade", "syntax"}
MAY_IMPORT: dict[str, set[str]] = {
    "version": set(),
    "cache": set(),
    "regex": {"cache", "version"},
    "text": {"regex"},
    "same": set(),
    "trade": {"cache", "regex"},
    "finding": {"text"},
    "style": {"finding"},
    "unprinted": set(),
    "stet": {"regex", "text", "fabric", "finding", "words"},
    "margin": {"stet", "unprinted"},
    "confined": set(),
    "manuscript": {"regex", "text", "confined"},
    "syntax": {"regex", "text", "trade", "cache"},
    "pattern": READ,
    "fabric": READ | {"pattern"},
    "rule": READ | {"pattern", "fabric", "finding", "style", "unprinted"},
    "schema": {"finding", "rule", "style"},
    # Words, measures and uses that rules share.
    "wording": READ | {"fabric", "finding", "rule", "words"},
    "vocabulary_use": READ | {"rule", "same"},
    "measures": READ | {"pattern", "fabric", "rule"},
    "corrections": {"regex", "text", "finding"},
    # Pictures of the work.
    "drawing": READ | {"pattern", "fabric", "words"},
    "words": {"fabric", "finding"},
    "rule_sets": {"cache", "rule"},
    "proof": READ | {"pattern", "fabric", "finding", "style", "rule", "rule_sets", "corrections", "margin", "stet"},
    "output": set(),
    "queries": {"finding", "proof", "stet"},
    "beside": {
        "regex", "text", "trade", "manuscript", "finding", "style", "rule", "rule_sets", "schema", "measures", "stet", "margin", "unprinted", "proof",
        "output", "queries", "words", "confined",
    },
    "editing": READ | {"pattern", "fabric", "finding", "rule", "proof", "vocabulary_use", "measures", "same"},
    "recheck": {"fabric", "finding", "proof", "stet"},
    "report": {"regex", "recheck", "corrections", "text", "fabric", "finding", "rule", "rule_sets", "manuscript", "measures", "proof", "version", "words", "trade", "drawing", "schema", "stet", "syntax", "unprinted", "queries"},
    "batch": {"manuscript"},
    "worksheets": {"manuscript", "output", "queries", "beside", "report", "rule_sets", "style"},
    "markup": {"text", "regex", "confined", "finding", "corrections", "manuscript", "proof", "beside", "words", "output"},
}


@cache
def parsed(path: Path) -> ast.Module:
    return ast.parse((ROOT / path).read_text("utf-8"))


def module_of(path: Path) -> str:
    return ".".join(path.with_suffix("").parts).removesuffix(".__init__")


def imports(path: Path) -> Iterator[tuple[str, bool]]:
    """The project's modules that a file imports, by their names from the repository's root, and whether inside a function."""
    tree = parsed(path)
    at_top = {id(node) for node in tree.body} | {id(inner) for node in tree.body if isinstance(node, ast.If) for inner in node.body}
    package = path.parent.parts
    known = {module_of(p) for p in SOURCES}
    for node in ast.walk(tree):
        names: list[str] = []
        if isinstance(node, ast.ImportFrom):
            base = list(package[: len(package) - node.level + 1]) if node.level else []
            whole = ".".join([*base, *(node.module.split(".") if node.module else [])])
            names = [f"{whole}.{alias.name}" if f"{whole}.{alias.name}" in known else whole for alias in node.names]
        elif isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        for name in names:
            name = name.removeprefix("tenterhook.")
            if name.split(".")[0] in ("lint", "rules", "server"):
                yield name, id(node) not in at_top


def stage(module: str) -> str:
    """The stage a module of lint/ belongs to."""
    inside = module.removeprefix("lint.")
    first = inside.split(".")[0]
    return "measures" if first.startswith("measures") else first


def test_imports_are_found() -> None:
    found = set(imports(Path("lint/proof.py")))
    assert {("lint.text", False), ("lint.syntax.sections", False), ("lint.fabric.work", False)} <= found
    assert ("lint.pattern.pattern", False) in set(imports(Path("lint/rule.py")))  # for the type checker alone, an import all the same
    assert ("lint.finding", True) in set(imports(Path("lint/cli.py")))
    assert ("server.columns", False) in set(imports(Path("server/documents.py")))


def test_lint_knows_no_rule_and_no_editor() -> None:
    outward = [(str(path), name) for path in SOURCES if path.parts[0] == "lint" for name, _ in imports(path) if not name.startswith("lint")]
    # The command "serve" starts the server; it asks for it when it is called, not before.
    assert outward == [("lint/cli.py", "server.main")]
    assert ("server.main", True) in set(imports(Path("lint/cli.py")))


@pytest.mark.parametrize("path", [p for p in SOURCES if p.parts[0] == "lint" and p != Path("lint/cli.py")], ids=str)
def test_stages_of_lint_import_only_earlier_ones(path: Path) -> None:
    own = stage(module_of(path))
    if own == "lint":
        assert list(imports(path)) == []
        return
    assert own in MAY_IMPORT, f"{path} belongs to no stage: say what it may import"
    later = [name for name, _ in imports(path) if stage(name) != own and stage(name) not in MAY_IMPORT[own]]
    assert later == []


def test_stages_have_an_order() -> None:
    """No two stages import each other, however far round."""
    done: set[str] = set()
    left = dict(MAY_IMPORT)
    while ready := [name for name, needs in left.items() if needs <= done]:
        done.update(ready)
        for name in ready:
            del left[name]
    assert left == {}


def test_rules_import_only_lint() -> None:
    beyond = [
        (str(path), name)
        for path in SOURCES
        if path.parts[0] == "rules"
        for name, _ in imports(path)
        if name.startswith("server") or (name.startswith("lint") and stage(name) in {"proof", "report", "cli", "batch", "manuscript", "beside"})
    ]
    assert beyond == []


def test_a_rule_takes_from_no_other_family() -> None:
    foreign = [
        (str(path), name)
        for path in SOURCES
        if path.parts[0] == "rules" and len(path.parts) == 3
        for name, _ in imports(path)
        if name.startswith("rules") and name.split(".")[1:2] != [path.parts[1]]
    ]
    assert foreign == []


def test_the_server_asks_lint_and_decides_nothing() -> None:
    beyond = [
        (str(path), name)
        for path in SOURCES
        if path.parts[0] == "server"
        for name, _ in imports(path)
        if name.startswith("rules") or (name.startswith("lint") and stage(name) in {"report", "cli", "batch"})
    ]
    assert beyond == []


def other_peoples(path: Path) -> set[str]:
    tree = parsed(path)
    names = {alias.name for node in ast.walk(tree) if isinstance(node, ast.Import) for alias in node.names}
    names |= {node.module or "" for node in ast.walk(tree) if isinstance(node, ast.ImportFrom) and not node.level}
    return {name.split(".")[0] for name in names} - set(sys.stdlib_module_names) - {"__future__", "tenterhook", ""}


def test_each_package_of_others_is_met_in_one_part_only() -> None:
    where: dict[str, set[str]] = {}
    for path in SOURCES:
        for name in other_peoples(path):
            where.setdefault(name, set()).add("/".join(path.parts[:2]) if path.parts[0] == "lint" else path.parts[0])
    assert where.pop("lark") == {"lint/syntax"}
    assert where.pop("rich") == {"lint/report"}
    assert where.pop("pygls") == where.pop("lsprotocol") == {"server"}
    assert where.pop("openpyxl") == {"lint/beside"}
    # A document is read and marked up with the same library, so that what is counted in one is what is counted in the other.
    readers = {name: parts for name, parts in where.items() if "lint/manuscript" not in parts or parts - {"lint/manuscript", "lint/markup"}}
    assert readers == {}


# Lines and columns


def line_counting(tree: ast.AST) -> Iterator[str]:
    """Ways of turning offsets into lines or columns by hand."""
    for node in ast.walk(tree):
        if not isinstance(node, ast.Call):
            continue
        if isinstance(node.func, ast.Name) and node.func.id == "enumerate" and "'\\n'" in ast.unparse(node):
            yield ast.unparse(node)
        if not isinstance(node.func, ast.Attribute):
            continue
        first = node.args[0] if node.args else None
        ends = isinstance(first, ast.Constant) and first.value in ("\n", "\r", "\r\n")
        if node.func.attr == "splitlines":
            yield ast.unparse(node)
        # How many lines lie between two places is no column; how many lie before one is.
        before = isinstance(node.func.value, ast.Subscript) and isinstance(node.func.value.slice, ast.Slice) and node.func.value.slice.lower is None
        if node.func.attr == "count" and ends and (before or len(node.args) > 1):
            yield ast.unparse(node)


@pytest.mark.parametrize(
    "code", ["t.splitlines()", "t[:at].count('\\n')", "t.count('\\n', 0, at)", "enumerate(t.split('\\n'))", "list(enumerate(t.split('\\n'), 1))"]
)
def test_counting_lines_by_hand_is_seen(code: str) -> None:
    assert list(line_counting(ast.parse(code)))


def test_only_text_and_the_server_turn_offsets_into_columns() -> None:
    by_hand = {
        str(path): found
        for path in SOURCES
        if path != Path("lint/text.py") and path.parts[0] != "server" and (found := list(line_counting(parsed(path))))
    }
    assert by_hand == {}


def test_only_text_and_the_server_know_what_a_column_is() -> None:
    """``Place`` is the line and column of lint/text.py; a tree has a ``Place`` of its own, where a step is worked."""
    taking = {
        str(path)
        for path in SOURCES
        for node in ast.walk(parsed(path))
        if isinstance(node, ast.ImportFrom) and (node.module or "").split(".")[-1] == "text" and "Place" in {alias.name for alias in node.names}
    }
    assert {name for name in taking if not name.startswith("server/")} == set()
    assert taking


def test_only_reports_and_the_server_ask_for_columns() -> None:
    asking = {
        str(path)
        for path in SOURCES
        for node in ast.walk(parsed(path))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr == "place" and path.parts[0] != "server"
    }
    assert asking <= {str(path) for path in SOURCES if path.parts[:2] == ("lint", "report")}


@pytest.mark.parametrize("name", [*NASTY, "good"])
def test_places_and_offsets_are_each_others_inverse(name: str) -> None:
    text = Text(NASTY.get(name, GOOD)[:400])
    for offset in range(len(text) + 1):
        place = text.place(offset)
        assert text.line_span(place.line).start == offset - place.column + 1
        if offset <= text.line_span(place.line).end:
            assert text.offset(place) == offset
    assert text.offset(Place(10**6, 10**6)) <= len(text)


# Rules


def raises(subject: Subject) -> Iterator[Finding]:
    raise KeyError("Row 7")


def speaks(subject: Subject) -> Iterator[Finding]:
    yield Finding("house-name", Severity.QUERY, "Is the name the house's own?", Span(0, 8))


def rule(name: str, check: Callable[[Subject], Iterator[Finding]]) -> Rule:
    return Rule(name, Severity.QUERY, "A title", "Why.", "Row 1: sc", "Row 1: dc", "When.", check)


RAISING, SPEAKING = rule("house-sum", raises), rule("house-name", speaks)


@pytest.mark.parametrize("order", [(RAISING, SPEAKING), (SPEAKING, RAISING)])
def test_a_rule_that_raises_becomes_one_finding_and_the_others_go_on(order: tuple[Rule, ...]) -> None:
    found = proof(Text(GOOD), rules=order).findings
    assert sorted(f.rule for f in found) == ["house-name", "house-sum"]
    (failed,) = (f for f in found if f.rule == "house-sum")
    assert failed.severity is Severity.SUGGESTION
    assert "house-sum" in failed.message and "KeyError" in failed.message
    assert "Traceback" not in failed.message


def test_a_rule_that_raises_fails_a_strict_run() -> None:
    with pytest.raises(KeyError):
        proof(Text(GOOD), Style(strict=True), rules=[RAISING, SPEAKING])


def test_a_rule_that_is_off_is_not_asked() -> None:
    assert [f.rule for f in proof(Text(GOOD), Style(strict=True, off=frozenset({"house-sum"})), rules=[RAISING, SPEAKING]).findings] == ["house-name"]


def test_the_installed_rules_are_those_in_the_folders() -> None:
    files = {path.stem.replace("_", "-") for path in SOURCES if path.parts[0] == "rules" and len(path.parts) == 3 and "RULE = " in (ROOT / path).read_text("utf-8")}
    named = {r.name for r in rules()}
    assert named == files
    assert named <= {r.name for r in installed_rules()}


@pytest.mark.parametrize("each", list(rules()), ids=lambda r: r.name)
def test_a_rule_says_all_about_itself(each: Rule) -> None:
    for field in (each.name, each.title, each.why, each.looks_like, each.better, each.let_stand):
        assert field.strip()
    assert isinstance(each.severity, Severity)
    assert (ROOT / "rules" / each.family).is_dir()
    assert each.looks_like != each.better


# Folders and files


def test_every_package_folder_is_named_in_the_project_file_and_no_other() -> None:
    setup = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["tool"]["setuptools"]
    folders = {"tenterhook." + ".".join(path.parent.parts) for path in SOURCES}
    assert set(setup["packages"]) == folders
    assert all((ROOT / Path(*name.split(".")[1:]) / "__init__.py").is_file() for name in folders)
    data = {("tenterhook." + ".".join(p.relative_to(ROOT).parent.parts), p.suffix) for package in ("lint", "rules", "server") for p in (ROOT / package).rglob("*.*") if p.suffix in {".toml", ".lark"}}
    kept = {(package, Path(name).suffix) for package, names in setup["package-data"].items() for name in names}
    assert data <= kept


def test_texts_of_the_tests_and_examples_are_plain() -> None:
    places = ("/work/", "/home/", "/tmp/", "C:\\")
    faults: list[str] = []
    for folder in ("tests/cases", "tests/forms", "examples"):
        for path in sorted((ROOT / folder).rglob("*")):
            if path.suffix not in {".txt", ".md", ".toml"}:
                continue
            source = path.read_bytes().decode("utf-8")
            name = str(path.relative_to(ROOT))
            faults += [f"{name}: {place}" for place in places if place in source]
            faults += [f"{name}: an address"] if "://" in source else []
            faults += [f"{name}: a byte order mark"] if source.startswith("\ufeff") else []
            faults += [f"{name}: no line end at its end"] if not source.endswith("\n") else []
    assert faults == []
