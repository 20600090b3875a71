"""Which readings of a class told nothing."""

from labkit.desk.wasted import wasted
from labkit.exercises.exercise import load_exercise
from labkit.hunts.kept import KeptHunt
from labkit.record import read_folder
from tests.boats import EXERCISES


def test_a_reading_taken_twice_told_nothing_and_one_that_decides_did(tmp_path):
    exercise = load_exercise(EXERCISES / "slow-washdown.toml")
    for name in ("Ada", "Bo"):
        hunt = KeptHunt(exercise, name, tmp_path)
        hunt.bench.switch("S2", "on")
        hunt.bench.look("M1")
        hunt.bench.read("M1:1", "M1:2")
        for _ in range(2 if name == "Ada" else 1):
            hunt.bench.read("M1:1", "M1:2")
        hunt.bench.read("X1:1", "X1:2")
        hunt.attempt.close()
    records, _ = read_folder(tmp_path)
    (told,) = wasted(records, {exercise.title: exercise}).values()
    again = next(did for did in told if "M1:1" in did and "M1:2" in did)
    assert told[again] == {"Ada", "Bo"}
    assert not any("X1:1" in did for did in told)
    assert wasted(records, {}) == {}
