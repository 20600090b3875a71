"""Notebooks run twice over, backwards, and with the kernel restarted halfway."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterable
from pathlib import Path
from random import Random

import nbformat
from nbclient import NotebookClient

from tests.boats import ROOT

from .tally import Tally

NOTEBOOKS = sorted((ROOT / "notebooks").glob("*.ipynb"))
WAYS = ("twice", "backwards", "restarted halfway")


def run_every_way(rng: Random, count: int) -> Tally:
    """Run notebooks, `count` times in all, each way in turn."""
    tally = Tally()
    runs = [(path, way) for path in NOTEBOOKS for way in WAYS]
    for path, way in runs if count >= len(runs) else rng.sample(runs, count):
        name = f"{path.stem} {way}"
        tally.attempt(name, lambda p=path, w=way, n=name: tally.failures.extend(_run(p, w, n)))
    return tally


def _run(path: Path, way: str, name: str) -> list[str]:
    """Run a notebook's cells in some order, in one kernel or, with the same folder, in two."""
    notebook = nbformat.read(path, as_version=4)
    cells = [n for n, cell in enumerate(notebook.cells) if cell.cell_type == "code"]
    kernels = {
        "twice": [cells + cells],
        "backwards": [cells[::-1]],
        "restarted halfway": [cells[: len(cells) // 2], cells],
    }[way]
    client = NotebookClient(notebook, timeout=120, allow_errors=True)
    found = []
    with tempfile.TemporaryDirectory() as folder:
        env = {**os.environ, "LABKIT_RECORDS": folder}
        for order in kernels:
            with client.setup_kernel(env=env, cwd=str(path.parent)):
                found += _in_order(client, order, way)
    return [f"{name}, {text}" for text in found]


def _in_order(client: NotebookClient, order: Iterable[int], way: str) -> list[str]:
    """Run cells; say which end in an error that running them in this order does not explain."""
    found = []
    for n in order:
        cell = client.execute_cell(client.nb.cells[n], n)
        for output in cell.outputs:
            explained = way == "backwards" and output.get("ename") == "NameError"
            if output.output_type == "error" and not explained:
                found.append(f"cell {cell.id}: {output.ename}: {output.evalue[:150]}")
    return found
