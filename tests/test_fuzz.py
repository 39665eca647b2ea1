"""What the fuzzer found is read again in every run; and its targets, on bytes drawn without it."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from fuzz.__main__ import main, seeds
from fuzz.targets import KEPT, TARGETS
from hypothesis import given
from hypothesis import strategies as st
from trials import tried

CASES = [(target, path) for target in TARGETS for path in sorted((KEPT / target).glob("*"))]


@pytest.mark.parametrize(("target", "path"), CASES, ids=lambda value: value.name if isinstance(value, Path) else value)
def test_what_once_failed_holds(target: str, path: Path) -> None:
    TARGETS[target](path.read_bytes())


@pytest.mark.parametrize("target", TARGETS)
def test_a_target_holds_on_its_seeds_cut_and_joined(target: str) -> None:
    some = list(seeds(target))[:200]

    @tried(25)
    @given(st.sampled_from(some), st.sampled_from(some), st.integers(0, 400), st.integers(0, 400), st.binary(max_size=6))
    def holds(one: bytes, other: bytes, end: int, start: int, between: bytes) -> None:
        TARGETS[target](one[:end] + between + other[start : start + 400])

    holds()


def test_a_target_that_is_not_there_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main(["no-such-target"])
    assert "there is no target no-such-target" in capsys.readouterr().err
    assert "atheris" not in sys.modules
