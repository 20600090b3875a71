"""Let the learners play, and print what came of it.

    python -m tests.learners [--write [--missing]] [hunt ...]
    python -m tests.learners table
    python -m tests.learners after
    python -m tests.learners forms

Every learner plays every hunt, or those named, the small ones first. With --write what came of each
is laid down as soon as it is played, in labkit/hunts/played.toml and, play by play, in
tests/learners/plays.csv; with --missing those that stand there with every learner are left as they
are. `table` prints what is laid down, and `after` what learners make of unseen hunts before and
after they took up what they were told; `forms` chooses the hunts that a class is measured by.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

from labkit.exercises.exercise import Exercise, load_exercise
from tests.boats import EXERCISES
from tests.learners import report
from tests.learners.after import Plays
from tests.learners.forms import print_forms
from tests.learners.table import Played, advised_once, lay_down, played, plays_of
from tests.learners.ways import LEARNERS, Learner

FOLDERS = (EXERCISES, EXERCISES / "whole-boat", EXERCISES / "final")


def hunts() -> Iterator[tuple[Path, Exercise]]:
    """Every shipped hunt: those of the list, of the whole boat and of the final."""
    for folder in FOLDERS:
        for path in sorted(folder.glob("*.toml")):
            if "complaint" in path.read_text("utf-8"):
                yield path, load_exercise(path)


def asked_for(words: list[str]) -> Iterator[tuple[Path, Exercise, list[Learner]]]:
    """The hunts that are to be played, the small ones first, and by whom."""
    names = [word for word in words if not word.startswith("--")]
    known = {(play.hunt, play.learner) for play in plays_of()} if "--missing" in words else set()
    for path, exercise in sorted(hunts(), key=lambda one: len(one[1].candidates)):
        missing = [who for who in LEARNERS if (exercise.title, who.name) not in known]
        if missing and (not names or path.stem in names):
            yield path, exercise, missing


def main(words: list[str]) -> None:
    """Play what is asked for, or print a table."""
    if words[:1] == ["table"]:
        report.print_strategies(plays_of())
        plays = Plays(plays_of())
        report.print_rules(plays)
        return report.print_gate(plays)
    if words[:1] == ["after"]:
        return report.print_after(plays_of())
    if words[:1] == ["forms"]:
        return print_forms(plays_of())
    made: list[Played] = []
    for path, exercise, missing in asked_for(words):
        own = []
        for learner in missing:
            last = played(learner, exercise)
            own.append(last)
            print(f"{path.stem:24} {learner.name:24} cost {last.cost:6.0f}  wrong {last.wrong:3} "
                  f"hazards {last.hazards:2}  proven {last.proven}  {', '.join(last.told)}",
                  flush=True)  # fmt: skip  # rows that a reader compares
        made += own
        if "--write" in words:
            lay_down(own)
    return report.print_strategies(made)


if __name__ == "__main__":
    with advised_once():
        main(sys.argv[1:])
