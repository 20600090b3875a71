"""A survey is answered on a card, kept, and graded anew for marks."""

from __future__ import annotations

from pathlib import Path

import pytest

from labkit.desk.marks import exercises_below, replayed
from labkit.desk.rubric import Rubric, rows
from labkit.exercises.files import load
from labkit.hunts.surveying import SurveyHunt, as_graded
from labkit.record import read_folder
from labkit.widgets.hunting import SurveyCard
from tests.boats import EXERCISES

FILE = EXERCISES / "surveys" / "sold-as-seen.toml"


@pytest.fixture
def card(tmp_path: Path) -> SurveyCard:
    return SurveyCard(SurveyHunt(load(FILE), "Ada"), tmp_path)


def true(card: SurveyCard) -> list[str]:
    return [claim.says for claim in card.survey.question.claims if claim.true]


def marked(folder: Path):
    known, _ = exercises_below(EXERCISES / "surveys")
    (one,), doubts = replayed(read_folder(folder)[0], known)
    (row,) = rows([one], known, Rubric())
    return one, row, doubts


def test_the_surveyor_speaks_once_it_is_answered(card, tmp_path):
    assert not card.card.answer(true(card)[:1]).right
    assert card._report.value == ""
    assert card.card.answer(true(card)).right
    assert "The surveyor wrote" in card._report.value
    one, row, doubts = marked(tmp_path)
    assert (one.proven, one.played, one.correct, one.answered, doubts) == (True, True, 1, 2, [])
    assert row.points > 0
    assert read_folder(tmp_path)[0][0].finished


def test_what_is_marked_is_graded_anew(card, tmp_path):
    card.card.answer([])
    record = read_folder(tmp_path)[0][0]
    record.lines[0]["right"] = True  # as somebody may write it
    known, _ = exercises_below(EXERCISES / "surveys")
    (one,), doubts = replayed([record], known)
    assert (one.proven, one.played) == (False, False)
    exercise = known[record.head["title"]]
    assert [line["right"] for line in as_graded(record, exercise).of("answer")] == [False]
    assert "come out differently" in doubts[0]
    assert Rubric().points(one) == 0


def test_a_claim_that_is_not_so_is_among_those_of_each_kind(card):
    says = [claim.says for claim in card.survey.question.claims]
    for words in ("wrong end", "bare wire", "too big"):
        assert sum(words in text for text in says) >= 1
    assert sum(not claim.true for claim in card.survey.question.claims) > len(true(card))


def test_an_answer_is_back_on_its_card(card, tmp_path):
    card.card.answer(true(card)[:1])
    again = SurveyCard(SurveyHunt(load(FILE), "Ada"), tmp_path)
    assert again.card.verdict is not None
    assert not again.card.verdict.right


def test_what_is_fitted_otherwise_than_drawn_can_be_seen():
    exercise = load(EXERCISES / "surveys" / "new-loads.toml")
    name = next(n for n in map(str, range(40)) if exercise.deal(n).number == 1)
    fitted = {id: (drawn, found) for id, drawn, found in SurveyHunt(exercise, name).fitted}
    assert fitted["F3"] == ("15 A", "40 A")
    assert fitted["W2"] == ("12 AWG 5 m", "18 AWG")
    assert fitted["F1"] == ("60 A", "60 A")
