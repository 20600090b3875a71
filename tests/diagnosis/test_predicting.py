"""Readings weighed on plain floats are weighed as they are in rows."""

import math

import numpy as np
import pytest

from labkit.diagnosis.predicting import plain_scale
from labkit.diagnosis.scale import scale
from labkit.diagnosis.spread import Spread
from labkit.measuring.meter import FUNCTIONS


@pytest.mark.parametrize("function", FUNCTIONS)
def test_a_plain_scale_places_a_reading_where_the_scale_of_rows_does(function):
    plain, rows = plain_scale(function, Spread()), scale(function, Spread())
    sizes = [0.0, *np.geomspace(1e-5, rows.most, 60), 2 * rows.most, math.inf, math.nan]
    for reading in (*sizes, *(-size for size in sizes)):
        there = float(rows.u(np.array(reading)))
        assert plain.u(float(reading)) == pytest.approx(there, rel=1e-9, abs=1e-9), reading
