"""What the desk shows beside a file: what is wrong with it, and what a kind of part takes."""

from __future__ import annotations

from html import escape

from labkit.circuits.circuit import Circuit
from labkit.desk.part_kinds import fails, keys_of, says, written
from labkit.exercises.checking import check_circuit, check_exercise, check_survey
from labkit.exercises.exercise import Exercise
from labkit.exercises.surveys import SurveyExercise
from labkit.parts import KINDS, Part
from labkit.survey.survey import survey


def kind_page(name: str) -> str:
    """What a kind of part is, its keys and how it fails, as HTML."""
    kind = KINDS[name]
    rows = "".join(
        f"<tr><td><b>{escape(key.name)}</b></td><td>{escape(key.example)}</td>"
        f"<td>{escape(key.otherwise)}</td><td>{escape(key.means)}</td></tr>"
        for key in (*keys_of(kind), *keys_of(Part, common=True))
    )
    head = "<tr><th>key</th><th>such as</th><th>left out</th><th>means</th></tr>"
    return (
        f"<p>{escape(says(kind))}</p><pre>{escape(written(kind))}</pre><table>{head}{rows}</table>"
        f"<p><b>Fails by:</b> {escape('; '.join(fails(kind)))}</p>"
    )


def findings(loaded: Circuit | Exercise | SurveyExercise) -> list[str]:
    """What is wrong with a file, and what a survey of its circuit warns of."""
    if isinstance(loaded, Exercise):
        return check_exercise(loaded) or survey(loaded.circuit).lines()
    if isinstance(loaded, SurveyExercise):
        return check_survey(loaded)
    return check_circuit(loaded) or survey(loaded).lines()
