"""A raised column that is worked so that it sinks to the other face."""

from __future__ import annotations

from collections.abc import Iterator

from ...lint import regex
from ...lint.fabric.row import other_side
from ...lint.fabric.work import PieceWork, RowWork, Status
from ...lint.finding import Because, Finding, Severity
from ...lint.rule import Rule, Subject
from ...lint.wording import capital, in_terms, mid, name_of, row_list
from .columns import Columns, Node, plain_stitches, stands_out
from .doubled_posts import doubled_posts
from .rows import article, first_by_number, posts_in_words, prose, row_words, side_is_stated, source_of, within
from .slipped_posts import BY_DESIGN, Suspects, is_flat, slipped_posts

_SPEAKS_OF_WS = regex.compile(r"\bws\b|\bwrong[- ]side")
_COLUMNS = 3  # plain stitches in a row of columns; with fewer it is a ridge


def check(subject: Subject) -> Iterator[Finding]:
    for piece in subject.work.pieces:
        if not any(row.posts for row in piece.rows):
            continue
        found = list(_against_the_parity(subject, piece))
        if not found:
            columns, slips = slipped_posts(subject, piece)
            found = [_finding(subject, columns, suspects) for suspects in slips]
        if not found:
            found = [*_doubled(subject, piece), *_all_on_the_wrong_side(subject, piece)]
        yield from found


# -- rows on a base that could not be followed ---------------------------------------------------------------------------


def _against_the_parity(subject: Subject, piece: PieceWork) -> Iterator[Finding]:
    """Rows that repeat a row of the other side, where that side has so far had the other post throughout."""
    if not any(row.source is not None and not row.posts for row in piece.rows) or not posts_in_words(subject.layout.folded[piece.span.start : piece.span.end]):
        return
    if BY_DESIGN.search(prose(subject, piece)):
        return
    numbers = first_by_number(piece)
    kinds: dict[int, frozenset[str]] = {}
    for row in piece.rows:
        if row.written:
            origin = source_of(row, numbers) if row.source is not None else row
            kinds[row.index] = posts_in_words(row_words(subject, origin)) if origin is not None else frozenset()
    written = [r for r in piece.rows if r.written and r.side is not None and len(kinds[r.index]) == 1 and is_flat(r)]
    known = {r.index for r in written}
    for at, row in enumerate(piece.rows):
        source = source_of(row, numbers)
        if row.index not in known or source is None or source.side in (None, row.side) or row.side is None:
            continue
        below = piece.rows[at - 1] if at else None
        if below is None or (below.status is Status.PROVED and row.posts):
            continue  # its columns can be followed
        (post,) = kinds[row.index]
        agreeing = [r for r in written if r.side == row.side and post not in kinds[r.index]]
        same = [r for r in written if r.side == row.side and post in kinds[r.index]]
        across = [r for r in written if r.side != row.side and post in kinds[r.index]]
        if len(agreeing) >= 2 and len(same) == 1 and across:
            face = stands_out(row.side, post)
            word, better = _stitch_names(subject, source, post)
            yield Finding(
                RULE.name, RULE.severity,
                f"{name_of(row.label)} is {article(row.side)} row and repeats {source.label}, {article(source.side)} row: its {word} would stand out on the {face}, "
                f"where {row_list(agreeing[-2:])}, on the same side, have {better} and stand out on the {other_side(face)}. Is {agreeing[-1].label} meant?",
                row.span, row.label, (), (Because(source.label_span, f"{source.label} is {article(source.side)} row."),),
            )  # fmt: skip


# -- repeats of one post ---------------------------------------------------------------------------------------------------


def _doubled(subject: Subject, piece: PieceWork) -> Iterator[Finding]:
    """One row whose repeat says the same post stitch twice running, which makes a row of one post and no rib."""
    found = doubled_posts(subject, piece)
    if len(found) != 1:
        return  # said so in several rows, it is this hand's way
    one = found[0]
    word = in_terms(one.kind, subject.work.terms)
    other_word = ("BP" if one.post == "F" else "FP") + word[2:]
    yield Finding(
        RULE.name, RULE.severity,
        f"The repeat of {mid(name_of(one.row.label))} has {word} twice running and nothing else, so every stitch of it stands out on one face, "
        f"and one phrase would have said so. Is one of them {other_word}?",
        one.span, one.row.label,
    )  # fmt: skip


# -- pieces whose posts all stand out on the wrong side --------------------------------------------------------------------


def _all_on_the_wrong_side(subject: Subject, piece: PieceWork) -> Iterator[Finding]:
    """One mark makes the first row the RS, and so every row with raised stitches a WS row."""
    rows = [r for r in piece.rows if r.posts]
    marked = [r for r in piece.rows if r.side_mark is not None]
    if len(marked) != 1 or marked[0] is not piece.rows[0] or marked[0].side_mark != "RS" or marked[0].posts:
        return
    if any(r.side != "WS" or r.status is not Status.PROVED or not is_flat(r) or (plain_stitches(r) or 0) < _COLUMNS for r in rows):
        return
    if any(p.post != "F" or p.below or p.crossed for r in rows for p in r.posts) or any(r.raised or not r.marks & {"turn", "turn-start"} for r in piece.rows[:-1]):
        return
    conventions = subject.pattern.conventions
    words = subject.layout.folded[piece.span.start : piece.span.end]
    if (conventions is not None and conventions.side_odd is not None) or _SPEAKS_OF_WS.search(words) or BY_DESIGN.search(prose(subject, piece)):
        return
    word = _stitch_names(subject, rows[0], "F")[0]
    yield Finding(
        RULE.name, RULE.severity,
        f"{name_of(marked[0].label)} is marked RS. {row_list(rows)}, the only {'row' if len(rows) == 1 else 'rows'} with raised stitches, {'is' if len(rows) == 1 else 'are'} then worked "
        f"on the WS, and {word} {'stands' if word.startswith('a ') else 'stand'} out there. Is {mid(name_of(marked[0].label))} a WS row?",
        marked[0].label_span, marked[0].label, (), (Because(rows[0].posts[0].span, "These posts stand out towards the maker, on the WS."),),
    )  # fmt: skip


# -- words -----------------------------------------------------------------------------------------------------------------


def _finding(subject: Subject, columns: Columns, suspects: Suspects) -> Finding:
    piece, nodes = columns.piece, suspects.nodes
    node, below = _told_of(columns, nodes)
    row = piece.rows[node.at]
    own = within(node.words, row.span)
    if below is None:
        message, because = _begun(subject, columns, node)
    else:
        message, because = _changed(subject, columns, suspects, node, below)
    span = node.words if own else row.span
    if suspects.definition is not None:
        because = (*because, Because(suspects.definition.span, f"“{suspects.definition.name}” is told here."))
    return Finding(RULE.name, RULE.severity, f"{message} Is the change of face meant?", span, row.label, (), because)


def _told_of(columns: Columns, nodes: tuple[Node, ...]) -> tuple[Node, Node | None]:
    """The posts to tell of, and those below them: the first that go around others, else the first."""
    for node in nodes:
        for edge in columns.by_node.get(node, ()):
            if edge.upper == node and not edge.keeps and node.at == nodes[0].at:
                return node, edge.lower
    return nodes[0], None


def _changed(subject: Subject, columns: Columns, suspects: Suspects, node: Node, lower: Node) -> tuple[str, tuple[Because, ...]]:
    piece = columns.piece
    row, below = piece.rows[node.at], piece.rows[lower.at]
    face = columns.face(lower)
    word, better = _stitch_names(subject, row, node.post)
    source = source_of(row, first_by_number(piece))
    by = f", which repeats {source.label}," if source is not None else ""
    some = "some of the columns" if _others_keep(columns, suspects) else "columns"
    message = (
        f"{name_of(row.label)}{by} works {word} on the {row.side}{_assumed(subject, piece)} around {some} that stand out on the {face} in {below.label}; "
        f"they would stand out on the {other_side(face)} from here. {capital(better)} keeps them on the {face}"
    )
    alike = next((r for r in _keeping(columns, suspects.nodes) if r.side == row.side and r.label != row.label), None)
    if alike is not None:
        message += f", as in {row_list([alike])}"
    return f"{message}.", (Because(below.label_span, f"In {below.label} these columns stand out on the {face}."),)


def _begun(subject: Subject, columns: Columns, node: Node) -> tuple[str, tuple[Because, ...]]:
    """Told of the first posts of a column, which the rows above them contradict."""
    piece, row = columns.piece, columns.piece.rows[node.at]
    face = other_side(columns.face(node))
    part = columns.part_of[node]
    above = sorted({n.at for n, p in columns.part_of.items() if p == part and n.at > node.at and columns.face(n) == face})[:2]
    word, better = _stitch_names(subject, row, node.post)
    fellows = [piece.rows[at] for at in above]
    message = (
        f"{name_of(row.label)} works {word} on the {row.side}{_assumed(subject, piece)}, which stand out on the {other_side(face)}; "
        f"in {row_list(fellows)} the columns stand out on the {face}. {capital(better)} would begin them there."
    )
    return message, (Because(fellows[0].label_span, f"In {fellows[0].label} the columns stand out on the {face}."),)


def _others_keep(columns: Columns, suspects: Suspects) -> bool:
    """Whether other posts of the row go on as they were."""
    at, inside = suspects.first.at, set(suspects.nodes)
    return any(e.keeps and e.upper == n for n in columns.by_row[at] if n not in inside for e in columns.by_node.get(n, ()))


def _keeping(columns: Columns, nodes: tuple[Node, ...]) -> list[RowWork]:
    """The rows that keep the same columns, in working order."""
    parts = {columns.part_of[n] for n in nodes}
    return [columns.piece.rows[at] for at in sorted({e.upper.at for e in columns.edges if e.keeps and columns.part_of[e.upper] in parts})]


def _assumed(subject: Subject, piece: PieceWork) -> str:
    return "" if side_is_stated(subject, piece) else " (taking the first row as an RS row)"


def _stitch_names(subject: Subject, row: RowWork, post: str) -> tuple[str, str]:
    """The stitch written and the one of the other post, as the manuscript's terms name them."""
    kinds = [k for s in row.sizes[:1] for k in s.kinds if k.startswith(f"{post}P") and "tog" not in k]
    if len(kinds) == 1:
        name = in_terms(kinds[0], subject.work.terms)
        return name, ("BP" if post == "F" else "FP") + name[2:]
    return ("a front post stitch", "a back post stitch") if post == "F" else ("a back post stitch", "a front post stitch")


RULE = Rule(
    name="post-side",
    severity=Severity.QUERY,
    title="A raised column changes to the other face",
    why=(
        "A front post stitch stands out towards the maker, a back post stitch away. To keep a column on the right side it is FP on RS rows "
        "and BP on WS rows; one row with the wrong post, or a repeat of a row worked on the other side, sinks the column. The counts stay right, "
        "so nobody sees it until the piece is made. In ribbing and basketweave the change is the design, and the rule learns that from the piece."
    ),
    looks_like=(
        "Ch 15.\nRow 1 (RS): Dc in 4th ch from hook (skipped chs count as dc) and in each ch across, turn. (13 dc)\n"
        "Row 2: Ch 1, sc in first 5 sts, BPdc around each of next 3 sts, sc in last 5 sts, turn. (13)\n"
        "Row 3: Ch 1, sc in first 5 sts, FPdc around each of next 3 sts, sc in last 5 sts, turn. (13)\n"
        "Rows 4-6: Rep Rows 2 and 3, then Row 2 once more.\n"
        "Row 7: Ch 1, sc in first 5 sts, BPdc around each of next 3 sts, sc in last 5 sts, turn. (13)\n"
        "Row 8: Rep Row 2.\n"
    ),
    better=(
        "Ch 15.\nRow 1 (RS): Dc in 4th ch from hook (skipped chs count as dc) and in each ch across, turn. (13 dc)\n"
        "Row 2: Ch 1, sc in first 5 sts, BPdc around each of next 3 sts, sc in last 5 sts, turn. (13)\n"
        "Row 3: Ch 1, sc in first 5 sts, FPdc around each of next 3 sts, sc in last 5 sts, turn. (13)\n"
        "Rows 4-6: Rep Rows 2 and 3, then Row 2 once more.\n"
        "Row 7: Ch 1, sc in first 5 sts, FPdc around each of next 3 sts, sc in last 5 sts, turn. (13)\n"
        "Row 8: Rep Row 2.\n"
    ),
    let_stand="When the column is to sink there: a band of the other texture, a fold, a design that reads on both sides.",
    check=check,
    source="The truth table follows from what front and back post mean; it is set out in the family's tests.",
)
