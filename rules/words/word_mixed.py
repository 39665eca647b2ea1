"""One thing said in two ways, against the manuscript's own majority."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from functools import cache, lru_cache

from ...lint import regex
from ...lint.finding import Because, Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.syntax.layout import SectionKind, Statement
from ...lint.text import Span
from ...lint.vocabulary_use import key_sections, row_name, row_statements, spelling

_MOST_ODD = 2
_LEAST_USUAL = 6
"""An odd form is pointed at when it stands at most so often, and the usual form at least so often."""

_FORMS: tuple[tuple[tuple[str, str], ...], ...] = (
    (("rep", r"reps?\b\.?(?=\s+(?:from|rows?|rnds?|rounds?|\*|to|between|[(\[]))"), ("repeat", r"repeat(?=\s+(?:from|rows?|rnds?|rounds?|\*|to|between|[(\[]))"), ("rpt", r"rpt(?=\s+(?:from|rows?|rnds?|rounds?|\*|to|between|[(\[]))")),
    (("sk", r"sk(?!ipped|\.?\s*sts?\b)"), ("skip", r"skip"), ("miss", r"miss")),
    (("st", r"(?<!sl )(?<!slip )(?<!v-)(?<!sl-)(?<!puff )(?<!cr )sts?(?! marker)"), ("stitch", r"(?<!slip )(?<!v-)(?<!popcorn )(?<!puff )(?<!bobble )(?<!shell )(?<!post )stitch(?:es)?(?! markers?)")),
    (("sp", r"sps?"), ("space", r"spaces?")),
    (("sl st", r"sl[ -]sts?"), ("ss", r"ss"), ("slip stitch", r"slip[ -]stitch(?:es)?|slip sts?")),
    (("sc", r"sc"), ("single crochet", r"single crochets?")),
    (("dc", r"dc"), ("double crochet", r"(?<!half )(?<!post )double crochets?")),
    (("hdc", r"hdc"), ("half double crochet", r"half[ -]double crochets?")),
    (("tr", r"tr"), ("treble", r"(?<!half )(?<!double )(?<!post )trebles?(?: crochets?)?")),
    (("FPdc", r"fpdc"), ("front post dc", r"front[ -]post (?:dc|double crochet)"), ("dcfp", r"dcfp")),
    (("BPdc", r"bpdc"), ("back post dc", r"back[ -]post (?:dc|double crochet)"), ("dcbp", r"dcbp")),
    (("FPtr", r"fptr"), ("front post tr", r"front[ -]post (?:tr|treble(?: crochet)?)"), ("trfp", r"trfp")),
    (("BPtr", r"bptr"), ("back post tr", r"back[ -]post (?:tr|treble(?: crochet)?)"), ("trbp", r"trbp")),
    (("beg", r"beg"), ("beginning", r"beginning(?! of)")),
    (("rem", r"rem"), ("remaining", r"remaining")),
    (("foll", r"foll"), ("following", r"following(?= (?:\d|sts?|sc|dc|hdc|tr|ch|stitch))")),
    (("inc", r"inc"), ("increase", r"increase")),
    (("dec", r"dec"), ("decrease", r"decrease")),
    (("next 2", r"next \d+"), ("next two", r"next (?:two|three|four|five|six|seven|eight|nine|ten)")),
    (("2 times", r"2 times"), ("twice", r"twice")),
    (("MC", r"mc"), ("main color", r"main colou?r")),
    (("CC", r"cc"), ("contrast color", r"contrast(?:ing)? colou?r")),
    (("sc2tog", r"sc2tog"), ("sc 2 tog", r"sc 2 tog")),
    (("dc2tog", r"dc2tog"), ("dc 2 tog", r"dc 2 tog")),
    (("ch-2 sp", r"ch-\d+ (?:sps?|spaces?)"), ("2-ch sp", r"\d+-?ch[ -](?:sps?|spaces?)")),
    (("lp", r"lps?"), ("loop", r"(?<!back )(?<!front )loops?")),
    (("tch", r"t-?ch"), ("turning ch", r"turning ch(?:ain)?")),
)  # fmt: skip
_LEAST_SPELLED = 3
_LEAST_IN_KEY = 3
"""An abbreviation of the key is the usual form by its own word; so many uses do, against a single odd one."""

_SPACES = next(i for i, forms in enumerate(_FORMS) if forms[0][0] == "ch-2 sp")
"""The group that a house may decide: its style then says which form is the odd one."""

_FIRST_LETTERS = {"rpt": "rpt", "ch-2 sp": "ch-", "2-ch sp": "ch", "tch": "ch", "sl st": "sl", "slip stitch": "slip"}
_LETTERS = tuple(
    (group, name, _FIRST_LETTERS.get(name, regex.split(r"[ \d]", name.lower())[0]), pattern)
    for group, forms in enumerate(_FORMS)
    for name, pattern in forms
)


@cache
def _compiled(pattern: str) -> regex.Pattern[str]:
    """A form's pattern, compiled when its letters are first met: most manuscripts have few of the forms."""
    return regex.compile(rf"(?<![a-z]){pattern}(?![a-z])")


@lru_cache(maxsize=8192)
def _found(folded: str) -> tuple[tuple[int, str, int, int], ...]:
    """Every form in a statement: its group, its name, and where it stands."""
    return tuple(
        (group, name, *m.span())
        for group, name, letters, pattern in _LETTERS
        if letters in folded
        for m in _compiled(pattern).finditer(folded)
    )


def _forms(subject: Subject) -> Iterator[Finding]:
    folded = subject.layout.folded
    statements = list(row_statements(subject))
    if len(statements) < 3:
        return
    keys = [section.body for section in key_sections(subject)]
    groups: dict[int, dict[str, list[tuple[int, int, Statement]]]] = {}
    for s in statements:
        at = s.body.start
        for group, name, start, end in _found(folded[at : s.body.end]):
            groups.setdefault(group, {}).setdefault(name, []).append((at + start, at + end, s))
    for group, places in sorted(groups.items()):
        usual = max(places, key=lambda name: len(places[name]))
        if len(places) < 2 or (group == _SPACES and subject.style.decides("space-form")):
            continue
        # The short form comes first in its group; of the two, the key defines that one.
        in_key = usual == _FORMS[group][0][0] and any(spelling(usual).search(folded, k.start, k.end) for k in keys)
        odd_ones = sum(len(found) for name, found in places.items() if name != usual)
        if len(places[usual]) < (_LEAST_IN_KEY if odd_ones == 1 and in_key else _LEAST_USUAL):
            continue
        first = Span(*places[usual][0][:2])
        example = subject.text[first]
        for name, found in places.items():
            if name == usual or len(found) > _MOST_ODD:
                continue
            for start, end, statement in found:
                span = Span(start, end)
                yield Finding(
                    RULE.name,
                    Severity.STYLE,
                    f'"{subject.text[span]}" here; the rows have "{example}" everywhere else ({len(places[usual])} times).',
                    span,
                    place=row_name(statement),
                    because=(Because(first, f'"{example}", the usual form'),),
                )


def _labels(subject: Subject) -> Iterator[Finding]:
    """A Row among rounds, or a Rnd among rows, in one run of numbers; and a label spelled another way."""
    source = subject.layout.folded
    spelled: list[tuple[str, Span, str]] = []
    for section in subject.layout.sections:
        if section.kind is not SectionKind.PIECE:
            continue
        labelled = [s for s in section.statements if s.label is not None and s.label.numbers]
        words: list[str] = []
        for statement in labelled:
            assert statement.label is not None
            match = regex.search(r"rounds?|rnds?|rows?", source[statement.label.span.start : statement.label.span.end])
            words.append(match.group().rstrip("s") if match else "")
            if match:
                start = statement.label.span.start + match.start()
                spelled.append(
                    (match.group().rstrip("s"), Span(start, start + len(match.group())), row_name(statement))
                )
        kinds = Counter("row" if w == "row" else "round" for w in words if w)
        if len(kinds) == 2 and min(kinds.values()) == 1 and max(kinds.values()) >= 4:
            odd = min(kinds, key=lambda k: kinds[k])
            i = next(i for i, w in enumerate(words) if w and ("row" if w == "row" else "round") == odd)
            if (
                0 < i < len(labelled) - 1
                and words[i - 1]
                and words[i + 1]
                and _next(labelled[i - 1], labelled[i])
                and _next(labelled[i], labelled[i + 1])
            ):
                label = labelled[i].label
                assert label is not None
                yield Finding(
                    RULE.name,
                    Severity.STYLE,
                    f'"{subject.text[label.span].strip(" .:-")}" stands among {"rounds" if odd == "row" else "rows"}. Is it a {"round" if odd == "row" else "row"}?',
                    label.span,
                    place=row_name(labelled[i]),
                )
    rounds = Counter(w for w, _, _ in spelled if w != "row")
    if len(rounds) == 2 and not subject.style.decides("round-word"):
        usual, odd = (w for w, _ in rounds.most_common())
        if rounds[usual] >= _LEAST_USUAL and rounds[odd] <= _MOST_ODD:
            for word, span, row in spelled:
                if word == odd:
                    yield Finding(
                        RULE.name,
                        Severity.STYLE,
                        f'"{subject.text[span]}" here; the other rounds are labelled "{usual.capitalize()}".',
                        span,
                        place=row,
                    )


_REPEATED = regex.compile(r"(?<![a-z])(?:rep(?:eat)?|as|like)\s+(?P<word>rows?|rnds?|rounds?)\s+\d+(?![^.;\n]{0,12}\bof\b)")


def _references(subject: Subject) -> Iterator[Finding]:
    """"Rep Row 3" in a part that has rounds only, or the other way about."""
    for section in subject.layout.of(SectionKind.PIECE):
        kinds = {"Rnd" if s.label.word == "Rnd" else s.label.word for s in section.statements if s.label is not None and s.label.numbers}
        if kinds not in ({"Rnd"}, {"Row"}) or sum(s.label is not None for s in section.statements) < 3:
            continue
        rows = kinds == {"Row"}
        for statement in section.statements:
            for match in _REPEATED.finditer(subject.layout.folded, statement.body.start, statement.body.end):
                if match["word"].startswith("row") != rows:
                    span = Span(match.start("word"), match.end("word"))
                    yield Finding(
                        RULE.name,
                        Severity.STYLE,
                        f'"{subject.text[span]}" here; this part is worked in {"rows" if rows else "rounds"}.',
                        span,
                        place=row_name(statement),
                    )


_SPELLINGS = (("color", "colour"), ("gray", "grey"), ("center", "centre"), ("meter", "metre"), ("fiber", "fibre"), ("skillful", "skilful"))


def _spellings(subject: Subject) -> Iterator[Finding]:
    """A plain word spelled the American way once or twice in a manuscript that has it the British way, or the reverse."""
    folded = subject.layout.folded
    for american, british in _SPELLINGS:
        if american not in folded or british not in folded:
            continue
        found = {word: list(regex.finditer(rf"(?<![a-z]){word}(?:s|ed|ing|way|ful)?(?![a-z])", folded)) for word in (american, british)}
        usual, odd = sorted(found, key=lambda word: -len(found[word]))
        if not 0 < len(found[odd]) <= _MOST_ODD or len(found[usual]) < _LEAST_SPELLED:
            continue
        first = found[usual][0]
        for match in found[odd]:
            span = Span(*match.span())
            yield Finding(
                RULE.name,
                Severity.STYLE,
                f'"{subject.text[span]}" here; elsewhere it is "{usual}" ({len(found[usual])} times).',
                span,
                because=(Because(Span(*first.span()), f'"{usual}", the usual spelling'),),
            )


def _next(one: Statement, other: Statement) -> bool:
    return one.label is not None and other.label is not None and other.label.numbers[0] == one.label.numbers[-1] + 1


def check(subject: Subject) -> Iterator[Finding]:
    if subject.pattern.antique:
        return
    yield from _forms(subject)
    yield from _labels(subject)
    yield from _references(subject)
    yield from _spellings(subject)


_ROWS = "".join(f"Row {n}: Ch 1, sc in each st across, turn. (10 sc)\n" for n in range(2, 8))

RULE = Rule(
    name="word-mixed",
    severity=Severity.STYLE,
    title="One thing said in two ways",
    why="A maker who has met st for eight rows wonders what else a stitch may be. The manuscript's own habit is the measure: a form that stands once or twice against many of the other.",
    looks_like="Ch 11.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (10 sc)\n"
    + _ROWS
    + "Row 8: Ch 1, sc in each stitch across. (10 sc)\n",
    better="Ch 11.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (10 sc)\n"
    + _ROWS
    + "Row 8: Ch 1, sc in each st across. (10 sc)\n",
    let_stand="The longer word is meant in its everyday sense.",
    check=check,
)
