"""What a statement is made of while it is read: tokens, and the steps that are already folded."""

from __future__ import annotations

from collections.abc import Sequence

from .lexer import Token
from .tree import Extent, Step

Element = Token | Step


def extent_of(elements: Sequence[Element]) -> Extent:
    """From the first element to the end of the last; there must be one."""
    first, last = elements[0], elements[-1]
    start = first.start if isinstance(first, Token) else first.at.start
    end = last.end if isinstance(last, Token) else last.at.end
    return Extent(start, end)


def is_a(element: Element | None, *types: str) -> bool:
    """Whether an element is a token of one of these types."""
    return isinstance(element, Token) and element.type in types
