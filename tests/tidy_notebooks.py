"""Run notebooks and keep of them what is the same each time: ``python -m tests.tidy_notebooks``.

Outputs and execution counts stay, since a cell without a count is not compared; widget state, times
and versions go.
"""

from __future__ import annotations

import os
import sys
import tempfile
from pathlib import Path

import nbformat
from nbclient import NotebookClient

from labkit.widgets.saved import WIDGET
from tests.boats import ROOT

NOTEBOOKS = ROOT / "notebooks"
KERNEL = {"display_name": "Python 3", "language": "python", "name": "python3"}


def tidy(notebook: nbformat.NotebookNode) -> nbformat.NotebookNode:
    """Drop what changes from run to run and from machine to machine."""
    notebook.metadata = nbformat.from_dict(
        {"kernelspec": KERNEL, "language_info": {"name": "python"}}
    )
    for cell in notebook.cells:
        cell.metadata = nbformat.from_dict({})
        for output in cell.get("outputs", []):
            output.get("data", {}).pop(WIDGET, None)
    nbformat.validate(notebook)
    return notebook


def run(path: Path) -> None:
    """Run a notebook from a fresh kernel and write it back, tidied."""
    notebook = nbformat.read(path, as_version=4)
    NotebookClient(
        notebook, timeout=600, resources={"metadata": {"path": str(path.parent)}},
        coalesce_streams=True,  # else a long print is cut wherever the kernel took a breath
    ).execute()  # fmt: skip  # rows that a reader compares
    nbformat.write(tidy(notebook), path)
    print(f"ran {path.name}")


def main() -> None:
    os.environ["LABKIT_RECORDS"] = tempfile.mkdtemp(prefix="labkit-")  # no answers of one's own
    paths = [Path(p) for p in sys.argv[1:]] or sorted(NOTEBOOKS.glob("*.ipynb"))
    for path in paths:
        run(path)


if __name__ == "__main__":
    main()
