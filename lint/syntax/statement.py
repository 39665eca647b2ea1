"""A row statement read: brackets first, then repeats, then clause by clause with recovery.

What a clause means is the grammar's business (``clause.lark``). A clause the grammar cannot follow becomes ``Unread``
with its words, and the rest of the row is still read. Nothing is guessed and nothing is dropped.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache
from typing import cast

from .clause import read_clause
from .lexer import Num, Token, Vocabulary, lexer_for
from .lexicon import Stitch
from .places import group_name, read_place
from .tree import (
    Chain,
    Count,
    CountPart,
    Counts,
    Even,
    Extent,
    Fault,
    Group,
    Make,
    Mark,
    Place,
    Prefix,
    Scope,
    Skip,
    Star,
    Step,
    Times,
    Tree,
    Unread,
    Unworked,
)

Element = Token | Step

_PAIRS = {"(": ")", "[": "]", "{": "}", "<": ">"}
_SEPARATORS = {"COMMA", "SEMI", "DOT", "COLON", "THEN", "DASH", "AND", "EQ", "SLASH"}
_MARKS = {
    "NOTURN": "no-turn", "NOJOIN": "no-join", "OFF": "off", "COLOUR": "colour", "CHANGE": "colour", "RS": "side", "WS": "side",
    "MOVEMARK": "marker", "CROSS": "cross", "OTHERSIDE": "other-side", "THROUGHOUT": "remark", "EVENLY": "evenly", "LOOPS": "loops",
    "MADE": "remark", "PUSHED": "pushed", "FORROWS": "remark",
}  # fmt: skip
_COUNT_NOUNS = {"ST": "st", "SPN": "sp", "CH": "ch", "GROUPNAME": "", "STITCH": "", "CHSP": "sp", "SL": "sl st", "ROWWORD": "row", "INC": "inc", "DEC": "dec"}  # fmt: skip
_DEEPEST = 24
"""Brackets nested deeper than this are reported, not followed."""


def _at(elements: Sequence[Element]) -> Extent:
    first, last = elements[0], elements[-1]
    start = first.start if isinstance(first, Token) else first.at.start
    end = last.end if isinstance(last, Token) else last.at.end
    return Extent(start, end)


def _is(element: Element | None, *types: str) -> bool:
    return isinstance(element, Token) and element.type in types


class _Reader:
    def __init__(self, vocabulary: Vocabulary) -> None:
        self.vocabulary = vocabulary
        self.faults: list[Fault] = []

    # -- brackets -----------------------------------------------------------------------------------------------

    def brackets(self, tokens: Sequence[Token], depth: int = 0) -> list[Element]:
        """Tokens with every bracket pair folded into a node."""
        out: list[Element] = []
        match = self._match(tokens)
        i = 0
        while i < len(tokens):
            token = tokens[i]
            close = match.get(i)
            if close is not None and (token.type == "LB" or token.type == "BAR"):
                inner = list(tokens[i + 1 : close])
                whole = Extent(token.start, tokens[close].end)
                after = tokens[close + 1 : close + 4]
                before = out[-1] if out else None
                out += self._bracket(token, inner, whole, before, after, depth)
                i = close + 1
                continue
            if token.type in ("LB", "RB") and token.value in ("<", ">"):
                pass  # an arrow, not a bracket
            elif token.type in ("LB", "RB"):
                self.faults.append(Fault(Extent(token.start, token.end), "open", str(token.value)))
                out.append(Fault(Extent(token.start, token.end), "open", str(token.value)))
            elif token.type == "BAR":
                pass
            else:
                out.append(token)
            i += 1
        return out

    def _match(self, tokens: Sequence[Token]) -> dict[int, int]:
        pairs: dict[int, int] = {}
        stack: list[int] = []
        bar: int | None = None
        for i, token in enumerate(tokens):
            if token.type == "LB":
                stack.append(i)
            elif token.type == "RB":
                # The nearest opener of the same shape; an opener of another shape between them was never closed.
                for k in range(len(stack) - 1, -1, -1):
                    if _PAIRS[str(tokens[stack[k]].value)] == token.value:
                        pairs[stack[k]] = i
                        del stack[k:]
                        break
            elif token.type == "BAR":
                if bar is None:
                    bar = i
                else:
                    pairs[bar] = i
                    bar = None
        return pairs

    def _bracket(self, opener: Token, inner: list[Token], whole: Extent, before: Element | None, after: Sequence[Token], depth: int) -> list[Element]:
        if not inner:
            return []
        if depth >= _DEEPEST:
            return [Unread(whole, "brackets nested too deep")]
        following = next((t for t in after), None)
        repeated = _is(following, "XN", "ONCE", "IN", "REP", "SCOPE", "AROUND", "TOLAST", "OVER", "ANOTHER", "ANDIN") or (
            _is(following, "N") and len(after) > 1 and after[1].type in ("TIMES", "MORE")
        ) or (_is(following, "EACH"))  # fmt: skip
        if _is(following, "COMMA") and len(after) > 1 and after[1].type == "REP":
            repeated = True
        types = {t.type for t in inner}
        if repeated and len(inner) == 1 and inner[0].type in ("N", "NBAD") and _is(following, "IN", "EACH"):
            repeated = False  # "[56] Through this …": a count, and prose after it
        if opener.type == "LB" and not repeated:
            if (len(inner) == 1 and inner[0].type == "XN") or (len(inner) == 2 and inner[0].type == "N" and inner[1].type == "TIMES"):
                return list(inner)
            if types & {"COUNTS", "NOTCOUNT"}:
                return self._counts(inner, whole)
            count = self._count(inner, whole, sure=True)
            if count is not None:
                return [count]
            if types <= {"N", "STITCH", "PLUS", "AND", "COMMA", "CH", "CHN"} and inner[0].type == "N" and inner[-1].type in ("N", "CHN") and len(inner) > 3:
                return [Mark(whole, "remark", "count apart")]  # "(19 dc + ch 3)": the chain is named apart from the count
            if types & {"SOFAR"}:
                return [Mark(whole, "so-far", self._count([t for t in inner if t.type != "SOFAR"], whole, sure=True))]
            if "MADE" in types:
                part = self._leading_count(inner, whole)
                if part is not None:
                    return [part]
                name = next((group_name(str(t.value)) for t in inner if t.type == "GROUPNAME"), "")
                return [Mark(whole, "made", name)]
            names = [t for t in inner if t.type == "GROUPNAME"]
            if names and not types & {"IN", "CH", "CHN", "SKIP", "COMMA"} and not types & {"STITCH"}:
                return [Mark(whole, "made", group_name(str(names[-1].value)))]
            if not types & {"STITCH", "INC", "DEC", "CH", "CHN", "SL", "SKIP", "MR"}:
                side = next((t for t in inner if t.type in ("RS", "WS")), None)
                if side is not None:
                    return [Mark(whole, "side", side.type)]
                return [Mark(whole, "remark")]
        items = self.steps(self.brackets(inner, depth + 1))
        if not repeated and any(isinstance(s, Unread) for s in items) and not _formal(items):
            return [Mark(whole, "remark")]
        name = next((s.value for s in items if isinstance(s, Mark) and s.what == "made"), "")
        return [Group(whole, tuple(items), str(opener.value or "|"), name=str(name or ""), inner=_at(inner))]

    # -- counts --------------------------------------------------------------------------------------------------

    def _counts(self, inner: list[Token], whole: Extent) -> list[Element]:
        """A remark on what a chain counts as, with or without a stated count before it."""
        out: list[Element] = []
        cut = next((i for i, t in enumerate(inner) if t.type in ("COMMA", "SEMI")), None)
        if cut is not None and inner[0].type == "N":
            head = self._count(inner[:cut], whole, sure=True)
            if head is not None:
                out.append(head)
                inner = inner[cut + 1 :]
        index = next(i for i, t in enumerate(inner) if t.type in ("COUNTS", "NOTCOUNT"))
        throughout = any(t.type == "THROUGHOUT" for t in inner)
        if inner[index].type == "NOTCOUNT":
            return [*out, Counts(whole, not_=True, throughout=throughout)]
        rest = inner[index + 1 :]
        kind = next((cast(Stitch, t.value).kind for t in rest if t.type == "STITCH"), None)
        if kind is None and any(t.type == "ST" for t in rest):
            kind = "st"
        named = next((t for t in rest if t.type == "GROUPNAME"), None)
        if kind is None and named is not None:
            kind = group_name(str(named.value))
        number, chains = 1, 0
        for i, token in enumerate(rest):
            if token.type == "N" and i + 1 < len(rest) and rest[i + 1].type in ("STITCH", "ST"):
                number = cast(Num, token.value)[0] or 1
            if token.type == "CHN":
                chains = cast(Num, token.value)[0] or 0
            if token.type == "CHSP":
                chains = token.value if isinstance(token.value, int) else 1
            if token.type == "CH":
                beside = [rest[j] for j in (i - 1, i + 1) if 0 <= j < len(rest) and rest[j].type == "N"]
                chains = (cast(Num, beside[-1].value)[0] or 1) if beside else 1
        return [*out, Counts(whole, kind, number, chains, throughout=throughout)]

    def _leading_count(self, inner: list[Token], whole: Extent) -> Count | None:
        cut = next((i for i, t in enumerate(inner) if t.type in ("SEMI",)), None)
        return self._count(inner[:cut], whole, sure=True) if cut else None

    def _count(self, inner: Sequence[Token], whole: Extent, *, sure: bool) -> Count | None:
        """The count a run of tokens states, or None where it states none."""
        parts: list[CountPart] = []
        tokens = [t for t in inner if t.type not in ("TOTAL", "INCL", "WITH", "REMAIN", "EQ", "REMAINING", "NOW") and t.type != "STAR"]
        if tokens and tokens[-1].type == "DOT":
            tokens = tokens[:-1]
        if len(tokens) >= 5 and tokens[1].type == "SLASH" and all(t.type == ("N" if i % 2 == 0 else "SLASH") for i, t in enumerate(tokens[:-1])):
            rows = tuple(cast(Num, t.value)[0] or 0 for t in tokens if t.type == "N")
            return Count(whole, (CountPart((rows[-1],), _part_noun(tokens[-1])[0], whole),), sure, rows)
        i = 0
        while i < len(tokens):
            token = tokens[i]
            if token.type in ("COMMA", "AND", "PLUS", "SEMI", "ANDN", "SLASH", "DASH") and parts:
                i += 1
                continue
            if token.type not in ("N", "NBAD"):
                return None
            n = cast(Num, token.value)
            if token.type == "NBAD":
                self.faults.append(Fault(Extent(token.start, token.end), "size-list", str(len(n))))
            noun, size = "", None
            j = i + 1
            if j < len(tokens) and tokens[j].type in _COUNT_NOUNS:
                noun, size = _part_noun(tokens[j])
                j += 1
                # "18 ch-1 sps" lexes the space whole; "3 ch sts" or "24 tr sts" says the noun twice.
                while j < len(tokens) and tokens[j].type in ("ST", "AROUND", "SCOPE", "TOTAL", "EVENLY", "SPN"):
                    j += 1
            elif j < len(tokens) and tokens[j].type not in ("COMMA", "AND", "PLUS", "SEMI", "ANDN"):
                return None
            parts.append(CountPart(n, noun, Extent(token.start, tokens[j - 1].end), size))
            i = j
        return Count(whole, tuple(parts), sure) if parts else None

    # -- repeats -------------------------------------------------------------------------------------------------

    def stars(self, elements: list[Element]) -> list[Element]:
        """Elements with every marked repeat folded into a Star."""
        if not any(_is(e, "STAR", "RECALL") for e in elements):
            return elements
        out: list[Element] = []
        i = 0
        while i < len(elements):
            e = elements[i]
            if _is(e, "STAR"):
                found = self._star(elements, i)
                if found is not None:
                    star, i = found
                    out.append(star)
                    continue
                fault = Fault(_at([e]), "open", str(cast(Token, e).value))
                self.faults.append(fault)
                out.append(fault)
            elif _is(e, "RECALL"):
                value = cast(tuple[str, "str | None"], cast(Token, e).value)
                earlier = next((x for x in reversed(out) if isinstance(x, Star) and x.mark == value[0]), None)
                if value[0] == "[]":
                    out.append(e)
                elif earlier is not None:
                    # the marked part recalled once more, later in the row
                    while out and _is(out[-1], "REP"):
                        out.pop()
                    times, scope, end = self._extent_of_recall(elements, i + 1)
                    out.append(replace(earlier, times=times, scope=scope, at=_at(elements[i:end]), closed=True, recall=None, ending_kind=""))
                    i = end
                    continue
                else:
                    start = len(out)
                    while start and _is(out[start - 1], "REP"):
                        start -= 1
                    _times, _scope, end = self._extent_of_recall(elements, i + 1)
                    at = _at([*out[start:], e]) if start < len(out) else _at([e])
                    del out[start:]
                    fault = Fault(at, "target", value[0])
                    self.faults.append(fault)
                    out.append(fault)
                    i = end
                    continue
            else:
                out.append(e)
            i += 1
        return out

    def _star(self, elements: list[Element], i: int) -> tuple[Star, int] | None:
        opener = cast(Token, elements[i])
        mark = str(opener.value)
        cut_at: int | None = None
        recalls = {str(cast(tuple[str, object], cast(Token, e).value)[0]) for e in elements[i + 1 :] if _is(e, "RECALL")}
        j = i + 1
        while j < len(elements):
            e = elements[j]
            if _is(e, "STAR"):
                value = str(cast(Token, e).value)
                if value == mark:
                    k = j + 1
                    # "*… * x 6", "*…*, rep from * to *", "*…* around": the second mark closes
                    look = k
                    while look < len(elements) and _is(elements[look], "COMMA", "DOT", "SEMI", "COLON"):
                        look += 1
                    nxt = elements[look] if look < len(elements) else None
                    direct = elements[k] if k < len(elements) else None
                    closes = _is(nxt, "REP", "RECALL") or _is(direct, "XN", "ONCE", "SCOPE", "AROUND", "TOLAST") or (
                        _is(direct, "N") and k + 1 < len(elements) and _is(elements[k + 1], "TIMES", "MORE")
                    )  # fmt: skip
                    if closes and j > i + 1:
                        start = look if _is(nxt, "REP", "RECALL") else k
                        return self._close(elements, i, j, start, mark, cut_at, closed=True)
                    if direct is None and j > i + 1 and mark not in recalls:
                        return self._close(elements, i, j, k, mark, cut_at, closed=True)
                    if mark in recalls or value not in recalls:
                        # Two openers before one recall: the nearest one is meant.
                        return None
                elif len(value) > len(mark) and set(value) == set(mark):
                    if value not in recalls or any(_is(x, "LASTREP") for x in elements[j:]):
                        cut_at = j
                j += 1
                continue
            if _is(e, "RECALL"):
                value = str(cast(tuple[str, object], cast(Token, e).value)[0])
                if value == "[]":
                    j += 1
                    continue
                if value == mark or value not in {str(cast(Token, x).value) for x in elements[:j] if _is(x, "STAR")}:
                    end = j
                    while end > i + 1 and _is(elements[end - 1], "REP", "COMMA", "SEMI", "DOT"):
                        end -= 1
                    if value != mark:
                        self.faults.append(Fault(_at([e]), "target", value))
                    elif cast(tuple[str, "str | None"], cast(Token, e).value)[1] == mark and not any(
                        _is(x, "STAR") and str(cast(Token, x).value) == mark for x in elements[i + 1 : j]
                    ):
                        self.faults.append(Fault(_at([opener]), "open", mark))  # "from * to *", and only one stands there
                    return self._close(elements, i, end, j, mark, cut_at, closed=False)
            if _is(e, "REP") and j + 1 < len(elements):
                nxt = elements[j + 1]
                before = elements[j - 1]
                bare = _is(nxt, "SCOPE", "AROUND", "TOLAST") and not isinstance(before, Group)
                starred = _is(nxt, "STAR") and str(cast(Token, nxt).value) == mark
                if (bare and mark not in recalls) or starred:
                    end = j
                    while end > i + 1 and _is(elements[end - 1], "COMMA", "SEMI", "DOT"):
                        end -= 1
                    return self._close(elements, i, end, j, mark, cut_at, closed=False)
            j += 1
        return None

    def _close(self, elements: list[Element], i: int, end: int, recall: int, mark: str, cut_at: int | None, *, closed: bool) -> tuple[Star, int]:
        body = elements[i + 1 : end]
        cut: int | None = None
        if cut_at is not None and i < cut_at < end:
            head = self.steps(elements[i + 1 : cut_at])
            tail = self.steps(elements[cut_at + 1 : end])
            items, cut = [*head, *tail], len(head)
        else:
            items = self.steps(body)
        times, scope, after = self._extent_of_recall(elements, recall)
        extent = _at(elements[i : max(after, end)])
        where = _at(elements[recall:after]) if after > recall else None
        kind = ""
        look = after
        while look < len(elements) and _is(elements[look], "COMMA", "SEMI", "DOT"):
            look += 1
        ending = elements[look] if look < len(elements) else None
        if _is(ending, "ENDWITH", "LASTREP", "ENDING"):
            word = str(cast(Token, ending).value or "")
            kind = "with"
            if word.startswith("omitting"):
                kind = "omit"
            elif word.split()[-1:] == ["after"]:
                kind = "after"
            elif word.split()[-1:] == ["at"]:
                kind = "at"
            after = look + 1
            if kind == "at":
                while after < len(elements) and (_is(elements[after], "STAR")):
                    after += 1
            if kind in ("omit", "after"):
                while after < len(elements) and not _is(elements[after], "COMMA", "SEMI", "DOT"):
                    after += 1
        return Star(extent, tuple(items), mark, times, scope, (), kind, cut, recall=where, closed=closed), after

    def _extent_of_recall(self, elements: list[Element], k: int) -> tuple[Times | None, Scope | None, int]:
        """How often a repeat goes: read from its recall on. Returns where the recall ends, too."""
        times: Times | None = None
        scope: Scope | None = None
        while k < len(elements):
            e = elements[k]
            if _is(e, "REP", "RECALL", "STAR") or (_is(e, "COMMA") and k + 1 < len(elements) and times is None and scope is None and (
                _is(elements[k + 1], "SCOPE", "AROUND", "TOLAST", "REP")
                or (_is(elements[k + 1], "N") and k + 2 < len(elements) and _is(elements[k + 2], "TIMES", "MORE"))
            )):
                k += 1
            elif _is(e, "XN"):
                times = Times(cast(Num, cast(Token, e).value), _at([e]))
                k += 1
            elif _is(e, "ONCE"):
                n, more = cast(tuple[int, bool], cast(Token, e).value)
                times = Times((n,), _at([e]), more)
                k += 1
            elif _is(e, "ANOTHER"):
                k += 1
                if k < len(elements) and _is(elements[k], "N"):
                    times = Times(cast(Num, cast(Token, elements[k]).value), _at([elements[k]]), True)
                    k += 1
                    while k < len(elements) and _is(elements[k], "TIMES", "MORE"):
                        k += 1
            elif _is(e, "N", "NBAD") and k + 1 < len(elements) and _is(elements[k + 1], "TIMES", "MORE"):
                start = k
                more = False
                k += 1
                while k < len(elements) and _is(elements[k], "TIMES", "MORE"):
                    more |= _is(elements[k], "MORE")
                    k += 1
                if k < len(elements) and _is(elements[k], "TOTAL"):
                    k += 1
                    times = Times(cast(Num, cast(Token, e).value), _at(elements[start:k]), more)
                    times = replace(times, more=False)
                    # "3 times in all" leaves no doubt; mark it as a count in all with the extent of the words.
                    scope = None
                    return replace(times, at=Extent(times.at.start, times.at.end)), Scope(times.at, noun="in all"), k
                times = Times(cast(Num, cast(Token, e).value), _at(elements[start:k]), more)
            elif _is(e, "SCOPE", "AROUND"):
                scope = Scope(_at([e]), around=_is(e, "AROUND"))
                k += 1
            elif _is(e, "TOLAST", "UNTIL"):
                start = k
                k += 1
                words: list[Token] = []
                while k < len(elements) and _is(elements[k], "N", "ST", "STITCH", "CHSP", "SPN", "GROUPNAME", "CH", "CORNER", "OF", "EACH", "SL"):
                    words.append(cast(Token, elements[k]))
                    k += 1
                until = _is(e, "UNTIL")
                remain = k < len(elements) and _is(elements[k], "REMAIN")
                if remain:
                    k += 1
                place = read_place(words) if words else None
                if until and not remain:
                    return None, Scope(_at(elements[start:k]), noun="until"), k
                scope = Scope(_at(elements[start:k]), (place.n if place and place.n else (1,)), place.noun if place else "st", place.size if place else None)
            else:
                break
        return times, scope, k

    # -- clauses -------------------------------------------------------------------------------------------------

    def steps(self, elements: list[Element], *, top: bool = False, continued: bool = False) -> list[Step]:
        """The steps of a run of elements at one bracket level."""
        elements = self.stars(self._ands(elements))
        clauses: list[tuple[list[Element], str]] = []
        current: list[Element] = []
        before = ""
        for e in elements:
            if isinstance(e, Token) and e.type in _SEPARATORS:
                if current:
                    clauses.append((current, before))
                    current = []
                before = e.type if not (e.type == "AND" and before) else before
                continue
            current.append(e)
        if current:
            clauses.append((current, before))
        clauses = [(self._hoist(clause), sep) for clause, sep in clauses]
        if top:
            clauses = self._closing_count(clauses)
        out: list[Step] = []
        for index, (clause, sep) in enumerate(clauses):
            last = top and (index == len(clauses) - 1 or all(self._idle(c) for c, _ in clauses[index + 1 :]))
            if continued and all(isinstance(e, Token) for e in clause):
                count = self._count(cast("list[Token]", clause), _at(clause), sure=True)
                if count is not None:
                    out.append(count)
                    continue
            out += self._clause(clause, sep, last=last, first=not out or not top)
        return self._attach(out)

    def _hoist(self, clause: list[Element]) -> list[Element]:
        """"dc in 4th ch from hook (…) and in each ch": the remark goes behind the phrase it stands in."""
        asides = [e for e in clause if isinstance(e, Counts | Mark)]
        if not asides or not any(_is(e, "ANDIN") for e in clause):
            return clause
        return [*(e for e in clause if not isinstance(e, Counts | Mark)), *asides]

    def _closing_count(self, clauses: list[tuple[list[Element], str]]) -> list[tuple[list[Element], str]]:
        """"…, turn. 12tr, 11 ch-sps": the last clauses of a row that name only numbers of things are one count."""
        end = len(clauses)
        while end and self._idle(clauses[end - 1][0]) and not isinstance(clauses[end - 1][0][0], Count):
            end -= 1
        start = end
        while start > 1:
            clause = clauses[start - 1][0]
            if not all(isinstance(e, Token) for e in clause):
                break
            if self._count(cast("list[Token]", clause), _at(clause), sure=True) is None:
                break
            start -= 1
        if end - start < 2:
            return clauses
        run = clauses[start:end]
        first_sep = run[0][1]
        before = clauses[start - 1][0]
        parts = [self._count(cast("list[Token]", c), _at(c), sure=True) for c, _ in run]
        counts = [p for p in parts if p is not None]
        flat = tuple(p for c in counts for p in c.parts)
        if first_sep in ("DOT", "DASH", "EQ") or _is(before[0], "TURN", "JOIN") or any(p.noun in ("sp", "st") for p in flat):
            whole = Count(_at([e for c, _ in run for e in c]), flat, sure=True)
            return [*clauses[:start], ([whole], first_sep), *clauses[end:]]
        return clauses

    def _idle(self, clause: list[Element]) -> bool:
        """Whether a clause cannot work a stitch: turn, join, fasten off, a count."""
        e = clause[0]
        if isinstance(e, Token):
            return e.type in ("TURN", "JOIN", "OFF", "NOTURN", "NOJOIN", "CHANGE", "MOVEMARK", "SL") or (e.type in ("CH", "CHN") and len(clause) <= 2)
        return isinstance(e, Mark | Count | Counts)

    def _ands(self, elements: list[Element]) -> list[Element]:
        """Decide what each "and" joins: two places, two place nouns, or two steps."""
        out: list[Element] = []
        each = False
        for index, e in enumerate(elements):
            if _is(e, "EACH"):
                each = True
            elif isinstance(e, Token) and e.type in _SEPARATORS and e.type != "AND":
                each = False
            if _is(e, "AND", "PLUS"):
                nxt = elements[index + 1] if index + 1 < len(elements) else None
                prev = out[-1] if out else None
                if nxt is None:
                    continue
                token = cast(Token, e)
                if _is(nxt, "IN"):
                    out.append(token._replace(type="ANDIN"))
                    continue
                if _is(nxt, "TOP", "LAST", "SAME") or (_is(nxt, "EACH") and _is(e, "AND")):
                    out.append(token._replace(type="ANDIN"))
                    continue
                noun = _is(nxt, "STITCH", "CHSP", "CH", "SPN", "ST", "GROUPNAME")
                far = elements[index + 2] if index + 2 < len(elements) else None
                if each and noun and _is(prev, "STITCH", "CH", "ST", "CHSP", "SPN", "GROUPNAME") and not _is(far, "IN", "N"):
                    out.append(token._replace(type="ANDN"))
                    continue
                if _is(e, "AND") and _is(nxt, "CHSP", "SPN") and _is(prev, "STITCH", "ST") and not _is(far, "IN"):
                    out.append(token._replace(type="ANDN"))
                    continue
                out.append(token._replace(type="AND"))
                continue
            out.append(e)
        # "in, on": an IN right after ANDIN says the same again
        cleaned: list[Element] = []
        for e in out:
            if _is(e, "IN") and cleaned and _is(cleaned[-1], "ANDIN"):
                continue
            cleaned.append(e)
        return cleaned

    def _clause(self, clause: list[Element], sep: str, *, last: bool, first: bool) -> list[Step]:
        at = _at(clause)
        # folded nodes that are steps of their own
        if len(clause) == 1 and not isinstance(clause[0], Token):
            return [clause[0]]
        head = clause[0]
        tokens = [e for e in clause if isinstance(e, Token)]
        # leading and trailing remarks are cut off and read by themselves
        if not isinstance(head, Token) and not isinstance(head, Group):
            return [head, *self._clause(clause[1:], sep, last=last, first=first)]
        tail = clause[-1]
        if not isinstance(tail, Token) and not isinstance(tail, Group):
            return [*self._clause(clause[:-1], sep, last=last, first=first), tail]
        if isinstance(tail, Group) and not tail.times and not tail.place and not _is(head, "REP") and len(clause) > 1 and isinstance(head, Token):
            # "in next sp work (…)", "with A (…)": the bracket is a step after the words before it
            before = clause[:-1]
            while before and _is(before[-1], "WORK", "COLON"):
                before = before[:-1]
            if before and all(isinstance(e, Token) for e in before):
                if _is(head, "IN", "AROUND", "OVER"):
                    return [*self._clause(before, sep, last=False, first=first), tail]
                if _is(head, "COLOUR", "CHANGE", "LOOPS", "WORK", "TURN", "EACH"):
                    return [*self._clause(before, sep, last=False, first=first), tail]
            if not before:
                return [tail]
        # step words without arithmetic at the edges
        if isinstance(head, Token):
            special = self._special(clause, head, sep, last=last, first=first)
            if special is not None:
                return special
            edge = self._edge(clause, sep, last=last, first=first)
            if edge is not None:
                return edge
        if any(isinstance(e, Token) and e.type == "NBAD" for e in clause):
            for e in clause:
                if _is(e, "NBAD"):
                    token = cast(Token, e)
                    self.faults.append(Fault(Extent(token.start, token.end), "size-list", str(len(cast(Num, token.value)))))
            k = self.vocabulary.sizes
            clause = [_mended(cast(Token, e), k) if _is(e, "NBAD") else e for e in clause]
        if all(isinstance(e, Token) for e in clause):
            count = self._count(tokens, at, sure=sep in ("DASH", "EQ") or (sep == "DOT" and last and not first))
            if count is not None and not first and all(p.noun == "ch" for p in count.parts):
                count = None
            if count is not None and not first:
                if count.sure or last or any(p.noun in ("sp", "row") for p in count.parts):
                    if len(count.parts) > 1 or any(p.noun in ("st", "sp", "row") for p in count.parts):
                        count = replace(count, sure=True)
                    return [count]
        parts = _number_first(clause)
        if len(parts) > 1:
            return [s for part in parts for s in self._clause(part, sep, last=False, first=first)]
        steps = read_clause(clause)  # type: ignore[arg-type]
        if steps is not None:
            return list(steps)
        if any(not isinstance(e, Token) for e in clause):
            return self._piecewise(clause, sep, last=last, first=first)
        return self._recover(cast("list[Token]", clause), at)

    def _recover(self, clause: list[Token], at: Extent) -> list[Step]:
        """Read what can be read around the words that cannot: the longest head the grammar follows, then the rest."""
        for cut in range(len(clause) - 1, 0, -1):
            head = read_clause(clause[:cut])
            if head is None or any(isinstance(s, Make) and s.place is None and s.order == "S" for s in head):
                continue
            rest = clause[cut:]
            tail = read_clause(rest)
            if tail is not None:
                return [*head, *tail]
            return [*head, Unread(_at(rest))]
        return [Unread(at)]

    def _piecewise(self, clause: list[Element], sep: str, *, last: bool, first: bool) -> list[Step]:
        """A clause with brackets in its middle: the words before, each bracket, the words after."""
        out: list[Step] = []
        run: list[Element] = []
        index = 0
        while index < len(clause):
            e = clause[index]
            if isinstance(e, Token):
                run.append(e)
                index += 1
                continue
            if run:
                while run and _is(run[-1], "WORK"):
                    run.pop()
                if run:
                    out += self._clause(run, sep, last=False, first=first and not out)
                run = []
            if isinstance(e, Group):
                # the tail of a bracket belongs to it
                tail: list[Element] = [e]
                index += 1
                best, used = read_clause(tail), 1  # type: ignore[arg-type]
                rest = clause[index:]
                for k in range(1, len(rest) + 1):
                    if not isinstance(rest[k - 1], Token):
                        break
                    found = read_clause([e, *rest[:k]])  # type: ignore[arg-type]
                    if found is not None:
                        best, used = found, k + 1
                out += best or [e]
                index += used - 1
                continue
            out.append(e)
            index += 1
        if run:
            out += self._clause(run, sep, last=last, first=first and not out)
        return out

    def _edge(self, clause: list[Element], sep: str, *, last: bool, first: bool) -> list[Step] | None:
        """Cut a colour, a side or a loop phrase off the front of a clause, a turn or a count off its end."""
        head, tail = clause[0], clause[-1]
        if len(clause) > 1:
            if _is(head, "CHANGE") and _is(clause[1], "WITH", "IN") and all(isinstance(e, Token) for e in clause):
                return self._rejoin(clause, sep, last=last, first=first)
            if _is(head, "COLOUR", "CHANGE", "RS", "WS", "CROSS", "OTHERSIDE", "LOOPS", "MOVEMARK", "NOTURN", "NOJOIN", "THROUGHOUT"):
                return [*self._clause(clause[:1], sep, last=False, first=first), *self._clause(clause[1:], sep, last=last, first=first)]
            if _is(head, "WORK", "REP") and _is(head, "WORK"):
                return self._clause(clause[1:], sep, last=last, first=first)
            if _is(tail, "PUSHED", "FORROWS"):
                return [*self._clause(clause[:-1], sep, last=last, first=first), *self._clause(clause[-1:], sep, last=True, first=False)]
            if _is(tail, "NOTURN", "NOJOIN", "OFF", "CHANGE", "MOVEMARK", "COLOUR", "LOOPS", "EVENLY") and not (_is(tail, "EVENLY")):
                if _is(tail, "LOOPS") and any(_is(e, "STITCH") for e in clause):
                    return self._clause(clause[:-1], sep, last=last, first=first)
                return [*self._clause(clause[:-1], sep, last=last, first=first), *self._clause(clause[-1:], sep, last=True, first=False)]
            for k in range(1, len(clause)):
                if _is(clause[k], "TURN") and not _is(head, "TURN"):
                    rest = clause[k:]
                    return [*self._clause(clause[:k], sep, last=last, first=first), *self._clause(rest, sep, last=True, first=False)]
                if _is(clause[k], "TOTAL", "EQ") and k + 1 < len(clause):
                    count = self._count([t for t in clause[k:] if isinstance(t, Token)], _at(clause[k:]), sure=True)
                    if count is not None:
                        return [*self._clause(clause[:k], sep, last=last, first=first), count]
                if _is(clause[k], "WORK") and k + 1 < len(clause) and _is(head, "IN", "AROUND", "OVER"):
                    return [*self._clause(clause[:k], sep, last=False, first=first), *self._clause(clause[k + 1 :], sep, last=last, first=False)]
        return None

    def _rejoin(self, clause: list[Element], sep: str, *, last: bool, first: bool) -> list[Step]:
        """New yarn joined: with a slip stitch in a space, the round begins there; with a stitch, that is its first."""
        colour = Mark(_at(clause), "colour", "join")
        if len(clause) > 2 and _is(clause[1], "WITH") and _is(clause[2], "STITCH"):
            return [Mark(_at(clause[:2]), "colour", "join"), *self._clause(clause[2:], sep, last=last, first=first)]
        if any(_is(e, "CHSP", "SPN", "CORNER") for e in clause):
            at = next((i for i, e in enumerate(clause) if _is(e, "IN") and i > 0), None)
            if at is not None and at + 1 < len(clause):
                place = read_place([e for e in clause[at + 1 :] if isinstance(e, Token)])
                if place.how in ("next", "corner", "first", "last"):
                    return [colour, Make(_at(clause), Stitch("sl st"), None, replace(place, how="corner" if place.how == "corner" else "next", n=None))]
        return [colour]

    def _special(self, clause: list[Element], head: Token, sep: str, *, last: bool, first: bool) -> list[Step] | None:
        at = _at(clause)
        kind = head.type
        if kind in _MARKS and len(clause) == 1:
            value: object = head.value
            if kind in ("RS", "WS"):
                value = kind
            return [Mark(at, _MARKS[kind], value)]
        if kind == "TURN":
            rest = clause[1:]
            if not rest:
                return [Mark(at, "turn")]
            if _is(rest[0], "WORK"):
                rest = rest[1:]
            if rest and _is(rest[0], "LEAVING"):
                return [Mark(_at([head]), "turn"), *self._clause(rest, sep, last=last, first=False)]
            count = self._count([t for t in rest if isinstance(t, Token)], _at(rest), sure=True) if rest and all(isinstance(t, Token) for t in rest) else None
            if count is not None:
                return [Mark(_at([head]), "turn"), count]
            return [Mark(_at([head]), "turn"), *(self._clause(rest, sep, last=last, first=False) if rest else [])]
        if kind == "JOIN":
            count_at = next((k for k, e in enumerate(clause) if _is(e, "TOTAL")), None)
            if count_at:
                return [*self._clause(clause[:count_at], sep, last=last, first=False), *self._clause(clause[count_at:], sep, last=True, first=False)]
            if all(isinstance(e, Token) and e.type != "WORD" for e in clause) or all(
                (_is(e, "WORD") and str(cast(Token, e).value) in ("yarn", "thread", "colour", "color")) or not _is(e, "WORD") for e in clause
            ):
                ring = any(_is(e, "RING") for e in clause)
                return [Mark(at, "join", "ring" if ring else None)]
            return [Mark(at, "join", None)] if last else [Unread(at)]
        if kind == "WITH" and len(clause) > 1 and _is(clause[1], "WORD", "COLOURLETTER"):
            k = 2
            while k < len(clause) and _is(clause[k], "WORD", "OF") and not _is(clause[k], "STITCH"):
                k += 1
            rest = clause[k:]
            return [Mark(_at(clause[:k]), "colour"), *(self._clause(rest, sep, last=last, first=False) if rest else [])]
        if kind in ("NOTCOUNT", "COUNTS"):
            return cast("list[Step]", self._counts([e for e in clause if isinstance(e, Token)], at))
        if (kind == "GROUPNAME" and _is(clause[-1], "MADE")) or (kind == "STITCH" and len(clause) == 2 and _is(clause[1], "MADE")):
            value = head.value
            return [Mark(at, "made", value.kind if isinstance(value, Stitch) else group_name(str(value)))]
        if kind == "SL" and any(_is(e, "TO", "JOIN") for e in clause):
            return [Mark(at, "join", None)]
        if kind == "WORK" and len(clause) > 3 and _is(clause[1], "LAST"):
            return [Mark(at, "last-in")]
        if kind == "LAST" and len(clause) > 2 and _is(clause[1], "STITCH", "N"):
            return [Mark(at, "last-in")]
        if kind == "WORD" and str(head.value) in ("starting", "start", "begin", "beginning", "beg") and len(clause) > 2 and _is(clause[1], "IN"):
            return self._clause(clause[1:], sep, last=False, first=first)
        if kind == "OFF":
            return [Mark(at, "off")]
        if kind == "LEAVING":
            words = [e for e in clause[1:] if isinstance(e, Token)]
            n = next((cast(Num, t.value) for t in words if t.type == "N"), None)
            if any(t.type in ("SKIPPED", "REMAINING", "LAST", "ST", "STITCH", "N") for t in words):
                if words and words[0].type == "WORD" and words[0].value == "out":
                    place = read_place([t for t in words[1:] if t.type != "SKIPPED"])
                    return [Skip(at, place)]
                return [Unworked(at, n)]
            return None
        if kind == "SKIPPED" and all(_is(e, "SKIPPED", "ST", "N") for e in clause):
            return [Unworked(at, None)]
        if kind == "TOTAL":
            count = self._count([t for t in clause if isinstance(t, Token)], at, sure=True)
            return [count] if count is not None else [Mark(at, "remark")]
        if kind == "EVEN":
            stitch = next((cast(Stitch, t.value) for t in clause if _is(t, "STITCH") and isinstance(t, Token)), None)
            return [Even(at, stitch)]
        if kind == "MR":
            rest = clause[1:]
            if not rest:
                return [Prefix(at, Place("ring", at))]
            if len(rest) == 1 and _is(rest[0], "N"):
                base = Stitch("sc")
                return [Make(at, base, cast(Num, cast(Token, rest[0]).value), Place("ring", _at([head])), "SN")]
            return [Prefix(_at([head]), Place("ring", _at([head]))), *self._clause(rest, sep, last=last, first=False)]
        if kind == "IN" and len(clause) >= 2 and _is(clause[1], "MR", "RING"):
            rest = clause[2:]
            ring = Prefix(_at(clause[:2]), Place("ring", _at(clause[:2])))
            return [ring, *(self._clause(rest, sep, last=last, first=False) if rest else [])]
        if kind == "ENDWITH" or kind == "ENDING" or kind == "LASTREP":
            rest = clause[1:]
            mark = Mark(_at([head]), "ending")
            return [mark, *(self._clause(rest, sep, last=last, first=False) if rest else [])]
        if kind == "REP" and len(clause) > 1 and isinstance(clause[1], Token) and not _is(clause[1], "RECALL"):
            return [Unread(at, "repeat")]
        if kind == "FROMHOOK":
            return [Unread(at)]
        return None

    # -- after the clauses ----------------------------------------------------------------------------------------

    def _attach(self, steps: list[Step]) -> list[Step]:
        """Join a group with the repeat words after a comma, and name the group a remark names."""
        out: list[Step] = []
        for step in self._gather(steps):
            if isinstance(step, Mark) and step.what == "made" and step.value and out:
                previous = out[-1]
                if isinstance(previous, Group):
                    out[-1] = replace(previous, name=str(step.value))
                elif isinstance(previous, Make) and previous.count and (previous.count[0] or 0) > 1:
                    out[-1] = replace(previous, stitch=replace(previous.stitch, group=True), word=f"group:{step.value}")
                continue
            out.append(step)
        return out


    def _gather(self, steps: list[Step]) -> list[Step]:
        """A place named first takes the plain steps after it: "in next sp work 2 dc, ch 2 and 2 dc"."""
        out: list[Step] = []
        i = 0
        while i < len(steps):
            step = steps[i]
            if isinstance(step, Prefix) and step.place.how not in ("ring", "hook"):
                k = i + 1
                while k < len(steps) and ((isinstance(steps[k], Make) and _plain(cast(Make, steps[k]))) or (isinstance(steps[k], Chain) and cast(Chain, steps[k]).place is None)):
                    k += 1
                nxt = steps[i + 1] if i + 1 < len(steps) else None
                if isinstance(nxt, Group) and nxt.place is None and nxt.scope is None:
                    out.append(replace(nxt, place=step.place, at=step.at.to(nxt.at)))
                    i += 2
                    continue
                items = steps[i + 1 : k]
                # chains that end the list lead on to the next place
                while items and isinstance(items[-1], Chain) and any(isinstance(s, Make) for s in items):
                    items.pop()
                    k -= 1
                if any(isinstance(s, Make) for s in items):
                    out.append(Group(step.at.to(items[-1].at), tuple(items), "", None, step.place))
                    i = k
                    continue
            out.append(step)
            i += 1
        return out


def _plain(step: Make) -> bool:
    return step.place is None and step.times is None and not step.evenly


def _formal(items: Sequence[Step]) -> bool:
    """Whether a bracket holds a step with a place or a number, so that it cannot be an aside."""
    return any(
        (isinstance(s, Make) and (s.place is not None or s.count is not None)) or isinstance(s, Chain | Skip | Star)
        for s in items
    )


def _number_first(clause: list[Element]) -> list[list[Element]]:
    """"4 sc dec 4 sc": where the number comes before the stitch, every number begins a step."""
    if not (len(clause) > 3 and _is(clause[0], "N") and _is(clause[1], "STITCH", "INC", "DEC")):
        return [clause]
    parts: list[list[Element]] = [[]]
    for i, e in enumerate(clause):
        nxt = clause[i + 1] if i + 1 < len(clause) else None
        if i and _is(e, "N") and _is(clause[i - 1], "STITCH", "INC", "DEC") and _is(nxt, "STITCH", "INC", "DEC"):
            parts.append([])
        parts[-1].append(e)
    return parts


def _mended(token: Token, k: int) -> Token:
    values = list(cast(Num, token.value))[:k]
    while len(values) < k:
        values.append(None)
    return Token("N", token.start, token.end, tuple(values))


def _part_noun(token: Token) -> tuple[str, int | None]:
    if token.type == "STITCH" and isinstance(token.value, Stitch):
        return token.value.kind, None
    if token.type == "CHSP":
        return "sp", token.value if isinstance(token.value, int) else None
    if token.type == "GROUPNAME":
        return group_name(str(token.value)), None
    return _COUNT_NOUNS.get(token.type, ""), None


def _drop_recalls(elements: list[Element]) -> list[Element]:
    """"[…], repeat within [ ] around": the recall words after a bracket say only that it is repeated."""
    out: list[Element] = []
    i = 0
    while i < len(elements):
        e = elements[i]
        if isinstance(e, Group):
            k = i + 1
            if k < len(elements) and _is(elements[k], "COMMA", "DOT", "SEMI"):
                k += 1
            if k < len(elements) and _is(elements[k], "REP"):
                k += 1
                if k < len(elements) and _is(elements[k], "RECALL"):
                    out.append(e)
                    i = k + 1
                    continue
        out.append(e)
        i += 1
    return out


_PLAIN_WORDS = {"WORD", "_", "COMMA", "DOT", "SEMI", "COLON", "DASH", "AND", "IN", "OF", "FROM", "TO", "WITH", "THEN", "AROUND", "OVER", "SAME", "NEXT", "EACH", "FIRST", "LAST", "TOP", "ODD", "COLOURLETTER", "ROWWORD", "MADE", "OFF", "SLASH", "TIMES", "MORE", "EQ", "REMAINING", "BEHIND", "FRONT", "BACK", "LEAVING", "ST", "RING", "TCHN", "HOOK", "GROUPNAME", "CORNER", "CENTRE", "BASE", "PLUS", "ORD", "LB", "RB", "TURN", "JOIN"}  # fmt: skip
_HIDING = frozenset(["shape", "shaping", "shaped", "work", "working", "established", "set", "before", "pattern", "patt", "charted", "chart", "diagram", "decreasing", "increasing", "reverse", "reversing", "match", "correspond", "needed", "evenly", "armhole", "neck"])


def _prose(steps: list[Step], tokens: Sequence[Token]) -> list[Step]:
    """Prose after the last stitch of a row changes nothing that is counted: it is a remark, not a gap.

    Words that could hide an instruction ("shaping", "as established", a number or a stitch) stay unread.
    """
    last = -1
    off = False
    for index, step in enumerate(steps):
        if isinstance(step, Make | Group | Star | Skip | Chain | Even | Fault):
            last = index
    if last < 0:
        return steps
    out: list[Step] = []
    for index, step in enumerate(steps):
        if isinstance(step, Mark) and step.what == "off":
            off = True
        if isinstance(step, Unread) and index > last:
            inside = [t for t in tokens if step.at.start <= t.start < step.at.end]
            plain = all(t.type in _PLAIN_WORDS for t in inside) and not any(str(t.value) in _HIDING for t in inside if t.type in ("WORD", "WORK"))
            if off or plain:
                out.append(Mark(step.at, "remark"))
                continue
        out.append(step)
    return out


def _star_times(tokens: list[Token]) -> list[Token]:
    """After a closing bracket and before a number, ``*`` means times."""
    out: list[Token] = []
    pluses = any(t.type == "RECALL" and "+" in str(t.value) for t in tokens)
    for i, token in enumerate(tokens):
        if token.type == "SKIP" and out and out[-1].type == "N" and i + 1 < len(tokens) and tokens[i + 1].type in ("ST", "STITCH"):
            token = token._replace(type="SKIPPED")  # "each of 3 sk sts"
        if token.type == "STAR" and token.value == "+" and not pluses:
            token = token._replace(type="PLUS")
        elif token.type == "PLUS" and pluses:
            token = Token("STAR", token.start, token.end, "+")
        if token.type == "N" and len(out) >= 2 and out[-1].type == "STAR" and out[-2].type == "RB" and out[-1].value == "*":
            following = tokens[i + 1].type if i + 1 < len(tokens) else ""
            if following not in ("STITCH", "INC", "DEC", "CH", "SL"):
                star = out.pop()
                out.append(Token("XN", star.start, token.end, token.value))
                continue
        out.append(token)
    return out


@lru_cache(maxsize=8192)
def read_statement(folded: str, source: str, vocabulary: Vocabulary, *, continued: bool = False) -> Tree:
    """One row statement read. Never raises; the same words give the same tree, so trees are shared.

    ``continued`` is for what follows a reference ("Rep Row 2. 49 sts."): there a number of things is a count.
    """
    tokens = _star_times([t for t in lexer_for(vocabulary).tokens(folded, source) if t.type != "_"])
    reader = _Reader(vocabulary)
    elements = _drop_recalls(reader.brackets(tokens))
    steps = reader.steps(elements, top=True, continued=continued)
    steps = _prose(steps, tokens)
    return Tree(tuple(steps), tuple(reader.faults))
