"""Learners who take up what they are told, on hunts they have not seen; of all plays laid down, and
one of each kind played here.

The goals are ours: wrong names at most half, clean hunts doubled; 0.6 of the readings for
who follows the wire and takes the advised steps.
"""

import pytest

from labkit.exercises.exercise import load_exercise
from tests.boats import EXERCISES
from tests.learners import BY_NAME, RIGHT, beats, played, plays_of, table
from tests.learners.after import BECOMES, Plays, change, names_it, wire_follower
from tests.learners.report import cards, harmed
from tests.learners.table import row

EVERY = plays_of()
PLAYS = Plays(EVERY)
CARDS = cards()


def mean(feedback, key):
    """Before and after, over learners with each wrong rule alike."""
    each = [getattr(change(who, PLAYS, feedback, CARDS), key) for who in BECOMES]
    return (sum(one[n] for one in each) / len(each) for n in (0, 1))


def test_who_takes_up_what_is_told_names_half_as_much_wrongly_on_unseen_hunts():
    before, after = mean("lessons and review", "wrong")
    assert after <= 0.5 * before


def test_who_takes_up_what_is_told_brings_nearly_twice_as_many_unseen_hunts_to_a_clean_end():
    """The goal is twice; which hunts are played moves it by a tenth or two."""
    before, after = mean("lessons and review", "clean")
    assert after >= 1.8 * before


@pytest.mark.parametrize("key", ["wrong", "clean", "readings", "cost"])
def test_without_the_feedback_nothing_is_gained(key):
    before, after = mean("off", key)
    assert after == pytest.approx(before)


def test_who_follows_the_wire_and_takes_the_advised_steps_needs_six_tenths_of_the_readings():
    before, after = wire_follower(PLAYS).readings
    assert after <= 0.6 * before


@pytest.mark.parametrize(
    ("learner", "taught", "unseen"),
    [
        ("volts without load", "slow-washdown", "washdown-again"),
        ("blames the load", "slow-washdown", "crimped-on-sunday"),
    ],
)
def test_a_learner_played_here_is_told_of_its_rule_and_does_better_without_it(
    learner, taught, unseen
):
    first = played(BY_NAME[learner], load_exercise(EXERCISES / f"{taught}.toml"))
    assert names_it(BY_NAME[learner].rule, first.told)
    exercise = load_exercise(EXERCISES / f"{unseen}.toml")
    before, after = (
        played(BY_NAME[who], exercise, look_back=False) for who in (learner, BECOMES[learner])
    )
    assert after.clean
    assert not before.clean
    assert after.cost < before.cost


def test_both_tables_say_the_same():
    by_hunt = {hunt: [play for play in EVERY if play.hunt == hunt] for hunt in PLAYS.hunts}
    rows = table()
    assert by_hunt.keys() <= rows.keys()
    for hunt, own in by_hunt.items():
        assert rows[hunt] == row(own)


@pytest.mark.parametrize(
    "worse", ["guesser", "loudest symptom", "volts without load", "ohms live", "never proves"]
)
def test_the_cost_tells_the_half_splitter_from_who_works_worse(worse):
    assert beats(EVERY, "half-splitter", worse) >= 0.85


def test_where_a_rule_does_harm_something_is_nearly_always_said_of_how_it_went():
    for who in BECOMES:
        some = harmed(PLAYS, who)
        silent = [hunt for hunt in some if not {*PLAYS.of[who, hunt].told} - {"nothing"}]
        assert len(silent) <= 0.15 * len(some), who


def test_who_measures_under_load_by_right_rules_is_accused_of_a_wrong_one_in_few_hunts():
    rules = {BY_NAME[who].rule for who in BECOMES} - {""}
    own = [one for one in RIGHT if one.look != "none" and one.loaded]
    told = [PLAYS.of[one.name, hunt].told for one in own for hunt in PLAYS.hunts]
    assert sum(bool(rules & {*said}) for said in told) <= 0.15 * len(told)
