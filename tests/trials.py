"""How many examples a property is tried on: the number it names, or with ``--times N`` so many times more.

A run without it draws the same examples every time; a long one draws fresh ones.
"""

from __future__ import annotations

from hypothesis import HealthCheck, settings

TIMES = 1

SLOW = [HealthCheck.too_slow, HealthCheck.filter_too_much, HealthCheck.data_too_large, HealthCheck.large_base_example]


def tried(examples: int) -> settings:
    return settings(max_examples=TIMES * examples, deadline=None, derandomize=TIMES == 1, database=None, suppress_health_check=SLOW)
