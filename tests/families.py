"""Which family of faults each hunt belongs to, worked out from what it deals.

python -m tests.families
"""

from __future__ import annotations

from pathlib import Path

from labkit.desk.outcomes import outcomes
from labkit.exercises.difficulty import surprises
from labkit.exercises.exercise import Dealt, Exercise, load_exercise
from tests.boats import EXERCISES


def families(exercise: Exercise, dealt: Dealt) -> set[str]:
    """Name everything that a variant is an example of: what it practises, and what surprises."""
    found = outcomes(exercise, dealt)
    met = set(surprises(exercise, dealt))
    if {"not on the load's way", "other loads are off too"} & met:
        found.add("points elsewhere")
    if "two at once" in met:
        found.add("two at once")
    return found


def all_families() -> dict[Path, set[str]]:
    """Name the families of every hunt shipped, all its variants together."""
    found = {}
    for file in sorted(EXERCISES.glob("*.toml")):
        exercise = load_exercise(file)
        dealt = [exercise.variant(n) for n in range(len(exercise.variants))]
        found[file] = set().union(*(families(exercise, one) for one in dealt))
    return found


if __name__ == "__main__":
    for file, names in all_families().items():
        print(f"{file.stem:24s} {', '.join(sorted(names))}")
