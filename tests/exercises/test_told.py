"""What is told as seen must be so in the circuit; a relay is heard, or it is not."""

from __future__ import annotations

from dataclasses import replace

import pytest

from labkit.aboard.bench import Bench
from labkit.exercises.exercise import exercise_from, load_exercise
from labkit.exercises.told import contradictions
from labkit.text.messages import CircuitError
from labkit.text.toml_file import read_toml
from tests.boats import EXERCISES, shipped

SLOW = EXERCISES / "slow-washdown.toml"


def told(*seen):
    return contradictions(replace(load_exercise(SLOW), seen=seen))


def test_what_is_seen_and_is_so_passes_and_what_is_not_is_refused():
    assert (
        told("M1 stands still.", "The motor turns at about half speed.", "Nothing can be said.")
        == []
    )
    (text,) = told("With the switch on the motor runs as it should.")
    assert "with X1 resistance 1.6 ohm, M1" in text
    assert "turns at about half speed" in text


def test_a_relay_is_heard_beside_it_and_costs_the_way_there():
    bench = Bench(shipped("hoist"))
    first, second = bench.look("K1"), bench.look("K1")
    assert first.shows == "does not click"
    assert first.minutes > second.minutes


def test_where_nobody_can_hear_a_relay_a_look_tells_nothing():
    hunt = load_exercise(EXERCISES / "hoist-silent.toml")
    shown = {Bench(hunt.variant(n).circuit).look("K1").shows for n in range(len(hunt.variants))}
    assert shown == {"cannot be heard here"}


def test_what_is_unheard_must_be_a_relay():
    table = dict(read_toml(SLOW)) | {"unheard": ["M1"]}
    with pytest.raises(CircuitError, match="unheard: 'M1' is not a relay here"):
        exercise_from(table, SLOW)
