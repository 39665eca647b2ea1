"""A LALR grammar as plain tables, and the machine that follows them.

lark reads the grammar and works the tables out. That takes longer than proofing a small manuscript, so they are kept in
the user's cache folder; and to follow them takes a stack and a few lines, where importing lark takes a quarter of the
time that a proof may.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from itertools import chain
from typing import Any, cast

from ..cache import kept

# For every state, where a symbol leads: to another state, or (below 0) by which rule; the rules; the first and last state.
_Tables = tuple[dict[int, dict[str, int]], list[tuple[str, str, tuple[bool, ...], bool]], int, int]
_END = "$END"  # the symbol after the last, and its name in lark
_NO = -sys.maxsize  # where a symbol cannot follow


@dataclass(frozen=True, slots=True)
class _Rule:
    """A line of the grammar: the symbol it makes, and what builds its value.

    ``spread`` says of each symbol it is made of whether that one's value is taken over piece by piece, as for ``tail*``.
    ``single`` is True where one value stands for the rule.
    """

    makes: str
    build: Callable[[list[Any]], Any]
    spread: tuple[bool, ...]
    single: bool

    def value(self, values: list[Any]) -> Any:
        """The value of the rule, from those of its symbols."""
        if True in self.spread:
            values = [v for value, spread in zip(values, self.spread, strict=True) for v in (value if spread else (value,))]
        return values[0] if self.single and len(values) == 1 else self.build(values)


class Parser:
    """Follows a grammar. A rule's value is built by the method of ``builder`` that has its name, or is a plain list."""

    def __init__(self, grammar: str, builder: object) -> None:
        self._actions, rules, self._start, self._end = cast(_Tables, kept("grammar", grammar.encode(), lambda: _tables(grammar)))
        self._rules = [_Rule(makes, getattr(builder, name, list), spread, single) for makes, name, spread, single in rules]

    def parse(self, symbols: Iterable[tuple[str, Any]]) -> Any:
        """The value of the start rule for symbols and their values, or None where one of them cannot follow."""
        states, values = [self._start], list[Any]()
        for symbol, value in chain(symbols, ((_END, None),)):
            while (action := self._actions[states[-1]].get(symbol, _NO)) < 0:
                if action == _NO:
                    return None
                rule = self._rules[~action]
                first = len(values) - len(rule.spread)
                values[first:] = [rule.value(values[first:])]
                del states[first + 1 :]
                states.append(self._actions[states[-1]][rule.makes])
                if symbol == _END and states[-1] == self._end:
                    return values[0]
            states.append(action)
            values.append(value)
        return None


def _tables(grammar: str) -> _Tables:
    from lark import Lark
    from lark.lexer import Lexer

    class NoLexer(Lexer):
        def __init__(self, lexer_conf: object) -> None: ...

        def lex(self, lexer_state: Any, parser_state: Any) -> Any: ...

    table = cast(Any, Lark(grammar, parser="lalr", lexer=NoLexer, maybe_placeholders=False)).parser.parser.parser.parse_table
    rules: dict[Any, int] = {}
    actions = {
        state: {str(s): arg if action.name == "Shift" else ~rules.setdefault(arg, len(rules)) for s, (action, arg) in leads.items()}
        for state, leads in table.states.items()
    }
    return actions, [_plain(rule) for rule in rules], table.start_states["start"], table.end_states["start"]


def _plain(rule: Any) -> tuple[str, str, tuple[bool, ...], bool]:
    """What ``_Rule`` holds, of a rule of lark's, where a name that begins with “_” is of a list to be spread."""
    spread = tuple(not s.is_term and s.name.startswith("_") for s in rule.expansion)
    return str(rule.origin.name), str(rule.alias or rule.origin.name), spread, bool(rule.options.expand1 and not rule.alias)
