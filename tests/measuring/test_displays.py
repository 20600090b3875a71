"""Displays read in bulk against the same read one by one."""

import numpy as np
import pytest

from labkit.circuits.circuit import NEGATIVE
from labkit.diagnosis.faults import candidates, in_use
from labkit.measuring.displays import _doubtful, volts_displays
from labkit.measuring.meter import read
from tests.boats import CIRCUITS, share, shipped


@pytest.mark.parametrize("name", [path.stem for path in share(CIRCUITS, 2)])
def test_every_point_of_a_boat_shows_what_it_shows_one_by_one(name):
    sound = shipped(name)
    pairs = [(str(point.number), NEGATIVE) for point in sound.test_points]
    listed = candidates(sound)
    some = [sound.with_fault(*c.faults) for c in listed[:: max(1, len(listed) // 3)]]
    for boat in (sound, *some):
        for positions in in_use(sound)[:2]:
            here = boat.with_position(**positions)
            assert volts_displays(here, pairs) == [read(here, *pair).display for pair in pairs]


def test_a_value_near_the_edge_of_a_digit_is_read_by_itself():
    counts = np.arange(0, 5999, 7) + 0.5
    assert all(_doubtful(c * 0.01) for c in counts[100:])  # the range of 60 V: 10 mV a count
    assert not any(_doubtful(c * 0.01) for c in counts[100:] + 0.3)
    assert _doubtful(5.9995)
    assert _doubtful(700.0)
    assert not _doubtful(float("nan"))
