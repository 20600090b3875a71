"""The hunts of the final: sound, nameable, mendable, and on boats that no other hunt is set in."""

import pytest

from labkit import load_circuit
from labkit.drawing import draw
from labkit.drawing.layout import WIDEST
from labkit.exercises.checking import check_file
from labkit.exercises.exercise import load_exercise
from labkit.hunts.ladder import ladder
from tests.boats import CIRCUITS, EXERCISES
from tests.drawing.clashes import crossings

FINAL = sorted((EXERCISES / "final").glob("*.toml"))

final = pytest.mark.parametrize("file", FINAL, ids=lambda file: file.stem)


def test_the_final_has_six_to_eight_hunts_each_on_a_boat_of_its_own():
    assert 6 <= len(FINAL) <= 8
    boats = {load_exercise(file).circuit.title for file in FINAL}
    assert len(boats) == len(FINAL)
    assert not boats & {load_circuit(file).title for file in CIRCUITS}


@final
def test_a_hunt_of_the_final_passes_its_check_and_its_boat_is_drawn_on_a_page(file):
    _, problems, warnings = check_file(file)
    assert not problems + warnings
    drawn = draw(load_exercise(file).circuit)
    assert drawn.width <= WIDEST
    assert len(crossings(drawn.placement.sheet)) <= 1


def test_the_list_of_hunts_leaves_the_final_out(tmp_path):
    (tmp_path / "final").mkdir()
    (tmp_path / "final" / "one.toml").write_text("title = 'x'", encoding="utf-8")
    rungs, problems = ladder(tmp_path)
    assert rungs == []
    assert "no exercises" in problems[0]
