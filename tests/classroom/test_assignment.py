"""An assignment's cells are marked as nbgrader reads them, and give what was played its points.

What nbgrader makes of it is tried by ``python -m tests.nbgrader``, where it is installed.
"""

import json

import nbformat
import pytest
from nbclient import NotebookClient

from labkit.classroom import grading
from labkit.classroom.assignment import assignment
from labkit.cli.main import command
from labkit.exercises.exercise import load_exercise
from labkit.exercises.sealed import seal, unseal
from tests.boats import EXERCISES
from tests.classroom.handing_in import EXERCISE, FORGED, hand_in, play

FILE = EXERCISES / EXERCISE


@pytest.fixture(scope="module")
def written():
    return assignment(FILE, points=5.0)


@pytest.fixture
def handed_in(tmp_path, monkeypatch):
    """Stand where nbgrader grades a student's work."""

    def stand(student):
        place = tmp_path / "autograded" / student / "hunt"
        place.mkdir(parents=True)
        monkeypatch.chdir(place)
        monkeypatch.setenv("NBGRADER_EXECUTION", "autograde")
        return place

    return stand


def test_a_whole_exercise_in_a_box_is_dealt_to_whoever_opens_it():
    exercise, opened = load_exercise(FILE), unseal(seal(FILE))
    for name in ("ana", "bo", "cy"):
        assert opened.deal(name).faults == exercise.deal(name).faults
    assert not opened.learner


def test_the_notebook_is_valid_and_tells_no_fault(written):
    book = nbformat.reads(written, as_version=4)
    nbformat.validate(book)
    exercise = load_exercise(FILE)
    for faults, cause in zip(exercise.variants, exercise.causes, strict=True):
        assert not any(fault in written for fault in faults)
        assert cause[:40] not in written


def test_each_cell_says_what_nbgrader_asks_of_it(written):
    marks = [cell["metadata"]["nbgrader"] for cell in json.loads(written)["cells"]]
    assert len({mark["grade_id"] for mark in marks}) == len(marks)
    for mark in marks:
        assert mark["schema_version"] == 3
        assert mark.keys() >= {"grade", "solution", "locked", "task", "cell_type"}
        assert ("points" in mark) == mark["grade"]
        assert mark["locked"] != mark["solution"]  # what a student writes is not put back
    assert [mark["points"] for mark in marks if mark["grade"]] == [3.0, 5]


@pytest.mark.parametrize("student", FORGED)
def test_what_is_handed_in_is_worth_what_came_of_playing_it_again(handed_in, capsys, student):
    hand_in(handed_in(student), student)
    least, most = FORGED[student]
    assert least <= grading.points(seal(FILE), 5) <= most
    said = capsys.readouterr()
    assert said.err == ""  # nbgrader takes a word there for a failure
    why = {
        "cy": "says minutes 0.1",
        "di": "handed in by di and says it is bo's",
        "flo": "No attempt",
    }
    assert why.get(student, "") in said.out


def test_the_best_of_several_attempts_counts(handed_in):
    attempts = handed_in("ana") / "attempts"
    play(attempts, "ana", proven=False)
    half = grading.points(seal(FILE), 5)
    play(attempts, "ana")
    assert half < grading.points(seal(FILE), 5)


def test_grading_writes_no_attempt(handed_in):
    place = handed_in("ana")
    card = grading.assigned(seal(FILE))
    card.bench.handle({"ask": "touch", "with": {"key": "G1:+"}})
    card.prove()
    assert not list(place.iterdir())


def test_the_notebook_runs_and_its_last_cell_shows_a_number(tmp_path, monkeypatch, written):
    place = tmp_path / "autograded" / "ana" / "hunt"
    place.mkdir(parents=True)
    play(place / "attempts", "ana")
    monkeypatch.setenv("NBGRADER_EXECUTION", "autograde")
    book = nbformat.reads(written, as_version=4)
    NotebookClient(book, timeout=120, resources={"metadata": {"path": str(place)}}).execute()
    (printed, shown) = book.cells[-1].outputs
    assert printed["name"] == "stdout"
    assert 3.5 <= float(shown["data"]["text/plain"]) <= 5


def test_the_command_writes_it_where_it_is_asked_to(tmp_path, written):
    to = tmp_path / "source" / "hunt" / "hunt.ipynb"
    command(f'labkit assignment "{FILE}" -o "{to}"')
    assert to.read_text("utf-8") == written
