"""Boats of 30 to 1,000 parts: what is asked of each, and how that grows with their size.

Each boat has a process of her own, so that nothing is kept from one to the next; times are of its
processor, the start of Python and imports apart, and its peak of memory is the process's.
"""

from __future__ import annotations

import json
import math
import resource
import subprocess
import sys
import time
from collections.abc import Callable, Iterator

from tests.benchmarks.goals import Line
from tests.boats import ROOT

BOATS = {30: (5, 0), 90: (17, 0), 300: (56, 4), 1000: (190, 10)}
"""Parts to circuits and sub-panels."""

SHIPPED = "exercises/whole-boat/curlew.toml"
"""The shipped boat of 270 parts, as a person wrote her and not as a loop did."""

GOALS = {"check": 3.0, "draw": 2.0, "first advice": 3.0, "next advice": 0.5, "a reading": 5e-3}
"""For 300 parts. [s]"""

COMPLAINTS = {SHIPPED: "E2 look is dark S4=on"}

MOST_MEMORY = 500.0  # [MB]


def figures(*which: str) -> dict[str, float]:
    """Seconds for each question, and the peak of memory in MB, in this very process.

    A boat is told by her circuits and sub-panels, or by her file.
    """
    from labkit.circuits.circuit_file import load_circuit
    from labkit.diagnosis import parse_seen
    from labkit.diagnosis.closing_in import named_in
    from labkit.diagnosis.cost import Visit
    from labkit.diagnosis.ranking import adviser_for, rank
    from labkit.drawing import draw
    from labkit.drawing.sheets import draw_sheets, is_large
    from labkit.exercises.checking import check_circuit
    from labkit.measuring.meter import read
    from labkit.survey.survey import survey
    from tests.large_boats import large_boat

    boat = load_circuit(ROOT / SHIPPED) if which == (SHIPPED,) else large_boat(*map(int, which))
    seen = [parse_seen(COMPLAINTS.get(which[0], "E1 look is dim"), boat)]
    found: dict[str, float] = {}

    def take(what: str, act: Callable[[], object]) -> None:
        start = time.process_time()
        act()
        found[what] = time.process_time() - start

    def drawn() -> None:
        if is_large(boat):
            sheets = draw_sheets(boat)
            sheets.overview()
            for one in sheets.circuits:
                sheets.sheet(one)
        else:
            draw(boat)

    take("check", lambda: (check_circuit(boat), survey(boat)))
    take("draw", drawn)
    take("first advice", lambda: rank(boat, seen))
    adviser = adviser_for(boat, None, (), named_in(seen))
    take("next advice", lambda: adviser.rank(adviser.start.copy().see(*seen), Visit(boat)))
    read(boat, "E1:1")
    take("a reading", lambda: read(boat, "X1:1", "E1:2"))
    found["peak of memory"] = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    return found


def scale() -> Iterator[Line]:
    """The table, and the growth of each line from the second boat to the last."""
    found: dict[str, dict[int, float]] = {}
    for parts, shape in BOATS.items():
        for what, taken in _apart(*map(str, shape)).items():
            found.setdefault(what, {})[parts] = taken
    for what, by_size in found.items():
        for parts, taken in by_size.items():
            yield _line(what, f"{parts} parts", taken, parts == 300)
        sizes = sorted(by_size)[1:]
        growth = math.log(by_size[sizes[-1]] / by_size[sizes[0]]) / math.log(sizes[-1] / sizes[0])
        yield f"growth of that, {sizes[0]} to {sizes[-1]} parts", "", f"{growth:.2f}", ""
    for what, taken in _apart(SHIPPED).items():
        yield _line(what, "the shipped boat", taken, what in GOALS)


def _apart(*which: str) -> dict[str, float]:
    """Figures of a boat in a process of her own."""
    command = [sys.executable, "-m", "tests.benchmarks.scale", *which]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True)
    return dict(json.loads(done.stdout))


def _line(what: str, boat: str, taken: float, asked: bool) -> Line:
    if what == "peak of memory":
        return f"{what}, {boat}", f"{MOST_MEMORY:.0f} MB", f"{taken:.0f} MB", (
            f"{taken / MOST_MEMORY:.2f}"
        )  # fmt: skip  # rows that a reader compares
    goal = GOALS[what] if asked else None
    ratio = f"{taken / goal:.2f}" if goal else ""
    return f"{what}, {boat}", f"{goal:g} s" if goal else "", f"{taken:.3g} s", ratio


if __name__ == "__main__":
    json.dump(figures(*sys.argv[1:]), sys.stdout)
