"""The clause grammar at work: tokens of one clause → steps, through lark's LALR tables and a lexer of our own."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache
from pkgutil import get_data
from typing import Any, cast

from .elements import extent_of
from .lexer import Num, Token
from .lexicon import Stitch, around_post
from .places import group_name, read_place
from .tables import Parser
from .tree import Chain, Extent, Group, Make, Place, Prefix, Scope, Skip, Star, Step, Times, Unread

# Lexer types that the grammar knows under another name.
_AS = {"AROUNDPOST": "AROUND", "SL": "STITCH", "MR": "RING", "PLUS": "ANDN", "HOOK": "PLACEWORD"}
Node = Group | Star | Step


def _times(children: Sequence[Token]) -> Times:
    at = extent_of(children)
    types = {t.type for t in children}
    more = "MORE" in types or "ANOTHER" in types
    for token in children:
        if token.type == "ONCE":
            n, extra = cast(tuple[int, bool], token.value)
            return Times((n,), at, more or extra)
        if token.type in ("XN", "N"):
            return Times(cast(Num, token.value), at, more)
    return Times((1,), at, more)


class _Build:
    """Tree nodes straight from the parser: a method for every rule of the grammar."""

    def start(self, bits: list[Any]) -> list[Any]:
        return bits

    def mark(self, c: list[Any]) -> Any:
        return c[0]

    def stitch(self, c: list[Any]) -> Token:
        return c[0]

    def times(self, c: list[Any]) -> Times:
        return _times(c)

    def place_words(self, c: list[Any]) -> list[Token]:
        return c

    place_start = place_words
    chain_words = place_words

    def _tail(name: str) -> Any:  # type: ignore[misc]
        def build(self: object, c: list[Any]) -> tuple[str, Any]:
            return name, c

        return build

    for _name in ("place", "over", "between", "also", "around", "scope", "tolast", "times", "tog", "loops", "below", "evenly", "rest", "ends", "until"):
        locals()[f"t_{_name}"] = _tail(_name)
    del _name, _tail

    def make_ns(self, c: list[Any]) -> Any:
        return _make(c[1], c[0], "NS", c[2:])

    def make_sn(self, c: list[Any]) -> Any:
        return _make(c[0], c[1], "SN", c[2:])

    def make_s(self, c: list[Any]) -> Any:
        return _make(c[0], None, "S", c[1:])

    def chain(self, c: list[Any]) -> Any:
        words: list[Token] = c[0]
        n = next((t.value for t in words if t.type in ("N", "CHN")), None)
        place, times, _scope, _rest, end = _tails(c[1:], extent_of(words))
        return Chain(extent_of(words).to(end), cast("Num | None", n), place, times)

    def skip(self, c: list[Any]) -> Any:
        tokens: list[Token] = []
        behind = False
        below = 0
        for item in c:
            if isinstance(item, list):
                if not behind:  # "skip 4 sc behind the posts": what they lie behind is not counted
                    tokens += cast("list[Token]", item)
            else:
                token = cast(Token, item)
                behind |= token.type == "BEHIND"
                if token.type == "BELOW":
                    below = cast(int, token.value)
        if not tokens:
            last = cast(Token, c[-1][-1] if isinstance(c[-1], list) else c[0])
            at = Extent(c[0].start, last.end)
            return Skip(at, Place("next", at, noun="st"), True)
        place = read_place(tokens)
        if below:
            place = replace(place, below=below)
        first = c[0]
        return Skip(Extent(first.start, max(t.end for t in tokens)), place, behind)

    def group(self, c: list[Any]) -> Any:
        node, *tails = c[1:] if isinstance(c[0], Token) else c  # "repeat (…)" is "(…)"
        place, times, scope, rest, end = _tails(tails, node.at)
        if "until" in rest or (place is not None and place.until is not None):
            return Unread(node.at.to(end))
        if "evenly" in rest:
            return _evenly(node, times, node.at.to(end))
        if isinstance(node, Group):
            return replace(node, at=node.at.to(end), place=place or node.place, times=times or node.times, scope=scope or node.scope)
        return node

    def prefix(self, c: list[Any]) -> Any:
        head = c[0]
        words: list[Token] = c[1]
        place = read_place(words, around=head.type.startswith("AROUND"))
        return Prefix(Extent(head.start, words[-1].end), place)


def _tails(tails: Sequence[tuple[str, Any]], at: Extent) -> tuple[Place | None, Times | None, Scope | None, set[str], Extent]:
    place: Place | None = None
    times: Times | None = None
    scope: Scope | None = None
    rest: set[str] = set()
    end = at
    for name, c in tails:
        tokens: list[Token] = []
        for x in c:
            if isinstance(x, Token):
                tokens.append(x)
            elif isinstance(x, list):
                tokens += cast("list[Token]", x)
        if tokens:
            end = end.to(extent_of(tokens))
        words: list[Token] = next((cast("list[Token]", x) for x in c if isinstance(x, list)), list[Token]())
        if name in ("place", "over", "around", "between"):
            if name == "between":
                words = [tokens[0], *words]
            found = read_place(words, around=name == "around")
            rest |= {f"post {t.value}" for t in tokens if t.type == "AROUNDPOST"}
            if name == "over":
                found = replace(found, over=True)
            if place is None:
                place = found
            elif place.how == "each" and place.n is None and found.how == "last":
                place = replace(place, last=found.n or (1,), last_noun=found.noun)
            else:
                place = replace(place, also=(*place.also, found))
        elif name == "also":
            found = read_place(words)
            place = replace(place, also=(*place.also, found)) if place else found
        elif name == "rest":
            # "sc in 2nd ch from hook and across"
            found = Place("each", extent_of(tokens), noun=place.noun if place else "", each=True, scope=True)
            place = replace(place, also=(*place.also, found)) if place else found
        elif name == "ends":
            place = Place("ends", extent_of(tokens))
        elif name == "scope":
            if place is not None and not place.scope:
                if place.also:
                    place = replace(place, also=(*place.also[:-1], replace(place.also[-1], scope=True)))
                else:
                    place = replace(place, scope=True)
            scope = Scope(extent_of(tokens), around=any(t.type == "AROUND" for t in tokens))
        elif name == "tolast":
            found = read_place(words)
            n = found.n or (1,)
            scope = Scope(extent_of(tokens), n, found.noun, found.size)
            if place is not None:
                target = place.also[-1] if place.also else place
                target = replace(target, last=n, last_noun=found.noun, scope=True)
                place = replace(place, also=(*place.also[:-1], target)) if place.also else target
        elif name == "until":
            goal = read_place(words)
            if goal.how not in ("next", "corner") or goal.noun in ("", "st", "ch", "tch"):
                rest.add("until")  # to where, cannot be told
            elif place is None:
                place = Place("each", extent_of(tokens), each=True, until=goal)
            else:
                place = replace(place, until=goal, scope=False)
        elif name == "times":
            t = next((x for x in c if isinstance(x, Times)), None)
            if t is not None:
                end = end.to(t.at)
                times = t
        elif name == "below":
            if place is not None:
                place = replace(place, below=tokens[0].value if isinstance(tokens[0].value, int) else 1)
            else:
                place = Place("next", extent_of(tokens), below=1)
        else:
            rest.add(name)
    if place is not None and place.how == "next" and place.scope and place.n is None and not place.also and place.noun:
        place = replace(place, how="each", each=True)  # "shell over shell across"
    return place, times, scope, rest, end


def _shaping(token: Token) -> Stitch:
    """What a bare "inc" or "dec" is, or a group that is named and not told here ("shell in next sp")."""
    if token.type == "GROUPNAME":
        return Stitch(group_name(str(token.value)), 0, 0, group=True)
    return Stitch(token.type.lower(), *((1, 2) if token.type == "INC" else (2, 1)))


def _make(token: Token, n: Token | None, order: str, tails: list[Any]) -> Make | Unread:
    stitch = token.value if isinstance(token.value, Stitch) else _shaping(token)
    at = Extent(token.start, token.end)
    if n is not None:
        at = at.to(Extent(n.start, n.end))
    place, times, scope, rest, end = _tails(tails, at)
    if scope is not None and times is not None and place is None and scope.last is None:
        scope = None  # "inc x 6 around": the number says it all
    if scope is not None and place is None:
        place = Place("each", scope.at, noun="", each=True, scope=True, last=scope.last, last_noun=scope.noun)
    if "until" in rest or (place is not None and place.until is not None and place.how != "each"):
        return Unread(at.to(end))
    count = cast("Num | None", n.value if n is not None else None)
    if not stitch.post and rest & {"post F", "post B"}:
        stitch = around_post(stitch, "F" if "post F" in rest else "B")
    return Make(at.to(end), stitch, count, place, order, times, token.type.lower() if token.type in ("INC", "DEC") else "",
                "tog" in rest, "evenly" in rest, n is None and token.type in ("INC", "DEC") and isinstance(token.value, Stitch))  # fmt: skip


def _evenly(node: Node, times: Times | None, at: Extent) -> Make | Unread:
    """"(Inc) 6 times evenly around": shaping spread over the row; of anything else it is not said where it goes."""
    only = node.items[0] if isinstance(node, Group) and len(node.items) == 1 else None
    if isinstance(only, Make) and only.word in ("inc", "dec") and only.place is None and times is not None:
        return replace(only, at=at, count=times.n, evenly=True, apart=False)
    return Unread(at)


@lru_cache(maxsize=1)
def _parser() -> Parser:
    grammar = (get_data(__package__ or "", "clause.lark") or b"").decode()
    return Parser(f"{grammar}\n%declare {' '.join(sorted(_KNOWN))}\n", _Build())


_TERMINALS = ["N", "STITCH", "INC", "DEC", "CH", "CHN", "SKIP", "NODE", "MARK", "REP", "IN", "OVER", "BETWEEN", "AROUND", "ANDIN", "ENDS", "SCOPE", "TOLAST", "XN", "ONCE", "TIMES", "MORE", "ANOTHER", "TOG", "LOOPS", "BELOW", "EVENLY", "COLOURLETTER", "BEHIND", "EACH", "NEXT", "FIRST", "LAST", "SAME", "SKIPPED", "REMAINING", "ORD", "ST", "SPN", "CHSP", "RING", "TCHN", "TOP", "BASE", "POST", "CENTRE", "CORNER", "OF", "FROMHOOK", "GROUPNAME", "ANDN", "PLACEWORD", "UNTIL", "TO", "REMAIN"]


def read_clause(elements: Sequence[Token | Node]) -> list[Step] | None:
    """The steps of one clause, or None where the grammar cannot follow the words."""
    feed: list[tuple[str, Token | Node]] = []
    for element in elements:
        if isinstance(element, Token):
            feed.append((_AS.get(element.type, element.type), element))
        else:
            feed.append(("NODE" if isinstance(element, Group) else "MARK", element))
    return cast("list[Step] | None", _parser().parse(feed))


_KNOWN = frozenset(_TERMINALS)
