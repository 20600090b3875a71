"""Surveys as exercises: everything works, and what is dangerous is computed."""

from __future__ import annotations

import shutil

import pytest

from labkit.exercises.checking import check_file
from labkit.exercises.exercise import load_exercise
from labkit.exercises.files import load
from labkit.text.messages import CircuitError
from tests.boats import EXERCISES

SURVEYS = sorted((EXERCISES / "surveys").glob("*.toml"))


@pytest.fixture
def text(tmp_path):
    """A copy of a shipped survey, and what a check says of it once it is changed."""
    shutil.copytree(EXERCISES / "surveys" / "circuits", tmp_path / "circuits")
    shipped = (EXERCISES / "surveys" / "new-loads.toml").read_text(encoding="utf-8")

    def changed(old: str, new: str) -> list[str]:
        assert old in shipped
        (tmp_path / "x.toml").write_text(shipped.replace(old, new), encoding="utf-8")
        return check_file(tmp_path / "x.toml").problems

    return changed


def test_at_least_two_surveys_are_shipped():
    assert len(SURVEYS) >= 2


@pytest.mark.parametrize("path", SURVEYS, ids=lambda p: p.stem)
def test_a_shipped_survey_is_fit_and_warns_of_nothing_that_it_asks_for(path):
    assert check_file(path)[1:] == ([], [])


def test_the_same_name_is_dealt_the_same_boat_and_names_are_dealt_all_boats():
    survey = load(EXERCISES / "surveys" / "new-loads.toml")
    numbers = [survey.deal(f"learner {n}").number for n in range(30)]
    assert numbers == [survey.deal(f"learner {n}").number for n in range(30)]
    assert set(numbers) == {0, 1, 2}


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('"F2 wrong fuse 30 A + ', '"F2 blown + ', "something does not work"),
        (
            '"F2 wrong fuse 30 A + F4 wrong fuse 40 A"',
            '"F4 wrong fuse 3 A"',
            "nothing breaks a rule",
        ),
        ('"F2 wrong fuse 30 A + ', '"F9 wrong fuse 30 A + ', "no part 'F9'"),
        ("sound = 4", "sound = 0", "survey.sound"),
        ("sound = 4", "decoys = 4", "no such key"),
    ],
)
def test_a_survey_that_is_not_fit_says_why(text, old, new, said):
    assert any(said in problem for problem in text(old, new)), text(old, new)


def test_a_survey_is_no_hunt_with_a_proof():
    with pytest.raises(CircuitError, match="is a survey"):
        load_exercise(SURVEYS[0])
