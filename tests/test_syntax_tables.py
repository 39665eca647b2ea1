"""The machine that follows a grammar's tables, beside lark's own on the same grammar."""

from __future__ import annotations

import random
from typing import Any

import pytest
from lark import Lark, Transformer
from lark.lexer import Lexer, Token
from tenterhook.lint.syntax.tables import Parser

GRAMMAR = """
start: item+
?item: pair | B -> lone
pair: A word* -> named
    | A B C
?word: C | D
%declare A B C D
"""


class Build:
    """A nested list of the rules' names and values."""

    def start(self, c: list[Any]) -> Any:
        return ["start", *c]

    def lone(self, c: list[Any]) -> Any:
        return ["lone", *c]

    def named(self, c: list[Any]) -> Any:
        return ["named", *c]

    def pair(self, c: list[Any]) -> Any:
        return ["pair", *c]


class Feed(Lexer):
    __future_interface__ = 2

    def __init__(self, lexer_conf: object) -> None: ...

    def lex(self, lexer_state: Any, parser_state: Any) -> Any:
        yield from (Token(kind, kind) for kind in lexer_state.text)


class Lark_Build(Build, Transformer[Any, Any]): ...


@pytest.fixture(scope="module")
def both() -> tuple[Parser, Lark]:
    return Parser(GRAMMAR, Build()), Lark(GRAMMAR, parser="lalr", lexer=Feed, transformer=Lark_Build(), maybe_placeholders=False)


def test_a_rule_with_one_value_a_list_and_a_name_of_its_own(both: tuple[Parser, Lark]) -> None:
    parser, _ = both
    assert parser.parse([("A", 1), ("C", 2), ("D", 3), ("B", 4)]) == ["start", ["named", 1, 2, 3], ["lone", 4]]
    assert parser.parse([("A", 1)]) == ["start", ["named", 1]]


@pytest.mark.parametrize("symbols", ["", "C", "AAD?", "start", "B$"])
def test_what_cannot_follow_gives_none(both: tuple[Parser, Lark], symbols: str) -> None:
    parser, _ = both
    assert parser.parse([(s, s) for s in symbols]) is None


def test_it_reads_as_lark_does(both: tuple[Parser, Lark]) -> None:
    parser, lark = both
    dice = random.Random(5)
    read = 0
    for _ in range(400):
        symbols = [dice.choice("AABCD") for _ in range(dice.randrange(1, 9))]
        try:
            expected = lark.parse(symbols)  # type: ignore[arg-type]
        except Exception:
            expected = None
        assert parser.parse([(s, s) for s in symbols]) == expected
        read += expected is not None
    assert 40 < read < 360
