"""Fixtures that several tests share."""

from __future__ import annotations

import pytest
import trials
from handmade import cowl_proof
from tenterhook.lint.proof import Proof


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--times", type=int, default=1, metavar="N", help="try every property on N times as many examples, drawn afresh")


def pytest_configure(config: pytest.Config) -> None:
    trials.TIMES = config.getoption("--times")  # before any test is collected


@pytest.fixture
def cowl() -> Proof:
    """The hand-made proof of the invented cowl."""
    return cowl_proof()
