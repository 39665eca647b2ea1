"""Fixtures that several tests share."""

from __future__ import annotations

import pytest
from handmade import cowl_proof
from tenterhook.lint.proof import Proof


@pytest.fixture
def cowl() -> Proof:
    """The hand-made proof of the invented cowl."""
    return cowl_proof()
