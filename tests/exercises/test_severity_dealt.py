"""Whoever copies a neighbour's readings of a shipped hunt has copied wrong figures."""

import pytest

from labkit.exercises.dealing import read_story
from labkit.exercises.exercise import Exercise
from labkit.exercises.severity import ends
from labkit.text.toml_file import read_toml
from tests.boats import EXERCISES

DEGREES = ("resistance", "leak", "weak")
"""Modes whose amount shows in a reading."""

DEAD = 0.2
"""A leak of less is a dead short: it blows its fuse, and no reading shows how much it is. [ohm]"""

ONE_AMOUNT = {
    "slow-washdown": "lesson 5 works with its figures",
    "fridge-gives-up": "one variant has two faults, and its thin wire is the one that tells",
    "flat-by-friday": "its text reckons the days she lasts from the amount",
    "wheelhouse-fan": "a little more or less is seen in how the fan turns",
    "plotter-goes-dark": "a little less, and the plotter stays on",
    "windlass-crawls": "a little more or less is seen in how the windlass turns",
}
"""Hunts in which somebody is dealt one amount only, and why."""

HUNTS = [
    path for path in sorted(EXERCISES.rglob("*.toml"))
    if "circuit" in read_toml(path)
    and path.parent.name not in ("surveys", "study")  # a real board is built for the study
]  # fmt: skip  # rows that a reader compares


def _shows(circuit, text):
    """Tell whether a fault has an amount that a meter would show."""
    fault = circuit.with_fault(text).faults[0]
    dead = fault.mode == "leak" and (fault.value or 0.0) < DEAD
    return fault.mode in DEGREES and fault.value is not None and not dead


@pytest.mark.parametrize("path", HUNTS, ids=lambda path: path.stem)
def test_every_amount_that_a_meter_shows_is_drawn_for_each_learner(path):
    exercise = read_story(path)
    if not isinstance(exercise, Exercise):
        return  # a survey asks what is fitted, and takes no readings
    texts = [text for faults in exercise.variants for text in faults]
    fixed = [one for one in texts if len(ends(one)) == 1 and _shows(exercise.circuit, one)]
    assert bool(fixed) == (path.stem in ONE_AMOUNT), fixed
    dealt = [exercise.deal(f"learner {number}") for number in range(3 * len(exercise.variants))]
    numbers = [one.number for one in dealt]
    for number, faults in enumerate(exercise.variants):
        if any(len(ends(text)) > 1 for text in faults) and numbers.count(number) > 2:
            assert len({one.faults for one in dealt if one.number == number}) > 1
