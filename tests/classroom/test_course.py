"""The course laid into a folder of the learner's own, where their work stays."""

import re
import tomllib

import pytest

from labkit.classroom import course
from labkit.exercises.files import load
from labkit.text.messages import CircuitError


@pytest.fixture
def shelf(tmp_path, monkeypatch):
    """A small course to lay."""
    made = tmp_path / "shelf"
    (made / "notebooks" / "pictures").mkdir(parents=True)
    (made / "exercises" / "circuits").mkdir(parents=True)
    (made / "notebooks" / "01-start.ipynb").write_text("one")
    (made / "notebooks" / "conftest.py").write_text("for tests")
    (made / "notebooks" / "pictures" / "a.svg").write_text("<svg/>")
    (made / "exercises" / "circuits" / "lamp.toml").write_text("lamp")
    monkeypatch.setattr(course, "source", lambda: made)
    return made


def test_the_course_is_laid_whole_and_without_what_only_tests_need(shelf, tmp_path):
    assert course.lay(tmp_path / "mine") == []
    there = {p.relative_to(tmp_path / "mine").as_posix() for p in (tmp_path / "mine").rglob("*.*")}
    assert there == {
        ".labkit-course.json", "notebooks/01-start.ipynb", "notebooks/pictures/a.svg",
        "exercises/circuits/lamp.toml",
    }  # fmt: skip  # rows that a reader compares


def test_what_a_learner_changed_is_never_written_over(shelf, tmp_path):
    mine = tmp_path / "mine"
    course.lay(mine)
    (mine / "notebooks" / "01-start.ipynb").write_text("my answers")
    assert course.lay(mine) == []
    (shelf / "notebooks" / "01-start.ipynb").write_text("one, newer")
    (told,) = course.lay(mine)
    assert "01-start.ipynb: is yours and stays" in told
    assert (mine / "notebooks" / "01-start.ipynb").read_text() == "my answers"
    assert (mine / "notebooks" / "01-start.ipynb.new").read_text() == "one, newer"


def test_a_file_of_the_same_name_that_was_there_before_the_course_stays(shelf, tmp_path):
    mine = tmp_path / "mine"
    (mine / "notebooks").mkdir(parents=True)
    (mine / "notebooks" / "01-start.ipynb").write_text("an essay")
    assert len(course.lay(mine)) == 1
    assert (mine / "notebooks" / "01-start.ipynb").read_text() == "an essay"


def test_what_nobody_changed_is_brought_up_to_date(shelf, tmp_path):
    mine = tmp_path / "mine"
    course.lay(mine)
    (shelf / "exercises" / "circuits" / "lamp.toml").write_text("a better lamp")
    assert course.lay(mine) == []
    assert (mine / "exercises" / "circuits" / "lamp.toml").read_text() == "a better lamp"


def test_a_file_is_no_folder_to_lay_into(shelf, tmp_path):
    (tmp_path / "taken").write_text("")
    with pytest.raises(CircuitError, match="is a file; name a folder"):
        course.lay(tmp_path / "taken")


def test_learners_get_the_lessons_and_of_the_exercises_those_that_the_lessons_name():
    names = course.needed(course.source())
    everything = set(course.files(course.source()))
    assert set(names) < everything
    lessons = {name for name in everything if re.fullmatch(r"notebooks/[^/]*\.ipynb", name)}
    assert len(lessons) > 20
    assert lessons - set(names) == {name for name in lessons if "instructor" in name}
    assert {"exercises/slow-washdown.toml", "exercises/circuits/washdown.toml"} <= set(names)
    assert "exercises/horn-hoarse.toml" not in names
    assert not [name for name in names if name.startswith("exercises/study/")]  # tells the answers


def files_named(value):
    """Every TOML file named anywhere in a lesson's table."""
    if isinstance(value, str):
        return {value} if value.endswith(".toml") else set()
    inside = value.values() if isinstance(value, dict) else value if isinstance(value, list) else ()
    return set().union(*(files_named(item) for item in inside))


def test_all_that_a_lesson_names_is_laid_and_can_be_read(tmp_path):
    course.lay(tmp_path, course.needed(course.source()))
    named = {
        file.parent / name
        for file in (tmp_path / "notebooks").glob("*.toml")
        for name in files_named(tomllib.loads(file.read_text("utf-8")))
    }
    assert len(named) >= 20
    assert all(load(file).title for file in named)


def test_only_what_is_asked_for_is_laid(shelf, tmp_path):
    course.lay(tmp_path / "mine", ["notebooks/01-start.ipynb"])
    assert not (tmp_path / "mine" / "exercises").exists()
