import pytest

from labkit.circuits.circuit import Via, build_circuit, run
from labkit.exercises.exercise import load_exercise
from labkit.parts import KINDS, Battery, Fuse, Joint, Trait
from labkit.questions import (
    Choose,
    NameFault,
    Order,
    Predict,
    PredictBoth,
    Remains,
    Separate,
)
from labkit.solving.solver import solve
from tests.boats import EXERCISES, pump
from tests.kinds import example_of, with_traits

CORRODED = pump().with_fault("X1 resistance 2 ohm")
OFF = CORRODED.with_position(S1="off")


def test_a_wrong_answer_that_nothing_predicts_is_accused_of_nothing():
    verdict = Predict(CORRODED, "X1:1", "X1:2").grade("3.3 V")
    assert verdict.right is False
    assert verdict.misconception == ""


@pytest.mark.parametrize("answer", ["twelve", "", "5 A", "5 ohm", "1,234.5"])
def test_what_is_no_voltage_is_not_graded_but_explained(answer):
    verdict = Predict(CORRODED, "X1:2").grade(answer)
    assert verdict.right is None
    assert "write" in verdict.text


def test_over_range_is_an_answer():
    apart = pump().with_parted("X1:1", "X1:2", "S1:1")
    assert Predict(apart, "X1:1", "S1:1", "ohms").grade("OL").right
    assert Predict(CORRODED, "X1:2").grade("OL").right is False


def test_a_prediction_need_not_be_nearer_than_the_boat():
    question = Predict(pump(), "stud")
    assert question.grade("12.6 V").right
    assert question.grade("12.4 V").right
    assert question.grade("11.8 V").right is False


def test_a_choice_gives_the_reason_of_the_answer_taken():
    question = Choose("Which?", {"this": "Yes.", "that": "No."}, "this")
    assert question.grade("this").right
    assert question.grade("that").text == "No."
    assert question.grade("other").right is None
    with pytest.raises(ValueError, match="none of the answers"):
        Choose("Which?", {"this": "Yes."}, "that")


def test_leads_that_separate_two_suspects_do_so_only_under_load():
    question = Separate(pump(), "X1 resistance 2 ohm", "W1 resistance 2 ohm")
    assert question.grade("X1:2").right
    assert question.grade("X1:2", S1="off").right is False
    assert question.grade("M1:1", "M1:2").right is False


def test_two_suspects_are_told_of_in_the_words_of_the_question():
    question = Separate(pump(), "X1 resistance 2 ohm", "W1 resistance 2 ohm")
    for verdict in (question.grade("X1:2"), question.grade("X1:2", S1="off")):
        assert verdict.text.startswith("The meter shows ")
        assert "X1 resistance" not in verdict.text
        asked = question.ask.removesuffix("?").partition(" to tell ")[2]
        assert all(suspect in verdict.text for suspect in asked.split(" from "))


def test_steps_may_change_places_within_a_group_only():
    question = Order("Make it safe.", [["switch off"], ["part", "tag"], ["try"]])
    assert question.grade(["switch off", "tag", "part", "try"]).right
    verdict = question.grade(["part", "switch off", "tag", "try"])
    assert verdict.right is False
    assert "'switch off' comes before 'part'" in verdict.text
    assert question.grade(["try"]).right is None


def test_the_fault_is_named_by_part_and_by_mode():
    question = NameFault(load_exercise(EXERCISES / "slow-washdown.toml").deal())
    assert question.grade("X1", "high resistance").right
    assert question.grade("X1", "open").right is False
    assert "complaint would still be there" in question.grade("M1", "seized").text


def test_with_two_faults_one_is_not_the_whole_answer():
    question = NameFault(load_exercise(EXERCISES / "bilge-fuse-again.toml").deal())
    verdict = question.grade("F1", "blown")
    assert verdict.right
    assert "not the only thing wrong" in verdict.text


def test_unloaded_and_loaded_are_predicted_together():
    question = PredictBoth(CORRODED, "X1:2", "DC-", {"S1": "off"}, {"S1": "on"})
    assert question.grade("12.6 V", "6.9 V").right
    same = question.grade("12.6 V", "12.6 V")
    assert same.right is False
    assert same.misconception == "sound when loaded"
    assert question.grade("12.6 V", "a lot").right is None


def test_a_wrong_answer_to_a_pair_has_a_hint_for_each_half_that_is_wrong_and_no_value():
    question = PredictBoth(CORRODED, "X1:2", "DC-", {"S1": "off"}, {"S1": "on"})
    off, on = (Predict(CORRODED.with_position(S1=p), "X1:2").reading for p in ("off", "on"))
    both = question.grade("3.3 V", "3.3 V")
    assert "With the load off: " in both.hint
    assert "With the load on: " in both.hint
    assert off.display not in both.hint
    assert on.display not in both.hint
    one = question.grade(off.display, "3.3 V")
    assert one.hint.startswith("With the load on: ")
    assert question.grade(off.display, on.display).hint == ""


SUSPECTS = ["X1 resistance 2 ohm", "W1 resistance 2 ohm", "F1 blown", "M1 seized"]


def test_what_remains_is_judged_suspect_by_suspect():
    shown = Predict(CORRODED, "X1:2").reading.display
    question = Remains(pump(), [f"X1:2 DC- volts {shown} S1=on"], SUSPECTS)
    assert question.grade(["X1 resistance 2 ohm"]).right
    verdict = question.grade(["X1 resistance 2 ohm", "F1 blown"])
    assert verdict.right is False
    assert "'F1 (fuse): blown' falls: with it, S1 on: point" in verdict.text
    assert ": corroded, 2 ohm' remains" in question.grade([]).text
    assert question.grade(["X9 open"]).right is None


def test_without_current_a_reading_leaves_every_resistance_standing():
    question = Remains(pump(), ["X1:2 DC- volts 12.60 V S1=off"], SUSPECTS)
    assert not question.falls("X1 resistance 2 ohm")
    assert not question.falls("W1 resistance 2 ohm")
    assert question.falls("F1 blown")


def test_where_there_is_nothing_to_read_no_prefix_is_wrong():
    dead = pump().with_fault("F1 blown")
    assert Predict(dead, "X1:2").grade("12.5 V").misconception != "factor 1000"


@pytest.mark.parametrize("kind", [*with_traits(Trait.LOAD), *with_traits(Trait.LOAD, ways=3)])
def test_behind_every_load_a_bad_return_is_told_from_a_good_one(kind: str) -> None:
    load = example_of(KINDS[kind])
    way = load.uses()[0]
    boat = build_circuit(
        "invented return side",
        run("DC-", "stud", Battery("G9", emf="12.7 V", resistance="10 mohm")),
        run("stud", "DC-", Fuse("F9", rating="15 A"), Via(load, "-".join(way)), Joint("X9")),
    )
    amps = solve(boat).amps[load.id]
    boat = boat.with_fault(f"X9 resistance {0.5 / amps:.3g} ohm")
    asked = Predict(boat, f"{load.id}:{way[1]}")
    assert asked.reading.value > 0.1
    assert asked.grade("0 V").misconception == "return is zero"
