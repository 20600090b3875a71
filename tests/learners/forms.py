"""Two sets of hunts of one measured difficulty, for a class to be measured by before and after.

    python -m tests.learners forms

prints exercises/study/hunts.csv: hunts that no lesson plays, the twelve whose difficulty by the
simulated learners lies nearest together, halved so that the halves differ least.
"""

from __future__ import annotations

import csv
import math
import sys
from dataclasses import dataclass
from itertools import combinations
from statistics import mean, pstdev

from labkit.exercises.exercise import load_exercise
from tests.boats import EXERCISES, ROOT
from tests.learners.after import Plays
from tests.learners.table import Played, row
from tests.learners.ways import NO_MEASURE

SIZE = 6
"""Hunts in a form."""

LEAST, MOST = 0.2, 0.75
"""Where fewer fail, or more, a hunt tells nobody apart. Our choice."""


@dataclass(frozen=True)
class Measured:
    """A hunt with how hard it was for the simulated learners.

    Attributes
    ----------
    failed : float
        Share that did not bring it to a proven end without a wrong name or a danger.
    cost : float
        Geometric mean over all who measure. [min]
    rules : frozenset of str
        Wrong rules that do harm in it.
    """

    file: str
    title: str
    failed: float
    cost: float
    rules: frozenset[str]


def measured(every: list[Played]) -> list[Measured]:
    """The hunts that no lesson names, as they were played."""
    plays = Plays(every)
    lessons = "".join(
        path.read_text("utf-8") for path in (ROOT / "notebooks").glob("*")
        if path.suffix in (".toml", ".ipynb") and not path.name.startswith(("20-", "21"))
    )  # fmt: skip  # rows that a reader compares
    found = []
    for path in sorted(EXERCISES.glob("*.toml")):
        title = load_exercise(path).title
        if title in plays.hunts and f"{path.stem}.toml" not in lessons:
            own = [play for (_, hunt), play in plays.of.items() if hunt == title]
            laid = row(own)
            costs = [play.cost for play in own if play.learner not in NO_MEASURE]
            found.append(Measured(
                path.stem, title, laid["failed"],
                math.exp(mean(map(math.log, costs))), frozenset(laid["harms"]),
            ))  # fmt: skip  # rows that a reader compares
    return found


def forms(hunts: list[Measured]) -> tuple[list[Measured], list[Measured]]:
    """Choose twelve hunts of one difficulty, and halve them."""
    fit = sorted(
        (one for one in hunts if LEAST <= one.failed <= MOST), key=lambda one: (one.cost, one.file)
    )
    runs = [fit[n : n + 2 * SIZE] for n in range(len(fit) - 2 * SIZE + 1)]
    twelve = min(runs, key=lambda some: pstdev(math.log(one.cost) for one in some))
    halves = (
        ([twelve[n] for n in half], [one for n, one in enumerate(twelve) if n not in half])
        for half in combinations(range(2 * SIZE), SIZE) if 0 in half
    )  # fmt: skip  # rows that a reader compares
    return min(halves, key=lambda pair: apart(*pair))


def apart(one: list[Measured], other: list[Measured]) -> float:
    """How far two forms differ: in failure, in cost, and in the rules that do harm."""

    def rules(some: list[Measured], rule: str) -> float:
        return mean(rule in hunt.rules for hunt in some)

    every = {rule for hunt in (*one, *other) for rule in hunt.rules}
    return (
        abs(mean(h.failed for h in one) - mean(h.failed for h in other))
        + abs(mean(math.log(h.cost) for h in one) - mean(math.log(h.cost) for h in other))
        + 0.1 * sum(abs(rules(one, rule) - rules(other, rule)) for rule in every)
    )


def print_forms(every: list[Played]) -> None:
    """Print both forms as a table of comma-separated values."""
    out = csv.writer(sys.stdout, lineterminator="\n")
    out.writerow(("form", "file", "title", "failed", "cost"))
    for name, some in zip("AB", forms(measured(every)), strict=True):
        for one in sorted(some, key=lambda hunt: hunt.file):
            out.writerow((name, one.file, one.title, f"{one.failed:.2f}", f"{one.cost:.0f}"))
