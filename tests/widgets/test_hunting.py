"""A hunt's card says what a learner must know of the record."""

from labkit.exercises.exercise import load_exercise
from labkit.hunts.kept import KeptHunt
from labkit.widgets import HuntCard
from tests.boats import EXERCISES


def test_a_card_says_on_the_page_that_nothing_can_be_kept(tmp_path):
    blocked = tmp_path / "a file, not a folder"
    blocked.write_text("", encoding="utf-8")
    made = KeptHunt(load_exercise(EXERCISES / "slow-washdown.toml"), "Ada", blocked / "attempts")
    card = HuntCard(made)
    assert card._trouble.value == ""
    made.bench.look("M1")
    assert "Not kept" in card._trouble.value
    assert "cannot be written, not a directory; practice goes on" in card._trouble.value


def test_a_card_says_that_its_hunt_went_on_elsewhere(tmp_path):
    exercise = load_exercise(EXERCISES / "slow-washdown.toml")
    old = HuntCard(KeptHunt(exercise, "Ada", tmp_path))
    old.hunt.bench.look("M1")
    new = HuntCard(KeptHunt(exercise, "Ada", tmp_path))
    old.hunt.bench.look("M1")
    assert "went on elsewhere; what is done here is not kept" in old._trouble.value
    assert new._trouble.value == ""
