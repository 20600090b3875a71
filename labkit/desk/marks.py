"""A class's attempts in figures: what was named, minutes, hazards, and the errors that recur."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from labkit.exercises.exercise import Exercise, load_exercise
from labkit.hunts.kept import relive
from labkit.record import Record
from labkit.text.messages import CircuitError
from labkit.text.toml_file import read_toml

RECURS = 2
"""An error recurs where so many learners made it. Chosen."""


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
    proven : bool
        Whether the repair was proven.
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


def mark(record: Record) -> Mark:
    """Sum up what a record tells."""
    acts, named, answers = record.of("act"), record.of("named"), record.of("answer")
    said = [(f"{line.get('part')} {line.get('mode')}", line.get("right")) for line in named]
    wrong_ideas = [line.get("misconception") for line in (*named, *answers)]
    return Mark(
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
        "misconceptions": set(), "hazards": set(), "named wrongly": set(),
    }  # fmt: skip
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


def exercises_below(folder: Path) -> dict[str, Exercise]:
    """Return the exercises in a folder and below, by their titles."""
    found = {}
    for path in sorted(folder.rglob("*.toml")):
        if "circuit" in read_toml(path):
            exercise = load_exercise(path)
            found[exercise.title] = exercise
    return found


def doubts(records: Iterable[Record], exercises: Mapping[str, Exercise]) -> list[str]:
    """Play every attempt again and say, a sentence each, which does not show what it tells."""
    found = []
    for record in records:
        exercise = exercises.get(str(record.head.get("title", "")))
        if exercise is None:
            continue
        try:
            hunt = relive(record, exercise)
        except CircuitError as error:
            found += error.problems
            continue
        told = [line.get("right") for line in record.of("named")]
        if told != [verdict.right for verdict in hunt.verdicts]:
            found.append(f"{record.path}: what was named is graded otherwise now; mark it by hand")
    return found
