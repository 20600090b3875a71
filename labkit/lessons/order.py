"""The one order of a course: notebooks of a folder by their names, and each one's neighbours."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path

from labkit.text.messages import CircuitError
from labkit.text.toml_file import read_toml


@dataclass(frozen=True)
class Neighbour:
    """A lesson beside another.

    Attributes
    ----------
    file : str
        Name of its notebook.
    title : str
    """

    file: str
    title: str


def neighbours(notebook: Path) -> tuple[Neighbour | None, Neighbour | None]:
    """Return the lessons before and after one; None where it is the first or the last.

    Parameters
    ----------
    notebook : Path
        Its notebook, in the folder of the course.
    """
    files = sorted(path for path in notebook.parent.glob("*.ipynb") if path.stem[:1].isdigit())
    names = [path.name for path in files]
    if notebook.name not in names:
        return None, None
    at = names.index(notebook.name)
    beside = (files[at - 1] if at else None, files[at + 1] if at + 1 < len(files) else None)
    before, after = (Neighbour(path.name, title_of(path)) if path else None for path in beside)
    return before, after


def title_of(notebook: Path) -> str:
    """Return a lesson's title: of the file beside its notebook, or the notebook's first heading."""
    try:
        beside = notebook.with_suffix(".toml")
        if beside.exists():
            return str(read_toml(beside)["title"])
        cells = json.loads(notebook.read_text(encoding="utf-8"))["cells"]
        lines = (line for cell in cells for line in "".join(cell["source"]).splitlines())
        return next(line for line in lines if line.startswith("# ")).removeprefix("# ")
    except (CircuitError, OSError, ValueError, LookupError, TypeError, StopIteration):
        return notebook.stem
