"""A class's attempts in figures: what was named, minutes, hazards, and the errors that recur."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from labkit.aboard.habits import made_safe
from labkit.exercises.exercise import Exercise
from labkit.exercises.files import story_from
from labkit.exercises.surveys import SurveyExercise
from labkit.hunts.replay import Replay, replay
from labkit.hunts.surveying import DONE, graded
from labkit.record import Record
from labkit.text.messages import CircuitError
from labkit.text.toml_file import read_toml

RECURS = 2
"""An error recurs where so many learners made it. Our choice."""


@dataclass(frozen=True)
class Mark:
    """One attempt in figures.

    Attributes
    ----------
    learner, title : str
    right, wrong : tuple of str
        What was named rightly and wrongly, as 'X1 open', in order.
    answered, correct : int
        Questions answered on the way, and how many of them rightly.
    minutes : float
        Spent at the bench. [min]
    readings : int
    hazards : tuple of str
        Kinds of hazard, each as often as it happened.
    misconceptions : tuple of str
        Behind names and answers, and those that the learner owned to, looking back.
    proven : bool
        Whether the repair was proven.
    started : str
        Date and time, by the learner's clock.
    file : str
    known : bool or None
        Whether the readings left nothing else likely as the fault was named; None where unknown.
    played : bool
        Whether it was played again and came out as its file says.
    safe : bool or None
        Whether it was made safe before hands went in; None where they went nowhere.
    cost : float or None
        What it has cost as :class:`labkit.hunts.bill.Bill` counts; None where it was not played
        again. [min]
    """

    learner: str
    title: str
    right: tuple[str, ...]
    wrong: tuple[str, ...]
    answered: int
    correct: int
    minutes: float
    readings: int
    hazards: tuple[str, ...]
    misconceptions: tuple[str, ...]
    proven: bool
    started: str = ""
    file: str = ""
    known: bool | None = None
    played: bool = False
    safe: bool | None = None
    cost: float | None = None


def mark(record: Record, replayed: Replay | None = None) -> Mark:
    """Sum up an attempt: what came of playing it again, or else what its file tells."""
    acts, named, answers = record.of("act"), record.of("named"), record.of("answer")
    said = [(f"{line.get('part')} {line.get('mode')}", line.get("right")) for line in named]
    owned = record.of("owned")
    wrong_ideas = [line.get("misconception") for line in (*named, *answers, *owned)]
    told = Mark(
        learner=str(record.head.get("learner", "")),
        title=str(record.head.get("title", "")),
        right=tuple(what for what, right in said if right is True),
        wrong=tuple(what for what, right in said if right is False),
        answered=len(answers),
        correct=sum(line.get("right") is True for line in answers),
        minutes=sum(float(line.get("minutes", 0.0)) for line in acts),
        readings=sum(line.get("action") == "read" for line in acts),
        hazards=tuple(str(h["kind"]) for line in acts for h in line.get("hazards", ())),
        misconceptions=tuple(str(idea) for idea in wrong_ideas if idea),
        proven=any(line.get("ok") is True for line in record.of("proof")),
        started=str(record.head.get("started", "")),
        file=str(record.path),
        safe=made_safe(
            [(str(line["action"]), line["args"], str(line["shows"])) for line in acts]
        ).ok,
    )
    return told if replayed is None else _as_played(told, record, replayed)


def _as_played(told: Mark, record: Record, replayed: Replay) -> Mark:
    hunt = replayed.hunt
    log, verdicts = hunt.bench.log, hunt.verdicts
    said = [f"{line.get('part')} {line.get('mode')}" for line in record.of("named")]
    graded = list(zip(said, verdicts, strict=False))
    ideas: list[object] = [verdict.misconception for verdict in verdicts]
    ideas += [line.get("misconception") for line in record.of("owned")]
    right = [named for named in hunt.named if named.verdict.right]
    return replace(
        told,
        right=tuple(what for what, verdict in graded if verdict.right is True),
        wrong=tuple(what for what, verdict in graded if verdict.right is False),
        answered=0,
        correct=0,
        minutes=hunt.minutes,
        readings=sum(entry.action == "read" for entry in log),
        hazards=tuple(hazard.kind for entry in log for hazard in entry.hazards),
        misconceptions=tuple(str(idea) for idea in ideas if idea),
        proven=hunt.proven is not None and hunt.proven.ok,
        known=right[0].proved if right else None,
        played=not replayed.differs,
        safe=hunt.safe.ok,
        cost=hunt.bill.minutes,
    )


def survey_mark(record: Record, exercise: SurveyExercise) -> Mark:
    """Sum up a survey: its answers graded anew, on the boat its learner was dealt."""
    found = graded(record, exercise)
    rights = [verdict.right for verdict, _ in found]
    return replace(
        mark(record),
        right=(DONE,) if True in rights else (),
        wrong=(f"{DONE} wrongly",) * rights.count(False),
        answered=len(rights),
        correct=rights.count(True),
        proven=True in rights,
        known=rights[:1] == [True] if True in rights else None,
        played=bool(rights) and all(same for _, same in found),
    )


def recurring(marks: Iterable[Mark]) -> dict[str, list[tuple[str, int]]]:
    """Count the learners behind each error.

    Returns
    -------
    dict
        Under 'misconceptions', 'hazards' and 'named wrongly': what, and how many learners, the
        most frequent first; RECURS learners at least.
    """
    seen: dict[str, set[tuple[str, str]]] = {
        "misconceptions": set(),
        "hazards": set(),
        "named wrongly": set(),
    }
    for one in marks:
        seen["misconceptions"] |= {(idea, one.learner) for idea in one.misconceptions}
        seen["hazards"] |= {(kind, one.learner) for kind in one.hazards}
        seen["named wrongly"] |= {(f"{one.title}: {what}", one.learner) for what in one.wrong}
    counted = {
        name: Counter(what for what, _ in pairs).most_common() for name, pairs in seen.items()
    }
    return {
        name: sorted((item for item in items if item[1] >= RECURS), key=lambda i: (-i[1], i[0]))
        for name, items in counted.items()
    }


def exercises_below(folder: Path) -> tuple[dict[str, Exercise | SurveyExercise], list[str]]:
    """Return the exercises and surveys in a folder and below, by their titles.

    Returns
    -------
    dict and list of str
        What is wrong with the others, a sentence for each file.
    """
    found: dict[str, Exercise | SurveyExercise] = {}
    unread: list[str] = []
    for path in sorted(folder.rglob("*.toml")):
        try:
            if {"circuit", "title"} <= (table := read_toml(path)).keys() and "boats" not in table:
                exercise = story_from(table, path)
                found[exercise.title] = exercise
        except CircuitError as error:
            unread.append(f"{error.problems[0]}; so no attempt at it is played again")
    return found, unread


def replayed(
    records: Iterable[Record], exercises: Mapping[str, Exercise | SurveyExercise]
) -> tuple[list[Mark], list[str]]:
    """Mark every attempt by playing it again.

    Parameters
    ----------
    records : iterable of Record
    exercises : mapping of str to Exercise or SurveyExercise
        By title.

    Returns
    -------
    list of Mark and list of str
        A sentence for each attempt that does not show what its file tells, or that could not be
        played because no exercise of its title is known.
    """
    marks, doubts = [], []
    for record in records:
        exercise = exercises.get(str(record.head.get("title", "")))
        if exercise is None:
            marks.append(mark(record))
            if record.of("act"):
                doubts.append(f"{record.path}: no exercise of this title is known; not checked")
            continue
        if isinstance(exercise, SurveyExercise):
            marks.append(survey_mark(record, exercise))
            if not marks[-1].played:
                doubts.append(f"{record.path}: graded again, its answers come out differently")
            continue
        made = replay(record, exercise)
        marks.append(mark(record, made))
        if made.differs:
            doubts.append(made.differs)
    return marks, doubts
