"""Readings on a scale where noise is everywhere the same: one unit is one standard deviation.

A reading r is turned into u(r) = integral of dr / sigma(r), where sigma is what meter and boat
together leave uncertain at r. On this scale a reading scatters by 1 whatever its size, so that a
millivolt drop and a battery voltage can be weighed alike. What is no number (over range, unsteady)
lies far outside.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from labkit.diagnosis.spread import OUTSIDE, Spread
from labkit.measuring.meter import COUNTS, DIODE_MOST, FUNCTIONS, Function
from labkit.solving.arrays import Array


def meter_sigma(reading: Array, function: Function) -> Array:
    """Standard deviation of the meter: half its accuracy limits, on the range it would pick."""
    size = np.abs(reading)
    full = np.full_like(size, function.ranges[-1])
    for limit in reversed(function.ranges):
        full[size < limit * (1 - 0.5 / COUNTS)] = limit
    sigma: Array = (function.percent / 100 * size + function.counts * full / COUNTS) / 2
    return sigma


class Scale:
    """The scale of one function of the meter.

    Parameters
    ----------
    name : str
        A key of labkit.measuring.meter.FUNCTIONS.
    spread : Spread
    """

    def __init__(self, name: str, spread: Spread) -> None:
        function = FUNCTIONS[name]
        self.unit = function.unit
        self.most = DIODE_MOST if name == "diode" else function.ranges[-1]
        steps = np.linspace(0.0, np.arcsinh(self.most / 1e-4), 6000)
        self._r = 1e-4 * np.sinh(steps)
        middle = (self._r[1:] + self._r[:-1]) / 2
        sigma = np.hypot(meter_sigma(middle, function), spread.at(middle, self.unit))
        self._u = np.concatenate([[0.0], np.cumsum(np.diff(self._r) / sigma)])
        self.end = float(self._u[-1])

    def u(self, reading: Array) -> Array:
        """Turn readings into the scale; infinite is over range, nan unsteady. [sigma]"""
        size = np.abs(reading)
        u = np.interp(size, self._r, self._u)
        u = np.where(size > self.most * (1 + 1e-9), self.end + OUTSIDE, u)
        signed: Array = np.where(np.isnan(reading), self.end + 2 * OUTSIDE, np.copysign(u, reading))
        return signed

    def reading(self, u: float) -> float:
        """Turn a place on the scale back into a reading; infinite where it is over range."""
        if abs(u) > self.end + OUTSIDE / 2:
            return float(np.copysign(np.inf, u)) if abs(u) < self.end + 1.5 * OUTSIDE else np.nan
        return float(np.copysign(np.interp(abs(u), self._u, self._r), u))

    def readings(self, u: Array) -> Array:
        """Turn many places on the scale back into readings, as :meth:`reading` does."""
        size = np.abs(u)
        inside = np.interp(size, self._u, self._r)
        outside = np.where(size < self.end + 1.5 * OUTSIDE, np.inf, np.nan)
        found: Array = np.where(
            size > self.end + OUTSIDE / 2, np.copysign(outside, u), np.copysign(inside, u)
        )
        return found


@lru_cache(maxsize=64)
def scale(name: str, spread: Spread) -> Scale:
    """Return the scale of a function of the meter."""
    return Scale(name, spread)
