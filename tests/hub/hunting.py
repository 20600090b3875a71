"""The hunt that learners at a hub play, and what each has to name and mend."""

from __future__ import annotations

from labkit.exercises.exercise import load_exercise
from labkit.questions import NameFault
from tests.boats import EXERCISES
from tests.hub.learner import Learner

EXERCISE = EXERCISES / "chart-lamp-dark.toml"
NOTEBOOK = "notebooks/01-start-here.ipynb"
CELL = f'from labkit import hunt\n\ncard = hunt("../exercises/{EXERCISE.name}")\ncard'
WHO = "import os; print(os.getpid(), os.getppid())"


def look(learner: Learner) -> None:
    """Put both leads on and look at the lamp."""
    assert learner.act("touch", key="G1:+")["meter"]
    learner.act("touch", key="G1:-")
    learner.act("do", action="look", id="E1")


def finish(learner: Learner) -> None:
    """Name what this learner was dealt, mend it and prove it."""
    dealt = load_exercise(EXERCISE).deal(learner.name)
    question, fault = NameFault(dealt), dealt.circuit.faults[0]
    mode = next(word for word in question.modes if question.grade(fault.part, word).right)
    learner.act("name", part=fault.part, mode=mode)
    learner.act("do", action="fit" if fault.part[0] == "F" else "repair", id=fault.part)
    learner.act("prove")


def acts(learner: Learner) -> int:
    """How many lines stand in the log on the page."""
    return len(learner.state["history"])
