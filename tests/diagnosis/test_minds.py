import pytest

from labkit.diagnosis.evidence import Measurement
from labkit.diagnosis.minds import RULES, Mind, Work, rules_behind
from labkit.diagnosis.observing import Observer
from labkit.diagnosis.ranking import adviser_for
from labkit.exercises.exercise import load_exercise
from labkit.questions import MISCONCEPTIONS
from tests.boats import EXERCISES, pump


def seen(fault, *measurements):
    observe = Observer(pump().with_fault(fault))
    return tuple(m.saw(observe(m)) for m in measurements)


def start_of(circuit):
    return adviser_for(circuit).start


def work():
    return Work(pump(), "M1", {"S1": "on"})


def test_every_rule_has_its_words():
    assert set(RULES) <= set(MISCONCEPTIONS)


def test_who_takes_unloaded_volts_for_proof_is_sure_that_a_bad_joint_is_sound():
    evidence = seen(
        "X1 resistance 2 ohm", Measurement("volts", "X1:2", "DC-", parted=frozenset({"M1:1"}))
    )
    start = start_of(pump())
    wrong = Mind(start, "volts without load", work()).see(*evidence)
    right = start.copy().see(*evidence)
    assert wrong.by_name["X1 resistance"] < 0.2 * right.by_name["X1 resistance"]


def test_right_rules_leave_no_idea_behind_their_name():
    evidence = seen("X1 resistance 2 ohm", Measurement("volts", "X1:1", "X1:2"))
    assert rules_behind("X1 resistance", evidence, start_of(pump()), work()) == ()


def test_nothing_read_says_nothing():
    assert rules_behind("M1 seized", (), start_of(pump()), work()) == ()


@pytest.mark.parametrize("rule", RULES)
def test_a_mind_keeps_its_belief_whole_whatever_it_sees(rule):
    exercise = load_exercise(EXERCISES / "slow-washdown.toml")
    start = adviser_for(exercise.circuit, exercise.candidates).start
    about = Work(exercise.circuit, exercise.proof.load, exercise.proof.positions)
    observe = Observer(exercise.variant(0).circuit)
    on = {"S2": "on"}
    asked = [
        Measurement("volts", "X1:1", "X1:2", on),
        Measurement("volts", "M1:2", "DC-", on),
        Measurement("clamp", "M1:1", "", on),
        Measurement("ohms", "X1:1", "X1:2", {"S1": "off"}),
        Measurement("look", "M1", "", on),
    ]
    mind = Mind(start, rule, about).see(*(m.saw(observe(m)) for m in asked))
    assert mind.belief.sum() == pytest.approx(1.0)
    assert (mind.belief >= 0).all()
