"""Does nbgrader hand out, collect and grade a hunt, and what do forgeries get?

    pip install -e ".[test]" nbgrader && python -m tests.nbgrader

Kept out of the suite's environment, since it adds four extensions to every notebook server there,
one of which takes seconds to load. Takes a minute or two.
"""

from __future__ import annotations

import importlib.util
import json
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Mapping
from pathlib import Path

from labkit.classroom.assignment import assignment
from tests.boats import EXERCISES
from tests.classroom.handing_in import EXERCISE, FORGED, hand_in

CONFIG = """\
c = get_config()
c.CourseDirectory.course_id = "boats"
c.IncludeHeaderFooter.header = ""
c.ClearSolutions.code_stub = {"python": "# here"}
"""


def nbgrader(course: Path, *words: str) -> str:
    """Run one of nbgrader's commands in a course; what it refuses is an error."""
    beside = os.pathsep.join((str(Path(sys.executable).parent), os.environ["PATH"]))
    done = subprocess.run(
        [sys.executable, "-m", "nbgrader", *words], cwd=course, capture_output=True, text=True,
        check=False, env={**os.environ, "PYTHONSAFEPATH": "1", "PATH": beside},  # it calls alembic
    )  # fmt: skip  # rows that a reader compares
    if done.returncode:
        sys.exit(f"nbgrader {' '.join(words)}:\n{done.stdout}{done.stderr}")
    return done.stdout + done.stderr


def grades(course: Path) -> Mapping[str, tuple[float, float]]:
    """Return each student's points for the hunt, and the most there are for all."""
    from nbgrader.api import Gradebook

    with Gradebook(f"sqlite:///{course / 'gradebook.db'}") as book:
        return {
            one.student.id: (one.notebooks[0].grades[0].auto_score or 0.0, one.max_score)
            for one in book.assignment_submissions("hunt")
        }


def main() -> int:
    """Go through one assignment from source to grade book; return 1 where a grade is not due."""
    if importlib.util.find_spec("nbgrader") is None:
        sys.exit("nbgrader is not installed; pip install nbgrader, in an environment of its own")
    with tempfile.TemporaryDirectory() as folder:
        course = Path(folder)
        (course / "nbgrader_config.py").write_text(CONFIG)
        source = course / "source" / "hunt" / "hunt.ipynb"
        source.parent.mkdir(parents=True)
        source.write_text(assignment(EXERCISES / EXERCISE), "utf-8")
        nbgrader(course, "generate_assignment", "hunt", "--create")
        released = course / "release" / "hunt"
        for student in FORGED:
            handed = course / "submitted" / student / "hunt"
            shutil.copytree(released, handed)
            hand_in(handed, student)
        nbgrader(course, "autograde", "hunt", "--create")
        nbgrader(course, "generate_feedback", "hunt")
        nbgrader(course, "export", "--to", str(course / "grades.csv"))
        print((course / "grades.csv").read_text())
        wrong = 0
        for student, (score, most) in sorted(grades(course).items()):
            least, highest = FORGED[student]
            wrong += not least <= score <= highest
            print(f"{student}: {score:g} points for the hunt, of {most:g} in all")
            graded = json.loads(
                (course / "autograded" / student / "hunt" / "hunt.ipynb").read_text()
            )
            for output in graded["cells"][-1]["outputs"]:
                print("   ", "".join(output.get("text", "")).strip().replace("\n", "\n    "))
            wrong += not list((course / "feedback" / student / "hunt").glob("*.html"))
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
