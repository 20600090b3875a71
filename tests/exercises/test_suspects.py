"""What an exercise says of its suspects: what is refused, and where it counts."""

from __future__ import annotations

import pytest

from labkit.desk.key import key_of
from labkit.desk.schema import file_schema
from labkit.diagnosis import adviser_for
from labkit.exercises.checking import check_file
from labkit.exercises.difficulty import difficulty
from labkit.exercises.exercise import load_exercise
from labkit.hunts.debrief import debrief
from labkit.hunts.hunt import Hunt
from labkit.questions import NameFault
from labkit.text.messages import CircuitError
from tests.boats import EXERCISES
from tests.exercises.test_exercise import EXERCISE, written


def with_table(folder, table, text=EXERCISE):
    return written(folder, f"{text}[suspects]\n{table}\n")


def names(exercise):
    return {candidate.name for candidate in exercise.candidates}


# -- what the table says ---------------------------------------------------------------------------


def test_without_the_table_everything_is_suspected_as_usual(tmp_path):
    exercise = load_exercise(written(tmp_path))
    assert {"F1 blown", "G1 weak", "E1 blown"} <= names(exercise)
    assert not any(" + " in name for name in names(exercise))


def test_only_keeps_parts_modes_and_both(tmp_path):
    exercise = load_exercise(with_table(tmp_path, 'only = ["F1", "S1 open", "blown"]'))
    assert {name.split()[0] for name in names(exercise)} == {"F1", "S1", "E1"}
    assert {"S1 open", "E1 blown", "F1 resistance"} <= names(exercise)


def test_likely_weighs_against_the_usual(tmp_path):
    usual = load_exercise(written(tmp_path))
    weighed = load_exercise(with_table(tmp_path, 'likely = { "F1 blown" = 5, S1 = 0.5 }'))

    def odds(exercise):
        weight = {c.name: c.weight for c in exercise.candidates}
        return weight["F1 blown"] / weight["S1 open"]

    assert odds(weighed) / odds(usual) == pytest.approx(10)


def test_pairs_put_a_second_fault_beside_the_first(tmp_path):
    exercise = load_exercise(with_table(tmp_path, 'only = ["F1", "S1"]\npairs = "10 %"'))
    assert "F1 blown + S1 open" in names(exercise)


@pytest.mark.parametrize(
    ("table", "says"),
    [
        ('only = ["F9"]', "suspects.only: this circuit has no part and no mode 'F9'; there are"),
        ('only = ["F1 bloan", "S1"]', "this circuit has no part and no mode 'F1 bloan'"),
        ('only = ["F1 bloan", "S1"]', "did you mean 'F1 blown'"),
        ('only = "F1"', 'suspects.only: found "F1"; write a list'),
        ('only = ["F1"]', 'suspects.only: leaves out S1 open, which is dealt; add "S1 open"'),
        ("likely = 3", "suspects.likely: found 3; write a table of factors, such as { X1 = 3"),
        ('likely = { F1 = "3" }', 'suspects.likely: found F1 = "3"; write how many times'),
        ("likely = { F1 = -1 }", "suspects.likely: found F1 = -1; write how many times"),
        ("likely = { S1 = 0 }", "suspects.likely: rules out S1 open, which is dealt"),
        ("pairs = 0.1", "suspects.pairs: found 0.1 without a unit"),
        ('pairs = "100 %"', 'suspects.pairs: found 100 %; write less than "100 %"'),
        ('alike = [["F1 blown"]]', "suspects.alike: found the group ['F1 blown']; write two"),
        (
            'alike = [["F1 blown", "E1"]]',
            "suspects.alike: this circuit has no 'E1'; write a part",
        ),
        ('olny = ["F1"]', "suspects.olny: an exercise has no such key; did you mean 'only'?"),
    ],
)
def test_a_mistake_in_the_table_is_one_sentence_with_its_key(tmp_path, table, says):
    file = with_table(tmp_path, table)
    with pytest.raises(CircuitError) as refusal:
        load_exercise(file)
    (problem,) = refusal.value.problems
    assert problem.startswith(f"{file}: suspects.")
    assert says in problem


def test_the_schema_knows_the_table():
    made = file_schema()["definitions"]
    assert set(made["Suspects"]["properties"]) == {"only", "likely", "pairs", "also", "alike"}
    assert "Suspects" in str(made["Exercise"]["properties"]["suspects"])


# -- where it counts -------------------------------------------------------------------------------


def test_fewer_suspects_make_an_exercise_easier(tmp_path):
    usual = difficulty(load_exercise(written(tmp_path)))
    fewer = difficulty(load_exercise(with_table(tmp_path, 'only = ["F1 blown", "S1 open"]')))
    assert fewer.suspects == 2
    assert fewer.bits < usual.bits


def test_key_and_review_suspect_what_the_exercise_suspects(tmp_path):
    exercise = load_exercise(with_table(tmp_path, 'only = ["F1 blown", "S1 open"]'))
    key = key_of(exercise, exercise.variant(0))
    assert all("F1" in step or "S1" in step for step in (key.path[-1], *key.wrong_answers))
    hunt = Hunt(exercise, "Ana")
    hunt.bench.read("S1:1")
    assert set(debrief(hunt).review.remaining) <= {"F1 blown", "S1 open"}
    assert adviser_for(exercise.circuit, exercise.candidates) is adviser_for(
        exercise.circuit, hunt.dealt.candidates
    )


# -- what nothing tells apart ----------------------------------------------------------------------


def test_a_fault_that_no_test_isolates_is_reported_with_its_group(tmp_path):
    file = written(tmp_path, EXERCISE.replace('"S1 open"', '"E1 blown"'))
    (problem,) = check_file(file)[1]
    assert problem == (
        f"{file}: faults, E1 blown: no test in reach tells E1 blown from E1 missing; deal another "
        'fault, or let each be the answer: in [suspects], alike = [["E1 blown", "E1 missing"]]'
    )


def test_a_group_that_is_the_answer_passes_and_is_accepted_as_one(tmp_path):
    text = EXERCISE.replace('"S1 open"', '"E1 blown"')
    file = with_table(tmp_path, 'alike = [["E1 blown", "E1 missing"]]', text)
    assert check_file(file)[1] == []
    dealt = load_exercise(file).variant(1)
    verdict = NameFault(dealt).grade("E1", "missing")
    assert verdict.right
    assert "no test in reach tells it from E1 blown" in verdict.text
    assert NameFault(dealt).grade("F1", "blown").right is False


def test_a_group_that_a_test_tells_apart_is_reported(tmp_path):
    file = with_table(tmp_path, 'alike = [["F1 blown", "F1 missing"], ["S1 open", "G1 weak"]]')
    problems = check_file(file)[1]
    assert problems == [
        f"{file}: suspects.alike: found F1 missing, which a test tells from F1 blown; take it out",
        f"{file}: suspects.alike: found G1 weak, which a test tells from S1 open; take it out",
    ]


def test_a_group_without_the_fault_dealt_is_reported(tmp_path):
    (problem,) = check_file(with_table(tmp_path, 'alike = [["E1 blown", "E1 missing"]]'))[1]
    assert problem.endswith(
        "found E1 blown and E1 missing, none of which is dealt; take the group out"
    )


@pytest.mark.parametrize("name", ["bilge-fuse-again", "blower-hot-wire"])
def test_a_seized_motor_is_told_from_a_leak_in_its_feed(name):
    assert check_file(EXERCISES / f"{name}.toml")[1] == []
