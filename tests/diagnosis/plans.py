"""Plans beside the best there are, by dynamic programming, on problems cut from boats.

    python -m tests.diagnosis.plans [problems per boat]

Ten faults and twelve measurements of a boat at a time, small enough for the exact answer. Costs are
what a plan is expected to take, over that of the best plan: of a plan that always takes what tells
most for its cost, of one that chooses as `labkit.diagnosis.plan` does, and of one that follows all
measurements to the end before it chooses.
"""

from __future__ import annotations

import random
import sys

from labkit.diagnosis import Adviser, Diagnosis
from labkit.diagnosis.planning import AHEAD
from tests.boats import shipped
from tests.diagnosis.tables import ahead_cost, best_cost
from tests.diagnosis.test_tables import cut

BOATS = ("washdown", "horn", "windlass", "blower")


def main(count: int = 25) -> None:
    """Print the table."""
    chance = random.Random(1)
    advisers = [Adviser(Diagnosis(shipped(name))) for name in BOATS]
    minutes = [cut(adviser, chance) for adviser in advisers for _ in range(count)]
    alike = [problem._replace(costs=(1.0,) * len(problem.costs)) for problem in minutes]
    print(f"{len(minutes)} problems    {'mean':>7s} {'95 %':>7s} {'worst':>7s}  best found")
    for what, problems in (("measurements", alike), ("minutes", minutes)):
        best = [best_cost(problem) for problem in problems]
        for way, ahead in (("greedy", 1), ("as planned", AHEAD), ("all ahead", 12)):
            ratios = sorted(ahead_cost(p, ahead) / b for p, b in zip(problems, best, strict=True))
            print(f"{what:12s} {way:10s} {figures(ratios)}", flush=True)


def figures(ratios: list[float]) -> str:
    """Mean, 95th percentile and worst of ratios in order, and how often the best was found."""
    mean, high = sum(ratios) / len(ratios), ratios[int(0.95 * len(ratios))]
    best = sum(ratio < 1 + 1e-9 for ratio in ratios) / len(ratios)
    return f"{mean:7.3f} {high:7.3f} {ratios[-1]:7.3f}  {best:10.0%}"


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
