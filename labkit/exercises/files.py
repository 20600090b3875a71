"""A file of the course, whatever it is: a circuit, an exercise or a survey."""

from __future__ import annotations

from pathlib import Path

from labkit.circuits.circuit import Circuit
from labkit.circuits.circuit_file import load_circuit
from labkit.exercises.exercise import Exercise, exercise_from
from labkit.exercises.surveys import SurveyExercise, survey_from
from labkit.text.toml_file import read_toml


def load(path: str | Path) -> Circuit | Exercise | SurveyExercise:
    """Read a circuit, an exercise or a survey, whichever the file is.

    Raises
    ------
    CircuitError
        As what reads each of them does.
    """
    table = read_toml(path)
    if "survey" in table:
        return survey_from(table, path)
    return exercise_from(table, path) if "circuit" in table else load_circuit(path)
