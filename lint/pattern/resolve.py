"""Layout → Pattern: every statement read, every reference followed, so that the fabric has rows to work and no text."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field, replace
from typing import cast

from .. import regex
from ..syntax.labels import row_numbers, side_named
from ..syntax.layout import Label, Layout, Section, SectionKind, Statement
from ..syntax.lexer import Vocabulary, number_of
from ..syntax.statement import read_statement
from ..syntax.tree import Chain, Count, Counts, Even, Extent, Group, Make, Mark, Star, Tree, Unread
from ..text import Span, Text
from .changes import change_in, changed
from .definitions import expand, made_in_rows, read_definitions
from .multiples import stated_multiples, with_multiple
from .notes import Conventions, read_notes
from .pattern import Entry, Multiple, Pattern, Piece, Slip
from .references import PieceReference, Reference, read_ending_side, read_piece_reference, read_reference, vector
from .schedules import read_schedule
from .terms import read_terms

_MOST_ROWS = 1000
_CH_NUMBER = regex.compile(
    r"(?:ch\s*(?=[(\[]\s*\d+\s*,)(?P<c>[(\[][\d, ]+[)\]])|(?:ch(?:ain)?s?|foundation\s+ch(?:ain)?\s*:?|(?:make|work)(?=[^.;,]{1,40}\bch)|chain\s*:|chain\s+of)\.?\s*(?P<a>\d+(?:(?:\s*\(\s*\d+\s*\)\s*\d+)+(?:\s*\(\s*\d+\s*\))?|\s*[(\[][\d, ;-]+[)\]]|(?:\s?-\s?\d+)+(?!\s*(?:ch|sp)))*|[a-z]+(?:[ -][a-z]+)?(?=\s*(?:ch|\.|,|$|loosely)))|(?P<b>\d+(?:\s*[(\[][\d, ;-]+[)\]])*)\s*ch\b)"
)
_MADE = regex.compile(r"(?:shell|fan|v-?st|group|petal|scallop|cluster)s?\s+(?:made|completed?|formed)")
_OF_ROWS = regex.compile(r"\s*(?:(?:more|further|extra|additional|sc|h?dc|h?tr|plain|straight)\s+)*(?:rows?|rnds?|rounds?|more)\b")
"""Behind a number that is no chain's: work 9 more rows."""

_SIZE_ONLY = regex.compile(r"(?:for\s+)?(?:(?:sizes?\s+)?(?P<names>[a-z0-9][a-z0-9 ,/&-]{0,40}?)\s+(?:sizes?\s+)?only|(?P<all>all\s+sizes))\s*(?::|$|\.|\n)")
_LISTED_RANGE = regex.compile(r"(?:rows|rnds|rounds)\s*\d+\s*[(\[](?P<first>[\d, ]+)[)\]]\s*(?:to|-|—|through)\s*\d+\s*[(\[](?P<last>[\d, ]+)[)\]]")
_EVEN = regex.compile(r"(?:work|crochet)\s+(?P<n>\d+|[a-z]+)\s+(?:more\s+)?(?:rows?|rnds?|rounds?)\s+even|work\s+even\s+for\s+(?P<n2>\d+|[a-z]+)\s+(?:rows?|rnds?|rounds?)")
_IN_PATTERN = regex.compile(r"(?:work|cont(?:inue)?|crochet)\s+(?:for\s+)?(?:another\s+|a\s+further\s+)?(?P<n>\d+|[a-z]+)\s+(?:more\s+|further\s+)?(?:rows|rnds|rounds)\s+(?:more\s+)?(?:in\s+(?:the\s+)?(?:patt(?:ern)?|est(?:ablished)?)|as\s+(?:set|est(?:ablished)?|before))")
_SETS_PATTERN = regex.compile(r"(?:(?:rows?|rnds?|rounds?)\s*(?P<nums>\d+(?:\s*(?:-|to|and|&)\s*\d+)?)|(?:these|last|above)\s+(?P<n>\w+)\s+(?:rows|rnds|rounds))\s+(?:form|set|establish|make)s?\s+(?:the\s+)?patt(?:ern)?")


@dataclass
class _Book:
    """The rows of one piece by number, for references."""

    trees: dict[int, tuple[Tree, int, Span]]
    labelled: set[int]
    order: list[tuple[Tree, int, Span]] = field(default_factory=list["tuple[Tree, int, Span]"])  # every row, numbered or not
    entries: list[Entry] = field(default_factory=list["Entry"])
    pattern: tuple[int, ...] = ()  # the rows said to form the pattern


class Resolver:
    """Turns a layout into a pattern."""

    def __init__(self, text: Text, layout: Layout, sizes: tuple[str, ...], expected: str | None = None) -> None:
        self.text = text
        self.layout = layout
        self.sizes = sizes
        self.terms = read_terms(layout.folded, expected)
        self.conventions: Conventions = read_notes(layout)
        self.count = max(1, len(sizes))
        self.definitions = read_definitions(layout.key, self.terms.system, self.count)
        self.use_definitions()
        if _MADE.search(layout.folded):
            self.definitions = (*self.definitions, *made_in_rows(self.labelled_trees(), {d.name for d in self.definitions}))
            self.use_definitions()
        self.pieces: list[tuple[str, _Book]] = []
        self.active: tuple[int, ...] = ()
        self.rounds_word = "Rnd"

    def use_definitions(self) -> None:
        """From here on statements are read with the stitches known so far."""
        self.by_kind = {d.stitch.kind: d for d in self.definitions if d.steps}
        self.vocabulary = Vocabulary(self.terms.system, self.count, tuple(sorted(((d.name, d.stitch) for d in self.definitions), key=lambda pair: pair[0])))

    def labelled_trees(self) -> Iterator[Tree]:
        """What every labelled row says."""
        for section in self.layout.of(SectionKind.PIECE):
            for statement in section.statements:
                if statement.label is not None:
                    yield self.tree(statement.body)

    # -- reading ------------------------------------------------------------------------------------------------------

    def tree(self, span: Span, *, continued: bool = False) -> Tree:
        """What a span says, its composite stitches written out. Extents count from the start of the span."""
        tree = read_statement(self.layout.folded[span.start : span.end], self.text.source[span.start : span.end], self.vocabulary, continued=continued)
        return expand(tree, self.by_kind)

    def run(self) -> Pattern:
        """The whole pattern."""
        sections = [s for s in self.layout.sections if s.kind is SectionKind.PIECE]
        pieces: list[Piece] = []
        goes_on = False
        for section in sections:
            self.active = ()
            piece = self.piece(section, goes_on)
            goes_on = self.stays_live(section)
            if piece.entries:
                pieces.append(piece)
        multiples = tuple(self.multiples())
        pieces = self.for_chain(pieces, multiples)
        pieces = self.one_sided(pieces)
        return Pattern(
            self.terms.system, self.terms.because, self.terms.declared, self.sizes, tuple(pieces), self.conventions.notes, self.conventions,
            self.definitions, multiples, self.terms.antique and not _counted(pieces), self.vocabulary,
        )  # fmt: skip

    def stays_live(self, section: Section) -> bool:
        """Whether the stitches of a section stay on the hook for the next one."""
        body = self.layout.folded[section.body.start : section.body.end]
        live = [m.start() for m in regex.finditer(r"(?:do not|don't)\s+(?:fasten|finish|cut|break|end)", body)]
        if not live or regex.search(r"rotate|turn\s+(?:the\s+)?\w+\s+on\s+its\s+side|row ends|long edge", body[-300:]):
            return False
        off = [m.start() for m in regex.finditer(r"(?<!not )(?<!don't )(?:fasten|finish|break|end)\s+off|\bfo\b", body)]
        return not off or live[-1] > off[-1]

    def one_sided(self, pieces: list[Piece]) -> list[Piece]:
        """Pieces with a note on sides held to where it stands: one inside a piece is that piece's, and rows that turn outdo it."""
        if not self.conventions.all_rs:
            return pieces
        spans = [s.span for s in self.layout.sections if s.kind is SectionKind.PIECE]
        said = self.conventions.where("all_rs")
        everywhere = any(not any(at.start in s for s in spans) for at in said)
        meant = [
            not any(_turns(e) for e in p.entries) and (everywhere or any(at.start in p.span for at in said))
            for p in pieces
        ]
        if all(meant):
            return pieces
        self.conventions = replace(self.conventions, all_rs=False)
        return [_still(p) if own else p for p, own in zip(pieces, meant, strict=True)]

    def for_chain(self, pieces: list[Piece], multiples: tuple[Multiple, ...]) -> list[Piece]:
        """The multiple a note gives for the foundation chain, put with the chain where the manuscript has only one."""
        stated = [m for m in multiples if m.strict and self.of_chain(m)]
        chains = [e for p in pieces for e in p.entries if e.kind == "foundation" and e.chains]
        if self.count > 1 or len(stated) != 1 or len(chains) != 1 or chains[0].multiple is not None:
            return pieces
        return [replace(p, entries=tuple(replace(e, multiple=stated[0]) if e is chains[0] else e for e in p.entries)) for p in pieces]

    def of_chain(self, multiple: Multiple) -> bool:
        """Whether the words of a stated multiple speak of chains."""
        before = regex.split(r"[.;\n]\s", self.layout.folded[max(0, multiple.span.start - 80) : multiple.span.start])[-1]
        words = before + self.layout.folded[multiple.span.start : multiple.span.end]
        return regex.search(r"(?<![a-z])(?:foundation|base|starting)\s+ch|\dch\b|\d\s+ch(?:s|ains?)?\b", words) is not None

    def multiples(self) -> Iterable[Multiple]:
        """Every multiple stated for the whole manuscript."""
        for section in self.layout.sections:
            if section.kind in (SectionKind.NOTES, SectionKind.TITLE, SectionKind.OTHER, SectionKind.GAUGE):
                yield from stated_multiples(self.layout.folded, section.body.start, section.body.end)

    # -- pieces --------------------------------------------------------------------------------------------------------

    def piece(self, section: Section, goes_on: bool) -> Piece:
        """The entries of one section in working order."""
        entries: list[Entry] = []
        book = _Book({}, set())
        slips: list[Slip] = []
        last = 0
        fillers: list[tuple[str, Tree, int, Span]] = []
        seen: dict[int, Span] = {}
        gaps: set[int] = set()
        assumed: set[int] = set()  # numbers that "for 4 rows" gives to rows
        before: Span | None = None
        open_end = False
        flat = any(
            s.label is not None and regex.search(r"(?<!not )(?<!don't )\bturn\b(?! the work to)", self.layout.folded[s.body.start : s.body.end])
            for s in section.statements
        )
        self.rounds_word = "Row" if flat else "Rnd"
        for statement in section.statements:
            apart = before is not None and self.stands_apart(before, statement)
            before = statement.span
            if statement.label is None:
                new, numbered, opened = self.loose(statement, book, last, section)
                entries += new
                open_end = open_end or opened
                book.order += [(e.tree, e.origin, e.span) for e in new if e.tree is not None]
                if numbered:
                    last = numbered
                    for e in new:
                        if e.number is not None and e.tree is not None:
                            book.trees[e.number] = (e.tree, e.origin, e.span)
                            seen.setdefault(e.number, e.span)
                continue
            label = statement.label
            numbers = label.numbers
            sized = label.by_size
            # rows that fill every other place: "Row 2 and all WS rows"
            if label.remark.startswith("also "):
                tree = self.tree(statement.body)
                fillers.append((label.remark[5:], tree, statement.body.start, statement.span))
            if numbers and not sized:
                first = numbers[0]
                if first <= last and (apart or (entries and entries[-1].kind == "rejoin")):
                    # the second shoulder, numbered like the first: its rows begin beside them, not on them
                    if entries[-1].kind != "rejoin":
                        entries.append(Entry("rejoin", label.span, label.span, label.span.start))
                    seen.clear()
                    last = first - 1
                while fillers and first == last + 2 and last:
                    _kind, tree, origin, span = fillers[-1]
                    entries.append(Entry("row", span, span, origin, f"{self.word(label)} {last + 1}", last + 1, tree, False, self.active, own_count=False))
                    book.trees[last + 1] = (tree, origin, span)
                    last += 1
                contiguous = all(b == a + 1 for a, b in itertools.pairwise(numbers))
                repeated = [n for n in numbers if n in seen] if not label.name else []
                if repeated and not self.active and not label.sizes and not self.size_twin(entries, numbers):
                    slips.append(Slip("row-order", label.span, {"repeated": repeated[0], "label": self.word(label)}))
                elif not contiguous:
                    gaps.update(range(numbers[0], numbers[-1] + 1))
                elif label.name:
                    pass  # "Pattern row 1" has numbers of its own
                elif last and first > last + 1 and first not in gaps and not open_end:
                    slips.append(Slip("row-order", label.span, {"missing": last + 1, "until": first - 1, "label": self.word(label)}))
                elif last and first < last and first not in gaps | assumed and not repeated:
                    slips.append(Slip("row-order", label.span, {"back": first, "after": last, "label": self.word(label)}))
                for n in numbers:
                    seen.setdefault(n, label.span)
            open_end = open_end and not numbers
            book.labelled.update(numbers)
            new = self.row(statement, label, book, last)
            for e in new:
                if e.tree is not None:
                    book.order.append((e.tree, e.origin, e.span))
                    if e.number is not None:
                        book.trees[e.number] = (e.tree, e.origin, e.span)
            entries += new
            open_end = open_end or (len(new) == 1 and _tells_rows(new[0].tree))
            if len(numbers) == 1 and len(new) > 1:
                assumed.update(range(numbers[0] + 1, numbers[0] + len(new)))  # these may be told after all
            if sized:
                last = max(max(r) for r in sized)
                open_end = True
            elif numbers:
                end = max(numbers[-1], *(e.number or 0 for e in new)) if new else numbers[-1]
                last = max(last, end) if numbers[0] in gaps or end > last else end
            elif label.word:
                last += len(new) if last else 0
                open_end = open_end or len(label.rows) > 1
        if gaps:
            entries = _interleaved(entries)
        if self.count == 1:  # with sizes, a chain off the multiple is a matter of that size
            entries = with_multiple(entries)
        book.entries = entries
        self.pieces.append((section.name.lower(), book))
        return Piece(section.name, section.span, tuple(entries), goes_on, section.make, tuple(slips))

    def stands_apart(self, before: Span, statement: Statement) -> bool:
        """Whether a heading stands between a statement and the one before it, or its own words join the yarn anew."""
        between = self.layout.folded[before.end : statement.span.start]
        words = self.layout.folded[statement.body.start : statement.body.end]
        return regex.search(r"[a-z]{3}", between) is not None or regex.match(r"[^.;]{0,60}?\b(?:re)?(?:join|attach)(?:ing)?\s+(?:the\s+)?(?:new\s+)?(?:yarn|thread)", words) is not None

    def size_twin(self, entries: list[Entry], numbers: tuple[int, ...]) -> bool:
        """Whether the row of that number before was for some sizes only."""
        return any(e.number == numbers[0] and e.sizes for e in entries)

    def word(self, label: Label) -> str:
        """The word a label's row goes by: Row or Rnd."""
        return self.rounds_word if label.word == "R" else label.word

    def title(self, label: Label, number: int | None) -> str:
        """A row's name in reports."""
        word = self.word(label)
        if number is not None:
            return f"{label.name} {word.lower()} {number}" if label.name else f"{word} {number}"
        return f"{label.name or 'Next'} {word.lower()}"

    # -- labelled rows ---------------------------------------------------------------------------------------------------

    def row(self, statement: Statement, label: Label, book: _Book, last: int) -> list[Entry]:
        """The entries of a labelled row."""
        folded = self.layout.folded[statement.body.start : statement.body.end]
        reference = read_reference(folded, book.trees)
        numbers: tuple[int, ...] = label.numbers
        if reference is None and (like := read_piece_reference(folded)) is not None and self.book_of(like.of) is not None and not like.tail.strip(" .;"):
            reference = Reference(numbers, of=like.of, rest_at=len(folded))
        base = Entry("row", statement.span, label.span, statement.body.start, side=label.side, info=label, sizes=self.named_sizes(" ".join(label.sizes)) or self.active)
        if reference is not None:
            return self.referred(statement, label, reference, book, base, last)
        tree = self.tree(statement.body)
        slips: list[Slip] = []
        rows_said = label.stated_rows or self.rows_counted(tree) or _for_rows(tree)
        if rows_said is not None and len(numbers) > 1 and rows_said != len(numbers) and not label.by_size:
            slips.append(_range_slip(label, rows_said))
        slips += self.uneven_label(statement, label)
        if self.active and any(f.kind == "size-list" for f in tree.faults):
            # a list for the sizes named only: its numbers cannot be told apart surely
            tree = _unread(statement.body)
        if label.by_size:
            return self.by_size(label, base, lambda _j: (tree, statement.body.start, True))
        if len(numbers) <= 1:
            number = numbers[0] if numbers else None
            first = replace(base, label=self.title(label, number), number=number, tree=tree, slips=tuple(slips))
            return self.several(first, label.rows or (_for_rows(tree) or 1,), label, last)
        count = next((s for s in tree.steps if isinstance(s, Count) and s.per_row), None)
        out: list[Entry] = []
        for i, number in enumerate(numbers[:_MOST_ROWS]):
            own = tree
            if count is not None and len(count.per_row) == len(numbers):
                part = replace(count.parts[0], n=(count.per_row[i],))
                own = replace(tree, steps=tuple(replace(count, parts=(part,), per_row=()) if s is count else s for s in tree.steps))
            lenient = own is tree
            if number != numbers[-1]:
                own = _without_end_count(own)
            out.append(replace(base, label=self.title(label, number), number=number, tree=own, lenient=lenient, slips=tuple(slips) if i == 0 else (), side=label.side if i == 0 else None))
        if len(numbers) > _MOST_ROWS:
            out.append(replace(base, label=f"{self.word(label)}s {numbers[_MOST_ROWS]}-{numbers[-1]}", number=numbers[-1], tree=tree, times=len(numbers) - _MOST_ROWS))
        return out

    def uneven_label(self, statement: Statement, label: Label) -> list[Slip]:
        """"Rows 47 (48, 49) to 66 (66, 68, 70)" for four sizes: one of its two lists has a number for every size, the other has not."""
        found = _LISTED_RANGE.match(self.layout.folded, label.span.start, statement.span.end)
        if found is None or label.by_size or self.active or self.count < 3:
            return []
        lists = [found["first"].count(",") + 2, found["last"].count(",") + 2]
        wrong = [n for n in lists if n != self.count]
        return [Slip("size-list", label.span, {"values": wrong[0], "sizes": self.count})] if len(wrong) == 1 else []

    def several(self, entry: Entry, rows: tuple[int, ...], label: Label, last: int) -> list[Entry]:
        """A row that its label or its own words have worked so many times: "Next 4 rows", "sc in each st for 4 rows"."""
        if len(rows) not in (1, self.count) or max(rows) <= 1:
            return [entry]
        start = entry.number if entry.number is not None else None
        out: list[Entry] = []
        for i in range(min(max(rows), _MOST_ROWS)):
            number = start + i if start is not None else None
            sizes = tuple(s for s, n in enumerate(rows) if n > i) if len(rows) > 1 else ()
            own = replace(entry, label=self.title(label, number), number=number, slips=entry.slips if i == 0 else (), side=entry.side if i == 0 else None, lenient=True, written=i == 0)
            out.append(replace(own, sizes=sizes if sizes and len(sizes) < self.count else entry.sizes))
        return out

    def rest_tree(self, rest: Span) -> Tree:
        """What a reference says besides, without the words that only tell which yarn the rows are worked in."""
        folded = self.layout.folded[rest.start : rest.end]
        source = self.text.source[rest.start : rest.end]
        for m in regex.finditer(r"working\s+(?:each\s+row\s+as\s+before|\d+\s+rows\s+each\s+of\s+(?:[a-z]{1,2}(?:\s*,\s*|\s+and\s+|\s*))+(?:,?\s*(?:once|twice|\d+\s+times))?)", folded):
            blank = " " * len(m.group())
            folded = folded[: m.start()] + blank + folded[m.end() :]
            source = source[: m.start()] + blank + source[m.end() :]
        return expand(read_statement(folded, source, self.vocabulary, continued=True), self.by_kind)

    def slips_of(self, tree: Tree, origin: int) -> list[Slip]:
        """The slips of brackets and of lists of sizes in words that are no row of their own."""
        kinds = {"size-list": "size-list", "open": "repeat-open"}
        return [Slip(kinds[f.kind], f.at.span(origin), {"detail": f.detail, "sizes": self.count}) for f in tree.faults if f.kind in kinds]

    def modified(self, extra: Tree, rest: Span) -> bool:
        """Whether the words after a reference change what it repeats."""
        for step in extra.steps:
            if isinstance(step, Mark | Count | Counts):
                continue
            if isinstance(step, Unread):
                words = self.layout.folded[rest.start + step.at.start : rest.start + step.at.end]
                if _harmless(words):
                    continue
            return True
        return False

    def rows_counted(self, tree: Tree) -> int | None:
        """How many rows a tree says were worked ("8 rows")."""
        for step in tree.steps:
            if isinstance(step, Count) and len(step.parts) == 1 and step.parts[0].noun == "row":
                return step.parts[0].n[0]
        return None

    def by_size(self, label: Label, base: Entry, words: Callable[[int], tuple[Tree | None, int, bool]]) -> list[Entry]:
        """One entry for each row of a label that differs by size; ``words`` gives the j-th row's tree, origin and whether it is its own."""
        out: list[Entry] = []
        longest = max(len(r) for r in label.by_size)
        for j in range(min(longest, _MOST_ROWS)):
            sizes = tuple(i for i, r in enumerate(label.by_size) if len(r) > j)
            number = label.by_size[sizes[0]][j]
            tree, origin, written = words(j)
            if tree is None:
                return out
            whole = sizes if len(sizes) < len(label.by_size) else ()
            out.append(replace(base, label=self.title(label, number), number=number, tree=tree, origin=origin, written=written and j == 0, sizes=whole, lenient=True, own_count=written))
        return out

    def referred(self, statement: Statement, label: Label, ref: Reference, book: _Book, base: Entry, last: int) -> list[Entry]:
        """Rows that repeat other rows."""
        if not label.numbers and last and len(label.rows) == 1 and label.rows[0] > 1:
            label = replace(label, numbers=tuple(range(last + 1, last + 1 + min(label.rows[0], _MOST_ROWS))))  # "Next 6 rows: Rep Row 2"
        numbers = label.numbers
        rest = Span(statement.body.start + ref.rest_at, statement.body.end)
        extra = self.rest_tree(rest) if rest.end > rest.start and ref.rest.strip(" .,;)]\n") else Tree(())
        count = next((s for s in extra.steps if isinstance(s, Count) and not all(p.noun == "row" for p in s.parts)), None)
        modified = self.modified(extra, rest)
        change = change_in(ref.rest) if modified else None
        if change is not None:
            more = Span(rest.start + change.end(), rest.end)
            if more.end > more.start and self.modified(self.rest_tree(more), more):
                change = None  # more is changed than one thing
        first = numbers[0] if numbers else (last + 1 if last else None)
        slips = self.slips_of(extra, rest.start)
        targets = self.targets(ref, book, last, first)
        missing = self.missing(ref, book, numbers, last)
        if missing:
            slips.append(Slip("row-reference", statement.body, missing))
            return [replace(base, label=self.title(label, n), number=n, tree=None, slips=tuple(slips) if i == 0 else ()) for i, n in enumerate(numbers[:_MOST_ROWS] or (None,))]  # type: ignore[arg-type]
        n_rows = len(numbers)
        cycle = len(targets)
        times = ref.times[0] if ref.times else None
        if label.stated_rows is not None and n_rows > 1 and label.stated_rows != n_rows:
            slips.append(_range_slip(label, label.stated_rows))
        rows_said = self.rows_counted(extra)
        if times is not None and n_rows > 1 and not label.by_size and cycle:
            want = cycle * times + len(ref.then)
            if want != n_rows and not (ref.of and want == 0):
                slips.append(_range_slip(label, want, cycle=cycle, times=times))
        elif ref.of and n_rows > 1 and cycle > 1 and n_rows % cycle and not (ref.open or ref.then or label.by_size):
            slips.append(_range_slip(label, cycle, repeated=True))
        elif rows_said is not None and n_rows > 1 and rows_said != n_rows and ref.rows is None:
            slips.append(_range_slip(label, rows_said))
        elif ref.rows and n_rows > 1 and (ref.rows[0] or 0) != n_rows and len(ref.rows) == 1 and not ref.then:
            slips.append(_range_slip(label, ref.rows[0]))
        if label.by_size:
            def words(j: int) -> tuple[Tree | None, int, bool]:
                if not targets:
                    return None, 0, False
                t = targets[j % len(targets)]
                return t[0], t[1], False

            out = self.by_size(label, replace(base, slips=tuple(slips)), words)
            return self.with_count(out, count, rest.start)
        if not targets:
            return [replace(base, label=self.title(label, numbers[0] if numbers else None), number=numbers[0] if numbers else None, tree=None, slips=tuple(slips), count=count, count_origin=rest.start)]
        sequence = [targets[i % cycle] for i in range(n_rows)] if n_rows > 1 else [targets[0]]
        if ref.then and n_rows > 1:
            tail = [book.trees[n] for n in ref.then if n in book.trees]
            sequence = [*sequence[: n_rows - len(tail)], *tail]
        if n_rows <= 1:
            number = numbers[0] if numbers else None
            entry = replace(
                base, label=self.title(label, number), number=number, tree=targets[0][0], origin=targets[0][1], own_count=False, count=count,
                count_origin=rest.start, slips=tuple(slips), modified=modified, source=ref.numbers[0] if ref.numbers else None, ends_side=ref.side,
            )  # fmt: skip
            return [self.with_change(entry, change, statement.body) if modified else entry]
        repeats: list[Entry] = []
        for i, number in enumerate(numbers[:_MOST_ROWS]):
            t = sequence[i]
            repeats.append(
                replace(
                    base, label=self.title(label, number), number=number, tree=t[0], origin=t[1], written=i == 0, own_count=False,
                    slips=tuple(slips) if i == 0 else (), side=label.side if i == 0 else None, source=_number_of(t, book),
                )
            )
        if modified:
            repeats = [self.with_change(e, change, statement.body) for e in repeats]
        if len(numbers) > _MOST_ROWS:
            repeats.append(replace(repeats[-1], label=f"{self.word(label)}s {numbers[_MOST_ROWS]}-{numbers[-1]}", number=numbers[-1], times=len(numbers) - _MOST_ROWS, written=False))
        if ref.side:
            repeats[-1] = replace(repeats[-1], ends_side=ref.side)
        return self.with_count(repeats, count, rest.start)

    def with_change(self, entry: Entry, change: regex.Match[str] | None, words: Span) -> Entry:
        """An entry of repeated rows with the change made that the words ask for; unread where it is not a plain one."""
        tree = changed(entry.tree, change, lambda text: read_statement(text, text, self.vocabulary)) if change is not None and entry.tree is not None else None
        if tree is None:
            return replace(entry, tree=_unread(words), origin=words.start)
        return replace(entry, tree=tree, modified=False)

    def with_count(self, out: list[Entry], count: Count | None, origin: int) -> list[Entry]:
        """The entries with a count stated for the last of them."""
        if out and count is not None:
            out[-1] = replace(out[-1], count=count, count_origin=origin)
        return out

    def missing(self, ref: Reference, book: _Book, numbers: tuple[int, ...], last: int) -> dict[str, object] | None:
        """What is wrong with a reference: a row that does not exist, or the row itself."""
        there = self.book_of(ref.of) if ref.of else None
        if there is not None:
            beyond = [n for n in ref.numbers if there.trees and n > max((*there.trees, *there.labelled))]
            return {"row": beyond[0], "last": max((*there.trees, *there.labelled)), "of": ref.of} if beyond else None
        if ref.bare:
            return {"bare": True}
        own = set(numbers)
        for n in (*ref.numbers, *ref.then):
            if n in own and len(numbers) >= 1 and n >= numbers[0]:
                return {"self": n}
            if n not in book.trees and n not in book.labelled and not ref.of and book.trees:
                lowest = min(book.trees)
                if n >= lowest:
                    return {"row": n, "last": max(book.trees)}
        return None

    def book_of(self, name: str) -> _Book | None:
        """The rows of the piece a reference names, or None."""
        words = set(regex.findall(r"[a-z]+", name)) - {"the", "a", "of", "piece"}
        shared = [(len(words & set(regex.findall(r"[a-z]+", piece))), at) for at, (piece, _) in enumerate(self.pieces)]
        most, at = max(shared, default=(0, 0))
        return self.pieces[at][1] if most else None

    def targets(self, ref: Reference, book: _Book, last: int, first: int | None) -> list[tuple[Tree, int, Span]]:
        """The rows a reference repeats, in order; none where they are not known."""
        source = (self.book_of(ref.of) if ref.of else None) or book
        if ref.last is not None:
            end = (first - 1) if first else last
            wanted = range(end - ref.last + 1, end + 1)
            if all(n in source.trees for n in wanted):
                return [source.trees[n] for n in wanted]
            return source.order[-ref.last :] if len(source.order) >= ref.last else []
        if all(n in source.trees for n in ref.numbers):
            return [source.trees[n] for n in ref.numbers]
        return []

    # -- loose sentences ----------------------------------------------------------------------------------------------------

    def loose(self, statement: Statement, book: _Book, last: int, section: Section) -> tuple[list[Entry], int, bool]:
        """What a sentence between rows does: entries, the number of the last row it stands for, and whether rows were left open."""
        span = statement.body
        folded = self.layout.folded[span.start : span.end]
        out: list[Entry] = []
        numbered = 0
        opened = False
        base = Entry("row", span, span, span.start, sizes=self.active)
        size = _SIZE_ONLY.match(folded.strip("* _"))
        if size and self.count > 1:
            self.active = () if size["all"] else self.named_sizes(size["names"])
            after = folded.find(":")
            rest = folded[after + 1 :] if after >= 0 else ""
            if not rest.strip():
                return [], 0, False
        reference = read_reference(folded, book.trees)
        if reference is not None:
            return self.loose_reference(reference, base, book, last, span)
        like = read_piece_reference(folded)
        if like is not None and not last and (source := self.book_of(like.of)) is not None:
            return self.as_piece(like, source, base, book)
        even = _EVEN.match(folded)
        if even:
            n = number_of(even["n"] or even["n2"] or "") or 0
            tree = Tree((Even(Extent(0, 0)),))
            count = self.count_in(span)
            word = self.rounds_word if not section.statements else self._word_of(section)
            for i in range(min(n, _MOST_ROWS)):
                out.append(replace(base, label=f"{word} {last + 1 + i}", number=last + 1 + i, tree=tree, written=i == 0, own_count=False, count=count, count_origin=span.start))
            side = read_ending_side(folded[even.end() :])
            if out and side is not None:
                out[-1] = replace(out[-1], ends_side=side)
            return out, last + n, False
        schedule = read_schedule(folded)
        if schedule is not None:
            return [replace(base, kind="schedule", schedule=schedule)], 0, True
        found = self.foundation(statement, folded)
        if found:
            return found, 0, False
        tree = self.tree(span)
        rows = _for_rows(tree)
        if rows is not None:
            word = self._word_of(section)
            for i in range(min(rows, _MOST_ROWS)):
                out.append(replace(base, label=f"{word} {last + 1 + i}", number=last + 1 + i, tree=tree, written=i == 0, lenient=True))
            return out, last + rows, False
        if regex.search(r"(?:do\s+not|don't)\s+turn", folded):
            out.append(replace(base, kind="no-turn"))
        elif regex.match(r"turn\b", folded):
            out.append(replace(base, kind="turn"))
        if regex.search(r"(?:^|[.;]\s+)(?:rotate|turn\s+(?:\w+\s+){1,4}on\s+its\s+side|fold\s+the)|row ends|long edge", folded):
            out.append(replace(base, kind="new"))
        elif regex.search(r"(?:re)?join(?:ing)?\s+(?:yarn|thread|[a-z]{1,2})\b|leave\s+(?:the\s+)?(?:next|first|centre|center)", folded) and last:
            out.append(replace(base, kind="rejoin"))
        parts = self.sentences(span)
        if not out and len(parts) > 1:
            for part in parts:
                new, numbered, opens = self.loose(Statement(None, part), book, numbered or last, section)
                out += new
                opened = opened or opens
                book.order += [(e.tree, e.origin, e.span) for e in new if e.tree is not None and part is not parts[-1]]
                book.trees.update({e.number: (e.tree, e.origin, e.span) for e in new if e.number is not None and e.tree is not None})
            return out, numbered, opened
        in_pattern = _IN_PATTERN.search(folded)
        if in_pattern is not None and book.pattern and last >= book.pattern[-1] and all(n in book.trees for n in book.pattern):
            return self.pattern_rows(in_pattern, base, book, last, section)
        if sets := _SETS_PATTERN.search(folded):
            book.pattern = row_numbers(sets["nums"]) if sets["nums"] else tuple(range(last - (number_of(sets["n"] or "") or 1) + 1, last + 1))
            return out, 0, False
        if regex.search(r"(?:work|continue)\s+(?:even|in\s+pat)|\buntil\b", folded) or regex.match(r"cont\b|cont(?:inue|inuing)?\s+(?:to\s+)?(?:inc|dec)|(?:inc|dec)", folded):
            opened = True
            if not regex.search(r"even", folded):
                out.append(replace(base, kind="open", ends_side=self.side_in(folded)))
        opened = opened or regex.search(r"\b(?:rows|rnds|rounds)\b", folded) is not None  # some rows are worked here, not known which
        return out, numbered, opened

    def sentences(self, span: Span) -> list[Span]:
        """The sentences of a paragraph between rows; one where it has no second that begins with a capital."""
        text = self.text.source[span.start : span.end]
        cuts = [0, *(m.end() for m in regex.finditer(r"(?<=[.!;])\s+(?=[A-Z\[(])", text)), len(text)]
        return [Span(span.start + a, span.start + b) for a, b in itertools.pairwise(cuts) if text[a:b].strip()]

    def pattern_rows(self, m: regex.Match[str], base: Entry, book: _Book, last: int, section: Section) -> tuple[list[Entry], int, bool]:
        """"Work 6 more rows in pattern": the rows that set the pattern, taken up where they were left."""
        many = number_of(m["n"]) or 0
        cycle = len(book.pattern)
        out: list[Entry] = []
        for i in range(min(many, _MOST_ROWS)):
            t = book.trees[book.pattern[(last - book.pattern[-1] + i) % cycle]]
            out.append(replace(base, label=f"{self._word_of(section)} {last + 1 + i}", number=last + 1 + i, tree=t[0], origin=t[1], written=i == 0, own_count=False, source=_number_of(t, book)))
        return out, last + many, False

    def as_piece(self, like: PieceReference, source: _Book, base: Entry, book: _Book) -> tuple[list[Entry], int, bool]:
        """The rows of another piece once more, to the row or the mark named; none where they are changed on the way."""
        if regex.search(r"revers|except|but\b|shap", like.tail):
            return [replace(base, kind="open")], 0, True
        until = self.layout.folded.find(like.mark, min((e.span.start for e in source.entries), default=0)) if like.mark else None
        out: list[Entry] = []
        for e in source.entries:
            if (like.row is not None and e.number is not None and e.number > like.row) or (until is not None and e.span.start > until):
                break
            out.append(replace(e, span=base.span, label_span=base.label_span, written=not out, own_count=False, count=None, slips=(), source=e.number))
        if not out or regex.search(r"[a-z]{2}", like.tail):
            out.append(replace(base, kind="open"))  # more is done than is repeated
        return out, max((e.number or 0 for e in out), default=0), False

    def side_in(self, folded: str) -> str | None:
        """The side a sentence says to end on, or None."""
        m = regex.search(r"(?:ending|end)\s+(?:with|after|on)\s+(?:a\s+)?(rs|ws|right|wrong)", folded)
        return None if m is None else side_named(m[1])

    def _word_of(self, section: Section) -> str:
        for s in section.statements:
            if s.label is not None:
                return self.word(s.label)
        return self.rounds_word

    def count_in(self, span: Span) -> Count | None:
        """The count of stitches a sentence states, or None."""
        tree = self.tree(span, continued=True)
        return next((s for s in tree.steps if isinstance(s, Count) and not all(p.noun == "row" for p in s.parts)), None)

    def named_sizes(self, names: str) -> tuple[int, ...]:
        """Indices of the sizes named."""
        wanted = [w for w in regex.split(r"\s*(?:,|/|&|\band\b|-)\s*|\s+", names.strip()) if w and w not in ("size", "sizes", "the", "for")]
        lower = [s.lower() for s in self.sizes]
        found: list[int] = []
        for word in wanted:
            ordinal = regex.fullmatch(r"(\d+)(?:st|nd|rd|th)", word)
            if ordinal and int(ordinal[1]) <= len(lower):
                found.append(int(ordinal[1]) - 1)
            elif word in lower:
                found.append(lower.index(word))
            elif word[:1] in [s[:1] for s in lower] and len(word) > 2:
                found.append([s[:1] for s in lower].index(word[:1]))
        return tuple(sorted(set(found)))

    def loose_reference(self, ref: Reference, base: Entry, book: _Book, last: int, span: Span) -> tuple[list[Entry], int, bool]:
        """A sentence that repeats rows: its entries, the number of the last row, and whether rows are left open."""
        rest = Span(span.start + ref.rest_at, span.end)
        count = self.count_in(rest) if rest.end > rest.start else None
        targets = self.targets(ref, book, last, None)
        missing = self.missing(ref, book, (), last)
        if missing and not ref.bare:
            return [replace(base, kind="open", slips=(Slip("row-reference", span, missing),))], 0, True
        if targets and not last and ref.of and len(targets) == len(ref.numbers):
            word = "Row"
            source = self.book_of(ref.of)
            chains = [e for e in source.entries if e.kind == "foundation"][:1] if source is not None and source.entries and ref.numbers[0] == 1 else []
            again = [replace(base, label=f"{word} {n}", number=n, tree=t[0], origin=t[1], written=i == 0, own_count=False, source=n) for i, (n, t) in enumerate(zip(ref.numbers, targets, strict=True))]
            return [*chains, *again], ref.numbers[-1], False
        if not targets or not last:
            return [replace(base, kind="open")], 0, True
        trees = tuple((t[0], t[1]) for t in targets)
        if ref.open or (ref.times is None and ref.rows is None and ref.total is None and ref.until is None and ref.until_rows is None):
            return [replace(base, kind="open", repeated=trees, ends_side=ref.side, count=count, count_origin=rest.start)], 0, True
        if ref.until is not None:
            return [replace(base, kind="until", repeated=trees, until=ref.until, number=last, label="Row")], 0, True
        cycle = len(targets)
        per_size: list[int] = []
        if ref.total is not None or ref.until_rows is not None:
            per_size = [max(0, (ref.total or ref.until_rows or 0) - last)]
        elif ref.rows is not None:
            per_size = [n or 0 for n in ref.rows]
        elif ref.times is not None:
            per_size = [(n or 0) * cycle - (cycle if ref.in_all and not ref.more and ref.last is None else 0) for n in ref.times]
            # "[Rep Rows 2-5] 8 times" from a row on: rows named are the ones just worked, so these are more of them
        most = max(per_size, default=0)
        sequence = [targets[i % cycle] for i in range(most)] + [book.trees[n] for n in ref.then if n in book.trees]
        out: list[Entry] = []
        for i in range(min(len(sequence), _MOST_ROWS)):
            t = sequence[i]
            sizes: tuple[int, ...] = self.active
            if len(per_size) == self.count and self.count > 1 and i < most:
                chosen = tuple(s for s in range(self.count) if per_size[s] > i)
                sizes = chosen if len(chosen) < self.count else ()
            out.append(replace(base, label=f"Row {last + 1 + i}", number=last + 1 + i, tree=t[0], origin=t[1], written=i == 0, own_count=False, sizes=sizes, source=_number_of(t, book)))
        if out and ref.side:
            out[-1] = replace(out[-1], ends_side=ref.side)
        said = self.rows_counted(self.tree(rest)) if rest.end > rest.start else None
        if said is not None and out and len(per_size) == 1 and said not in (last + len(sequence), len(sequence)):
            slip = Slip("row-range", span, {"said": said, "range": last + len(sequence), "total": True, "first": 1, "last": last + len(sequence)})
            out[0] = replace(out[0], slips=(slip,))
        if count is not None and out:
            if len(per_size) == self.count and self.count > 1 and len(count.parts) == 1:
                # each size ends on its own row, and its number of the count is for that row
                for k in range(len(out)):
                    ending = [s for s in range(self.count) if per_size[s] - 1 == k]
                    if ending and len(count.parts[0].n) == self.count:
                        n = tuple(v if s in ending else None for s, v in enumerate(count.parts[0].n))
                        out[k] = replace(out[k], count=replace(count, parts=(replace(count.parts[0], n=n),)), count_origin=rest.start)
            else:
                out[-1] = replace(out[-1], count=count, count_origin=rest.start)
        return out, last + len(sequence), bool(len(per_size) > 1)

    def foundation(self, statement: Statement, folded: str) -> list[Entry]:
        """The foundation a sentence makes, with a first row worked into it where it says so; none where it makes none."""
        span = statement.body
        base = Entry("foundation", span, span, span.start, sizes=self.active)
        made = next((s for s in self.tree(span).steps if isinstance(s, Make)), None)
        if made is not None and made.stitch.foundation and made.count is not None:
            return [replace(base, chains=made.count, chainless=made.stitch.kind)]
        multiple = next(stated_multiples(self.layout.folded, span.start, span.end), None)
        head = folded[:260]
        ring = bool(regex.search(r"(?:form|make|into|to|in)\s+(?:a\s+)?(?:ring|circle|round)|to\s+form\s+ring|join\s+(?:with\s+(?:a\s+)?(?:sl\s?st|ss)\s*)?(?:in(?:to)?|to)\s+(?:the\s+)?(?:first|1st|last|beg)", head))
        joined = ring or bool(regex.search(r"(?<!not )join\b|close\b|ss\s+to\s+(?:form|first)|sl\s?st\s+(?:in|to|into)\s+(?:the\s+)?(?:first|1st)", head))
        if regex.match(r"(?:with\s+\w+,?\s*)?(?:make\s+(?:a\s+)?|start(?:ing)?\s+with\s+(?:a\s+)?|in\s+a\s+|a\s+)?(?:magic|adjustable)\s+(?:ring|circle|loop)|(?:with [^,]+, )?make a magic", folded.strip()) and "ch " not in folded[:12]:
            return [replace(base, ring=True, kind="foundation")]
        number = None
        if regex.match(r"\s*(?:with [^,]+,\s*)?(?:ch|chain|foundation[^:]*:)\.?\s*\d|\s*\d+(?:\s*[(\[][\d, ]+[)\]])*\s*ch\b", folded) or not regex.search(r"(?:any|a)\s+(?:multiple|number)|in\s+a\s+factor", folded[:60]) or regex.search(r"[;.(]\s*ch\s*\d", folded):
            area = folded
            if multiple is not None and regex.match(r"\s*\(?multiple", folded):
                area = folded[multiple.span.end - span.start :]
            number = next((m for m in _CH_NUMBER.finditer(area) if not _OF_ROWS.match(area, m.end())), None)
            if number is not None and multiple is not None and span.start + number.end() in range(multiple.span.start + 1, multiple.span.end + 1) and area is folded:
                number = None  # "ch 6n + 2": the number is the multiple's
        chains: tuple[int | None, ...] = ()
        if number:
            word = (number["c"] or "").strip("([])") or number["a"] or number["b"]
            if number["c"]:
                word = word.split(",")[0] + " (" + ",".join(word.split(",")[1:]) + ")"
            if word[:1].isdigit():
                text = regex.match(r"\d+(?:\s*\(\s*\d+\s*\)\s*\d+)+(?:\s*\(\s*\d+\s*\))?|\d+(?:\s*[(\[][\d, ;-]+[)\]])*|\d+(?:\s?-\s?\d+)+", word)
                dashed = regex.fullmatch(r"\d+(?:\s?-\s?\d+)+", word.strip())
                chains = tuple(int(x) for x in regex.findall(r"\d+", word)) if dashed and self.count > 1 else vector(text.group() if text else word)
                plus = regex.match(r"\s*(?:\+|plus)\s*(\d+)", folded[number.end() :])
                if plus and len(chains) == 1 and chains[0] is not None:
                    chains = (chains[0] + int(plus[1]),)
            else:
                n = number_of(word)
                if n is None:
                    return []
                chains = (n,)
        elif multiple is None:
            return []
        tree = self.tree(span)
        works = any(isinstance(s, Make) and s.place is not None and s.place.how == "hook" for s in tree.steps)
        entry = replace(base, chains=chains, joined=joined, ring=ring, multiple=multiple)
        if works and chains:
            rest = Tree(tuple(s for s in tree.steps if not (isinstance(s, Chain) and s is next((c for c in tree.steps if isinstance(c, Chain)), None))), tree.faults)
            return [entry, replace(base, kind="row", label="Foundation row", tree=rest, written=True)]
        if chains and len(chains) not in (1, self.count):
            entry = replace(entry, slips=(Slip("size-list", span, {"values": len(chains), "sizes": self.count}),), chains=(None,) * self.count)
        return [entry]


def _counted(pieces: list[Piece]) -> bool:
    """Whether most rows state how many stitches they have: old texts never do."""
    rows = [e for p in pieces for e in p.entries if e.kind == "row" and e.written and e.tree is not None]
    counted = [e for e in rows if any(isinstance(s, Count) and s.sure and len(s.parts) == 1 for s in (e.tree.steps if e.tree is not None else ()))]
    return len(counted) >= 2 and 2 * len(counted) > len(rows)


def _tells_rows(tree: Tree | None) -> bool:
    """Whether a row names a number of rows ("in A for 2 rows"): it may stand for more than one."""
    return tree is not None and any(isinstance(s, Mark) and s.what == "for-rows" for s in tree.steps)


def _for_rows(tree: Tree) -> int | None:
    """For how many rows a row is worked as its last words say ("sc in each st for 4 rows"); of a colour or a manner it says nothing."""
    said = [i for i, s in enumerate(tree.steps) if isinstance(s, Mark) and s.what == "for-rows"]
    if len(said) != 1 or not said[0]:
        return None
    at = said[0]
    mark, rest = cast(Mark, tree.steps[at]), tree.steps[at + 1 :]
    before = next((s for s in reversed(tree.steps[:at]) if not (isinstance(s, Mark) and s.what in ("turn", "join", "no-turn"))), None)
    worked = isinstance(before, Make | Group | Star | Even) and all(isinstance(s, Count | Counts | Mark) for s in rest)
    return mark.value if worked and not tree.unread and isinstance(mark.value, int) else None


def _without_end_count(tree: Tree) -> Tree:
    """A row of a range whose count is said of the last row alone."""
    steps = tuple(s for s in tree.steps if not (isinstance(s, Count) and s.at_end))
    return tree if len(steps) == len(tree.steps) else replace(tree, steps=steps)


def _unread(span: Span) -> Tree:
    """A row of which nothing was read."""
    return Tree((Unread(Extent(0, span.end - span.start)),))


def _range_slip(label: Label, said: int | None, **more: object) -> Slip:
    """A label's range and the number of rows said do not agree."""
    numbers = label.numbers
    return Slip("row-range", label.span, {"said": said, "range": len(numbers), "first": numbers[0], "last": numbers[-1], **more})


def _still(piece: Piece) -> Piece:
    """A piece with every row worked from the same side: the work is not turned after any of them."""
    entries: list[Entry] = []
    for entry in piece.entries:
        entries.append(entry)
        if entry.kind == "row":
            entries.append(Entry("no-turn", entry.span, entry.span, entry.span.start))
    return replace(piece, entries=tuple(entries))


def _interleaved(entries: list[Entry]) -> list[Entry]:
    """Rows of interleaved lists put in the order of working."""
    rows = [e for e in entries if e.number is not None]
    others = [(i, e) for i, e in enumerate(entries) if e.number is None]
    rows.sort(key=lambda e: e.number or 0)
    out = list(rows)
    for i, e in others:
        out.insert(min(i, len(out)), e)
    return out


def _turns(entry: Entry) -> bool:
    return entry.tree is not None and any(isinstance(s, Mark) and s.what == "turn" for s in entry.tree.steps)


def _number_of(target: tuple[Tree, int, Span], book: _Book) -> int | None:
    return next((n for n, t in book.trees.items() if t is target), None)


_CHANGES = regex.compile(
    r"\d|(?<![a-z])(?:sc|hdc|dc|tr|htr|ch|chain|sts?|stitch\w*|inc\w*|dec\w*|skip|miss|instead|except|but|without|omit\w*|shap\w*|repeat\w*|corner\w*|end\w*|begin\w*|extra|only|last|first|needed|evenly|neck|armhole)(?![a-z])"
)


def _harmless(words: str) -> bool:
    """Whether words after a reference are prose that changes nothing that is counted."""
    text = regex.sub(r"working\s+(?:each\s+row\s+as\s+before|\d+\s+rows\s+each\s+of[^.;]*)|the\s+(?:row|rnd)\s+you|one\s+block", "", " ".join(words.split()))
    text = regex.sub(r"^\W*(?:a|b|c|and|twice|,|\s)*$", "", text)
    return _CHANGES.search(text) is None


def resolve(text: Text, layout: Layout, sizes: tuple[str, ...], expected: str | None = None) -> Pattern:
    """The pattern a layout holds; ``expected`` are the terms to take where nothing in it tells."""
    return Resolver(text, layout, sizes, expected).run()
