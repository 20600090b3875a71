"""Answers to lessons are graded again: honest ones are as they were, a forged one names itself."""

from dataclasses import replace

import pytest

from labkit.desk.class_page import class_page
from labkit.desk.rubric import Rubric
from labkit.lessons.lesson import Lesson
from labkit.lessons.regrading import given_again, lessons_below, marks_of_lessons, regraded
from labkit.questions import Choose, Order, Predict, PredictBoth, Repair, Separate
from labkit.record import begin, read_record
from labkit.widgets import Card
from tests.boats import EXERCISES, share

NOTEBOOKS = EXERCISES.parent / "notebooks"


def _answers(question):
    """Some answers to a question, right and wrong."""
    match question:
        case Predict():
            return [["0"], ["3,5 V"], [question.reading.display]]
        case PredictBoth():
            return [["12.7", "0 V"]]
        case Choose():
            return [[answer] for answer in question.answers]
        case Order():
            steps = [step for group in question.groups for step in group]
            return [[steps], [steps[::-1]]]
        case Repair():
            return [[next(iter(question.repairs)), next(reversed(question.proofs))]]
    return []


@pytest.fixture(scope="module")
def lesson():
    return Lesson(NOTEBOOKS / "05-corroded-joint.toml")


@pytest.fixture
def record(lesson, tmp_path):
    """An honest attempt, as the lesson's cards keep it."""
    attempt = begin(lesson.head.title, "Ada", tmp_path)
    for question in lesson.questions.values():
        card = Card(question, attempt)
        for answer in _answers(question):
            card.answer(*answer)
    card.show()
    attempt.close()
    return read_record(attempt.path)


def test_an_honest_attempt_is_graded_as_it_was(lesson, record):
    assert {line["right"] for line in record.of("answer")} == {True, False}
    kinds = {type(q) for q in lesson.questions.values() if _answers(q)}
    assert len(kinds) > 3
    again = regraded(record, lesson)
    assert again.differs == ""
    assert again.record.lines == record.lines
    assert again.mark.played
    assert Rubric().points(again.mark) > 0


def _first_of(field):
    """What somebody in a hurry answers with."""
    if hasattr(field, "box"):
        return "12.7"
    if hasattr(field, "steps"):
        return list(field.steps)
    if hasattr(field, "means"):
        return field.means[:1]
    return field.options[0][1]


@pytest.mark.parametrize("path", share(sorted(NOTEBOOKS.glob("*.toml")), 3), ids=lambda p: p.stem)
def test_whatever_a_lesson_asks_is_graded_again_as_its_card_did(path, tmp_path):
    lesson = Lesson(path)
    attempt = begin(lesson.head.title, "Ada", tmp_path)
    for question in lesson.questions.values():
        card = Card(question, attempt)
        for field in card.fields:
            field.value = _first_of(field)
        if card.verdict is None:  # one click answers some
            card.commit()
    attempt.close()
    if attempt.path.exists():
        record = read_record(attempt.path)
        assert regraded(record, lesson).differs == ""
        assert len(record.of("answer")) > 0


def _changed(record, number, **facts):
    lines = [*record.lines]
    lines[number] = {**lines[number], **facts}
    return replace(record, lines=tuple(lines))


def test_whatever_is_forged_in_any_answer_names_its_line(lesson, record):
    for number, line in enumerate(record.lines):
        if line["kind"] != "answer":
            continue
        for facts in (
            {"right": not line["right"]},
            {"misconception": "" if line["misconception"] else "sign"},
            {"ask": "What is the capital of Fiddler's Green?"},
            {"said": [{"no": "answer"}]},
            {"kind": "proof", "ok": True},
        ):
            again = regraded(_changed(record, number, **facts), lesson)
            assert f": line {number + 2} " in again.differs, facts
            assert Rubric().points(again.mark) == 0


def test_what_a_class_is_told_of_is_as_it_was_graded_again(lesson, record):
    called_right = record
    for number, line in enumerate(record.lines):
        if line["kind"] == "answer":
            called_right = _changed(called_right, number, right=True, misconception="")
    again, honest = (regraded(one, lesson) for one in (called_right, record))
    assert again.mark.correct == honest.mark.correct < honest.mark.answered
    pages = [class_page([one.mark], [one.record]) for one in (again, honest)]
    assert pages[0].questions == pages[1].questions
    assert pages[0].teach == pages[1].teach


def test_the_wording_of_another_version_accuses_nobody(lesson, record):
    older = replace(record, head={**record.head, "program": "0.1.0"})
    number = next(n for n, line in enumerate(older.lines) if line.get("misconception"))
    assert regraded(_changed(older, number, misconception="sign"), lesson).differs == ""
    assert regraded(_changed(older, number, right=True), lesson).differs != ""


def test_lessons_are_found_by_title_and_the_rest_is_left_to_others(lesson, record):
    files = lessons_below(NOTEBOOKS)
    assert files[lesson.head.title] == lesson.file
    hunt = replace(record, head={**record.head, "title": "a hunt"})
    made, others = marks_of_lessons([record, hunt], files)
    assert [one.differs for one in made] == [""]
    assert others == [hunt]


def test_an_answer_given_by_place_and_by_name_is_given_so_again(lesson):
    question = next(q for q in lesson.questions.values() if isinstance(q, Separate))
    switch = next(iter(question.circuit.positions))
    where = question.circuit.positions[switch]
    once = question.grade("X1:1", "DC-", "volts", **{switch: where})
    assert given_again(question, ["X1:1", "DC-", "volts", [switch, where]]) == once
    assert once.right is not None
