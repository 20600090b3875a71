"""What a file says of an attempt is compared with what comes of playing it again."""

import csv
import io
import json
import random
from dataclasses import replace

import pytest

from labkit.desk.marks import mark, replayed
from labkit.desk.rubric import Rubric, as_csv, read_rubric, rows
from labkit.exercises.exercise import load_exercise
from labkit.hunts.kept import KeptHunt
from labkit.hunts.replay import replay
from labkit.record import read_record
from labkit.record.lines import encode
from labkit.text.messages import CircuitError
from tests.boats import ROOT


@pytest.fixture(scope="module")
def exercise():
    return load_exercise(ROOT / "exercises" / "slow-washdown.toml")


@pytest.fixture(scope="module")
def honest(exercise, tmp_path_factory):
    """A whole attempt: a look, two readings, a wrong name, the right one, repair and proof."""
    hunt = KeptHunt(exercise, "Ada", tmp_path_factory.mktemp("attempts"))
    hunt.bench.switch("S2", "on")
    hunt.bench.look("M1")
    hunt.bench.read("X1:1", "X1:2", "volts")
    hunt.bench.read("M1:1", "M1:2", "ohms")
    hunt.name("M1", "seized")
    hunt.name("X1", "high resistance")
    hunt.bench.switch("S2", "off")
    hunt.bench.repair("X1")
    hunt.prove()
    hunt.attempt.close()
    assert hunt.proven.ok
    return hunt.attempt.path


def _forged(path, folder, change):
    """Write the attempt with its lines changed, each with a checksum that fits."""
    bodies = [json.loads(line) for line in path.read_text("utf-8").splitlines()]
    for body in bodies:
        body.pop("sum")
    bodies = change(bodies) or bodies
    target = folder / path.name
    with open(target, "wb") as file:
        for number, body in enumerate(bodies):
            facts = {key: value for key, value in body.items() if key not in ("n", "kind")}
            file.write(encode(number, body["kind"], facts))
    return read_record(target)


def test_an_honest_attempt_comes_out_as_it_says(honest, exercise):
    made = replay(read_record(honest), exercise)
    assert made.differs == ""
    assert made.hunt.proven.ok


def _of(key, kind, to):
    def change(bodies):
        line = random.Random(1).choice([b for b in bodies if b["kind"] == kind and key in b])
        assert line[key] != to
        line[key] = to

    return change


def _hazards_gone(bodies):
    line = next(b for b in bodies if b.get("hazards"))
    line["hazards"] = []


def _proof_without_repair(bodies):
    return [b for b in bodies if b.get("action") != "repair"]


def _wrong_name_left_out(bodies):
    bodies[:] = [b for b in bodies if not (b["kind"] == "named" and not b["right"])]


def _minutes_left_out(bodies):
    del next(b for b in bodies if b["kind"] == "act")["minutes"]


FORGERIES = {
    "fewer minutes": _of("minutes", "act", 0.01),
    "another display": _of("shows", "act", "0.001 V"),
    "no hazards": _hazards_gone,
    "a wrong name called right": lambda b: _of("right", "named", True)(
        [x for x in b if x["kind"] == "named" and not x["right"]]
    ),
    "a proof without a repair": _proof_without_repair,
    "a smaller loss": _of("drop", "proof", 0.0),
    "fewer minutes in all": _of("minutes", "finished", 0.5),
    "minutes not said": _minutes_left_out,
}


@pytest.mark.parametrize("name", FORGERIES)
def test_a_forged_line_names_itself(honest, exercise, tmp_path, name):
    record = _forged(honest, tmp_path, FORGERIES[name])
    made = replay(record, exercise)
    assert made.differs.startswith(f"{record.path}: line ")
    one = mark(record, made)
    assert not one.played
    assert Rubric().points(one, exercise.par / 60) == 0.0


def test_a_wrong_name_left_out_is_no_forgery_but_its_minutes_are_what_was_played(
    honest, exercise, tmp_path
):
    record = _forged(honest, tmp_path, _wrong_name_left_out)
    made = replay(record, exercise)
    assert mark(record, made).wrong == ()


def test_what_is_marked_is_what_was_played_and_not_what_is_written(honest, exercise, tmp_path):
    record = _forged(honest, tmp_path, _of("minutes", "act", 0.01))
    told, played = mark(record), mark(record, replay(record, exercise))
    assert told.minutes < played.minutes


def test_an_attempt_at_an_unknown_exercise_is_said_to_be_unchecked(honest):
    marks, doubts = replayed([read_record(honest)], {})
    assert "no exercise of this title is known; not checked" in doubts[0]
    assert not marks[0].played


def test_the_grade_book_lists_who_handed_nothing_in(honest, exercise):
    record = read_record(honest)
    marks, _ = replayed([record], {exercise.title: exercise})
    table = rows(marks, {exercise.title: exercise}, Rubric(), ["Ada", "Bo"])
    assert [(row.learner, row.started != "", row.points > 0) for row in table] == [
        ("Ada", True, True), ("Bo", False, False),
    ]  # fmt: skip  # rows that a reader compares
    number = exercise.deal("Ada").number + 1
    assert f"\nAda,{exercise.title},{number},yes,{record.head['started']}," in as_csv(table)
    assert f"\nBo,{exercise.title},,no,," in as_csv(table)


@pytest.mark.parametrize("name", ["=1+1", "@here", "+3", "-2", " =1+1"])
def test_no_cell_of_the_grade_book_is_a_formula(honest, exercise, name):
    marks, _ = replayed([read_record(honest)], {exercise.title: exercise})
    text = as_csv(rows(marks, {exercise.title: exercise}, Rubric(), [name]))
    assert f"\n'{name}," in text


def test_a_rubric_is_a_file_of_numbers(tmp_path):
    path = tmp_path / "rubric.toml"
    path.write_text("named = 10\nproven = 0\nwrong = -2.5\n", encoding="utf-8")
    assert (read_rubric(path).named, read_rubric(path).wrong) == (10.0, -2.5)
    path.write_text("naemd = 10\nwrong = 3\n", encoding="utf-8")
    with pytest.raises(CircuitError) as refused:
        read_rubric(path)
    assert len(refused.value.problems) == 2


def test_the_grade_book_says_who_made_it_safe_and_the_rubric_scores_it(honest, exercise):
    (given,), _ = replayed([read_record(honest)], {exercise.title: exercise})
    books = {
        said: as_csv(rows([replace(given, safe=safe)], {exercise.title: exercise}, Rubric()))
        for said, safe in (("yes", True), ("no", False), ("", None))
    }
    for said, book in books.items():
        (row,) = csv.DictReader(io.StringIO(book))
        assert row["made safe"] == said
    points = [Rubric(safe=3).points(replace(given, safe=safe)) for safe in (True, False, None)]
    assert points[0] - points[1] == 3
    assert points[1] == points[2]


def test_a_copy_from_somebody_with_the_same_fault_fails_at_its_first_reading(tmp_path):
    made = load_exercise(ROOT / "exercises" / "washdown-again.toml")
    number = made.deal("Ada").number
    names = (f"learner {n}" for n in range(40))
    others = [name for name in names if made.deal(name).number == number][:5]
    hunt = KeptHunt(made, "Ada", tmp_path)
    hunt.bench.switch("S2", "on")
    hunt.bench.look("M1")
    hunt.bench.read("M1:1", "M1:2")
    hunt.name(made.deal("Ada").circuit.faults[0].part, "high resistance")
    hunt.attempt.close()
    record = read_record(hunt.attempt.path)
    assert replay(record, made).differs == ""
    for name in others:
        copied = replace(record, head={**record.head, "learner": name})
        assert ": line 4 says shows" in replay(copied, made).differs
    assert len(others) == 5
