"""What a placement phrase names: "each of next 5 sts", "3rd dc of next shell", "top of beg ch-3"."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import cast

from .elements import extent_of
from .lexer import Num, Token
from .lexicon import Stitch
from .tree import Extent, Place

_NOUNS = {"ST": "st", "SPN": "sp", "CH": "ch", "POST": "st"}


def _number(token: Token) -> Num | None:
    number = cast(Num, token.value)
    return number if isinstance(token.value, tuple) else None


def noun_of(token: Token) -> tuple[str, int | None] | None:
    """What a token names as a place, with the chains of a space; None where it names none."""
    if token.type in _NOUNS:
        return _NOUNS[token.type], None
    if token.type == "STITCH" and isinstance(token.value, Stitch):
        return token.value.kind, None
    if token.type == "CHSP":
        return "sp", token.value if isinstance(token.value, int) else None
    if token.type == "CHN":
        number = _number(token)
        return "tch", number[0] if number else None
    if token.type == "TCHN":
        return "tch", token.value if isinstance(token.value, int) else None
    if token.type == "GROUPNAME":
        return group_name(str(token.value)), None
    return None


def group_name(word: str) -> str:
    """One name for a group whatever its number: "V-sts" and "vst" are "v-st"."""
    word = word.lower().strip()
    if word in ("vst", "vsts", "v-sts", "v-stitch", "v-stitches", "v st", "v sts"):
        return "v-st"
    if word == "meshes":
        return "mesh"
    return word[:-1] if word.endswith("s") and not word.endswith("ss") else word


def read_place(words: Sequence[Token], *, around: bool = False) -> Place:
    """The place a run of placement words names. ``around`` tells a post from a scope."""
    parts: list[list[Token]] = [[]]
    gap = any(t.type == "BETWEEN" for t in words)
    for token in words:
        if token.type == "ANDN" and not gap:
            parts.append([])
        else:
            parts[-1].append(token)
    first = _one(parts[0], around=around)
    also = tuple(_one(p, around=around) for p in parts[1:] if p)
    return replace(first, also=also) if also else first


def _one(words: Sequence[Token], *, around: bool) -> Place:
    at = extent_of(words)
    types = [t.type for t in words]
    has = set(types)
    n = next((number for t in words if t.type == "N" and (number := _number(t)) is not None), None)
    ordinal = next((t.value for t in words if t.type == "ORD" and isinstance(t.value, int)), None)
    below = next((t.value for t in words if t.type == "BELOW" and isinstance(t.value, int)), 0)
    post = around or "POST" in has
    nouns = [found for t in words if (found := noun_of(t)) is not None]
    noun, size = nouns[0] if nouns else ("", None)
    each = "EACH" in has
    if "BASE" in has:
        return Place("same", at)
    if around and types[-2:] == ["CH", "N"] and n is not None:
        n, size = None, n[0]  # "around ch 3" is the chain, not three of its chains
    if around and noun in ("ch", "tch") and n is None and "TCHN" not in has:
        return Place("each" if each else "next", at, None, "sp", size, each=each)
    if "FROMHOOK" in has:
        return Place("hook", at, n, "ch", ordinal=ordinal or (1 if "FIRST" in has else None))
    if has & {"RING", "MR"}:
        return Place("ring", at)
    # "3rd ch of ch-4", "3rd of 4ch", "top of tch", "in tch", "in ch-3" (the chain itself)
    if "OF" in types:
        cut = _of(words)
        if cut is not None:
            head, tail = words[:cut], words[cut + 1 :]
            if tail:
                of = _one(tail, around=False)
                head_types = {t.type for t in head}
                named = [found for t in head if (found := noun_of(t)) is not None]
                head_noun = named[0] if named else ("", None)
                head_ord = next((t.value for t in head if t.type == "ORD" and isinstance(t.value, int)), None)
                if of.noun == "tch" or (of.noun == "ch" and (head_ord or "TOP" in head_types)):
                    k = of.size if of.size is not None else (of.n[0] if of.n else None)
                    if "BASE" in head_types:
                        return Place("same", at)
                    return Place("top", at, noun="tch", size=k, ordinal=head_ord, post=post)
                if "TOP" in head_types or "BASE" in head_types or ("CENTRE" in head_types and head_noun[0] in ("", "st", "sp")):
                    if "CENTRE" in head_types and of.noun not in ("", "st"):
                        return Place("nth", at, noun=head_noun[0], size=head_noun[1], ordinal=0, of=of, each=of.each, scope=of.scope)
                    return replace(of, at=at, post=post or of.post)
                if head_noun[0] == "sp" and head_ord is None:
                    return Place("nth", at, noun="sp", size=head_noun[1], ordinal=0, of=of, each=of.each)
                if head_ord or "FIRST" in head_types or "LAST" in head_types or "CENTRE" in head_types:
                    k = head_ord or (1 if "FIRST" in head_types else -1 if "LAST" in head_types else 0)
                    return Place("nth", at, noun=head_noun[0], size=head_noun[1], ordinal=k, of=of, each=of.each)
                if "CORNER" in head_types:
                    return Place("corner", at, noun="sp", size=head_noun[1])
                return replace(of, at=at, noun=head_noun[0] or of.noun, size=head_noun[1], each=each or of.each, post=post)
    if "CENTRE" in has and noun not in ("", "st"):
        # "center dc of" is above; "in center sp", "in center dc"
        return Place("next", at, n, noun, size, post=post)
    if "SAME" in has:
        return Place("same", at, n, noun, size, post=post)
    if "TCHN" in has and noun == "tch" and not (has & {"CHSP", "SPN"}):
        return Place("top", at, noun="tch", size=size)
    if "TOP" in has and noun in ("tch", "ch"):
        return Place("top", at, noun="tch", size=size)
    if types[:1] == ["CHN"] and len(types) == 1:
        return Place("top", at, noun="tch", size=size)
    plural = n is None and any(t.type == "ST" and str(t.value) in ("sts", "stitches") for t in words)
    if "SKIPPED" in has:
        return Place("skipped", at, n, noun, size, ordinal=-1 if "LAST" in has else ordinal, each=each, post=post, below=below, plural=plural)
    if "CORNER" in has:
        return Place("corner", at, n, "sp", size, each=each, following=bool(has & {"NEXT", "ORD"}))
    if "BETWEEN" in has:
        return _gap(words, at, n, each)
    if "LAST" in has:
        return Place("last", at, n, noun, size, each=each, post=post, below=below)
    if "FIRST" in has:
        return Place("first", at, n, noun, size, each=each, post=post, below=below)
    if "REMAINING" in has and n is None:
        return Place("each", at, None, noun, size, each=True, scope=True, post=post)
    if each and "NEXT" not in has and n is None:
        return Place("each", at, None, noun, size, each=True, post=post, below=below)
    if ordinal is not None and noun in ("ch", "tch"):
        return Place("hook", at, n, "ch", ordinal=ordinal)
    if ordinal is not None:
        return Place("next", at, n, noun, size, ordinal=ordinal, post=post, below=below)
    return Place("next", at, n, noun, size, each=each, post=post, below=below, plural=plural, following="NEXT" in has)


def _gap(words: Sequence[Token], at: Extent, n: Num | None, each: bool) -> Place:
    """"in the sp between the next 2 dc", "before next dc", "between first and 2nd sts": what stands on both sides of a gap."""
    cut = next(i for i, t in enumerate(words) if t.type == "BETWEEN")
    beside = words[cut + 1 :]
    noun = next((found[0] for t in beside if t.type != "SPN" and (found := noun_of(t)) is not None), "")
    how = str(words[cut].value)
    if how not in ("before", "after"):
        how = "between"
    if any(t.type == "FIRST" for t in beside):
        return Place(how, at, (1,), noun, ordinal=1)
    if any(t.type == "LAST" for t in beside):
        return Place(how, at, n, noun, ordinal=-1)
    return Place(how, at, n, noun, each=each)


def _of(words: Sequence[Token]) -> int | None:
    """The index of the OF that joins a part to its whole, not the one of "each of" or "2 of"."""
    for index, token in enumerate(words):
        if token.type == "OF":
            before = words[index - 1].type if index else ""
            if before in ("EACH", "REMAINING"):
                continue
            if index == 0 or index == len(words) - 1:
                return None
            return index
    return None
