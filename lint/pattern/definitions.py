"""Special stitches: what a manuscript's own definitions make of a word.

A composite stitch (shell, V-st, a private pair) is written out and expands to its steps; a primitive one (popcorn,
cluster, a decrease) is known by what it uses and makes, from its recipe: loops kept on the hook over k stitches turn
k into 1. A manuscript's own key always wins over the trade's table.
"""

from __future__ import annotations

from collections.abc import Container, Iterable
from dataclasses import dataclass, replace

from .. import regex
from ..syntax.layout import KeyEntry
from ..syntax.lexer import Vocabulary, number_of
from ..syntax.lexicon import Stitch, read_stitch, us_kind
from ..syntax.places import group_name
from ..syntax.statement import read_statement
from ..syntax.tree import Chain, Counts, Extent, Group, Make, Mark, Place, Skip, Star, Step, Times, Tree
from ..text import Span

_NOWHERE = Span(0, 0)


@dataclass(frozen=True)
class Definition:
    """One defined stitch. ``steps`` where it expands; ``place_given`` where it goes wherever the row says."""

    name: str
    stitch: Stitch
    steps: tuple[Step, ...] = ()
    in_one: bool = False
    span: Span = _NOWHERE
    beginning: bool = False
    group: str = ""  # the group it makes, where that is another's ("beg shell" makes a shell)


_PRIMITIVE = regex.compile(r"\byo\b|yarn (?:over|round)|yrh|insert (?:the )?hook|pull up|draw(?:n)? (?:up|through)|loops? on (?:the )?hook|drop (?:the )?(?:loop|lp)|remove (?:the )?hook|hold(?:ing)? back|last loop")
_OVER = regex.compile(r"over (?:the )?(?:next )?(\d+)|(?:in|around|of|into)(?: each)?(?: of)?(?: the)? next (\d+) (?:sts?|stitches|dc|sc|tr|ch)|(\d+) times over|from (\d+) sts? becomes|(\d+) sts become 1|next (\d+) sts? together|(\d+)(?: sc)? (?:crocheted |worked )?together")
_EACH_NEXT = regex.compile(r"in (?:the )?next st")
_TIMES = regex.compile(r"[\])]\s*(?:(\d+|two|three|four|five) times|x\s*(\d+)|(twice))")
_KNOWN = frozenset(["ch", "st", "sts", "sp", "sps", "rep", "rnd", "rnds", "rs", "ws", "sk", "sl", "sc", "dc", "hdc", "tr", "htr", "dtr", "beg", "cont", "foll", "inc", "dec", "tog", "yo", "blo", "flo", "fp", "bp", "lp", "lps", "loop", "front", "back", "slip", "long", "base", "edge", "single", "double", "treble", "cross", "post", "next", "last", "same", "first", "chain", "foundation", "tch", "mc", "cc", "ss", "approx", "mr", "fo", "rem"])


_NAMED_GROUPS = frozenset(["shell", "fan", "v-st", "group", "petal", "scallop", "cluster"])


def _legs(times: regex.Match[str]) -> int:
    word = next(g for g in times.groups() if g)
    return 2 if word == "twice" else number_of(word) or int(word)


def _numbers(text: str) -> int | None:
    found = _OVER.search(text)
    if found:
        return int(next(g for g in found.groups() if g))
    return None


def read_definitions(key: tuple[KeyEntry, ...], terms: str | None, sizes: int) -> tuple[Definition, ...]:
    """Every stitch the manuscript defines, the latest definition of a word first."""
    found: dict[str, Definition] = {}
    plain = Vocabulary(terms, sizes)
    for entry in key:
        meaning = entry.meaning.lower().strip()
        if regex.search(r"^(?:in\s+|only\s+behind\s+)?(?:the\s+)?(?:back|front)\s+(?:half-)?loops?|loops?\s+only", meaning):
            continue
        if not entry.special and not regex.search(r"\d|together|same st|front|back|\bin one\b|over", meaning):
            continue
        names = [n.strip().lower() for n in entry.words]
        definition = _define(names, meaning, terms, plain, found, entry.span)
        if definition is None:
            continue
        for name in names:
            clean = regex.sub(r"\s+", " ", name)
            if len(clean) < 2 and clean != "v":
                continue
            if clean in ("note", "row", "round", "rnd", "ch", "chain", "sc", "dc", "hdc", "st", "sts", "sp", "sk", "skip") or regex.fullmatch(r"make \d+|\d+", clean):
                continue
            found[clean] = replace(definition, name=clean)
            if clean.endswith(" stitch"):
                found.setdefault(clean.removesuffix("itch"), replace(definition, name=clean.removesuffix("itch")))
            short = regex.sub(r"\s*(?:stitch|st)$", "", clean)
            if short != clean and len(short) > 2 and short not in _KNOWN:
                found.setdefault(short, replace(definition, name=short))
    return tuple(found.values())


def _define(names: list[str], meaning: str, terms: str | None, plain: Vocabulary, found: dict[str, Definition], span: Span) -> Definition | None:
    main = names[-1] if len(names) > 1 and len(names[-1]) <= len(names[0]) else names[0]
    beginning = any(n.startswith(("beg ", "beginning ", "first ")) for n in names)
    known = next((s for n in names if (s := read_stitch(n, terms)) is not None), None)
    # post stitches under a private spelling
    post = regex.search(r"(?:around|round).*?(front|back)\s*post|(front|back)[ -]post\s+(?:of\s+)?|raised.*?(front|back)", meaning)
    base = regex.search(r"(?<![a-z])(half double|half treble|double treble|single|double|treble|triple|sc|hdc|htr|dc|dtr|tr)\b", meaning)
    if "popcorn" in " ".join(names) or (known is not None and known.kind == "popcorn"):
        return Definition(main, Stitch("popcorn"), span=span, beginning=beginning)
    if known is not None and known.kind in ("bobble", "puff"):
        return Definition(main, known, span=span, beginning=beginning)
    if (known is not None and known.kind == "picot") or any("picot" in n for n in names):
        return Definition(main, Stitch("picot", 0, 0), span=span)
    if any(n in ("inc", "increase", "incr") for n in names) and (m := regex.search(r"(\d|two|three)\s*(?:x\s*)?(sc|hdc|htr|dc|tr|single|half double|double)", meaning)):
        n = {"two": 2, "three": 3}.get(m[1]) or int(m[1])
        return Definition(main, Stitch(_kind(m[2], terms), 1, n), span=span)
    if any(n in ("dec", "decrease", "invdec", "inv dec") for n in names):
        kind = _kind(base[1], terms) if base else "sc"
        k = 3 if regex.search(r"\b3\b|three", meaning) else 2
        return Definition(main, Stitch(f"{kind}{k}tog", k, 1), span=span)
    if known is not None and "tog" in known.kind:
        return Definition(main, known, span=span)
    if post and base and not regex.search(r"sk(?:ip)?\b|skipped", meaning) and "2tog" not in meaning and not regex.search(r"next \d", meaning) and (known is None or not known.post):
        side = next(g for g in post.groups() if g)
        kind = _kind(base[1], terms)
        return Definition(main, Stitch(("FP" if side == "front" else "BP") + kind, 1, 1, "F" if side == "front" else "B"), span=span)
    if known is not None and known.post:
        if "tog" in main:
            return Definition(main, known, span=span)
        return None
    if known is not None and known.kind in ("sc", "hdc", "dc", "tr", "dtr", "trtr", "sl st"):
        return None
    primitive = bool(_PRIMITIVE.search(meaning))
    cluster = (known is not None and known.kind == "cluster") or any(regex.search(r"\bcl\b|cluster", n) for n in names)
    if cluster or (primitive and not regex.search(r"ch \d", meaning)):
        tog = regex.search(r"(?:sc|hdc|dc|tr|htr|dtr)(\d)tog", meaning)
        if tog and not primitive:
            one = regex.search(r"in (?:the )?(?:same|next|one|st indicated|indicated)", meaning) is not None
            return Definition(main, Stitch("cluster", 1 if one else int(tog[1]), 1), span=span, beginning=beginning)
        k = _numbers(meaning)
        times = _TIMES.search(meaning)
        if k is None and times and _EACH_NEXT.search(meaning):
            k = _legs(times)
        if k is None and times and regex.search(r"insert hook(?!.{0,30}same)", meaning) and not regex.search(r"same|in (?:the )?st\b|indicated", meaning):
            # legs with no place named: wherever the row says, over as many stitches as legs
            return Definition(main, Stitch("cluster" if cluster else main, _legs(times), 1), span=span, beginning=beginning)
        return Definition(main, Stitch("cluster" if cluster else main, k or 1, 1), span=span, beginning=beginning)
    # written out in steps
    own = tuple((d.name, d.stitch) for d in found.values() if d.name in meaning)
    vocabulary = replace(plain, stitches=own)
    text = regex.sub(r"\b(?:in|into) (?:the )?(?:same |indicated )?(?:st|stitch|sp|space|place|st or sp)(?: or (?:sp|space|st))?(?: indicated| given| named)?\s*\.?$", " in same st", meaning.strip().rstrip("."))
    first_sentence = regex.split(r"\.\s", text)[0]
    tree = read_statement(first_sentence, first_sentence, vocabulary)
    steps = tuple(s for s in tree.steps if not isinstance(s, Mark | Counts) or (isinstance(s, Mark) and s.what == "cross"))
    if not steps or tree.unread or tree.faults:
        return None
    if not any(isinstance(s, Make | Group) for s in steps):
        return None
    if beginning:
        steps = _first_leg(steps)
    in_one = _in_one(steps)
    if in_one is not None:
        total = sum((s.count[0] or 1) * s.stitch.makes if s.count else s.stitch.makes for s in in_one if isinstance(s, Make))
        made = group_name(regex.sub(r"^(?:beg|beginning|first)\s+", "", main)) if beginning else ""
        return Definition(main, Stitch(group_name(main), 1, max(1, total), group=True), in_one, True, span, beginning, made)
    uses = 0
    makes = 0
    crossed = any(isinstance(s, Skip) for s in steps) and any(isinstance(s, Make) and s.place is not None and s.place.how == "skipped" for s in steps)
    for s in steps:
        if isinstance(s, Skip):
            uses += (s.place.n[0] or 1) if s.place.n else 1
        elif isinstance(s, Make):
            place = s.place
            n = ((place.n[0] or 1) if place.n else 1) if place is not None and place.how in ("next", "first", "last", "skipped") else 0 if place else 1
            count = (s.count[0] or 1) if s.count else 1
            makes += count * s.stitch.makes * (max(n, 1) if (place is not None and place.how == "skipped") or place is None or place.n is None or s.count is None else n)
            if place is None:
                uses += count
            elif place.how not in ("skipped", "same"):
                uses += n
        elif isinstance(s, Group):
            return Definition(main, Stitch(group_name(main), 1, 1, group=True), steps, False, span, beginning)
    return Definition(main, Stitch(group_name(main), max(uses, 1), max(makes, 1), crossed=crossed), steps, False, span, beginning)


def _first_leg(steps: tuple[Step, ...]) -> tuple[Step, ...]:
    """In a beginning version the chain stands for the first stitch."""
    first = steps[0] if steps else None
    nxt = next((s for s in steps[1:] if isinstance(s, Make)), None)
    if isinstance(first, Chain) and nxt is not None and first.count is not None and (first.count[0] or 0) > 1:
        return (Make(first.at, nxt.stitch, (1,)), *steps[1:])
    return steps


def _kind(word: str, terms: str | None) -> str:
    full = {"single": "sc", "half double": "hdc", "double": "dc", "treble": "tr", "triple": "tr", "half treble": "htr", "double treble": "dtr"}
    return us_kind(full.get(word, word), terms)


def _in_one(steps: tuple[Step, ...]) -> tuple[Step, ...] | None:
    """The items of a definition that all go into one place: "(2 dc, ch 2, 2 dc) in same sp", "5 dc in next st"."""
    body = [s for s in steps if not isinstance(s, Mark)]
    if len(body) == 1 and isinstance(body[0], Group) and body[0].times is None and (body[0].place is None or body[0].place.how in ("same", "next")):
        return body[0].items
    if len(body) == 1 and isinstance(body[0], Make) and body[0].place is not None and body[0].place.how in ("same", "next") and (body[0].place.n is None) and body[0].count is not None:
        return (replace(body[0], place=None),)
    makes = [s for s in body if isinstance(s, Make)]
    if len(makes) > 1 and all(isinstance(s, Make | Chain) for s in body) and isinstance(body[-1], Make) and body[-1].place is not None and body[-1].place.how == "same" and all(m.place is None for m in makes[:-1]):
        return (*body[:-1], replace(body[-1], place=None))
    return None


def made_in_rows(trees: Iterable[Tree], known: Container[str]) -> tuple[Definition, ...]:
    """Groups told in a row and named there: "5 dc in next ch (shell made)". The first telling of a name is its definition."""
    found: dict[str, Definition] = {}

    def look(steps: Iterable[Step]) -> None:
        for step in steps:
            if isinstance(step, Group) and step.name and step.place is not None and step.mark != "def":
                keep(step.name, step.items)
            elif isinstance(step, Make) and step.word.startswith("group:"):
                keep(step.word[6:], (replace(step, place=None, word="", stitch=replace(step.stitch, group=False)),))
            if isinstance(step, Group | Star):
                look(step.items)

    def keep(name: str, items: tuple[Step, ...]) -> None:
        total = sum((s.count[0] or 1) * s.stitch.makes if s.count else s.stitch.makes for s in items if isinstance(s, Make))
        if name in _NAMED_GROUPS and name not in known and total:
            found.setdefault(name, Definition(name, Stitch(name, 1, total, group=True), items, True))

    for tree in trees:
        look(tree.steps)
    return tuple(found.values())


def expand(tree: Tree, definitions: dict[str, Definition]) -> Tree:
    """A tree with every composite stitch written out as its steps."""
    if not definitions:
        return tree
    return replace(tree, steps=_expand(tree.steps, definitions))


def _expand(steps: tuple[Step, ...], definitions: dict[str, Definition]) -> tuple[Step, ...]:
    out: list[Step] = []
    for step in steps:
        if isinstance(step, Make) and (definition := definitions.get(step.stitch.kind)) is not None and definition.steps:
            name = definition.group or definition.stitch.kind
            n = step.count
            place = step.place
            if definition.in_one:
                group = Group(step.at, definition.steps, "def", None, place, None, name)
                if place is None and step.times is None and (n is None or n == (1,)):
                    out.append(replace(group, place=Place("next", step.at)))
                elif place is None:
                    count = n or (step.times.n if step.times else (1,))
                    out.append(replace(group, place=Place("next", step.at, count, "", each=True)))
                elif n is not None and n != (1,) and place.n is None and place.how == "next":
                    out.append(replace(group, place=replace(place, n=n)))
                else:
                    out.append(group)
            else:
                at = step.at
                inner = tuple(_placed(s, at) for s in definition.steps)
                over = place.n[0] if place is not None and place.n and place.over else None
                times = step.times
                if times is None and n is not None and n != (1,):
                    times = Times(n, at)
                if over is not None and over != definition.stitch.uses and definition.stitch.uses and over % definition.stitch.uses == 0 and times is None:
                    times = Times((over // definition.stitch.uses,), at)
                out.append(Group(at, inner, "def", times, None, None, ""))
        elif isinstance(step, Group | Star):
            out.append(replace(step, items=_expand(step.items, definitions)))
        else:
            out.append(step)
    return tuple(out)


def _placed(step: Step, at: Extent) -> Step:
    """A step of a definition stands, in a row, where the row names the stitch."""
    return replace(step, at=at)
