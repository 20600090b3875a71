"""Print what was tried and what came of it: ``python -m tests.abuse [--times N] [--seed N]``.

Every row is an abuse; `--times 10` tries ten times as much of those that are drawn at random. The
exit status tells whether anything came out wrong.
"""

from __future__ import annotations

import argparse
import sys
import time
from random import Random

from . import attempts, boats, bombs, damage, elsewhere, forgeries, markup, notebooks
from .tally import Abuse

ROWS: tuple[tuple[str, Abuse, int, int], ...] = (
    ("damaged and misfilled files, read in 1 GiB", damage.damaged_files, 2000, 12),
    ("files made to take all memory or all time", bombs.bombs, 100, 2),
    (
        "exercises that name a file elsewhere, a link, a pipe, a device",
        elsewhere.elsewhere,
        100,
        100,
    ),
    ("markup and code in every text, shown everywhere", markup.words_stay_words, 100, 1),
    ("circuits of 2 to 80 parts, up to three faults", boats.operating_points, 5000, 30),
    ("readings: every function at every pair of points", boats.meters_everywhere, 50_000, 800),
    ("acts at a bench, things not there too", boats.hands, 10_000, 300),
    ("an attempt cut off at every byte", attempts.cut_short, 10_000, 4),
    ("lines a forger might write", attempts.forged, 1000, 20),
    ("attempts forged in ten ways; honest ones beside them", forgeries.found, 1000, 20),
    ("programs at one learner's hunt at once", attempts.many_at_once, 40, 3),
    ("full disk, read-only place, a file for a folder", attempts.nowhere_to_write, 100, 1),
    ("notebooks twice, backwards, restarted halfway", notebooks.run_every_way, 100, 1),
)
"""What is done, how, how often from the command line, and how often in the suite."""

_FIXED = {bombs.bombs, elsewhere.elsewhere, markup.words_stay_words, attempts.cut_short,
          attempts.nowhere_to_write, notebooks.run_every_way}  # fmt: skip  # in rows


def main() -> int:
    """Try everything and print a table, then what came out wrong."""
    asked = argparse.ArgumentParser(prog="python -m tests.abuse", description=__doc__)
    asked.add_argument("--times", type=float, default=1.0, help="more or less of the random ones")
    asked.add_argument("--seed", type=int, default=1, help="other random ones")
    asked.add_argument("--only", default="", help="rows that have these words in them")
    wanted = asked.parse_args()
    print("| what was done | inputs tried | came out wrong | slowest, s | all, s |")
    print("|---|---|---|---|---|")
    wrong: list[str] = []
    for what, abuse, count, _ in ROWS:
        if wanted.only not in what:
            continue
        start = time.perf_counter()
        most = count if abuse in _FIXED else max(1, round(count * wanted.times))
        tally = abuse(Random(wanted.seed), most)
        took = time.perf_counter() - start
        cells = (what, tally.tried, len(tally.failures), f"{tally.worst:.1f}", f"{took:.0f}")
        print(f"| {' | '.join(map(str, cells))} |", flush=True)
        wrong += [f"{what}: {text}" for text in tally.failures]
    print("", *(wrong or ["Nothing came out wrong."]), sep="\n")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
