"""Series are thinned without losing what happened, and a meter keeps their extremes."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from labkit.clock.chronicle import MOST_POINTS, Moment, extremes, thinned


def moment(seconds: float, volts: float | None) -> Moment:
    return Moment(seconds, (volts,), (), (), (), None)


@settings(max_examples=8, deadline=None)
@given(st.integers(2100, 6000), st.floats(0.1, 10.0))
def test_a_curve_is_thinned_and_stays_within_half_a_per_cent(number: int, bend: float) -> None:
    curve = [moment(t, math.exp(-bend * t / number)) for t in range(number)]
    kept = thinned(curve)
    assert len(kept) <= MOST_POINTS
    assert kept[0] == curve[0]
    assert kept[-1] == curve[-1]
    for one, other in pairwise(kept):
        middle = curve[int((one.seconds + other.seconds) / 2)]
        share = (middle.seconds - one.seconds) / (other.seconds - one.seconds)
        line = one.volts[0] + share * (other.volts[0] - one.volts[0])  # type: ignore[operator]
        assert line == pytest.approx(middle.volts[0], abs=0.006)


def test_both_moments_of_an_event_stay() -> None:
    flat = [moment(t, 12.0) for t in range(3000)]
    jump = [moment(3000.0, 12.0), moment(3000.0, 0.0)]
    kept = thinned([*flat, *jump, *(moment(3000.0 + t, 0.0) for t in range(1, 3000))])
    assert len(kept) < 400
    assert [m.volts[0] for m in kept if m.seconds == 3000.0] == [12.0, 0.0]


def test_a_short_series_is_kept_whole() -> None:
    few = [moment(t, 1.0) for t in range(10)]
    assert thinned(few) == few


def test_a_meter_keeps_least_and_most() -> None:
    assert extremes([3.0, None, -1.0, 2.0]) == (-1.0, 3.0)
    assert extremes([None]) is None
