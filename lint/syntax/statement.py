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
from .elements import Element, extent_of, is_a
from .lexer import Num, Token, Vocabulary, lexer_for
from .lexicon import Stitch
from .places import group_name, read_place
from .repeats import RepeatReader, drop_recalls, lost_dashes, star_times
from .spelling import read_tokens
from .tree import (
    Chain,
    Count,
    Counts,
    Even,
    Extent,
    Fault,
    Group,
    Make,
    Mark,
    Place,
    Prefix,
    Skip,
    Star,
    Step,
    Tree,
    Unread,
    Unworked,
)

_SEPARATORS = {"COMMA", "SEMI", "DOT", "COLON", "THEN", "DASH", "AND", "EQ", "SLASH"}
_MARKS = {
    "NOTURN": "no-turn", "NOJOIN": "no-join", "OFF": "off", "COLOUR": "colour", "CHANGE": "colour", "RS": "side", "WS": "side",
    "MOVEMARK": "marker", "CROSS": "cross", "OTHERSIDE": "other-side", "THROUGHOUT": "remark", "EVENLY": "evenly", "LOOPS": "loops",
    "MADE": "remark", "PUSHED": "pushed", "FORROWS": "for-rows",
}  # fmt: skip


class _Reader(RepeatReader):
    """Reads clause by clause between the brackets and the marks."""

    def steps(self, elements: list[Element], *, top: bool = False, continued: bool = False) -> list[Step]:
        """The steps of a run of elements at one bracket level."""
        elements = self.stars(self._ands(elements))
        if top:
            elements = self.bare_repeat(elements)
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
                count = self._count(cast("list[Token]", clause), extent_of(clause), sure=True)
                if count is not None:
                    out.append(count)
                    continue
            out += self._clause(clause, sep, last=last, first=not out or not top)
        return self._attach(out)

    def _hoist(self, clause: list[Element]) -> list[Element]:
        """"dc in 4th ch from hook (…) and in each ch": the remark goes behind the phrase it stands in."""
        asides = [e for e in clause if isinstance(e, Counts | Mark)]
        if not asides or not any(is_a(e, "ANDIN") for e in clause):
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
            if self._count(cast("list[Token]", clause), extent_of(clause), sure=True) is None:
                break
            start -= 1
        if end - start < 2:
            return clauses
        run = clauses[start:end]
        first_sep = run[0][1]
        before = clauses[start - 1][0]
        parts = [self._count(cast("list[Token]", c), extent_of(c), sure=True) for c, _ in run]
        counts = [p for p in parts if p is not None]
        if run[1][1] == "EQ" and all(p.noun for p in counts[0].parts) and not any(p.noun for c in counts[1:] for p in c.parts):
            counts = counts[:1]  # "11 sc = 9 + 2": the count and its working
        flat = tuple(p for c in counts for p in c.parts)
        if first_sep in ("DOT", "DASH", "EQ") or is_a(before[0], "TURN", "JOIN") or any(p.noun in ("sp", "st") for p in flat):
            whole = Count(extent_of([e for c, _ in run for e in c]), flat, sure=True)
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
        between = False
        for index, e in enumerate(elements):
            if is_a(e, "EACH"):
                each = True
            elif is_a(e, "BETWEEN"):
                between = True
            elif isinstance(e, Token) and e.type in _SEPARATORS and e.type != "AND":
                each = between = False
            if is_a(e, "AND", "PLUS"):
                nxt = elements[index + 1] if index + 1 < len(elements) else None
                prev = out[-1] if out else None
                if nxt is None:
                    continue
                token = cast(Token, e)
                if between and is_a(e, "AND") and is_a(nxt, "NEXT", "FIRST", "LAST", "ORD", "TCHN", "ST", "SAME"):
                    out.append(token._replace(type="ANDN"))  # "between first and 2nd dc"
                    between = False
                    continue
                if is_a(nxt, "IN", "SCOPE") or (is_a(nxt, "AROUND") and is_a(prev, "FROMHOOK")):
                    out.append(token._replace(type="ANDIN"))
                    continue
                if is_a(nxt, "TOP", "LAST", "SAME") or (is_a(nxt, "EACH") and is_a(e, "AND")):
                    out.append(token._replace(type="ANDIN"))
                    continue
                noun = is_a(nxt, "STITCH", "CHSP", "CH", "SPN", "ST", "GROUPNAME")
                far = elements[index + 2] if index + 2 < len(elements) else None
                if each and noun and is_a(prev, "STITCH", "CH", "ST", "CHSP", "SPN", "GROUPNAME") and not is_a(far, "IN", "N"):
                    out.append(token._replace(type="ANDN"))
                    continue
                if is_a(e, "AND") and is_a(nxt, "CHSP", "SPN") and is_a(prev, "STITCH", "ST") and not is_a(far, "IN"):
                    out.append(token._replace(type="ANDN"))
                    continue
                out.append(token._replace(type="AND"))
                continue
            out.append(e)
        # "in, on": an IN right after ANDIN says the same again
        cleaned: list[Element] = []
        for e in out:
            if is_a(e, "IN") and cleaned and is_a(cleaned[-1], "ANDIN"):
                continue
            cleaned.append(e)
        return cleaned

    def _clause(self, clause: list[Element], sep: str, *, last: bool, first: bool) -> list[Step]:
        at = extent_of(clause)
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
        if isinstance(tail, Group) and not tail.times and not tail.place and not is_a(head, "REP") and len(clause) > 1 and isinstance(head, Token):
            # "in next sp work (…)", "with A (…)": the bracket is a step after the words before it
            before = clause[:-1]
            while before and is_a(before[-1], "WORK", "COLON"):
                before = before[:-1]
            if before and all(isinstance(e, Token) for e in before):
                if is_a(head, "IN", "AROUND", "OVER", "COLOUR", "CHANGE", "LOOPS", "WORK", "TURN", "EACH"):
                    return [*self._clause(before, sep, last=False, first=first), tail]
            if not before:
                return [tail]
        lists = [cast(Token, e) for e in clause if is_a(e, "NBAD")]
        if lists and not (len(tokens) == len(clause) and self._count(tokens, at, sure=False)):
            # which value is for which size cannot be told
            self.faults += [Fault(Extent(t.start, t.end), "size-list", str(len(cast(Num, t.value)))) for t in lists]
            if not is_a(head, "LEAVING"):
                return [Unread(at)]
            clause = [e for e in clause if not is_a(e, "NBAD")]
        if first or not (last and sep in ("DOT", "DASH", "EQ")):  # there it is a count
            clause = _divided(clause)
            head = clause[0]
        # step words without arithmetic at the edges
        if isinstance(head, Token):
            special = self._special(clause, head, sep, last=last, first=first)
            if special is not None:
                return special
            edge = self._edge(clause, sep, last=last, first=first)
            if edge is not None:
                return edge
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
            return [*head, Unread(extent_of(rest))]
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
                while run and is_a(run[-1], "WORK"):
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
            if is_a(head, "CHANGE") and is_a(clause[1], "WITH", "IN") and all(isinstance(e, Token) for e in clause):
                return self._rejoin(clause, sep, last=last, first=first)
            if is_a(head, "COLOUR", "CHANGE", "RS", "WS", "CROSS", "OTHERSIDE", "LOOPS", "MOVEMARK", "NOTURN", "NOJOIN", "THROUGHOUT"):
                return [*self._clause(clause[:1], sep, last=False, first=first), *self._clause(clause[1:], sep, last=last, first=first)]
            if is_a(head, "WORK"):
                return self._clause(clause[1:], sep, last=last, first=first)
            if is_a(tail, "CROSS"):
                # "FPdc around skipped st working in front": the side of the stitches before it
                return [*self._clause(clause[-1:], sep, last=False, first=first), *self._clause(clause[:-1], sep, last=last, first=first)]
            if is_a(tail, "PUSHED", "FORROWS"):
                return [*self._clause(clause[:-1], sep, last=last, first=first), *self._clause(clause[-1:], sep, last=True, first=False)]
            if is_a(tail, "NOTURN", "NOJOIN", "OFF", "CHANGE", "MOVEMARK", "COLOUR", "LOOPS"):
                if is_a(tail, "LOOPS") and any(is_a(e, "STITCH") for e in clause):
                    return self._clause(clause[:-1], sep, last=last, first=first)
                return [*self._clause(clause[:-1], sep, last=last, first=first), *self._clause(clause[-1:], sep, last=True, first=False)]
            for k in range(1, len(clause)):
                if is_a(clause[k], "TURN") and not is_a(head, "TURN"):
                    rest = clause[k:]
                    before = clause[: k - 1] if k > 1 and is_a(clause[k - 1], "TO") else clause[:k]  # "1 ch to turn"
                    return [*self._clause(before, sep, last=last, first=first), *self._clause(rest, sep, last=True, first=False)]
                if is_a(clause[k], "COUNTS", "NOTCOUNT") and is_a(head, "CH", "CHN", "N"):
                    # "Ch 3 to count as first dc"
                    before = clause[: k - 1] if k > 1 and is_a(clause[k - 1], "TO") else clause[:k]
                    return [*self._clause(before, sep, last=False, first=first), *cast("list[Step]", self._counts([e for e in clause[k:] if isinstance(e, Token)], extent_of(clause[k:])))]
                if is_a(clause[k], "TOTAL", "EQ") and k + 1 < len(clause):
                    count = self._count([t for t in clause[k:] if isinstance(t, Token)], extent_of(clause[k:]), sure=True)
                    if count is not None:
                        return [*self._clause(clause[:k], sep, last=last, first=first), count]
                if is_a(clause[k], "WORK") and k + 1 < len(clause) and is_a(head, "IN", "AROUND", "OVER"):
                    return [*self._clause(clause[:k], sep, last=False, first=first), *self._clause(clause[k + 1 :], sep, last=last, first=False)]
        return None

    def _rejoin(self, clause: list[Element], sep: str, *, last: bool, first: bool) -> list[Step]:
        """New yarn joined: with a slip stitch in a space, the round begins there; with a stitch, that is its first."""
        colour = Mark(extent_of(clause), "colour", "join")
        if len(clause) > 2 and is_a(clause[1], "WITH") and is_a(clause[2], "STITCH"):
            return [Mark(extent_of(clause[:2]), "colour", "join"), *self._clause(clause[2:], sep, last=last, first=first)]
        if any(is_a(e, "CHSP", "SPN", "CORNER") for e in clause):
            at = next((i for i, e in enumerate(clause) if is_a(e, "IN") and i > 0), None)
            if at is not None and at + 1 < len(clause):
                place = read_place([e for e in clause[at + 1 :] if isinstance(e, Token)])
                if place.how in ("next", "corner", "first", "last"):
                    return [colour, Make(extent_of(clause), Stitch("sl st"), None, replace(place, how="corner" if place.how == "corner" else "next", n=None))]
        return [colour]

    def _special(self, clause: list[Element], head: Token, sep: str, *, last: bool, first: bool) -> list[Step] | None:
        at = extent_of(clause)
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
            if is_a(rest[0], "WORK"):
                rest = rest[1:]
            if rest and is_a(rest[0], "LEAVING"):
                return [Mark(extent_of([head]), "turn"), *self._clause(rest, sep, last=last, first=False)]
            count = self._count([t for t in rest if isinstance(t, Token)], extent_of(rest), sure=True) if rest and all(isinstance(t, Token) for t in rest) else None
            if count is not None:
                return [Mark(extent_of([head]), "turn"), count]
            return [Mark(extent_of([head]), "turn"), *(self._clause(rest, sep, last=last, first=False) if rest else [])]
        if kind == "JOIN":
            count_at = next((k for k, e in enumerate(clause) if is_a(e, "TOTAL")), None)
            if count_at:
                return [*self._clause(clause[:count_at], sep, last=last, first=False), *self._clause(clause[count_at:], sep, last=True, first=False)]
            if all(isinstance(e, Token) and e.type != "WORD" for e in clause) or all(
                (is_a(e, "WORD") and str(cast(Token, e).value) in ("yarn", "thread", "colour", "color")) or not is_a(e, "WORD") for e in clause
            ):
                ring = any(is_a(e, "RING") for e in clause)
                return [Mark(at, "join", "ring" if ring else None)]
            return [Mark(at, "join", None)] if last else [Unread(at)]
        if kind == "WITH" and len(clause) > 1 and is_a(clause[1], "WORD", "COLOURLETTER"):
            k = 2
            while k < len(clause) and is_a(clause[k], "WORD", "OF") and not is_a(clause[k], "STITCH"):
                k += 1
            rest = clause[k:]
            return [Mark(extent_of(clause[:k]), "colour"), *(self._clause(rest, sep, last=last, first=False) if rest else [])]
        if kind in ("NOTCOUNT", "COUNTS"):
            return cast("list[Step]", self._counts([e for e in clause if isinstance(e, Token)], at))
        if (kind == "GROUPNAME" and is_a(clause[-1], "MADE")) or (kind == "STITCH" and len(clause) == 2 and is_a(clause[1], "MADE")):
            value = head.value
            return [Mark(at, "made", value.kind if isinstance(value, Stitch) else group_name(str(value)))]
        if kind == "SL" and any(is_a(e, "TO", "JOIN") for e in clause):
            return [self._slipped_to(clause, at) if first else Mark(at, "join", None)]
        if kind == "WORK" and len(clause) > 3 and is_a(clause[1], "LAST"):
            return [Mark(at, "last-in")]
        if kind == "LAST" and len(clause) > 2 and is_a(clause[1], "STITCH", "N"):
            return [Mark(at, "last-in")]
        if kind == "WORD" and str(head.value) in ("starting", "start", "begin", "beginning", "beg") and len(clause) > 2 and is_a(clause[1], "IN"):
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
        if kind == "SKIPPED" and all(is_a(e, "SKIPPED", "ST", "N") for e in clause):
            return [Unworked(at, None)]
        if kind == "TOTAL":
            count = self._count([t for t in clause if isinstance(t, Token)], at, sure=True)
            return [count] if count is not None else [Mark(at, "remark")]
        if kind == "EVEN":
            stitch = next((cast(Stitch, t.value) for t in clause if is_a(t, "STITCH") and isinstance(t, Token)), None)
            return [Even(at, stitch)]
        if kind == "MR":
            rest = clause[1:]
            if not rest:
                return [Prefix(at, Place("ring", at))]
            if len(rest) == 1 and is_a(rest[0], "N"):
                base = Stitch("sc")
                return [Make(at, base, cast(Num, cast(Token, rest[0]).value), Place("ring", extent_of([head])), "SN")]
            return [Prefix(extent_of([head]), Place("ring", extent_of([head]))), *self._clause(rest, sep, last=last, first=False)]
        if kind == "COLOURLETTER" and head.value == "mc" and len(clause) == 2 and is_a(clause[1], "N"):
            # "MC 8" begins a toy: a magic circle, not the main colour
            return [Make(at, Stitch("sc"), cast(Num, cast(Token, clause[1]).value), Place("ring", extent_of([head])), "SN")]
        if kind == "IN" and len(clause) >= 2 and is_a(clause[1], "MR", "RING"):
            rest = clause[2:]
            ring = Prefix(extent_of(clause[:2]), Place("ring", extent_of(clause[:2])))
            return [ring, *(self._clause(rest, sep, last=last, first=False) if rest else [])]
        if kind in ("ENDWITH", "ENDING", "LASTREP"):
            rest = clause[1:]
            mark = Mark(extent_of([head]), "ending")
            return [mark, *(self._clause(rest, sep, last=last, first=False) if rest else [])]
        if kind == "REP" and len(clause) > 1 and isinstance(clause[1], Token) and not is_a(clause[1], "RECALL"):
            return [Unread(at)]
        if kind == "FROMHOOK":
            return [Unread(at)]
        return None

    def _slipped_to(self, clause: list[Element], at: Extent) -> Step:
        """"Sl st to next ch-2 sp" before anything is worked: slip stitches that move the start; into anything else, a join."""
        to = max((i for i, e in enumerate(clause) if is_a(e, "TO")), default=len(clause))
        words = [e for e in clause[to + 1 :] if isinstance(e, Token)]
        if not words or not any(is_a(e, "CHSP", "SPN", "CORNER") for e in words):
            return Mark(at, "join", None)
        place = read_place(words)
        return Make(at, Stitch("sl st"), None, replace(place, how="corner" if place.how == "corner" else "next", n=None))

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
            if isinstance(step, Make) and step.evenly and step.word and out and isinstance(before := out[-1], Make) and _whole_round(before):
                # "sc in each st around, inc 6 evenly": the shaping is spread over the stitches just told
                out[-1] = replace(step, at=before.at.to(step.at), stitch=_shaped(before.stitch, step), place=None)
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


def _divided(clause: list[Element]) -> list[Element]:
    """"3 dc with ch 1 between", "2 treble divided by 3 chain": the stitches and the chains between them as one bracket."""
    cut = next((i for i, e in enumerate(clause) if is_a(e, "WITH", "DIVIDED")), None)
    if cut is None or cut < 2 or not (is_a(clause[cut - 2], "N") and is_a(clause[cut - 1], "STITCH")):
        return clause
    end = cut + 1
    while end < len(clause) and is_a(clause[end], "N", "CH", "CHN"):
        end += 1
    chains = [cast(Num, cast(Token, e).value) for e in clause[cut + 1 : end] if is_a(e, "N", "CHN")]
    divided = is_a(clause[cut], "DIVIDED") and len(chains) < 2
    if end == cut + 1 or not (divided or (end < len(clause) and is_a(clause[end], "BETWEEN"))):
        return clause
    while end < len(clause) and is_a(clause[end], "BETWEEN", "EACH"):
        end += 1
    n, stitch = cast(Token, clause[cut - 2]), cast(Token, clause[cut - 1])
    if len(cast(Num, n.value)) > 1:
        return clause
    at = extent_of(clause[cut - 2 : end])
    made = Make(at, cast(Stitch, stitch.value), (1,), order="NS")
    many = min(cast(Num, n.value)[0] or 1, 60)
    items = [step for _ in range(many) for step in (made, Chain(at, chains[0] if chains else (1,)))][:-1]
    return [*clause[: cut - 2], Group(at, tuple(items), "("), *clause[end:]]


def _whole_round(step: Make) -> bool:
    """Whether a step works one stitch in each to the end."""
    place = step.place
    return place is not None and place.how == "each" and place.n is None and place.last is None and not place.also and step.count in (None, (1,))


def _shaped(stitch: Stitch, step: Make) -> Stitch:
    """The increase or decrease of a stitch."""
    return Stitch(stitch.kind, 1, 2) if step.word == "inc" else Stitch(f"{stitch.kind}2tog", 2, 1)


def _number_first(clause: list[Element]) -> list[list[Element]]:
    """"4 sc dec 4 sc": where the number comes before the stitch, every number begins a step."""
    if not (len(clause) > 3 and is_a(clause[0], "N") and is_a(clause[1], "STITCH", "INC", "DEC")):
        return [clause]
    parts: list[list[Element]] = [[]]
    for i, e in enumerate(clause):
        nxt = clause[i + 1] if i + 1 < len(clause) else None
        if i and is_a(e, "N") and is_a(clause[i - 1], "STITCH", "INC", "DEC") and is_a(nxt, "STITCH", "INC", "DEC"):
            parts.append([])
        parts[-1].append(e)
    return parts


_PLAIN_WORDS = {"WORD", "_", "COMMA", "DOT", "SEMI", "COLON", "DASH", "AND", "IN", "OF", "FROM", "TO", "WITH", "THEN", "AROUND", "OVER", "SAME", "NEXT", "EACH", "FIRST", "LAST", "TOP", "ODD", "COLOURLETTER", "ROWWORD", "MADE", "OFF", "SLASH", "TIMES", "MORE", "EQ", "REMAINING", "BEHIND", "FRONT", "BACK", "LEAVING", "ST", "RING", "TCHN", "HOOK", "GROUPNAME", "CORNER", "CENTRE", "BASE", "PLUS", "ORD", "LB", "RB", "TURN", "JOIN", "BETWEEN"}  # fmt: skip
_HIDING = frozenset(["shape", "shaping", "shaped", "work", "working", "established", "set", "before", "pattern", "patt", "charted", "chart", "diagram", "decreasing", "increasing", "reverse", "reversing", "match", "correspond", "needed", "evenly", "armhole", "neck"])


def _prose(steps: list[Step], tokens: Sequence[Token]) -> list[Step]:
    """Prose after the last stitch of a row changes nothing that is counted: it is a remark, not a gap.

    Words that could hide an instruction ("shaping", "as established", a number or a stitch) stay unread.
    """
    last = max((i for i, step in enumerate(steps) if isinstance(step, Make | Group | Star | Skip | Chain | Even | Fault)), default=-1)
    off = False
    if last < 0:
        return steps
    out: list[Step] = []
    for index, step in enumerate(steps):
        if isinstance(step, Mark) and step.what == "off":
            off = True
        if isinstance(step, Unread) and index > last:
            inside = [t for t in tokens if step.at.start <= t.start < step.at.end]
            plain = inside[:1] and inside[0].type not in ("TO", "UNTIL") and all(t.type in _PLAIN_WORDS for t in inside) and not any(str(t.value) in _HIDING for t in inside if t.type in ("WORD", "WORK"))
            if off or plain:
                out.append(Mark(step.at, "remark"))
                continue
        out.append(step)
    return out


_LONGEST, _MOST_MARKS = 12_000, 300
"""Letters, and opening brackets with stars, of one statement. The longest row of printed patterns keeps to a tenth of it."""


def too_long(folded: str) -> bool:
    """Whether this cannot be a row that anyone could follow; reading it would only cost time."""
    return len(folded) > _LONGEST or sum(folded.count(mark) for mark in "([{*") > _MOST_MARKS


@lru_cache(maxsize=8192)
def read_statement(folded: str, source: str, vocabulary: Vocabulary, *, continued: bool = False) -> Tree:
    """One row statement read. Never raises; the same words give the same tree, so trees are shared.

    ``continued`` is for what follows a reference ("Rep Row 2. 49 sts."): there a number of things is a count.
    """
    if too_long(folded):
        return Tree((Unread(Extent(0, len(folded))),))
    tokens = star_times(lost_dashes([t for t in read_tokens(lexer_for(vocabulary), folded, source) if t.type != "_"]))
    reader = _Reader(vocabulary)
    elements = drop_recalls(reader.brackets(tokens))
    steps = reader.steps(elements, top=True, continued=continued)
    steps = _prose(steps, tokens)
    return Tree(tuple(steps), tuple(reader.faults))
