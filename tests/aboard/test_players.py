"""Some hunts of a careful and a reckless player; ``python -m tests.players`` plays hundreds."""

import random

import pytest

from tests.players import careful, reckless


@pytest.mark.parametrize("number", range(8))
def test_a_careful_player_is_never_warned(number):
    assert careful(random.Random(f"suite/{number}")) == []


@pytest.mark.parametrize("number", range(8))
def test_a_reckless_player_is_never_missed(number):
    assert reckless(random.Random(f"suite/{number}")) == []
