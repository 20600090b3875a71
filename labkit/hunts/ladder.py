"""All hunts of a folder, the easiest first, and which of them a learner takes next."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from labkit.exercises.exercise import Exercise, load_exercise
from labkit.hunts.played import trials
from labkit.record import read_folder, records_folder
from labkit.text.messages import CircuitError


@dataclass(frozen=True)
class Rung:
    """A hunt and how hard it is.

    Attributes
    ----------
    exercise : Exercise
    level : int
        From 1, plain, to 5: by how many simulated learners fail at it, or computed where none has
        played it.
    """

    exercise: Exercise
    level: int

    def __str__(self) -> str:
        return f"{self.exercise.title} (level {self.level} of 5)"


def level_of(exercise: Exercise) -> int:
    """Return how hard an exercise is, from 1 to 5."""
    played = trials().get(exercise.title)
    if played is not None:
        return played.level
    from labkit.exercises.difficulty import difficulty  # its numpy is not needed else

    return difficulty(exercise).level


def ladder(folder: str | Path) -> tuple[list[Rung], list[str]]:
    """Read every exercise of a folder and put them in order of difficulty.

    Parameters
    ----------
    folder : str or Path
        Its files are taken, not those of folders below it.

    Returns
    -------
    list of Rung and list of str
        The easiest first; and a sentence for everything wrong with a file that was left out.
    """
    rungs, problems = [], []
    for path in sorted(Path(folder).glob("*.toml")):
        try:
            exercise = load_exercise(path)
            rungs.append(Rung(exercise, level_of(exercise)))
        except CircuitError as error:
            problems += error.problems
    if not rungs and not problems:
        problems.append(f"{folder}: no exercises in this folder; name one that has some")
    return sorted(rungs, key=_height), problems


def _height(rung: Rung) -> tuple[int, float, str]:
    played = trials().get(rung.exercise.title)
    return rung.level, played.failed if played else 0.0, rung.exercise.title


def finished(learner: str, folder: Path | None = None) -> set[str]:
    """Return the titles of the exercises a learner has brought to a proven repair.

    Parameters
    ----------
    learner : str
    folder : Path, optional
        Where attempts are kept; :func:`labkit.record.records_folder` where not said.
    """
    records, _ = read_folder(folder or records_folder())
    return {
        str(record.head["title"])
        for record in records
        if record.finished and record.head.get("learner") == learner
    }
