"""The order of the course, and questions of former lessons at the head of the next."""

from datetime import UTC, datetime, timedelta

import pytest

from labkit.lessons.again import asked_again
from labkit.lessons.lesson import Lesson
from labkit.lessons.order import neighbours, title_of
from labkit.record import begin, read_folder, records_folder, user
from tests.boats import ROOT

NOTEBOOKS = ROOT / "notebooks"


def test_every_lesson_leads_to_the_next_and_back():
    files = sorted(NOTEBOOKS.glob("[0-9]*.ipynb"))
    beside = [neighbours(file) for file in files]
    assert beside[0][0] is None
    assert beside[-1][1] is None
    assert [after.file for _, after in beside[:-1]] == [file.name for file in files[1:]]
    assert [before.file for before, _ in beside[1:]] == [file.name for file in files[:-1]]


def test_a_title_is_the_lessons_own_or_the_first_heading():
    assert title_of(NOTEBOOKS / "05-corroded-joint.ipynb").startswith("5. The joint")
    hunts = next(NOTEBOOKS.glob("*-hunts.ipynb"))
    assert title_of(hunts) != hunts.stem


def test_a_notebook_elsewhere_has_no_neighbours(tmp_path):
    assert neighbours(tmp_path / "mine.ipynb") == (None, None)


@pytest.fixture
def missed(tmp_path, monkeypatch):
    monkeypatch.setenv("LABKIT_RECORDS", str(tmp_path))
    lesson = Lesson(NOTEBOOKS / "05-corroded-joint.toml")
    attempt = begin(lesson.head.title, user())
    attempt.add("answer", ask=lesson.questions["behind"].ask, right=False)
    attempt.close()
    return lesson


def test_what_was_missed_days_ago_is_asked_at_the_head_of_the_next_lesson(missed):
    later = datetime.now(UTC) + timedelta(days=2)
    _, source, card = asked_again(NOTEBOOKS, "6.", later).children
    assert missed.head.title in source.value
    assert card.question.ask == missed.questions["behind"].ask
    assert card.verdict is None
    card.answer("12.7 V")
    (kept,) = read_folder(records_folder())[0]  # with the other answers to that question
    assert [line["right"] for line in kept.of("answer")] == [False, True]


def test_a_lesson_does_not_repeat_its_own_questions_at_its_head(missed):
    assert asked_again(NOTEBOOKS, missed.head.title, datetime.now(UTC) + timedelta(days=2)) is None
    assert asked_again(NOTEBOOKS, "6.") is None
