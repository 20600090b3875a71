"""Simulated learners on one hunt; `python -m tests.learners` plays them all."""

import pytest

from labkit.exercises.exercise import load_exercise
from tests.boats import EXERCISES
from tests.learners import RIGHT, WRONG, played

BY_NAME = {learner.name: learner for learner in (*RIGHT, *WRONG)}


@pytest.fixture(scope="module")
def plays():
    exercise = load_exercise(EXERCISES / "slow-washdown.toml")
    names = ("half-splitter", "guesser", "volts without load", "never proves")
    return {name: played(BY_NAME[name], exercise) for name in names}


def test_who_reasons_is_told_of_no_danger_and_names_nothing_wrongly(plays):
    assert plays["half-splitter"].clean


@pytest.mark.parametrize("other", ["guesser", "volts without load", "never proves"])
def test_the_cost_tells_who_reasons_from_who_does_not(plays, other):
    assert plays["half-splitter"].cost < plays[other].cost


def test_minutes_alone_would_let_the_guesser_win(plays):
    assert plays["guesser"].minutes < plays["half-splitter"].minutes


def test_the_rule_behind_a_wrong_name_is_asked_about(plays):
    said = " ".join(plays["volts without load"].remarks)
    assert "did you take volts read with nothing flowing as proof" in said
    assert "did you" not in " ".join(plays["half-splitter"].remarks)


def test_who_never_proves_is_told_so_first(plays):
    assert plays["never proves"].remarks[0].startswith("Practise next: prove the repair.")
