import pytest

from labkit.hunts.progress import MENDED_AFTER, of_records, progress
from labkit.record import begin

SLIP = {"ask": "how much?", "right": False, "misconception": "sign"}
RIGHT = {"ask": "how much?", "right": True, "misconception": ""}


def keep(folder, title, *lines):
    made = begin(title, "Ada", folder)
    for kind, facts in lines:
        made.add(kind, **facts)
    made.close()


@pytest.fixture
def folder(tmp_path):
    keep(tmp_path, "the meter", ("answer", SLIP), ("answer", RIGHT))
    keep(
        tmp_path, "a dead lamp",
        ("act", {"action": "read", "args": {}, "shows": "", "minutes": 1.0,
                 "hazards": [{"kind": "ohms live", "text": ""}]}),
        ("named", {"part": "X1", "mode": "open", "right": False, "misconception": ""}),
        ("finished", {"minutes": 20.0, "cost": 65.0}),
    )  # fmt: skip  # rows that a reader compares
    keep(tmp_path, "a slow pump", ("finished", {"minutes": 18.0, "cost": 18.0}))
    keep(tmp_path, "left half way", ("act", {"action": "read", "args": {}, "shows": ""}))
    return tmp_path


def test_lessons_count_the_last_answer_to_each_question(folder):
    assert progress("Ada", folder).lessons == (("the meter", 1, 1),)


def test_hunts_brought_to_their_end_say_what_they_cost(folder):
    dead, slow = progress("Ada", folder).hunts
    assert (dead.title, dead.cost, dead.wrong, dead.hazards, dead.clean) == (
        "a dead lamp", 65.0, 1, 1, False,
    )  # fmt: skip  # rows that a reader compares
    assert slow.clean


def test_an_idea_met_is_mended_when_it_has_not_come_back_for_long_enough(folder):
    met = progress("Ada", folder).ideas[0]
    assert (met.key, met.times, met.where, met.mended) == ("sign", 1, "the meter", False)
    keep(folder, "more", *[("answer", RIGHT)] * MENDED_AFTER)
    assert progress("Ada", folder).ideas[0].mended


def test_a_rule_owned_to_when_looking_back_counts_as_met(folder):
    keep(folder, "a dim lamp", ("owned", {"rule": "blames the load", "held": True,
         "misconception": "blames the load"}))  # fmt: skip  # rows that a reader compares
    keep(folder, "a slow pump", ("owned", {"rule": "sign", "held": False, "misconception": ""}))
    met = {idea.key: idea for idea in progress("Ada", folder).ideas}
    assert (met["blames the load"].owned, met["blames the load"].where) == (1, "a dim lamp")
    assert (met["sign"].times, met["sign"].owned) == (1, 0)
    assert "by your own word" in str(progress("Ada", folder))


def test_the_chart_says_in_words_what_it_shows(folder):
    chart = progress("Ada", folder).chart
    assert chart.alt == "What each hunt cost, in minutes: a dead lamp 65, a slow pump 18."
    assert chart.png.startswith(b"\x89PNG")


def test_another_learner_sees_nothing_of_it(folder):
    assert str(progress("Grace", folder)).startswith("Nothing of Grace is kept yet")


def test_who_has_done_nothing_is_told_where_to_begin():
    assert "answer a question, or take a hunt" in str(of_records("Ada", []))
