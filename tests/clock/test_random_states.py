"""A few of the courses that ``python -m tests.clock.random_states`` plays."""

from __future__ import annotations

from tests.clock.random_states import troubles


def test_no_random_boat_is_without_an_answer_while_time_passes() -> None:
    assert list(troubles(range(12))) == []
