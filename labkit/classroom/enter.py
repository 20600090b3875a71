"""A learner's server: ``python -P -m labkit.classroom.enter``, run by the hub as the learner.

It lays the course into the learner's home by the learner's own account, so that no link planted
there leads anywhere the learner could not write to anyway, and then becomes the server.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path
from tempfile import TemporaryDirectory

from labkit.classroom.course import files, lay, needed, source
from labkit.classroom.serve import lean
from labkit.text.messages import CircuitError

COURSE = "course"
"""The course's folder in a learner's home."""

HUNTS = "LABKIT_HUNTS"
"""Environment variable: 'all' lays every hunt; otherwise those that the lessons name are laid."""


def lay_course(home: Path) -> list[str]:
    """Lay what a learner needs of the course into a home; return what was left alone, and why.

    Raises
    ------
    CircuitError
        If it cannot be written.
    """
    course = source()
    names = needed(course)
    if os.environ.get(HUNTS) == "all":
        names = [*names, *(name for name in files(course) if name.startswith("exercises"))]
    return lay(home / COURSE, dict.fromkeys(names))


def main() -> None:
    """Lay the course, and serve it until the hub ends it."""
    os.umask(0o077)
    try:
        told = lay_course(Path.home())
    except (CircuitError, OSError) as error:  # a course being installed anew, a full disk
        told = [f"the course was not laid: {error}"]
    for sentence in told:
        sys.stderr.write(f"{sentence}\n")
    (Path.home() / COURSE).mkdir(exist_ok=True)
    lean()
    from jupyterhub.singleuser import main as serve

    with TemporaryDirectory(prefix="labkit-") as short:  # a socket's path is 107 bytes at most
        os.environ["JUPYTER_RUNTIME_DIR"] = short
        serve()


if __name__ == "__main__":
    main()
