"""Readings that told nothing: of which a class took many, and where."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping

from labkit.diagnosis.closing_in import named_in
from labkit.diagnosis.logbook import asked
from labkit.diagnosis.ranking import adviser_for
from labkit.exercises.exercise import Exercise
from labkit.exercises.surveys import SurveyExercise
from labkit.hunts.hunt import Hunt
from labkit.hunts.next_time import IDLE
from labkit.hunts.path_taken import did_words
from labkit.hunts.replay import replay
from labkit.record import Record


def wasted(
    records: Iterable[Record], exercises: Mapping[str, Exercise | SurveyExercise]
) -> dict[str, dict[str, set[str]]]:
    """Say of each hunt which readings told nothing, and who took them.

    Parameters
    ----------
    records : iterable of Record
        The attempts.
    exercises : mapping of str to Exercise
        By title; an attempt at another one is not weighed, nor one at a survey.

    Returns
    -------
    dict
        By title, what was done, to the learners who did it.
    """
    found: dict[str, dict[str, set[str]]] = defaultdict(lambda: defaultdict(set))
    for record in records:
        exercise = exercises.get(str(record.head.get("title", "")))
        if isinstance(exercise, Exercise):
            hunt = replay(record, exercise).hunt
            for did in idle(hunt):
                found[exercise.title][did].add(hunt.learner)
    return {title: dict(told) for title, told in found.items()}


def idle(hunt: Hunt) -> list[str]:
    """Name what was done in a hunt, while several suspects stood, that told hardly anything."""
    exercise = hunt.exercise
    items = asked(hunt.bench.log, exercise.circuit)
    near = exercise.named | named_in(item.evidence for item in items)
    start = adviser_for(exercise.circuit, exercise.candidates, named=near).start
    weighed, found = start.copy(), []
    for item in items:
        could = len(weighed.remaining()) > 1 and item.evidence.function != "fit"
        bits = 0.0
        if not item.void:
            weighed.see(item.evidence)
            bits = weighed.steps[-1].bits
        if could and bits < IDLE:
            found.append(did_words(item.evidence, "", start.circuit)[0])
    return found
