"""Exercises on a circuit that leaves figures in doubt: nobody's boat is just as drawn."""

import pytest

from labkit.diagnosis.faults import family
from labkit.diagnosis.ranking import adviser_for
from labkit.diagnosis.spread import DOUBTFUL, Spread
from labkit.exercises.exercise import load_exercise
from tests.boats import EXERCISES
from tests.walks import best

SHOWER = load_exercise(EXERCISES / "shower-drains-slowly.toml")


def test_each_learner_has_a_boat_of_their_own_and_keeps_it():
    ada, bo = SHOWER.deal("Ada").circuit, SHOWER.deal("Bo").circuit
    assert ada.parts["M1"].current != bo.parts["M1"].current
    assert SHOWER.deal("Ada").circuit.parts["M1"].current == ada.parts["M1"].current
    assert 3.0 < ada.parts["M1"].current < 6.0


def test_the_drawing_does_not_tell_how_the_boat_differs_from_it():
    drawn, dealt = SHOWER.circuit.parts, SHOWER.deal("Ada").circuit.parts
    assert [p.shown_rating for p in dealt.values()] == [p.shown_rating for p in drawn.values()]


def test_an_exact_circuit_is_dealt_as_it_is_drawn_and_reasoned_about_as_sharply():
    slow = load_exercise(EXERCISES / "slow-washdown.toml")
    assert slow.deal("Ada").circuit.parts == slow.circuit.parts
    assert adviser_for(slow.circuit).start.spread == Spread()
    assert adviser_for(SHOWER.circuit).start.spread == DOUBTFUL


@pytest.mark.parametrize("name", ["Ada", "Bo", "Cy", "Di"])
def test_the_advised_way_finds_the_fault_on_a_boat_that_is_not_as_drawn(name):
    dealt = SHOWER.deal(name)
    diagnosis = adviser_for(SHOWER.circuit, SHOWER.candidates).start.copy()
    diagnosis.see(*best(SHOWER, dealt).evidence)
    (fault,) = dealt.circuit.faults
    assert next(iter(diagnosis.by_name)) == family(fault)
