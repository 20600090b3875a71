import pytest

from labkit.hunts import choosing
from labkit.hunts.choosing import AT_FIRST, MET, SAID, Beliefs, beliefs_of, choose
from labkit.hunts.played import Trial, trials
from labkit.questions import MISCONCEPTIONS
from labkit.record import begin
from labkit.record.lines import read_record
from tests import learners

TABLE = {
    "easy": Trial(0.1),
    "volts": Trial(0.5, ("volts without load", "never proves")),
    "return": Trial(0.5, ("return is zero",)),
}


class Named:
    """A rung by its title alone."""

    def __init__(self, title):
        self.exercise, self.title, self.level = self, title, 1


RUNGS = [Named(title) for title in TABLE]


@pytest.fixture
def table(monkeypatch):
    monkeypatch.setattr(choosing, "trials", lambda: TABLE)


def attempt(folder, title, *lines, finished=True):
    made = begin(title, "Ada", folder)
    for kind, facts in lines:
        made.add(kind, **facts)
    if finished:
        made.add("finished", minutes=10.0, cost=10.0)
    made.close()
    return read_record(made.path)


WRONG = ("named", {"part": "M1", "mode": "open", "right": False, "misconception": ""})


def test_rules_that_hunts_are_chosen_by_are_known_by_name():
    assert set(SAID) - {"never proves"} <= set(MISCONCEPTIONS)


def test_hunts_are_chosen_by_every_rule_that_simulated_learners_hold():
    assert {one.rule or one.name for one in learners.WRONG} <= {*SAID}
    assert {rule for trial in trials().values() for rule in trial.harms} <= {*SAID}


def test_the_easiest_comes_first(table):
    assert choose(RUNGS, (), Beliefs()).place == 0


def test_then_the_hunt_that_shows_most_of_what_may_be_held(table):
    chosen = choose(RUNGS, {"easy"}, Beliefs())
    assert RUNGS[chosen.place].title == "volts"


def test_a_rule_met_in_an_answer_is_hunted_and_named_with_its_place(table, tmp_path):
    slip = {"ask": "?", "right": False, "misconception": "return is zero"}
    lesson = attempt(tmp_path, "the return side", ("answer", slip), finished=False)
    beliefs = beliefs_of([lesson])
    beliefs.held["never proves"] = beliefs.held["volts without load"] = 0.1
    chosen = choose(RUNGS, {"easy"}, beliefs)
    assert RUNGS[chosen.place].title == "return"
    assert "the way home for sound, which you met in 'the return side'" in chosen.why


def test_a_clean_hunt_speaks_against_its_rules_and_a_wrong_name_for_them(table, tmp_path):
    clean = beliefs_of([attempt(tmp_path, "return")]).held["return is zero"]
    wrong = beliefs_of([attempt(tmp_path, "return", WRONG)]).held["return is zero"]
    assert clean < AT_FIRST < wrong < MET


def test_every_third_is_an_easy_one_and_at_the_end_there_is_none(table):
    assert choose(RUNGS, {"volts", "return"}, Beliefs()).why == "An easier one in between."
    assert choose(RUNGS, {*TABLE}, Beliefs()) is None
