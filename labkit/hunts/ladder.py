"""All hunts of a folder, the easiest first, and which of them a learner takes next."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from pathlib import Path

from labkit.exercises.difficulty import Difficulty, difficulty
from labkit.exercises.exercise import Exercise, load_exercise
from labkit.record import read_folder, records_folder
from labkit.text.messages import CircuitError


@dataclass(frozen=True)
class Rung:
    """A hunt and how hard it is."""

    exercise: Exercise
    difficulty: Difficulty

    def __str__(self) -> str:
        return f"{self.exercise.title} (level {self.difficulty.level} of 5)"


def ladder(folder: str | Path) -> tuple[list[Rung], list[str]]:
    """Read every exercise of a folder and put them in order of computed difficulty.

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
            rungs.append(Rung(exercise, difficulty(exercise)))
        except CircuitError as error:
            problems += error.problems
    if not rungs and not problems:
        problems.append(f"{folder}: no exercises in this folder; name one that has some")
    return sorted(rungs, key=_height), problems


def _height(rung: Rung) -> tuple[float, str]:
    return rung.difficulty.readings, rung.exercise.title


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


def next_rung(rungs: Sequence[Rung], done: Collection[str], after: int = -1) -> int | None:
    """Return the place of the next hunt not done: upwards from one, then from the bottom again.

    Parameters
    ----------
    rungs : sequence of Rung
    done : collection of str
        Titles of the exercises done.
    after : int
        Place of the hunt just left, -1 for none.

    Returns
    -------
    int or None
        None where all are done.
    """
    order = [*range(after + 1, len(rungs)), *range(after + 1)]
    return next((n for n in order if rungs[n].exercise.title not in done), None)
