"""A table of goals says of each whether it is held."""

from __future__ import annotations

import pytest

from .goals import held


@pytest.mark.parametrize(
    ("goal", "measured", "said"),
    [
        ("3 s", "2.42 s", "held"),
        ("3 s", "3.01 s", "NOT HELD"),
        ("at least 5", "4.84", "NOT HELD"),
        ("at least 50", "101", "held"),
        ("at most 0.25", "0.162", "held"),
        ("1e-12 V", "4.4e-16 V", "held"),
        ("0", "0", "held"),
        ("0", "2", "NOT HELD"),
        ("", "12 us", ""),
        ("1e-6", "limits only", ""),
    ],
)
def test_a_goal_is_the_most_there_may_be_unless_it_says_at_least(
    goal: str, measured: str, said: str
) -> None:
    assert held(goal, measured) == said
