"""Points for a hunt by a rubric the instructor sets in a file, and a grade book's rows."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from labkit.desk.marks import Mark
from labkit.exercises.exercise import Exercise
from labkit.exercises.surveys import SurveyExercise
from labkit.text.messages import CircuitError
from labkit.text.toml_file import read_toml
from labkit.text.wording import sentences


class Rubric(BaseModel):
    """How many points a hunt gives and costs. The defaults are our choice.

    A file has these keys at its top, each a number::

        named    = 4      # part and mode named rightly
        known    = 1      # and the readings left nothing else likely
        proven   = 4      # the repair proven under load
        safe     = 1      # isolated, tagged and proved dead before hands went in
        answers  = 1      # times the share of questions answered rightly
        wrong    = -1     # each wrong name
        hazard   = -1     # each
        over_par = -0.1   # each minute over the exercise's par
    """

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)
    named: float = Field(default=4.0, ge=0)
    known: float = Field(default=1.0, ge=0)
    proven: float = Field(default=4.0, ge=0)
    safe: float = Field(default=1.0, ge=0)
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
            + self.safe * (mark.safe is True)
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
    """One learner's line for one exercise in the grade book; of a missing hand-in, nothing more."""

    learner: str
    exercise: str
    variant: int | None = None
    started: str = ""
    points: float = 0.0
    proven: bool = False
    named: bool = False
    first_time: bool = False
    known: bool | None = None
    safe: bool | None = None
    minutes: float = 0.0
    cost: float | None = None
    par: float | None = None
    readings: int = 0
    hazards: int = 0
    wrong: int = 0
    misconceptions: tuple[str, ...] = ()
    checked: bool = False
    file: str = ""


def rows(
    marks: Iterable[Mark],
    exercises: Mapping[str, Exercise | SurveyExercise],
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
    made = [_row(mark, exercises.get(mark.title), rubric) for mark in given]
    tried = {(mark.title, mark.learner) for mark in given}
    missing = [
        Row(learner, title)
        for title in sorted({mark.title for mark in given} & set(exercises))
        for learner in learners
        if (title, learner) not in tried
    ]
    return sorted(made + missing, key=lambda row: (row.exercise, row.learner))


def _row(mark: Mark, exercise: Exercise | SurveyExercise | None, rubric: Rubric) -> Row:
    par = exercise.par / 60 if exercise else None
    variant = exercise.deal(mark.learner).number + 1 if exercise else None
    return Row(
        mark.learner,
        mark.title,
        variant,
        mark.started,
        points=rubric.points(mark, par),
        proven=mark.proven,
        named=bool(mark.right),
        first_time=bool(mark.right) and not mark.wrong,
        known=mark.known,
        safe=mark.safe,
        minutes=round(mark.minutes, 1),
        cost=None if mark.cost is None else round(mark.cost, 1),
        par=par,
        readings=mark.readings,
        hazards=len(mark.hazards),
        wrong=len(mark.wrong),
        misconceptions=mark.misconceptions,
        checked=mark.played,
        file=mark.file,
    )


COLUMNS: Mapping[str, Callable[[Row], object]] = {
    "learner": lambda row: row.learner,
    "exercise": lambda row: row.exercise,
    "variant": lambda row: row.variant,
    "handed in": lambda row: bool(row.file),
    "begun": lambda row: row.started,
    "points": lambda row: row.points,
    "proven": lambda row: row.proven,
    "named": lambda row: row.named,
    "right first time": lambda row: row.first_time,
    "known or lucky": lambda row: {True: "known", False: "lucky", None: ""}[row.known],
    "made safe": lambda row: row.safe,
    "minutes": lambda row: row.minutes,
    "cost": lambda row: row.cost,
    "par": lambda row: None if row.par is None else round(row.par, 1),
    "readings": lambda row: row.readings,
    "hazards": lambda row: row.hazards,
    "wrong names": lambda row: row.wrong,
    "misconceptions": lambda row: "; ".join(row.misconceptions),
    "checked": lambda row: row.checked,
    "file": lambda row: row.file,
}
"""What stands in each column of the grade book."""


def as_csv(table: Iterable[Row]) -> str:
    """Write the grade book as comma-separated values that no spreadsheet takes for formulas."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    for row in table:
        writer.writerow([_cell(of(row)) for of in COLUMNS.values()])
    return out.getvalue()


def _cell(found: object) -> object:
    if isinstance(found, bool):
        return "yes" if found else "no"
    if found is None:
        return ""
    return _harmless(found) if isinstance(found, str) else found


def _harmless(cell: str) -> str:
    """Put an apostrophe before what a spreadsheet would work out as a formula."""
    return f"'{cell}" if cell.lstrip()[:1] in ("=", "+", "-", "@") else cell
