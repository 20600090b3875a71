"""A hunt handed in with an assignment: played again, and worth so many points.

nbgrader runs the assignment's locked cells in the folder of whoever handed it in. What is worth
points is not what their notebook says but what came of the acts in their record, done again at the
boat they were dealt.
"""

from __future__ import annotations

import os
from pathlib import Path

from labkit.classroom.handed_in import own_work
from labkit.desk.marks import Mark, replayed
from labkit.desk.rubric import Rubric
from labkit.exercises.exercise import Exercise
from labkit.exercises.sealed import unseal
from labkit.hunts.hunt import Hunt
from labkit.hunts.kept import KeptHunt
from labkit.record import read_folder, user
from labkit.text.messages import CircuitError
from labkit.widgets import HuntCard

ATTEMPTS = Path("attempts")
"""Beside the assignment's notebook, so that it is handed in with it."""


def assigned(box: str) -> HuntCard:
    """Show an assignment's hunt, kept beside its notebook; where it is graded, only show it.

    Parameters
    ----------
    box : str
        As :func:`labkit.exercises.sealed.seal` closed it.

    Raises
    ------
    CircuitError
        If it is not as it was sealed.
    """
    exercise, student = _hunt_in(box), _graded()
    if student:
        return HuntCard(Hunt(exercise, student))
    return HuntCard(KeptHunt(exercise, folder=ATTEMPTS))


def points(box: str, most: float, rubric: Rubric | None = None) -> float:
    """Return what the best attempt handed in is worth, and print what it showed.

    Parameters
    ----------
    box : str
    most : float
        Points of a hunt without a fault.
    rubric : Rubric, optional

    Raises
    ------
    CircuitError
        If the box is not as it was sealed.
    """
    exercise, given = _hunt_in(box), rubric or Rubric()
    learner = _graded() or user()
    records, problems = read_folder(ATTEMPTS)
    own, others = own_work(records, lambda _: learner)
    marks, doubts = replayed(own, {exercise.title: exercise})
    for sentence in (*problems, *others, *doubts):
        print(sentence)
    if not marks:
        print("No attempt at this hunt was handed in.")
        return 0.0
    full = given.named + given.known + given.proven + given.safe
    worth = {given.points(mark, exercise.par / 60) / full: mark for mark in marks}
    best = max(worth)
    print(_said(worth[best]))
    return round(most * min(1.0, best), 1)


def _said(mark: Mark) -> str:
    named = "named" if mark.right else "not named"
    how = {True: ", known by its readings", False: ", by luck", None: ""}[mark.known]
    safe = {True: "made safe first", False: "not made safe", None: "no hands went in"}[mark.safe]
    return (
        f"{named}{how}; {'proven' if mark.proven else 'not proven'}; {safe}; {mark.minutes:.0f} "
        f"minutes, {len(mark.wrong)} wrong names, {len(mark.hazards)} hazards"
    )


def _graded() -> str:
    """Whose work nbgrader is grading here: it works in autograded/STUDENT/ASSIGNMENT. Or ''."""
    grading = os.environ.get("NBGRADER_EXECUTION") == "autograde"
    return Path.cwd().parent.name if grading else ""


def _hunt_in(box: str) -> Exercise:
    found = unseal(box)
    if not isinstance(found, Exercise):
        raise CircuitError(["this box holds no hunt"])
    return found
