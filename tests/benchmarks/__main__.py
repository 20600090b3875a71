"""What takes how long, each goal beside it: ``python -m tests.benchmarks``. Never fails."""

from __future__ import annotations

import math
import statistics
import subprocess
import sys
import time
from collections.abc import Callable

from rich.console import Console
from rich.table import Table

from labkit.bulk import solve_many
from labkit.meter import read
from labkit.solver import solve
from tests.benchmarks.boats import boat, states

SIZES = (15, 45, 150, 500, 2000)


def median(act: Callable[[], object], runs: int) -> float:
    """Median time of an act after one run to warm up. [s]"""
    act()
    taken = []
    for _ in range(runs):
        start = time.perf_counter()
        act()
        taken.append(time.perf_counter() - start)
    return statistics.median(taken)


def importing() -> float:
    """Median time a fresh interpreter takes to import labkit, itself taken off. [s]"""

    def run(code: str) -> Callable[[], object]:
        return lambda: subprocess.run([sys.executable, "-c", code], check=True)

    return median(run("import labkit"), 5) - median(run("pass"), 5)


def main() -> None:
    table = Table()
    for name in ("what", "goal", "measured"):
        table.add_column(name)
    table.add_row("import labkit", "0.3 s", f"{importing():.3f} s")
    small = boat(45)
    table.add_row(
        "one reading, 45 nodes", "1 ms", f"{1e3 * median(lambda: read(small, 'W1:2'), 50):.2f} ms"
    )
    points = states(small, 2000)
    each = median(lambda: solve_many(points), 3) / len(points)
    table.add_row("a point in bulk, 45 nodes, 2,000 states", "", f"{1e6 * each:.0f} us")
    times = {}
    for nodes in SIZES:
        made = boat(nodes)
        times[nodes] = median(lambda made=made: solve(made), 5)
        goal = "1 s" if nodes == 2000 else ""
        table.add_row(f"one operating point, {nodes} nodes", goal, f"{1e3 * times[nodes]:.1f} ms")
    growth = math.log(times[2000] / times[150]) / math.log(2000 / 150)
    table.add_row("growth with nodes, 150 to 2,000", "n^1.2", f"n^{growth:.2f}")
    Console().print(table)


if __name__ == "__main__":
    main()
