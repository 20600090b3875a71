"""Hints of a hunt: three steps that cost, from what was found and never from what was dealt."""

import pytest

from labkit.exercises.exercise import load_exercise
from labkit.hunts.hint_words import NOTHING, OVER
from labkit.hunts.hints import MINUTES
from labkit.hunts.hunt import Hunt
from labkit.hunts.kept import KeptHunt, play
from labkit.record.lines import read_record
from labkit.widgets import HuntCard
from tests.boats import EXERCISES


@pytest.fixture(scope="module")
def exercise():
    return load_exercise(EXERCISES / "slow-washdown.toml")


def test_hints_lead_from_where_to_think_to_a_reading_to_what_it_would_tell(exercise):
    hunt = Hunt(exercise, "Ada")
    where, which, tells = (hunt.hint().text for _ in range(3))
    assert "of what your readings leave lies" in where
    assert which.startswith("Worth most for its minutes now: ")
    assert tells.startswith(which.partition(": ")[2].rpartition(",")[0])
    assert hunt.hint().step == 1


def test_new_evidence_begins_the_steps_anew(exercise):
    hunt = Hunt(exercise, "Ada")
    hunt.hint()
    hunt.bench.look("M1")
    assert hunt.hint().step == 1


def test_hints_cost_minutes(exercise):
    hunt = Hunt(exercise, "Ada")
    before = hunt.bill.minutes
    hunt.hint()
    hunt.hint()
    assert hunt.bill.minutes - before == sum(MINUTES[:2])
    assert "2 hints 6" in str(hunt.bill)


def test_a_hint_is_the_same_whatever_was_dealt(exercise):
    texts = set()
    for n in range(len(exercise.variants)):
        hunt = Hunt(exercise, "Ada")
        hunt.dealt = exercise.variant(n)
        texts.add(tuple(hunt.hint().text for _ in range(3)))
    assert len(texts) == 1


def test_after_a_repair_there_is_no_hint_and_no_cost(exercise):
    hunt = Hunt(exercise, "Ada")
    hunt.bench.repair("X1")
    assert hunt.hint().text in (OVER, NOTHING)
    assert hunt.hints == []


def test_hints_are_kept_and_count_when_an_attempt_is_played_again(exercise, tmp_path):
    card = HuntCard(KeptHunt(exercise, "Ada", tmp_path))
    offered = card.bench.naming["hint"]
    card.bench.handle({"ask": "hint"})
    assert card.bench.naming["said"].startswith("Hint (2 min): ")
    assert (offered, card.bench.naming["hint"]) == (
        "Hint: where to think (2 min)", "Hint: which reading (4 min)",
    )  # fmt: skip  # rows that a reader compares
    card.hunt.attempt.close()
    again = Hunt(exercise, "Ada")
    play(again, read_record(card.hunt.attempt.path))
    assert [one.step for one in again.hints] == [1]


def test_the_list_of_how_a_part_fails_holds_its_own_ways_alone(exercise):
    card = HuntCard(Hunt(exercise, "Ada"))
    modes = {id: [value for _, value in rows] for id, rows in card.bench.naming["modes"].items()}
    assert "blown" in modes["F1"]
    assert "blown" not in modes["X1"]
    for variant in range(len(exercise.variants)):
        for fault in exercise.variant(variant).circuit.faults:
            words = card.hunt.question.words_of(fault.part)
            assert fault.mode in [card.hunt.question.modes[word] for word in words]
