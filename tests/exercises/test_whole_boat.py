"""The whole boat and her hunts, looked at once.

She has a folder of her own, so that what is tried on every shipped circuit is not tried on 270
parts as well: that would take the suite some minutes more. What is tried on her is here, and in the
command ``labkit check exercises``, which takes some twenty seconds for her.
"""

from __future__ import annotations

import pytest

from labkit.circuits.circuit_file import load_circuit
from labkit.circuits.structure import structure_of
from labkit.diagnosis.closing_in import close_in
from labkit.drawing.sheets import is_large
from labkit.exercises.checking import check_circuit, check_exercise
from labkit.exercises.exercise import load_exercise
from labkit.solving.near import NearCircuit
from labkit.solving.solver import solve
from labkit.survey.survey import survey
from tests.boats import EXERCISES

FOLDER = EXERCISES / "whole-boat"
HUNTS = sorted(path for path in FOLDER.glob("*.toml") if path.stem != "curlew")
BOAT = load_circuit(FOLDER / "curlew.toml")


def test_she_has_forty_circuits_two_batteries_and_two_voltages() -> None:
    groups = structure_of(BOAT.runs, BOAT.parts.values()).groups
    assert 250 <= len(BOAT.parts) <= 300
    assert sum(bool(group.loads) for group in groups) >= 40
    point = solve(BOAT.with_position(S2="on"))
    volts = [point.volt(f"{id}:+", f"{id}:-") for id in ("G1", "G2")]
    assert volts == [pytest.approx(25.4, abs=0.3), pytest.approx(12.7, abs=0.2)]
    assert is_large(BOAT)


def test_a_sound_boat_settles_and_her_survey_finds_nothing() -> None:
    assert check_circuit(BOAT) == []
    assert survey(BOAT).lines() == []


def test_there_are_three_hunts_on_her() -> None:
    assert len(HUNTS) >= 3


@pytest.mark.parametrize("path", HUNTS, ids=lambda path: path.stem)
def test_her_hunts_show_and_fail_and_are_reasoned_about_near_the_load(path) -> None:
    hunt = load_exercise(path)
    assert check_exercise(hunt) == []
    near = close_in(hunt.circuit, hunt.named)
    assert isinstance(near, NearCircuit)
    assert len(near.parts) <= 30
