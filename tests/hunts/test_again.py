"""Old questions are asked again after days."""

from datetime import timedelta

import pytest

from labkit.hunts.again import AFTER, MOST, due
from labkit.record import begin, read_folder
from labkit.record.attempt import begun_at

DAY = timedelta(days=1)


@pytest.fixture
def asked(tmp_path):
    """Keep answers, so many days after the first, each right or wrong; say what is due when."""

    def keep(*answers, ask="how much?"):
        attempt = begin("the meter", "Ada", tmp_path)
        for _, right in answers:
            attempt.add("answer", ask=ask, right=right)
        attempt.close()
        (record, *_) = read_folder(tmp_path)[0]
        for line, (day, _) in zip(record.lines, answers, strict=True):
            line["seconds"] = day * DAY.total_seconds()
        begun = begun_at(record.path)
        return lambda day: [one.ask for one in due([record], begun + day * DAY)]

    return keep


def test_what_was_never_missed_is_not_asked_again(asked):
    assert asked((0, True))(100) == []


def test_a_miss_is_asked_again_after_a_day(asked):
    on = asked((0, False))
    assert (on(0.5), on(1.1)) == ([], ["how much?"])


def test_a_right_answer_in_the_same_sitting_is_no_proof(asked):
    assert asked((0, False), (0.01, True))(1.1) == ["how much?"]


def test_each_right_answer_days_later_puts_it_off_for_longer_until_it_is_remembered(asked):
    answers = [(0, False), (1.1, True)]
    on = asked(*answers)
    assert (on(3), on(4.2)) == ([], ["how much?"])


def test_after_the_last_stage_it_is_remembered(asked):
    days = [0.0]
    for wait in AFTER:
        days.append(days[-1] + wait / DAY + 0.1)
    assert asked((0, False), *((day, True) for day in days[1:]))(1000) == []


def test_a_new_miss_begins_anew(asked):
    on = asked((0, False), (1.1, True), (4.2, False))
    assert (on(5), on(5.3)) == ([], ["how much?"])


def test_no_more_than_a_few_are_asked_at_a_time(tmp_path):
    attempt = begin("the meter", "Ada", tmp_path)
    for number in range(MOST + 2):
        attempt.add("answer", ask=f"question {number}", right=False)
    attempt.close()
    records, _ = read_folder(tmp_path)
    assert len(due(records, begun_at(records[0].path) + 2 * DAY)) == MOST
