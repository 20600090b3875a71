"""Points for a hunt by a rubric the instructor sets in a file, and a grade book's rows."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from labkit.desk.marks import Mark
from labkit.exercises.exercise import Exercise
from labkit.text.messages import CircuitError
from labkit.text.toml_file import read_toml
from labkit.text.wording import sentences


class Rubric(BaseModel):
    """How many points a hunt gives and costs. The defaults are our choice.

    A file has these keys at its top, each a number::

        named    = 4      # part and mode named rightly
        known    = 1      # and the readings left nothing else likely
        proven   = 4      # the repair proven under load
        answers  = 1      # times the share of questions answered rightly
        wrong    = -1     # each wrong name
        hazard   = -1     # each
        over_par = -0.1   # each minute over the exercise's par
    """

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)
    named: float = Field(default=4.0, ge=0)
    known: float = Field(default=1.0, ge=0)
    proven: float = Field(default=4.0, ge=0)
    answers: float = Field(default=1.0, ge=0)
    wrong: float = Field(default=-1.0, le=0)
    hazard: float = Field(default=-1.0, le=0)
    over_par: float = Field(default=-0.1, le=0)

    def points(self, mark: Mark, par: float | None = None) -> float:
        """Return the points of an attempt, never below 0.

        Parameters
        ----------
        mark : Mark
            One that was not played again, or came out otherwise than its file says, gets none.
        par : float, optional
            Of its exercise. [min]
        """
        if not mark.played:
            return 0.0
        total = (
            self.named * bool(mark.right)
            + self.known * bool(mark.right and mark.known)
            + self.proven * mark.proven
            + (self.answers * mark.correct / mark.answered if mark.answered else 0.0)
            + self.wrong * len(mark.wrong)
            + self.hazard * len(mark.hazards)
            + self.over_par * max(0.0, mark.minutes - par if par is not None else 0.0)
        )
        return round(max(0.0, total), 2)


def read_rubric(path: Path) -> Rubric:
    """Read a rubric's file.

    Raises
    ------
    CircuitError
        A sentence for each key that is wrong.
    """
    try:
        return Rubric.model_validate(read_toml(path))
    except ValidationError as error:
        refused = sentences(error, Rubric, "a rubric")
        raise CircuitError([f"{path}: {text}" for text in refused]) from None


@dataclass(frozen=True)
class Row:
    """One learner's line for one exercise in the grade book."""

    learner: str
    exercise: str
    started: str
    points: float
    proven: bool
    named: bool
    first_time: bool
    known: bool | None
    minutes: float
    par: float | None
    readings: int
    hazards: int
    wrong: int
    misconceptions: tuple[str, ...]
    checked: bool
    file: str


def rows(
    marks: Iterable[Mark],
    exercises: Mapping[str, Exercise],
    rubric: Rubric,
    learners: Iterable[str] = (),
) -> list[Row]:
    """Return the grade book: a row for each attempt, and one for each missing hand-in.

    Parameters
    ----------
    marks : iterable of Mark
    exercises : mapping of str to Exercise
        By title; an exercise nobody tried makes no rows.
    rubric : Rubric
    learners : iterable of str, optional
        The class: whoever has no attempt at an exercise that others tried gets a row with 0 points.
    """
    given = sorted(marks, key=lambda mark: (mark.title, mark.learner, mark.started))
    made = []
    for mark in given:
        exercise = exercises.get(mark.title)
        par = exercise.par / 60 if exercise else None
        made.append(
            Row(
                mark.learner, mark.title, mark.started, rubric.points(mark, par), mark.proven,
                bool(mark.right), bool(mark.right) and not mark.wrong, mark.known,
                round(mark.minutes, 1), par, mark.readings, len(mark.hazards), len(mark.wrong),
                mark.misconceptions, mark.played, mark.file,
            )
        )  # fmt: skip
    tried = {(mark.title, mark.learner) for mark in given}
    missing = [
        Row(learner, title, "", 0.0, False, False, False, None, 0.0, None, 0, 0, 0, (), False, "")
        for title in sorted({mark.title for mark in given} & set(exercises))
        for learner in learners
        if (title, learner) not in tried
    ]
    return sorted(made + missing, key=lambda row: (row.exercise, row.learner))


def as_csv(table: Iterable[Row]) -> str:
    """Write the grade book as comma-separated values that no spreadsheet takes for formulas."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(
        ["learner", "exercise", "handed in", "points", "proven", "named", "right first time",
         "known or lucky", "minutes", "par", "readings", "hazards", "wrong names",
         "misconceptions", "checked", "file"]
    )  # fmt: skip
    for row in table:
        luck = {True: "known", False: "lucky", None: ""}[row.known]
        cells = [
            row.learner, row.exercise, row.started or "nothing", row.points, _yes(row.proven),
            _yes(row.named), _yes(row.first_time), luck, row.minutes,
            "" if row.par is None else round(row.par, 1), row.readings, row.hazards, row.wrong,
            "; ".join(row.misconceptions), _yes(row.checked), row.file,
        ]  # fmt: skip
        writer.writerow([_harmless(cell) if isinstance(cell, str) else cell for cell in cells])
    return out.getvalue()


def _yes(fact: bool) -> str:
    return "yes" if fact else "no"


def _harmless(cell: str) -> str:
    """Put an apostrophe before what a spreadsheet would work out as a formula."""
    return f"'{cell}" if cell.lstrip()[:1] in ("=", "+", "-", "@") else cell
