"""Attempts that are alike are told of as facts; attempts of one term are picked by their dates."""

import json
from datetime import date

import pytest

from labkit.desk.alike import alike
from labkit.desk.term import begun_in, day
from labkit.exercises.exercise import load_exercise
from labkit.hunts.kept import KeptHunt
from labkit.record import read_record
from labkit.record.lines import encode
from labkit.text.messages import CircuitError
from tests.boats import EXERCISES

POINTS = ("S2:1", "X1:1", "X1:2", "M1:1", "M1:2", "F2:1")


def played(folder, learner, points=POINTS, pace=7.3, started="2026-10-05T09:00:00+00:00"):
    """A learner's readings, so many seconds apart."""
    hunt = KeptHunt(load_exercise(EXERCISES / "slow-washdown.toml"), learner, folder)
    for point in points:
        hunt.bench.read(point)
    hunt.attempt.close()
    bodies = [json.loads(line) for line in hunt.attempt.path.read_text("utf-8").splitlines()]
    bodies[0]["started"] = started
    for number, body in enumerate(bodies[1:]):
        body["seconds"] = round(number * pace + 0.1 * (number % 2), 1)
    hunt.attempt.path.write_bytes(b"".join(
        encode(n, b["kind"], {k: v for k, v in b.items() if k not in ("n", "kind", "sum")})
        for n, b in enumerate(bodies)
    ))  # fmt: skip  # rows that a reader compares
    return read_record(hunt.attempt.path)


def test_the_same_steps_and_the_same_pauses_are_said_beside_two_names(tmp_path):
    (said,) = alike([played(tmp_path, "Ada"), played(tmp_path, "Bo")])
    assert said == (
        "The washdown pump that only dribbles: Ada and Bo: the same 6 steps in the same order, "
        "and the same 5 pauses between them, to a tenth of a second"
    )


def test_the_same_steps_at_another_pace_are_only_steps(tmp_path):
    (said,) = alike([played(tmp_path, "Ada"), played(tmp_path, "Bo", pace=9.1)])
    assert said.endswith("the same 6 steps in the same order")


def test_whoever_goes_another_way_or_only_begins_is_not_named(tmp_path):
    ada = played(tmp_path, "Ada")
    assert alike([ada, played(tmp_path, "Bo", POINTS[::-1], pace=9.1)]) == []
    short = [played(tmp_path, name, POINTS[:3]) for name in ("Cy", "Di")]
    assert alike(short) == []
    assert alike([ada, ada]) == []


def test_a_term_has_the_days_it_begins_and_ends_on(tmp_path):
    given = [
        played(tmp_path, name, started=f"{on}T23:30:00+00:00")
        for name, on in (("Ada", "2026-08-31"), ("Bo", "2026-09-01"), ("Cy", "2027-01-31"))
    ]
    within, undated = begun_in(given, date(2026, 9, 1), date(2027, 1, 31))
    assert [record.head["learner"] for record in within] == ["Bo", "Cy"]
    assert undated == []
    assert begun_in(given, None, None)[0] == given
    (one,) = begun_in([played(tmp_path, "Di", started="lately")], date(2026, 9, 1), None)[1]
    assert "does not say when it was begun" in one


def test_a_day_that_is_none_is_refused_in_a_sentence():
    assert day("", "--since") is None
    with pytest.raises(CircuitError, match="--since autumn: write a date as year-month-day"):
        day("autumn", "--since")
