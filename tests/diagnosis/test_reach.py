"""A large boat is weighed within a bound on memory, and what is left out is said."""

import pytest

from labkit.circuits.circuit import NEGATIVE
from labkit.diagnosis import reach
from labkit.diagnosis.ranking import Adviser
from labkit.diagnosis.session import Diagnosis
from labkit.text.messages import CircuitError
from tests.boats import CIRCUITS, shipped

BOAT = shipped("washdown")


def fitting(circuit, sets):
    return reach.that_fit(circuit, list(reach.switch_states(circuit))[:12], sets)


@pytest.mark.parametrize("name", [path.stem for path in CIRCUITS])
def test_of_a_shipped_boat_nothing_is_left_out(name):
    boat = shipped(name)
    pairs, states, left_out = fitting(boat, 3000)
    assert pairs == list(reach.lead_pairs(boat))
    assert states == list(reach.switch_states(boat))[:12]
    assert left_out == ""


@pytest.mark.parametrize("sets", [10_000, 30_000, 100_000, 300_000])
def test_what_is_kept_fits_and_what_is_left_out_is_said(sets):
    pairs, states, left_out = fitting(BOAT, sets)
    tests = len(states) * (len(pairs) + len(reach.clamp_places(BOAT)))
    fits = 16 * sets * tests <= reach.MOST_MEMORY
    whole = len(pairs) == len(list(reach.lead_pairs(BOAT))) and len(states) == len(
        list(reach.switch_states(BOAT))[:12]
    )
    assert fits
    assert bool(left_out) is not whole
    if left_out:
        assert f"{len(BOAT.parts)} parts that can fail in {sets} ways" in left_out
        assert f"in {len(states)} of" in left_out


def test_the_position_as_found_and_every_point_to_dc_minus_stay_longest():
    pairs, states, _ = fitting(BOAT, 100_000)
    assert states[0] == next(iter(reach.switch_states(BOAT)))
    to_negative = [pair for pair in reach.lead_pairs(BOAT) if pair[1] == NEGATIVE]
    assert set(to_negative) <= set(pairs)


def test_a_boat_beyond_reason_is_refused_with_its_size():
    with pytest.raises(CircuitError, match=rf"{len(BOAT.parts)} parts that can fail in 90000000"):
        fitting(BOAT, 90_000_000)


def test_advice_is_still_given_where_little_fits(monkeypatch):
    diagnosis = Diagnosis(BOAT)
    monkeypatch.setattr(reach, "MOST_MEMORY", 16 * len(diagnosis.known.sets) * 60)
    adviser = Adviser(diagnosis)
    assert "positions of the switches" in adviser.left_out
    assert adviser.menu.low.nbytes <= reach.MOST_MEMORY
