"""A hunt as an assignment that nbgrader hands out, collects and grades.

The notebook is the same for all: what each is dealt follows from the login name. Its cells bear
nbgrader's own marks (metadata `nbgrader`, schema 3), written here as plain JSON, so that nbgrader
need not be installed where it is written.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from labkit.exercises.exercise import load_exercise
from labkit.exercises.sealed import NOT_FOR_EXAMS, seal

_WHY = """\
**Why did it fail, and what keeps it from failing again?** Write two or three sentences here.
"""


def assignment(file: Path, points: float = 5.0, written: float = 3.0) -> str:
    """Return the notebook of an assignment.

    Parameters
    ----------
    file : Path
        The exercise's.
    points : float
        For the hunt, given by the computer.
    written : float
        For the sentences about its cause, given by a person.

    Raises
    ------
    CircuitError
        If the exercise is not fit.
    """
    exercise, box = load_exercise(file), seal(file)
    story = "\n\n".join(
        [
            f"# {exercise.title}",
            "Click the folded cell below and press **Shift+Enter**. What you do is kept in the "
            "folder `attempts` beside this notebook: hand it in with it. Open the notebook again "
            "to go on.",
            NOT_FOR_EXAMS,
        ]
    )
    shown = f'from labkit.classroom.grading import assigned\n\nassigned("{box}")'
    graded = f'from labkit.classroom.grading import points\n\npoints("{box}", {points:g})'
    cells = [
        _cell("markdown", story, "story", locked=True),
        _cell("code", shown, "hunt", locked=True),
        _cell("markdown", _WHY, "why", grade=True, solution=True, points=written),
        _cell("code", graded, "points", grade=True, locked=True, points=points),
    ]
    kernel = {"name": "python3", "display_name": "Python 3", "language": "python"}
    book = {"cells": cells, "metadata": {"kernelspec": kernel}, "nbformat": 4, "nbformat_minor": 5}
    return json.dumps(book, indent=1, ensure_ascii=False) + "\n"


def _cell(kind: str, source: str, name: str, **marks: Any) -> dict[str, Any]:
    """Return a cell with what nbgrader asks of it."""
    told = {"grade": False, "solution": False, "locked": False, "task": False, **marks}
    told |= {"grade_id": name, "schema_version": 3, "cell_type": kind}
    metadata: dict[str, Any] = {"nbgrader": told}
    cell = {"cell_type": kind, "id": name, "metadata": metadata, "source": source}
    if kind == "markdown":
        return cell
    metadata["jupyter"] = {"source_hidden": True}
    return {**cell, "execution_count": None, "outputs": []}
