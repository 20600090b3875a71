"""A survey taken: which boat somebody is dealt, what is asked of it, and what was answered."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from labkit.exercises.surveys import SurveyExercise
from labkit.parts import Cable, Protection
from labkit.questions import SurveyBoat, Verdict
from labkit.record import Record

DONE = "surveyed"
"""What is named rightly once every danger is ticked and nothing else."""


class SurveyHunt:
    """One person's survey of the boat they were dealt.

    Parameters
    ----------
    exercise : SurveyExercise
    name : str
        Whose it is: the same name is dealt the same boat. One that was dealt to somebody is theirs.

    Attributes
    ----------
    dealt : Dealt
    question : SurveyBoat
    """

    def __init__(self, exercise: SurveyExercise, name: str = "") -> None:
        self.exercise, self.name = exercise, exercise.learner or name
        self.dealt = exercise.deal(self.name)
        self.question = SurveyBoat(self.dealt.circuit, exercise.sound)

    def __repr__(self) -> str:
        return f"<SurveyHunt {self.exercise.title!r}: {len(self.question.claims)} claims>"

    @property
    def fitted(self) -> list[tuple[str, str, str]]:
        """Fuses, breakers and wires: each with what is drawn, and what is found printed on it."""
        boat = self.question.circuit
        found = {f.part: f.amount for f in boat.faults if f.mode in ("wrong fuse", "too thin")}
        parts = (p for p in boat.parts.values() if isinstance(p, Protection | Cable))
        return [(p.id, p.rating, found.get(p.id, p.rating)) for p in parts]

    @property
    def report(self) -> str:
        """What a surveyor would have written of this boat."""
        return self.dealt.cause


def graded(record: Record, exercise: SurveyExercise) -> list[tuple[Verdict, bool]]:
    """Grade the answers of an attempt anew.

    Returns
    -------
    list of (Verdict, bool)
        For each answer, and whether its line says the same of it.
    """
    question = SurveyHunt(exercise, str(record.head.get("learner", ""))).question
    found = []
    for line in record.of("answer"):
        verdict = question.grade(_ticked(line.get("said")))
        found.append((verdict, verdict.right is line.get("right")))
    return found


def as_graded(record: Record, exercise: SurveyExercise) -> Record:
    """Return an attempt with its answers right or wrong as they are now found to be."""
    verdicts = iter(verdict for verdict, _ in graded(record, exercise))
    lines = [
        _judged(line, next(verdicts)) if line["kind"] == "answer" else line for line in record.lines
    ]
    return replace(record, lines=tuple(lines))


def _judged(line: Mapping[str, Any], verdict: Verdict) -> Mapping[str, Any]:
    return {**line, "right": verdict.right, "misconception": verdict.misconception}


def _ticked(said: Any) -> Sequence[str]:
    """The claims that a line says were ticked."""
    first = said[0] if isinstance(said, list) and said else ()
    return [str(one) for one in first] if isinstance(first, list) else []
