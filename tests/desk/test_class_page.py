import pytest

from labkit.desk.class_page import class_page
from labkit.desk.marks import Mark
from labkit.record import begin
from labkit.record.lines import read_record


def played(learner, title="a slow pump", **facts):
    usual = {
        "right": ("X1 resistance",), "wrong": (), "answered": 0, "correct": 0, "minutes": 20.0,
        "readings": 5, "hazards": (), "misconceptions": (), "proven": True, "started": "2026",
        "cost": 22.0, "safe": True,
    }  # fmt: skip  # rows that a reader compares
    return Mark(learner, title, **{**usual, **facts})


def answered(folder, learner, *rights):
    made = begin("the meter", learner, folder)
    for right in rights:
        idea = "" if right else "return is zero"
        made.add("answer", ask="how <much>?", right=right, misconception=idea)
    made.close()
    return read_record(made.path)


@pytest.fixture
def page(tmp_path):
    marks = [
        played("Ada"),
        played("Bo", wrong=("M1 seized",), proven=False, cost=80.0, safe=False),
        played("Bo", "the meter", right=(), readings=0, misconceptions=("return is zero",)),
        played("Cy", wrong=("M1 seized",), cost=40.0),
    ]
    wasted = {"a slow pump": {"2 (G1:+) to 1 (DC-)": {"Ada", "Bo"}, "look at E1": {"Cy"}}}
    return class_page(
        marks, [answered(tmp_path, "Ada", True), answered(tmp_path, "Bo", False, True)], wasted
    )


def test_each_hunt_is_told_by_the_middle_of_the_class(page):
    row = page.hunts[0]
    assert (row.learners, row.proven, row.clean, row.cost) == (3, 2, 1, 40.0)
    assert row.wrong == (("M1 seized", 2),)


def test_readings_that_told_nothing_stand_beside_their_hunt(page):
    assert page.hunts[0].wasted == (("2 (G1:+) to 1 (DC-)", 2), ("look at E1", 1))
    assert "2 (G1:+) to 1 (DC-) (2), look at E1 (1)" in page.html


def test_a_question_counts_who_was_right_at_once_and_the_ideas_behind_the_rest(page):
    row = page.questions[0]
    assert (row.learners, row.right, row.ideas) == (2, 1, (("return is zero", 1),))


def test_what_is_taught_next_begins_with_danger_and_then_the_proof(page):
    assert page.teach[0].startswith("Make safe before hands go in: 1 learner did not.")
    assert page.teach[1].startswith("Prove the repair under load: 1 learner left")
    assert page.teach[2].startswith("1 learner: The way home is a wire")


def test_the_page_names_nobody_and_asks_nothing_from_anywhere(page):
    assert not any(name in page.html for name in ("Ada", "Bo", "Cy"))
    assert "how &lt;much&gt;?" in page.html
    assert "http" not in page.html
