"""A fault's amount may be a span: each learner's is drawn, the same name always the same."""

import pytest

from labkit.exercises.checking import check_exercise
from labkit.exercises.exercise import exercise_from, load_exercise
from labkit.exercises.severity import drawn, ends, middle
from labkit.measuring.meter import read
from labkit.text.messages import CircuitError
from labkit.text.toml_file import read_toml
from tests.boats import EXERCISES

FILE = EXERCISES / "slow-washdown.toml"


def _with(fault):
    return exercise_from({**read_toml(FILE), "faults": [fault]}, FILE)


def test_a_fault_without_a_span_is_what_it_says():
    assert ends("X1 open") == ("X1 open",)
    assert middle("X1 resistance 0.8 ohm") == "X1 resistance 0.8 ohm"


def test_the_middle_of_a_span_is_geometric():
    assert ends("X1 resistance 0.5..2 ohm") == ("X1 resistance 0.5 ohm", "X1 resistance 2 ohm")
    assert middle("X1 resistance 0.5..2 ohm") == "X1 resistance 1 ohm"
    assert middle("W2:2 leak 20..45 ohm") == "W2:2 leak 30 ohm"


def test_hardly_two_learners_read_the_same_volts_and_each_always_reads_the_same():
    exercise = _with("X1 resistance 1.2..2.4 ohm")
    shown = {}
    for name in (f"learner {number}" for number in range(20)):
        boat = exercise.deal(name).circuit.with_position(**exercise.proof.positions)
        shown[name] = read(boat, "X1:1", "X1:2", "volts").display
        again = exercise.deal(name).circuit.with_position(**exercise.proof.positions)
        assert read(again, "X1:1", "X1:2", "volts").display == shown[name]
    assert len(set(shown.values())) >= 14
    assert exercise.deal("Ada").number == 0


def test_amounts_drawn_stay_in_the_span():
    import random

    dice = random.Random(1)
    amounts = [float(drawn("X1 resistance 1.2..2.4 ohm", dice).split()[2]) for _ in range(200)]
    assert 1.2 <= min(amounts) < 1.3
    assert 2.3 < max(amounts) <= 2.4


def test_both_ends_of_a_span_are_checked():
    found = check_exercise(_with("X1 resistance 0.001..2 ohm"))
    assert any("X1 resistance 0.001 ohm" in text and "passes the proof" in text for text in found)


def test_a_span_whose_ends_look_different_is_refused():
    found = check_exercise(_with("X1 resistance 1.5..200 ohm"))
    assert any("narrow the span" in text for text in found)


@pytest.mark.parametrize("span", ["2..1.2 ohm", "0..1 ohm", "1..2", "1..2 V"])
def test_a_span_that_is_none_is_refused_in_a_sentence(span):
    with pytest.raises(CircuitError, match=r"slow-washdown.toml: faults: "):
        _with(f"X1 resistance {span}")


def test_a_span_is_known_where_the_exercise_is_dealt():
    assert load_exercise(FILE).deal("Ada").number == 0
