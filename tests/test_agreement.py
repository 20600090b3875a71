"""What is said of a hunt looked back on: table, chart and sentences count the same suspects."""

from __future__ import annotations

from unittest.mock import patch

import pytest

from labkit.diagnosis import Adviser
from labkit.exercises.exercise import load_exercise
from labkit.hunts.debrief import debrief
from tests.boats import EXERCISES
from tests.walks import disagreements, hunts

LARGE = {
    "flat-by-friday", "fridge-gives-up", "horn-hoarse", "house-never-full", "lights-die-on-house",
    "boiled-batteries", "charge-lamp-stays-dark", "house-left-out", "sun-for-nothing",
    "half-an-alternator", "stuck-in-one-stage", "converter-asleep", "under-engine-and-falling",
    "lights-dip-with-pump", "no-crank", "slow-cranking", "steaming-light-blinks", "tired-fan",
}  # fmt: skip  # rows that a reader compares
"""Boats with so much on them, or so many pairs suspected, that a hunt takes many seconds."""

SMALL = [path for path in sorted(EXERCISES.glob("*.toml")) if path.stem not in LARGE][::12]


def agree(walk):
    hunt, advised = walk()
    # what would have been better counts no suspect, and is most of the work
    with (
        patch("labkit.hunts.debrief.search", return_value=advised),
        patch.object(Adviser, "rank", return_value=[]),
    ):
        assert not list(disagreements(hunt, debrief(hunt)))


@pytest.mark.parametrize("number", range(len(SMALL)), ids=[path.stem for path in SMALL])
def test_table_chart_and_sentences_agree_whatever_was_dealt_and_however_it_was_sought(number):
    """One variant and way of every twelfth; `python -m tests.walks` has all, and large boats."""
    walks = list(hunts(load_exercise(SMALL[number])))
    agree(walks[number % len(walks)])


def test_they_agree_for_every_variant_of_a_hunt_and_every_way():
    for walk in hunts(load_exercise(EXERCISES / "chart-lamp-dark.toml")):
        agree(walk)
