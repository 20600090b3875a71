"""Simulated learners on one hunt; `python -m tests.learners` plays them all."""

import pytest

from labkit.desk.marks import mark
from labkit.diagnosis.minds import RULES
from labkit.exercises.exercise import load_exercise
from labkit.hunts.kept import KeptHunt
from labkit.record.lines import read_record
from labkit.widgets import HuntCard
from tests.boats import EXERCISES
from tests.learners import BY_NAME, Play, played


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
    assert "volts without load" in plays["volts without load"].told
    assert not set(RULES) & {*plays["half-splitter"].told}


def test_who_never_proves_is_told_so_first(plays):
    assert plays["never proves"].told[0] == "prove"


def test_what_the_learner_says_of_that_rule_is_kept_and_marked(tmp_path):
    exercise = load_exercise(EXERCISES / "slow-washdown.toml")
    hunt = Play(BY_NAME["volts without load"], exercise).play()
    kept = KeptHunt(exercise, "Ada", tmp_path)
    kept.dealt, kept.bench, kept.named, kept.proven = (
        hunt.dealt, hunt.bench, hunt.named, hunt.proven
    )  # fmt: skip  # rows that a reader compares
    kept.bench.attempt = kept.attempt
    card = HuntCard(kept)
    _, yes, no = card._doubted.children
    assert (yes.description, no.description) == ("Yes, that was why", "No")
    yes.click()
    assert kept.owned == {"volts without load": True}
    assert "Noted: yes" in card._doubted.children[0].value
    kept.attempt.close()
    record = read_record(kept.attempt.path)
    assert mark(record).misconceptions == ("volts without load",)
