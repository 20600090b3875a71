"""What beginners plausibly answer gets a reason of its own, a hint first, and never a false one."""

from __future__ import annotations

import re
from collections import Counter
from pathlib import Path

import pytest

from labkit.lessons.lesson import Lesson
from labkit.questions import MISCONCEPTIONS, Predict
from labkit.questions.misconceptions import HINTS
from labkit.questions.verdict import with_unit
from tests.boats import ROOT, shipped

LESSONS = {
    file.name.partition("-")[0]: file for file in sorted((ROOT / "notebooks").glob("*.toml"))
}
ROWS = [
    [word.strip() for word in line.split("|")]
    for line in Path(__file__).with_name("wrong_answers.txt").read_text("utf-8").splitlines()
    if not line.startswith("#")
]
CORRODED = shipped("washdown").with_fault("X1 resistance 1.6 ohm")


@pytest.mark.parametrize("number", LESSONS)
def test_each_wrong_answer_is_wrong_and_its_idea_is_named(number: str) -> None:
    questions = Lesson(LESSONS[number]).questions
    for _, place, answer, idea, named in (row for row in ROWS if row[0] == number):
        verdict = questions[place].grade(answer)
        assert verdict.right is False, (place, answer)
        assert (verdict.misconception or "-") == named, (place, answer, idea)


def test_nineteen_in_twenty_of_two_hundred_wrong_answers_get_a_reason_of_their_own() -> None:
    assert len(ROWS) >= 200
    assert len({tuple(row[:3]) for row in ROWS}) == len(ROWS)
    assert sum(row[4] != "-" for row in ROWS) >= 0.95 * len(ROWS)
    assert max(Counter(row[4] for row in ROWS).values()) < len(ROWS) / 4  # no reason fits all


@pytest.mark.parametrize("number", LESSONS)
def test_a_hint_gives_no_number_away_and_a_reason_does(number: str) -> None:
    questions = Lesson(LESSONS[number]).questions
    for _, place, answer, _, _ in (row for row in ROWS if row[0] == number):
        verdict = questions[place].grade(answer)
        assert verdict.hint
        assert not re.search(r"\d", verdict.hint), verdict.hint
        assert questions[place].reading.display in verdict.text


def test_every_reading_of_a_lesson_has_its_right_answer_accused_of_nothing() -> None:
    for file in LESSONS.values():
        for question in Lesson(file).questions.values():
            if isinstance(question, Predict):
                verdict = question.grade(question.reading.display)
                assert verdict.right
                assert verdict.misconception == ""


def test_every_hint_belongs_to_an_idea_that_has_its_reason() -> None:
    assert set(HINTS) <= set(MISCONCEPTIONS)
    assert all(text.endswith("?") or "?" in text for text in HINTS.values())


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("12.7", "12.7 V"),
        ("12,7", "12.7 V"),
        ("12,7 V", "12.7 V"),
        ("-3", "-3 V"),
        ("\u22123", "-3 V"),
        (" 5 mV ", "5 mV"),
        ("1,234.5", "1,234.5"),
        ("", ""),
    ],
)
def test_a_bare_number_takes_the_unit_meant_and_a_comma_is_a_point(typed: str, read: str) -> None:
    assert with_unit(typed, "V") == read


@pytest.mark.parametrize("typed", ["12.7", "12,7", "12,7 V", "12.70 V", "12700 mV"])
def test_the_same_answer_in_every_writing_is_right(typed: str) -> None:
    assert Predict(CORRODED, "X1:2").grade(typed).right


def test_a_number_with_point_and_comma_is_not_guessed_at() -> None:
    verdict = Predict(CORRODED, "X1:2").grade("1,234.5")
    assert verdict.right is None
    assert "such as 3.5" in verdict.text


def test_where_no_idea_explains_an_answer_the_hint_asks_whether_anything_flows() -> None:
    idle = Predict(CORRODED, "X1:2").grade("9.31 V")
    running = Predict(CORRODED.with_position(S2="on"), "X1:2").grade("9.31 V")
    assert idle.misconception == running.misconception == ""
    assert "Nothing flows" in idle.hint
    assert "Current flows" in running.hint
