"""Layout → Pattern: every statement read, every reference followed, so that the fabric has rows to work and no text."""

from __future__ import annotations

import itertools
import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

from ..syntax.labels import side_named
from ..syntax.layout import Label, Layout, Section, SectionKind, Statement
from ..syntax.lexer import Vocabulary, number_of
from ..syntax.statement import read_statement
from ..syntax.tree import Chain, Count, Counts, Even, Extent, Make, Mark, Tree, Unread
from ..text import Span, Text
from .definitions import expand, read_definitions
from .notes import Conventions, read_notes
from .pattern import Entry, Multiple, Pattern, Piece, Slip
from .references import Reference, read_ending_side, read_reference, vector
from .schedules import read_schedule
from .terms import read_terms

_MOST_ROWS = 1000
_MULTIPLE = re.compile(
    r"(?:multiples?|factor)\s+of\s+(?P<n>\d+)(?:\s*(?P<what>sts?|stitches|ch(?:s|ains?)?))?\s*,?\s*(?:(?:plus|\+|and|add)\s*(?P<plus>\d+))?(?:\s*(?P<what2>sts?|stitches|ch(?:s|ains?)?))?|(?:patt(?:ern)?\s+)?rep(?:eat)?\s+(?:of\s+)?(?P<n2>\d+)\s*\+\s*(?P<plus2>\d+)(?P<incl>,?\s*including\s+(?:the\s+)?(?:base|foundation)\s+ch)?"
)
_CH_NUMBER = re.compile(
    r"(?:ch\s*(?=[(\[]\s*\d+\s*,)(?P<c>[(\[][\d, ]+[)\]])|(?:ch(?:ain)?s?|foundation\s+ch(?:ain)?\s*:?|make|work|chain\s*:)\.?\s*(?P<a>\d+(?:(?:\s*\(\s*\d+\s*\)\s*\d+)+(?:\s*\(\s*\d+\s*\))?|\s*[(\[][\d, ;-]+[)\]]|(?:\s?-\s?\d+)+(?!\s*(?:ch|sp)))*|[a-z]+(?:[ -][a-z]+)?(?=\s*(?:ch|\.|,|$|loosely)))|(?P<b>\d+(?:\s*[(\[][\d, ;-]+[)\]])*)\s*ch\b)"
)
_SIZE_ONLY = re.compile(r"(?:for\s+)?(?:(?:sizes?\s+)?(?P<names>[a-z0-9][a-z0-9 ,/&-]{0,40}?)\s+(?:sizes?\s+)?only|(?P<all>all\s+sizes))\s*(?::|$|\.|\n)")
_EVEN = re.compile(r"(?:work|crochet)\s+(?P<n>\d+|[a-z]+)\s+(?:more\s+)?(?:rows?|rnds?|rounds?)\s+even|work\s+even\s+for\s+(?P<n2>\d+|[a-z]+)\s+(?:rows?|rnds?|rounds?)")
@dataclass
class _Book:
    """The rows of one piece by number, for references."""

    trees: dict[int, tuple[Tree, int, Span]]
    labelled: set[int]


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
        self.by_kind = {d.stitch.kind: d for d in self.definitions if d.steps}
        self.vocabulary = Vocabulary(self.terms.system, self.count, tuple(sorted(((d.name, d.stitch) for d in self.definitions), key=lambda pair: pair[0])))
        self.pieces: list[tuple[str, _Book]] = []
        self.active: tuple[int, ...] = ()
        self.rounds_word = "Rnd"

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
        live = [m.start() for m in re.finditer(r"(?:do not|don't)\s+(?:fasten|finish|cut|break|end)", body)]
        off = [m.start() for m in re.finditer(r"(?<!not )(?<!don't )(?:fasten|finish|break|end)\s+off|\bfo\b", body)]
        if re.search(r"rotate|turn\s+(?:the\s+)?\w+\s+on\s+its\s+side|row ends|long edge", body[-300:]):
            return False
        return bool(live) and (not off or live[-1] > off[-1])

    def one_sided(self, pieces: list[Piece]) -> list[Piece]:
        """Pieces with a note on sides held to where it stands: one inside a piece is that piece's, and rows that turn outdo it."""
        if not self.conventions.all_rs:
            return pieces
        spans = [s.span for s in self.layout.sections if s.kind is SectionKind.PIECE]
        everywhere = any(not any(s.start <= at.start < s.end for s in spans) for at in self.conventions.all_rs_at)
        meant = [
            not any(_turns(e) for e in p.entries) and (everywhere or any(p.span.start <= at.start < p.span.end for at in self.conventions.all_rs_at))
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
        before = re.split(r"[.;\n]\s", self.layout.folded[max(0, multiple.span.start - 80) : multiple.span.start])[-1]
        words = before + self.layout.folded[multiple.span.start : multiple.span.end]
        return re.search(r"(?<![a-z])(?:foundation|base|starting)\s+ch|\dch\b|\d\s+ch(?:s|ains?)?\b", words) is not None

    def multiples(self) -> Iterable[Multiple]:
        """Every multiple stated for the whole manuscript."""
        for section in self.layout.sections:
            if section.kind in (SectionKind.NOTES, SectionKind.TITLE, SectionKind.OTHER, SectionKind.GAUGE):
                for m in _MULTIPLE.finditer(self.layout.folded, section.body.start, section.body.end):
                    multiple = self.multiple(m)
                    if multiple is not None:
                        yield multiple

    def multiple(self, m: re.Match[str]) -> Multiple | None:
        """The multiple a match states, or None for a multiple of less than 2."""
        n = int((m["n"] or m["n2"])[:5])
        plus = int((m["plus"] or m["plus2"] or "0")[:5])
        if n < 2:
            return None
        what = m["what2"] or m["what"] or ""
        return Multiple(n, plus, Span(m.start(), m.end()), not what.startswith("st"))

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
        open_end = False
        flat = any(
            s.label is not None and re.search(r"(?<!not )(?<!don't )\bturn\b(?! the work to)", self.layout.folded[s.body.start : s.body.end])
            for s in section.statements
        )
        self.rounds_word = "Row" if flat else "Rnd"
        for statement in section.statements:
            if statement.label is None:
                new, numbered, opened = self.loose(statement, book, last, section)
                entries += new
                open_end = open_end or opened
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
                while fillers and first == last + 2 and last:
                    _kind, tree, origin, span = fillers[-1]
                    entries.append(Entry("row", span, span, origin, f"{self.word(label)} {last + 1}", last + 1, tree, False, self.active, own_count=False))
                    book.trees[last + 1] = (tree, origin, span)
                    last += 1
                contiguous = all(b == a + 1 for a, b in itertools.pairwise(numbers))
                repeated = [n for n in numbers if n in seen]
                if repeated and not self.active and not label.sizes and not self.size_twin(entries, numbers):
                    slips.append(Slip("row-order", label.span, {"repeated": repeated[0], "label": self.word(label)}))
                elif not contiguous:
                    gaps.update(range(numbers[0], numbers[-1] + 1))
                elif last and first > last + 1 and first not in gaps and not open_end:
                    slips.append(Slip("row-order", label.span, {"missing": last + 1, "until": first - 1, "label": self.word(label)}))
                elif last and first < last and first not in gaps and not repeated:
                    slips.append(Slip("row-order", label.span, {"back": first, "after": last, "label": self.word(label)}))
                for n in numbers:
                    seen.setdefault(n, label.span)
            open_end = open_end and not numbers
            book.labelled.update(numbers)
            new = self.row(statement, label, book, last)
            for e in new:
                if e.number is not None and e.tree is not None:
                    book.trees[e.number] = (e.tree, e.origin, e.span)
            entries += new
            if sized:
                last = max(max(r) for r in sized)
                open_end = True
            elif numbers:
                last = max(last, numbers[-1]) if numbers[0] in gaps or numbers[-1] > last else numbers[-1]
            elif label.word:
                last += 1 if last else 0
        if gaps:
            entries = _interleaved(entries)
        if self.count == 1:  # with sizes, a chain off the multiple is a matter of that size
            entries = _with_multiple(entries)
        self.pieces.append((section.name.lower(), book))
        return Piece(section.name, section.span, tuple(entries), goes_on, section.make, tuple(slips))

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
            return f"{word} {number}"
        return f"{label.name or 'Next'} {word.lower()}"

    # -- labelled rows ---------------------------------------------------------------------------------------------------

    def row(self, statement: Statement, label: Label, book: _Book, last: int) -> list[Entry]:
        """The entries of a labelled row."""
        folded = self.layout.folded[statement.body.start : statement.body.end]
        reference = read_reference(folded)
        numbers: tuple[int, ...] = label.numbers
        base = Entry("row", statement.span, label.span, statement.body.start, side=label.side, info=label, sizes=self.named_sizes(" ".join(label.sizes)) or self.active)
        if reference is not None:
            return self.referred(statement, label, reference, book, base, last)
        tree = self.tree(statement.body)
        slips: list[Slip] = []
        rows_said = label.stated_rows or self.rows_counted(tree)
        if rows_said is not None and len(numbers) > 1 and rows_said != len(numbers) and not label.by_size:
            slips.append(_range_slip(label, rows_said))
        if self.active and any(f.kind == "size-list" for f in tree.faults):
            # a list for the sizes named only: its numbers cannot be told apart surely
            tree = _unread(statement.body)
        if label.by_size:
            return self.by_size(label, base, lambda _j: (tree, statement.body.start, True))
        if len(numbers) <= 1:
            number = numbers[0] if numbers else None
            return [replace(base, label=self.title(label, number), number=number, tree=tree, slips=tuple(slips))]
        count = next((s for s in tree.steps if isinstance(s, Count) and s.per_row), None)
        out: list[Entry] = []
        for i, number in enumerate(numbers[:_MOST_ROWS]):
            own = tree
            if count is not None and len(count.per_row) == len(numbers):
                part = replace(count.parts[0], n=(count.per_row[i],))
                own = replace(tree, steps=tuple(replace(count, parts=(part,), per_row=()) if s is count else s for s in tree.steps))
            out.append(replace(base, label=self.title(label, number), number=number, tree=own, lenient=own is tree, slips=tuple(slips) if i == 0 else (), side=label.side if i == 0 else None))
        if len(numbers) > _MOST_ROWS:
            out.append(replace(base, label=f"{self.word(label)}s {numbers[_MOST_ROWS]}-{numbers[-1]}", number=numbers[-1], tree=tree, times=len(numbers) - _MOST_ROWS))
        return out

    def rest_tree(self, rest: Span) -> Tree:
        """What a reference says besides, without the words that only tell which yarn the rows are worked in."""
        folded = self.layout.folded[rest.start : rest.end]
        source = self.text.source[rest.start : rest.end]
        for m in re.finditer(r"working\s+(?:each\s+row\s+as\s+before|\d+\s+rows\s+each\s+of\s+(?:[a-z]{1,2}(?:\s*,\s*|\s+and\s+|\s*))+(?:,?\s*(?:once|twice|\d+\s+times))?)", folded):
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
        numbers = label.numbers
        rest = Span(statement.body.start + ref.rest_at, statement.body.end)
        extra = self.rest_tree(rest) if rest.end > rest.start and ref.rest.strip(" .,;)]\n") else Tree(())
        count = next((s for s in extra.steps if isinstance(s, Count) and not all(p.noun == "row" for p in s.parts)), None)
        modified = self.modified(extra, rest)
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
            if modified:
                entry = replace(entry, tree=_unread(statement.body), origin=statement.body.start)
            return [entry]
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
            repeats = [replace(e, tree=_unread(statement.body), origin=statement.body.start) for e in repeats]
        if len(numbers) > _MOST_ROWS:
            repeats.append(replace(repeats[-1], label=f"{self.word(label)}s {numbers[_MOST_ROWS]}-{numbers[-1]}", number=numbers[-1], times=len(numbers) - _MOST_ROWS, written=False))
        if ref.side:
            repeats[-1] = replace(repeats[-1], ends_side=ref.side)
        return self.with_count(repeats, count, rest.start)

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
        words = set(re.findall(r"[a-z]+", name)) - {"the", "a", "of", "piece"}
        for piece, book in reversed(self.pieces):
            if words & set(re.findall(r"[a-z]+", piece)):
                return book
        return None

    def targets(self, ref: Reference, book: _Book, last: int, first: int | None) -> list[tuple[Tree, int, Span]]:
        """The rows a reference repeats, in order; none where they are not known."""
        source = (self.book_of(ref.of) if ref.of else None) or book
        if ref.last is not None:
            end = (first - 1) if first else last
            return [source.trees[n] for n in range(end - ref.last + 1, end + 1) if n in source.trees]
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
        reference = read_reference(folded)
        if reference is not None:
            return self.loose_reference(reference, base, book, last, span)
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
        if re.search(r"(?:do\s+not|don't)\s+turn", folded):
            out.append(replace(base, kind="no-turn"))
        elif re.match(r"turn\b", folded):
            out.append(replace(base, kind="turn"))
        if re.search(r"(?:^|[.;]\s+)(?:rotate|turn\s+(?:\w+\s+){1,4}on\s+its\s+side|fold\s+the)|row ends|long edge", folded):
            out.append(replace(base, kind="new"))
        elif re.search(r"(?:re)?join(?:ing)?\s+(?:yarn|thread|[a-z]{1,2})\b|leave\s+(?:the\s+)?(?:next|first|centre|center)", folded) and last:
            out.append(replace(base, kind="rejoin"))
        if re.search(r"(?:work|continue)\s+(?:even|in\s+pat)", folded) or re.search(r"until\s+(?:piece|work|it)", folded) or re.match(r"cont\b", folded):
            opened = True
            if not re.search(r"even", folded):
                out.append(replace(base, kind="open", ends_side=self.side_in(folded)))
        return out, numbered, opened

    def side_in(self, folded: str) -> str | None:
        """The side a sentence says to end on, or None."""
        m = re.search(r"(?:ending|end)\s+(?:with|after|on)\s+(?:a\s+)?(rs|ws|right|wrong)", folded)
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
        wanted = [w for w in re.split(r"\s*(?:,|/|&|\band\b|-)\s*|\s+", names.strip()) if w and w not in ("size", "sizes", "the", "for")]
        lower = [s.lower() for s in self.sizes]
        found: list[int] = []
        for word in wanted:
            ordinal = re.fullmatch(r"(\d+)(?:st|nd|rd|th)", word)
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
        multiple: Multiple | None = None
        m = _MULTIPLE.search(self.layout.folded, span.start, span.end)
        if m:
            multiple = self.multiple(m)
        head = folded[:260]
        ring = bool(re.search(r"(?:form|make|into|to|in)\s+(?:a\s+)?(?:ring|circle|round)|to\s+form\s+ring|join\s+(?:with\s+(?:a\s+)?(?:sl\s?st|ss)\s*)?(?:in(?:to)?|to)\s+(?:the\s+)?(?:first|1st|last|beg)", head))
        joined = ring or bool(re.search(r"(?<!not )join\b|close\b|ss\s+to\s+(?:form|first)|sl\s?st\s+(?:in|to|into)\s+(?:the\s+)?(?:first|1st)", head))
        if re.match(r"(?:with\s+\w+,?\s*)?(?:make\s+(?:a\s+)?|start(?:ing)?\s+with\s+(?:a\s+)?|in\s+a\s+|a\s+)?(?:magic|adjustable)\s+(?:ring|circle|loop)|(?:with [^,]+, )?make a magic", folded.strip()) and "ch " not in folded[:12]:
            return [replace(base, ring=True, kind="foundation")]
        number = None
        if re.match(r"\s*(?:with [^,]+,\s*)?(?:ch|chain|foundation[^:]*:)\.?\s*\d|\s*\d+(?:\s*[(\[][\d, ]+[)\]])*\s*ch\b", folded) or not re.search(r"(?:any|a)\s+(?:multiple|number)|in\s+a\s+factor", folded[:60]) or re.search(r"[;.(]\s*ch\s*\d", folded):
            area = folded
            if m and re.match(r"\s*\(?multiple", folded):
                area = folded[m.end() - span.start :]
            number = _CH_NUMBER.search(area)
        chains: tuple[int | None, ...] = ()
        if number:
            word = (number["c"] or "").strip("([])") or number["a"] or number["b"]
            if number["c"]:
                word = word.split(",")[0] + " (" + ",".join(word.split(",")[1:]) + ")"
            if word[:1].isdigit():
                text = re.match(r"\d+(?:\s*\(\s*\d+\s*\)\s*\d+)+(?:\s*\(\s*\d+\s*\))?|\d+(?:\s*[(\[][\d, ;-]+[)\]])*|\d+(?:\s?-\s?\d+)+", word)
                dashed = re.fullmatch(r"\d+(?:\s?-\s?\d+)+", word.strip())
                chains = tuple(int(x) for x in re.findall(r"\d+", word)) if dashed and self.count > 1 else vector(text.group() if text else word)
                plus = re.match(r"\s*(?:\+|plus)\s*(\d+)", folded[number.end() :])
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


def _unread(span: Span) -> Tree:
    """A row of which nothing was read."""
    return Tree((Unread(Extent(0, span.end - span.start)),))


def _range_slip(label: Label, said: int | None, **more: object) -> Slip:
    """A label's range and the number of rows said do not agree."""
    numbers = label.numbers
    return Slip("row-range", label.span, {"said": said, "range": len(numbers), "first": numbers[0], "last": numbers[-1], **more})


def _with_multiple(entries: list[Entry]) -> list[Entry]:
    """A multiple stated in a sentence of its own, beside the chain it is meant for, put with the chain."""
    out: list[Entry] = []
    for entry in entries:
        before = out[-1] if out else None
        if before is not None and before.kind == entry.kind == "foundation" and not before.ring and not entry.ring:
            if before.multiple is not None and not before.chains and entry.chains:
                out[-1] = replace(entry, multiple=entry.multiple or before.multiple)
                continue
            if entry.multiple is not None and not entry.chains and before.chains:
                out[-1] = replace(before, multiple=before.multiple or entry.multiple)
                continue
        out.append(entry)
    return out


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


_CHANGES = re.compile(
    r"\d|(?<![a-z])(?:sc|hdc|dc|tr|htr|ch|chain|sts?|stitch\w*|inc\w*|dec\w*|skip|miss|instead|except|but|without|omit\w*|shap\w*|repeat\w*|corner\w*|end\w*|begin\w*|extra|only|last|first|needed|evenly|neck|armhole)(?![a-z])"
)


def _harmless(words: str) -> bool:
    """Whether words after a reference are prose that changes nothing that is counted."""
    text = re.sub(r"working\s+(?:each\s+row\s+as\s+before|\d+\s+rows\s+each\s+of[^.;]*)|the\s+(?:row|rnd)\s+you|one\s+block", "", " ".join(words.split()))
    text = re.sub(r"^\W*(?:a|b|c|and|twice|,|\s)*$", "", text)
    return _CHANGES.search(text) is None


def resolve(text: Text, layout: Layout, sizes: tuple[str, ...], expected: str | None = None) -> Pattern:
    """The pattern a layout holds; ``expected`` are the terms to take where nothing in it tells."""
    return Resolver(text, layout, sizes, expected).run()
