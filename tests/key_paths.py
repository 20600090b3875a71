"""Does every best path of an answer key end at what was dealt? All exercises, all variants.

    python -m tests.key_paths [exercise ...]

The suite takes SAMPLE; this takes all of them, some minutes.
"""

from __future__ import annotations

import sys
import time

from labkit.desk.path import ASTRAY, best_path
from labkit.exercises.exercise import load_exercise
from tests.boats import EXERCISES

SAMPLE = (
    ("board-lamp-dark", 0),  # worse than any resistance usually thought of
    ("horn-hoarse", 0),  # two at once
    ("blower-hot-wire", 0),  # two at once, one of them somebody's fuse
    ("deckhouse-fuse", 1),  # the fuse is only the victim
    ("steaming-light-blinks", 0),  # comes and goes
    ("chart-lamp-dark", 0),
    ("windlass-will-not-stop", 0),
)
"""Of most kinds of fault one. A solenoid's contacts (windlass-crawls), a drain (flat-by-friday) and
a part nobody drew (bilge-not-automatic) take half a minute each: they are left to the command."""


def isolates(path: tuple[str, ...]) -> bool:
    """Tell whether a path ends at what is wrong, alone or with what cannot be told from it."""
    return ASTRAY not in path[-1]


def main(*names: str) -> None:
    """Print where each path ends and what it took; fail if one ends elsewhere."""
    astray = 0
    for file in sorted(EXERCISES.glob("*.toml")):
        if names and file.stem not in names:
            continue
        exercise = load_exercise(file)
        for number, faults in enumerate(exercise.variants):
            began = time.process_time()
            path = best_path(exercise, exercise.variant(number))
            took = time.process_time() - began
            astray += not isolates(path)
            steps = f"{len(path) - 2} steps, {took:.1f} s"
            print(f"{file.stem}, {' + '.join(faults)} ({steps}): {path[-1]}", flush=True)
    sys.exit(f"{astray} end elsewhere" if astray else 0)


if __name__ == "__main__":
    main(*sys.argv[1:])
