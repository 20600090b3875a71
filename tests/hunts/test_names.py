"""Every fault that is dealt has a name a learner can choose, and mending it passes the proof."""

from pathlib import Path

import pytest

from labkit.aboard.bench import Bench
from labkit.exercises.exercise import load_exercise
from labkit.hunts.hunt import Hunt
from tests.boats import EXERCISES, share

HUNTS = sorted([*EXERCISES.glob("*.toml"), *EXERCISES.glob("final/*.toml")])


@pytest.mark.parametrize("file", share(HUNTS, 2), ids=lambda f: f.stem)
def test_in_every_variant_each_fault_can_be_named_and_mended(file: Path) -> None:
    exercise = load_exercise(file)
    for number in range(len(exercise.variants)):
        hunt = Hunt(exercise)
        hunt.dealt = exercise.variant(number)
        hunt.bench = Bench(hunt.dealt.circuit)
        assert not hunt.prove().ok
        for fault in hunt.dealt.circuit.faults:
            assert any(hunt.name(fault.part, word).right for word in hunt.question.modes)
        for fault in hunt.bench.circuit.faults:
            hunt.bench.repair(fault.part)
        assert hunt.prove().ok
