"""Hand-made proofs: what the pipeline would give for a small invented manuscript, so that reports are tested by themselves."""

from __future__ import annotations

from tenterhook.lint.fabric.work import PieceWork, RowWork, SizeWork, Status, Work
from tenterhook.lint.finding import Because, Correction, Edit, Finding, Severity
from tenterhook.lint.pattern.pattern import Pattern
from tenterhook.lint.proof import Proof
from tenterhook.lint.syntax.layout import Layout
from tenterhook.lint.text import Span, Text

COWL = """\
# Quayside Cowl

US terms.

Abbreviations
ch - chain
sc - single crochet
FPdc - front post double crochet

Body

Row 1: Ch 27, sc in 2nd ch from hook and in each ch across, turn. (26 sts)
Row 2: Ch 1, sc in each st across, turn. (26 sts)
Row 3: Ch 1, sc in first 9 sts, FPdc around each of next 8 sts, sc in last 9 sts, turn. (27 sts)
Row 4: Ch 1, sc in each of next 27 sts, turn. (27 sts)
Row 5: Ch 1, work shells evenly across, turn. (26 sts)
Row 6: Ch 1, sc in each st across, turn. (26 sts)

Strap

Row 1: Ch 5, sc in 2nd ch from hook and in each ch across, turn. (4 sts)
"""

STRAP = """\
Samphire Strap

US terms.

Strap
Ch 13.
Row 1: Sc in 2nd ch from hook and in each ch across, turn. (12 sc)
Row 2: Ch 1, sc in each sc across, turn. (13 sc)
Row 3: Ch 1, sc in each sc across, turn. (13 sc)
Row 4: Ch 1, sc in next 20 sc, turn. (20 sc)

Tab
Ch 6.
Row 1: Sc in 2nd ch from hook and in each ch across, turn. (5 sc)
Row 2: Ch 1, sc in each sc across, turn. (6 sc)
"""


def span_of(text: Text, words: str, nth: int = 1) -> Span:
    """The span of the nth place where ``words`` stand."""
    start = -1
    for _ in range(nth):
        start = text.source.index(words, start + 1)
    return Span(start, start + len(words))


def row_of(
    text: Text,
    line: str,
    status: Status,
    numbers: tuple[int | None, int | None, int | None, int | None],
    kinds: dict[str, int],
    working: str,
    *,
    side: str | None = "RS",
    unread: tuple[Span, ...] = (),
) -> RowWork:
    """A row written on one line, in one size; numbers are base, used, made, stated."""
    span = span_of(text, line)
    label = line.partition(":")[0]
    size = SizeWork(None, *numbers, kinds, 0, working)
    return RowWork(
        label,
        span,
        Span(span.start, span.start + len(label) + 1),
        side,
        True,
        status,
        (size,),
        unread=unread,
        number=int(label.split()[1]),
    )


def cowl_proof() -> Proof:
    """Two pieces, one wrong with two that follow from it, a query, a phrase not read."""
    text = Text(COWL, "cowl.md")
    lines = [line for line in COWL.splitlines() if line.startswith("Row")]
    shells = span_of(text, "work shells evenly across")
    rows = (
        row_of(text, lines[0], Status.PROVED, (26, 26, 26, 26), {"sc": 26}, "26 sc"),
        row_of(text, lines[1], Status.PROVED, (26, 26, 26, 26), {"sc": 26}, "26 sc", side="WS"),
        row_of(text, lines[2], Status.DIFFERS, (26, 26, 26, 27), {"sc": 18, "FPdc": 8}, "9 sc + 8 FPdc + 9 sc = 26"),
        row_of(text, lines[3], Status.DIFFERS, (26, 27, 27, 27), {"sc": 27}, "27 sc", side="WS"),
        row_of(text, lines[4], Status.UNREAD, (27, None, None, 26), {}, "", unread=(shells,)),
        row_of(text, lines[5], Status.ASSUMED, (None, None, 26, 26), {}, "as stated", side="WS"),
    )
    strap = row_of(text, lines[6], Status.PROVED, (4, 4, 4, 4), {"sc": 4}, "4 sc")
    body = Span(rows[0].span.start, rows[-1].span.end)
    work = Work(
        (
            PieceWork("Body", body, rows, ("The ch 1 at the start of a row does not count as a stitch.",)),
            PieceWork("Strap", strap.span, (strap,)),
        ),
        (),
        "US",
    )
    stated = span_of(text, "27 sts", 1)
    findings = (
        Finding(
            "row-total",
            Severity.WRONG,
            "9 sc + 8 FPdc + 9 sc = 26 stitches; the row says 27. Should it say 26, or is an increase meant?",
            stated,
            "Row 3",
            because=(Because(rows[1].span, "Row 2 leaves 26 stitches"),),
            corrections=(Correction("Say 26 sts", (Edit(Span(stated.start, stated.start + 2), "26"),)),),
        ),
        Finding(
            "base-short",
            Severity.WRONG,
            "27 stitches are asked for and 26 are below.",
            span_of(text, "sc in each of next 27 sts"),
            "Row 4",
            follows=0,
        ),
        Finding(
            "row-total",
            Severity.QUERY,
            "27 made, one more than the row below.",
            span_of(text, "27 sts", 3),
            "Row 4",
            follows=1,
        ),
        Finding(
            "abbreviation-undefined",
            Severity.QUERY,
            "“shells” is used and stands neither in the key nor under special stitches. Which stitches make one?",
            span_of(text, "shells"),
            "Row 5",
        ),
        Finding("not-read", Severity.SUGGESTION, "These words were not read.", shells, "Row 5"),
        Finding(
            "word-mixed",
            Severity.STYLE,
            "The key writes “single crochet”, the rows “sc”.",
            span_of(text, "sc - single crochet"),
        ),
    )
    pattern = Pattern("US", "the manuscript says so", None, ())
    return Proof(text, Layout(COWL, ()), pattern, work, findings)
