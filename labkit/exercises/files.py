"""A file of the course, whatever it is: a circuit, an exercise or a survey."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from labkit.circuits.circuit import Circuit
from labkit.circuits.circuit_file import load_circuit
from labkit.exercises.exercise import Exercise, exercise_from
from labkit.exercises.surveys import SurveyExercise, survey_from
from labkit.text.messages import CircuitError
from labkit.text.toml_file import read_toml


def load(path: str | Path) -> Circuit | Exercise | SurveyExercise:
    """Read a circuit, an exercise or a survey, whichever the file is.

    Raises
    ------
    CircuitError
        As what reads each of them does.
    """
    table = read_toml(path)
    told = "survey" in table or "circuit" in table
    return story_from(table, path) if told else load_circuit(path)


def story_from(
    table: Mapping[str, Any], path: str | Path, on: Circuit | None = None
) -> Exercise | SurveyExercise:
    """Build an exercise or a survey from a parsed file, on the circuit it names or the one given.

    Raises
    ------
    CircuitError
        As what builds each of them does.
    """
    if "run" in table:
        raise CircuitError(
            [
                f"{path}: is a circuit, with nothing wrong in it; name an exercise on it, or write "
                "one with 'labkit new'"
            ]
        )
    return (survey_from if "survey" in table else exercise_from)(table, path, on)
