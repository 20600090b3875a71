"""Runs ngspice on many netlists in one process."""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Sequence
from pathlib import Path

import numpy as np

NGSPICE = shutil.which("ngspice")


def run_ngspice(netlists: Sequence[str], folder: Path) -> list[dict[str, float] | None]:
    """Solve each netlist; None for one where ngspice finds no operating point.

    Names are ngspice's own: 'v(panel)', 'i(@r_f1[i])', 'i(v_g1)'.
    """
    assert NGSPICE is not None, "ngspice is not installed; it is the reference of these tests"
    if not netlists:
        return []
    script = ["* many operating points", ".control", "set appendwrite"]
    raw = folder / "points.raw"
    raw.unlink(missing_ok=True)
    for number, netlist in enumerate(netlists):
        path = folder / f"{number}.cir"
        path.write_text(f"* point {number}\n{netlist}", encoding="ascii")
        script += [f"source {path}", "op", f"write {raw} all", "remcirc", "destroy all"]
    start = folder / "many.cir"
    start.write_text("\n".join([*script, "quit", ".endc", ".end", ""]), encoding="ascii")
    with open(folder / "log", "wb") as log:
        subprocess.run([NGSPICE, "-b", start], stdout=log, stderr=log, timeout=600, check=False)
    found: list[dict[str, float] | None] = [None] * len(netlists)
    for title, values in _plots(raw.read_bytes()):
        if title.startswith("* point "):
            found[int(title.split()[2])] = values
    return found


def _plots(data: bytes) -> list[tuple[str, dict[str, float]]]:
    """Read a raw file of single operating points: title, and value by name."""
    plots, at = [], 0
    while at < len(data):
        body = data.index(b"Binary:\n", at) + len(b"Binary:\n")
        head = data[at:body].decode("ascii")
        names = [line.split()[1] for line in head.split("Variables:\n")[1].splitlines()[:-1]]
        at = body + 8 * len(names)
        title = head.splitlines()[0].removeprefix("Title: ")
        values = np.frombuffer(data[body:at], dtype="<f8")
        plots.append((title, dict(zip(names, map(float, values), strict=True))))
    return plots
