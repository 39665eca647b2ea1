"""Brackets and marks: every pair of brackets folded into one node, and every marked repeat into another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import cast

from .counts import CountReader
from .elements import Element, extent_of, is_a
from .lexer import Num, Token
from .lexicon import Stitch
from .places import group_name, read_place
from .tree import Chain, Count, Counts, Extent, Fault, Group, Make, Mark, Scope, Skip, Star, Step, Times, Unread

_PAIRS = {"(": ")", "[": "]", "{": "}", "<": ">"}
_DEEPEST = 24
"""Brackets nested deeper than this are reported, not followed."""


class RepeatReader(CountReader):
    """Folds brackets and marked repeats. What stands between them is read by ``steps``."""

    def steps(self, elements: list[Element], *, top: bool = False, continued: bool = False) -> list[Step]:
        """The steps of a run of elements at one bracket level."""
        raise NotImplementedError

    # -- brackets -----------------------------------------------------------------------------------------------

    def brackets(self, tokens: Sequence[Token], depth: int = 0) -> list[Element]:
        """Tokens with every bracket pair folded into a node."""
        out: list[Element] = []
        match = self._match(tokens)
        i = 0
        while i < len(tokens):
            token = tokens[i]
            close = match.get(i)
            if close is not None:
                inner = list(tokens[i + 1 : close])
                whole = Extent(token.start, tokens[close].end)
                after = tokens[close + 1 : close + 4]
                before = out[-1] if out else None
                out += self._bracket(token, inner, whole, before, after, depth)
                i = close + 1
                continue
            if token.type in ("LB", "RB") and token.value not in ("<", ">"):  # those are arrows
                fault = Fault(Extent(token.start, token.end), "open", str(token.value))
                self.faults.append(fault)
                out.append(fault)
            elif token.type not in ("LB", "RB", "BAR"):
                out.append(token)
            i += 1
        return out

    def _match(self, tokens: Sequence[Token]) -> dict[int, int]:
        pairs: dict[int, int] = {}
        stack: list[int] = []
        bars: dict[object, int] = {}
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
                opener = bars.pop(token.value, None)
                if opener is None:
                    bars[token.value] = i
                else:
                    pairs[opener] = i
        return pairs

    def _bracket(self, opener: Token, inner: list[Token], whole: Extent, before: Element | None, after: Sequence[Token], depth: int) -> list[Element]:
        if not inner:
            return []
        if depth >= _DEEPEST:
            return [Unread(whole)]
        following = after[0] if after else None
        repeated = is_a(following, "XN", "ONCE", "IN", "REP", "SCOPE", "AROUND", "TOLAST", "OVER", "ANOTHER", "ANDIN") or (
            is_a(following, "N") and len(after) > 1 and after[1].type in ("TIMES", "MORE")
        ) or (is_a(following, "EACH"))  # fmt: skip
        if is_a(following, "COMMA") and len(after) > 1 and after[1].type == "REP":
            repeated = True
        types = {t.type for t in inner}
        if repeated and len(inner) == 1 and inner[0].type in ("N", "NBAD") and is_a(following, "IN", "EACH"):
            repeated = False  # "[56] Through this …": a count, and prose after it
        if len(inner) == 1 and inner[0].type == "STITCH" and isinstance(before, Token) and before.type == "STITCH" and before.value == inner[0].value:
            return []  # "front post double crochet (FPdc) around": the word before, said short
        if opener.type == "LB" and not repeated:
            if (len(inner) == 1 and inner[0].type == "XN") or (len(inner) == 2 and inner[0].type == "N" and inner[1].type == "TIMES"):
                return list(inner)
            if types & {"COUNTS", "NOTCOUNT"}:
                return self._counts(inner, whole)
            count = self._count(inner, whole, sure=True)
            if count is not None:
                return [count]
            if _count_apart(inner):
                return [Mark(whole, "remark", "count apart")]  # "(19 dc + ch 3)": the chain is named apart from the count
            if types & {"SOFAR"}:
                return [Mark(whole, "so-far", self._count([t for t in inner if t.type != "SOFAR"], whole, sure=True))]
            if "MADE" in types:
                part = self._leading_count(inner, whole)
                if part is not None:
                    return [part]
                name = next((name for t in inner if (name := _group_named(t))), "")
                return [Mark(whole, "made", name)]
            names = [name for t in inner if (name := _group_named(t))]
            if names and not types & {"IN", "CH", "CHN", "SKIP", "COMMA"} and all(t.type != "STITCH" or _group_named(t) for t in inner):
                return [Mark(whole, "made", names[-1])]
            if not types & {"STITCH", "INC", "DEC", "CH", "CHN", "SL", "SKIP", "MR"}:
                side = next((t for t in inner if t.type in ("RS", "WS")), None)
                if side is not None:
                    return [Mark(whole, "side", side.type)]
                return [Mark(whole, "remark")]
        items = self.steps(self.brackets(inner, depth + 1))
        if not repeated and any(isinstance(s, Unread) for s in items) and not _formal(items):
            return [Mark(whole, "remark")]
        name = next((s.value for s in items if isinstance(s, Mark) and s.what == "made"), "")
        return [Group(whole, tuple(items), str(opener.value or "|"), name=str(name or ""))]

    # -- repeats -------------------------------------------------------------------------------------------------

    def stars(self, elements: list[Element]) -> list[Element]:
        """Elements with every marked repeat folded into a Star."""
        if not any(is_a(e, "STAR", "RECALL") for e in elements):
            return elements
        last_recall = {str(cast(tuple[str, object], cast(Token, e).value)[0]): k for k, e in enumerate(elements) if is_a(e, "RECALL")}
        out: list[Element] = []
        i = 0
        while i < len(elements):
            e = elements[i]
            if is_a(e, "STAR"):
                found = self._star(elements, i, {mark for mark, k in last_recall.items() if k > i})
                if found is not None:
                    star, i = found
                    out.append(star)
                    continue
                fault = Fault(extent_of([e]), "open", str(cast(Token, e).value))
                self.faults.append(fault)
                out.append(fault)
            elif is_a(e, "RECALL"):
                value = cast(tuple[str, "str | None"], cast(Token, e).value)
                earlier = next((x for x in reversed(out) if isinstance(x, Star) and x.mark == value[0]), None)
                if value[0] == "[]":
                    out.append(e)
                elif earlier is not None:
                    # the marked part recalled once more, later in the row
                    while out and is_a(out[-1], "REP"):
                        out.pop()
                    times, scope, end = self._extent_of_recall(elements, i + 1)
                    out.append(replace(earlier, times=times, scope=scope, at=extent_of(elements[i:end]), closed=True, recall=None, ending_kind=""))
                    i = end
                    continue
                else:
                    start = len(out)
                    while start and is_a(out[start - 1], "REP"):
                        start -= 1
                    _times, _scope, end = self._extent_of_recall(elements, i + 1)
                    at = extent_of([*out[start:], e]) if start < len(out) else extent_of([e])
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

    def bare_repeat(self, elements: list[Element]) -> list[Element]:
        """"2 sc in 1st st, sc in next. Repeat around.": a row without marks is repeated from its start, its turning chain left out."""
        if any(is_a(e, "STAR", "RECALL") or isinstance(e, Star) for e in elements):
            return elements
        at = next((i for i, e in enumerate(elements) if is_a(e, "REP") and i and is_a(elements[i - 1], "COMMA", "DOT", "SEMI", "COLON", "THEN")), None)
        if at is None or (at > 1 and isinstance(elements[at - 2], Group)):
            return elements
        times, scope, end = self._extent_of_recall(elements, at)
        if end < len(elements) and not (is_a(elements[end], "COMMA", "DOT", "SEMI") or _closes_nothing(elements[end])):
            return elements
        start = 0
        while start < at and (is_a(elements[start], "CH", "CHN", "TURN", "COMMA", "DOT", "SEMI", "COLOUR") or (is_a(elements[start], "N") and start and is_a(elements[start - 1], "CH"))):
            start += 1
        if start < at - 1 and is_a(elements[start], "N") and is_a(elements[start + 1], "CH") and is_a(elements[start + 2], "COMMA"):
            start += 3
        items = self.steps(elements[start:at])
        if not any(isinstance(s, Make | Group) for s in items):
            return elements
        return [*elements[:start], Star(extent_of(elements[start:end]), tuple(items), "", times, scope, recall=extent_of(elements[at:end])), *elements[end:]]

    def _star(self, elements: list[Element], i: int, recalls: set[str]) -> tuple[Star, int] | None:
        """The repeat a mark opens and where it ends, or None; ``recalls`` are the marks named somewhere behind it."""
        opener = cast(Token, elements[i])
        mark = str(opener.value)
        cut_at: int | None = None
        j = i + 1
        while j < len(elements):
            e = elements[j]
            if is_a(e, "STAR"):
                value = str(cast(Token, e).value)
                if value == mark:
                    k = j + 1
                    # "*… * x 6", "*…*, rep from * to *", "*…* around": the second mark closes
                    look = k
                    while look < len(elements) and is_a(elements[look], "COMMA", "DOT", "SEMI", "COLON"):
                        look += 1
                    nxt = elements[look] if look < len(elements) else None
                    direct = elements[k] if k < len(elements) else None
                    closes = is_a(nxt, "REP", "RECALL") or is_a(direct, "XN", "ONCE", "SCOPE", "AROUND", "TOLAST") or (
                        is_a(nxt, "N") and look + 1 < len(elements) and is_a(elements[look + 1], "TIMES", "MORE")
                    )  # fmt: skip
                    if closes and j > i + 1:
                        start = look if is_a(nxt, "REP", "RECALL", "N") else k
                        return self._close(elements, i, j, start, mark, cut_at, closed=True)
                    if j > i + 1 and mark not in recalls and all(_closes_nothing(x) for x in elements[k:]):
                        return self._close(elements, i, j, k, mark, cut_at, closed=True)
                    if mark in recalls or value not in recalls:
                        # Two openers before one recall: the nearest one is meant.
                        return None
                elif len(value) > len(mark) and set(value) == set(mark):
                    if value not in recalls or any(is_a(x, "LASTREP") for x in elements[j:]):
                        cut_at = j
                j += 1
                continue
            if is_a(e, "RECALL"):
                value = str(cast(tuple[str, object], cast(Token, e).value)[0])
                if value == "[]":
                    j += 1
                    continue
                if value == mark or value not in {str(cast(Token, x).value) for x in elements[:j] if is_a(x, "STAR")}:
                    end = j
                    while end > i + 1 and is_a(elements[end - 1], "REP", "COMMA", "SEMI", "DOT"):
                        end -= 1
                    if value != mark:
                        self.faults.append(Fault(extent_of([e]), "target", value))
                    elif cast(tuple[str, "str | None"], cast(Token, e).value)[1] == mark and not any(
                        is_a(x, "STAR") and str(cast(Token, x).value) == mark for x in elements[i + 1 : j]
                    ):
                        self.faults.append(Fault(extent_of([opener]), "open", mark))  # "from * to *", and only one stands there
                    return self._close(elements, i, end, j, mark, cut_at, closed=False)
            if is_a(e, "REP") and j + 1 < len(elements):
                nxt = elements[j + 1]
                before = elements[j - 1]
                bare = is_a(nxt, "SCOPE", "AROUND", "TOLAST") and not isinstance(before, Group)
                starred = is_a(nxt, "STAR") and str(cast(Token, nxt).value) == mark
                if (bare and mark not in recalls) or starred:
                    end = j
                    while end > i + 1 and is_a(elements[end - 1], "COMMA", "SEMI", "DOT"):
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
        extent = extent_of(elements[i : max(after, end)])
        where = extent_of(elements[recall:after]) if after > recall else None
        kind = ""
        look = after
        while look < len(elements) and is_a(elements[look], "COMMA", "SEMI", "DOT"):
            look += 1
        ending = elements[look] if look < len(elements) else None
        if is_a(ending, "ENDWITH", "LASTREP", "ENDING"):
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
                while after < len(elements) and (is_a(elements[after], "STAR")):
                    after += 1
            if kind in ("omit", "after"):
                while after < len(elements) and not is_a(elements[after], "COMMA", "SEMI", "DOT"):
                    after += 1
                if kind == "omit" and any(is_a(e, "AND", "PLUS", "FROM") for e in elements[look:after]):
                    items = [*items, Unread(extent_of(elements[look:after]))]  # more than the last step is left out
        return Star(extent, tuple(items), mark, times, scope, kind, cut, recall=where, closed=closed), after

    def _extent_of_recall(self, elements: list[Element], k: int) -> tuple[Times | None, Scope | None, int]:
        """How often a repeat goes: read from its recall on. Returns where the recall ends, too."""
        times: Times | None = None
        scope: Scope | None = None
        while k < len(elements):
            e = elements[k]
            if is_a(e, "REP", "RECALL", "STAR") or (is_a(e, "COMMA") and k + 1 < len(elements) and times is None and scope is None and (
                is_a(elements[k + 1], "SCOPE", "AROUND", "TOLAST", "REP")
                or (is_a(elements[k + 1], "N") and k + 2 < len(elements) and is_a(elements[k + 2], "TIMES", "MORE"))
            )):
                k += 1
            elif is_a(e, "XN"):
                times = Times(cast(Num, cast(Token, e).value), extent_of([e]))
                k += 1
            elif is_a(e, "ONCE"):
                n, more = cast(tuple[int, bool], cast(Token, e).value)
                times = Times((n,), extent_of([e]), more)
                k += 1
            elif is_a(e, "ANOTHER"):
                k += 1
                if k < len(elements) and is_a(elements[k], "N"):
                    times = Times(cast(Num, cast(Token, elements[k]).value), extent_of([elements[k]]), True)
                    k += 1
                    while k < len(elements) and is_a(elements[k], "TIMES", "MORE"):
                        k += 1
            elif is_a(e, "N", "NBAD") and k + 1 < len(elements) and is_a(elements[k + 1], "TIMES", "MORE"):
                start = k
                more = False
                k += 1
                while k < len(elements) and is_a(elements[k], "TIMES", "MORE"):
                    more |= is_a(elements[k], "MORE")
                    k += 1
                if k < len(elements) and is_a(elements[k], "TOTAL"):
                    k += 1
                    # "3 times in all" leaves no doubt; it is marked as a count in all with the extent of the words
                    times = Times(cast(Num, cast(Token, e).value), extent_of(elements[start:k]))
                    return times, Scope(times.at, noun="in all"), k
                times = Times(cast(Num, cast(Token, e).value), extent_of(elements[start:k]), more)
            elif is_a(e, "SCOPE", "AROUND"):
                scope = Scope(extent_of([e]), around=is_a(e, "AROUND"))
                k += 1
            elif is_a(e, "TOLAST", "UNTIL"):
                start = k
                k += 1
                words: list[Token] = []
                if is_a(e, "UNTIL") and k < len(elements) and is_a(elements[k], "TOTAL"):
                    k += 1
                while k < len(elements) and is_a(elements[k], "N", "ST", "STITCH", "CHSP", "SPN", "GROUPNAME", "CH", "CORNER", "OF", "EACH", "SL", "TCHN"):
                    words.append(cast(Token, elements[k]))
                    k += 1
                until = is_a(e, "UNTIL")
                remain = k < len(elements) and is_a(elements[k], "REMAIN")
                if remain:
                    k += 1
                place = read_place(words) if words else None
                if until and not remain:
                    while k < len(elements) and (is_a(elements[k], "MADE") or (is_a(elements[k], "WORD") and cast(Token, elements[k]).value in ("are", "have", "is", "been"))):
                        k += 1
                    made = (place.n, place.noun) if place is not None else (None, "")
                    return None, Scope(extent_of(elements[start:k]), made[0], made[1], until=True), k
                scope = Scope(extent_of(elements[start:k]), (place.n if place and place.n else (1,)), place.noun if place else "st", place.size if place else None)
            else:
                break
        return times, scope, k


def _group_named(token: Token) -> str:
    """The group a token names, by its own word or by the manuscript's; "" for none."""
    if token.type == "GROUPNAME":
        return group_name(str(token.value))
    return token.value.kind if isinstance(token.value, Stitch) and token.value.group else ""


def _closes_nothing(element: Element) -> bool:
    """Whether an element at the end of a row works no stitch: a stop, a count, a turn or a join."""
    return isinstance(element, Count | Mark | Counts) or is_a(element, "COMMA", "DOT", "SEMI", "TURN", "JOIN", "NOTURN", "NOJOIN", "OFF")


def _count_apart(tokens: Sequence[Token]) -> bool:
    """"19 dc + ch 3", "12 dc + turning ch", "ch 3 + 12 dc": a count with the turning chain named apart from it."""
    if len(tokens) < 3 or not {t.type for t in tokens} <= {"N", "STITCH", "ST", "PLUS", "AND", "COMMA", "CH", "CHN", "TCHN"}:
        return False
    last = tokens[-1].type
    if tokens[0].type == "N":
        return last in ("CHN", "TCHN") or (last == "N" and tokens[-2].type == "CH")
    return tokens[0].type in ("CH", "CHN", "TCHN") and last in ("STITCH", "ST") and any(t.type in ("PLUS", "AND") for t in tokens)


def _formal(items: Sequence[Step]) -> bool:
    """Whether a bracket holds a step with a place or a number, so that it cannot be an aside."""
    return any(
        (isinstance(s, Make) and s.stitch.uses and (s.place is not None or s.count is not None)) or isinstance(s, Chain | Skip | Star)
        for s in items
    )


def drop_recalls(elements: list[Element]) -> list[Element]:
    """"[…], repeat within [ ] around": the recall words after a bracket say only that it is repeated."""
    out: list[Element] = []
    i = 0
    while i < len(elements):
        e = elements[i]
        if isinstance(e, Group):
            k = i + 1
            if k < len(elements) and is_a(elements[k], "COMMA", "DOT", "SEMI"):
                k += 1
            if k < len(elements) and is_a(elements[k], "REP"):
                k += 1
                if k < len(elements) and is_a(elements[k], "RECALL"):
                    out.append(e)
                    i = k + 1
                    continue
        out.append(e)
        i += 1
    return out


def lost_dashes(tokens: list[Token]) -> list[Token]:
    """"across47 sc": a number glued to the word before it is the count whose dash was lost."""
    out: list[Token] = []
    for token in tokens:
        before = out[-1] if out else None
        if token.type in ("N", "NBAD") and before is not None and before.end == token.start and before.type in ("SCOPE", "AROUND", "TURN", "JOIN", "ST", "SPN"):
            out.append(Token("DASH", token.start, token.start))
        out.append(token)
    return out


def star_times(tokens: list[Token]) -> list[Token]:
    """After a closing bracket and before a number, ``*`` means times."""
    out: list[Token] = []
    pluses = any(t.type == "RECALL" and "+" in str(t.value) for t in tokens)
    open_star = False
    for i, token in enumerate(tokens):
        if token.type == "SKIP" and out and out[-1].type == "N" and i + 1 < len(tokens) and tokens[i + 1].type in ("ST", "STITCH"):
            token = token._replace(type="SKIPPED")  # "each of 3 sk sts"
        if token.type == "STAR" and token.value == "+" and not pluses:
            token = token._replace(type="PLUS")
        elif token.type == "PLUS" and pluses:
            token = Token("STAR", token.start, token.end, "+")
        if token.type == "N" and len(out) >= 2 and out[-1].type == "STAR" and out[-1].value == "*" and out[-2].type in ("RB", "INC", "DEC", "STITCH"):
            following = tokens[i + 1].type if i + 1 < len(tokens) else ""
            closes = not open_star and out[-2].type != "RB"  # the star before this number is the second of a pair
            if following not in ("STITCH", "INC", "DEC", "CH", "CHN", "SL") and not (closes and following in ("TIMES", "MORE")):
                if closes:
                    out.append(token._replace(type="XN"))  # "*sc, inc*6": the mark that closes, and how often
                    continue
                star = out.pop()  # "(2 sc, inc)*6", "inc*6"
                open_star = not open_star
                out.append(token._replace(start=star.start) if following in ("TIMES", "MORE") else Token("XN", star.start, token.end, token.value))
                continue
        if token.type == "STAR" and token.value == "*":
            open_star = not open_star
        out.append(token)
    return out
