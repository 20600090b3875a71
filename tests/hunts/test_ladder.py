"""All hunts, the easiest first, and the next one for a learner."""

import shutil

import pytest

from labkit.hunts.hunt import Hunt
from labkit.hunts.kept import KeptHunt
from labkit.hunts.ladder import finished, ladder
from labkit.widgets.ladder_card import LadderCard
from tests.boats import ROOT

SOME = ("slow-washdown", "steaming-light-blinks", "bilge-never-stops", "horn-hoarse")


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    made = tmp_path_factory.mktemp("exercises")
    shutil.copytree(ROOT / "exercises" / "circuits", made / "circuits")
    for name in SOME:
        shutil.copy(ROOT / "exercises" / f"{name}.toml", made)
    return made


@pytest.fixture(scope="module")
def rungs(folder):
    return ladder(folder)[0]


@pytest.fixture
def card(folder, tmp_path):
    return LadderCard(folder, "Ada", tmp_path)


def mend(hunt: Hunt) -> None:
    for fault in hunt.dealt.circuit.faults:
        hunt.bench.repair(fault.part)
    assert hunt.prove().ok


def test_the_hunts_stand_in_order_of_difficulty(rungs):
    levels = [rung.level for rung in rungs]
    assert levels == sorted(levels)
    assert len(rungs) == len(SOME)


def test_a_file_with_something_wrong_is_named_and_the_others_are_there(folder, tmp_path):
    other = tmp_path / "exercises"
    shutil.copytree(folder, other)
    (other / "bad.toml").write_text('title = "x"\ncircuit = "circuits/washdown.toml"\n')
    rungs, problems = ladder(other)
    assert len(rungs) == len(SOME)
    assert problems
    assert all("bad.toml" in problem for problem in problems)


def test_a_folder_without_exercises_is_said_so(tmp_path):
    rungs, problems = ladder(tmp_path)
    assert rungs == []
    assert "no exercises" in problems[0]


def test_what_was_proven_on_another_day_counts_for_that_learner_alone(rungs, tmp_path):
    mend(KeptHunt(rungs[0].exercise, "Ada", tmp_path))
    assert finished("Ada", tmp_path) == {rungs[0].exercise.title}
    assert finished("Grace", tmp_path) == set()
    assert finished("Ada", tmp_path / "nowhere") == set()


def test_nothing_is_begun_or_written_before_a_hunt_is_opened(card, tmp_path):
    assert card.hunt is None
    assert list(tmp_path.iterdir()) == []


def test_the_first_is_the_easiest_and_the_next_is_another_and_says_why(card):
    first = card.take_next()
    assert first.exercise.title == card.rungs[0].exercise.title
    assert "The easiest to begin with." in card._said.value
    mend(first)
    second = card.take_next()
    assert second.exercise.title != first.exercise.title
    assert card.choice.options[0][0].startswith("✓")


def test_when_all_are_done_the_card_says_so(card):
    for _ in card.rungs:
        mend(card.take_next())
    assert card.take_next() is None
    assert "All of them are done" in card._said.value


def test_the_learner_s_name_decides_the_deal_and_the_marks(folder, tmp_path):
    card = LadderCard(folder, "Ada", tmp_path)
    hunt = card.take_next()
    assert hunt.dealt.faults == hunt.exercise.deal("Ada").faults
    mend(hunt)
    card._note()
    card.name.value = "Grace"
    assert not any(label.startswith("✓") for label, _ in card.choice.options)
    again = card.open_hunt()
    assert again.dealt.faults == again.exercise.deal("Grace").faults


def test_a_hunt_left_goes_on_where_it_was(card, folder, tmp_path):
    hunt = card.take_next()
    hunt.bench.read("M1:1")
    anew = LadderCard(folder, "Ada", tmp_path)
    assert len(anew.take_next().bench.log) == 1


def test_the_list_names_no_fault(card):
    said = str(card.choice.options) + repr(card)
    for rung in card.rungs:
        for faults in rung.exercise.variants:
            assert not any(fault in said for fault in faults)


def test_the_card_speaks_to_its_page(card):
    assert card.comm is not None  # a method of ours called as one of the widget's own once hid it
