"""What simulated learners made of the shipped hunts, as it is laid down; a few are played anew.

`python -m tests.learners --write` plays them all.
"""

import pytest

from labkit.exercises.exercise import load_exercise
from labkit.hunts.choosing import SAID
from labkit.hunts.played import trials
from tests.boats import EXERCISES
from tests.learners import HARM, LEARNERS, played, table
from tests.learners.__main__ import hunts

REASONING = ("along the wire", "half-splitter", "across each part", "advised")
ROWS = table()


def test_every_row_is_of_a_hunt_that_is_shipped():
    titles = {exercise.title for _, exercise in hunts()}
    assert ROWS.keys() <= titles
    assert trials().keys() == ROWS.keys()


@pytest.mark.parametrize("title", sorted(ROWS))
def test_who_guesses_through_the_list_loses_to_who_reasons(title):
    cost = ROWS[title]["cost"]
    assert max(cost[who] for who in REASONING) < cost["guesser"]


def share(worse):
    """Of the hunts, in which half-splitting costs less."""
    won = [row["cost"]["half-splitter"] < row["cost"][worse] for row in ROWS.values()]
    return sum(won) / len(won)


@pytest.mark.parametrize("worse", ["guesser", "never proves"])
def test_the_cost_tells_apart_who_measures_and_proves_and_who_does_not(worse):
    assert share(worse) >= 0.85


def test_each_rule_does_harm_somewhere_and_is_one_that_can_be_chosen_against():
    harmed = {rule for row in ROWS.values() for rule in row["harms"]}
    assert harmed <= SAID.keys()
    assert HARM > 1


@pytest.mark.parametrize("learner", ["half-splitter", "never proves"])
def test_the_table_says_what_a_play_of_today_costs(learner):
    exercise = load_exercise(EXERCISES / "washdown-dead.toml")
    if exercise.title not in ROWS:
        pytest.fail(f"{exercise.title}: run python -m tests.learners --write washdown-dead")
    who = next(one for one in LEARNERS if one.name == learner)
    again = played(who, exercise, look_back=False)
    assert round(again.cost) == ROWS[exercise.title]["cost"][learner]
