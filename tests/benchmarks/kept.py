"""How soon a long hunt goes on where it was left, and how soon it is played again for marks."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from pathlib import Path

from labkit.exercises.exercise import load_exercise
from labkit.hunts.kept import KeptHunt
from labkit.hunts.replay import replay
from labkit.record import read_record
from tests.benchmarks.engines import processor_time
from tests.boats import EXERCISES

ACTS = 3000
GOAL = 1.0  # to go on after so many acts [s]


def _worked(hunt: KeptHunt) -> None:
    """Do so many acts: the pump on and off, a look, and readings all along its way."""
    bench = hunt.bench
    points = [point.terminals[0] for point in bench.drawn.test_points]
    while len(bench.log) < ACTS:
        for to in ("on", "off"):
            bench.switch("S2", to)
            bench.look("M1")
            for point in points:
                bench.read(point)
                bench.read(point, "X1:1", "ohms")


def kept() -> Iterator[tuple[str, str, str, str]]:
    """Time a hunt of ACTS acts as it goes on, and its replay."""
    exercise = load_exercise(EXERCISES / "slow-washdown.toml")
    with tempfile.TemporaryDirectory() as folder:
        hunt = KeptHunt(exercise, "Ada", Path(folder))
        _worked(hunt)
        hunt.attempt.close()
        path, acts = hunt.attempt.path, len(hunt.bench.log)
        began = processor_time()
        again = KeptHunt(exercise, "Ada", Path(folder))
        took = processor_time() - began
        assert len(again.bench.log) == acts
        again.attempt.close()
        yield (
            f"a hunt of {acts:,} acts goes on",
            f"{GOAL:g} s",
            f"{took:.2f} s",
            f"{took / GOAL:.2f}",
        )
        began = processor_time()
        assert not replay(read_record(path), exercise).differs
        yield "and is played again for marks", "", f"{processor_time() - began:.1f} s", ""
        size = path.stat().st_size / acts
        yield "its file, a line", "", f"{size:.0f} bytes", ""
