"""How a wire warms: one mass of copper, losing heat as its published ampacity says.

    C dT/dt = I^2 rho20 (1 + a (T - 20)) / S - h (T - Ta)

is linear in T, so a step at a constant current is exact. h of a gauge is what brings the current of
33 CFR 183.425, table 5, to the insulation's rating in air of 30 C. Quick overloads then follow the
adiabatic law t = k^2 S^2 / I^2 (IEC 60364-5-54); the loss during the pulse is under 5 % for pulses
shorter than a twentieth of the wire's time constant. A jacket is left out, so thin wires warm two
to three times too quickly.
"""

from __future__ import annotations

import math
from functools import lru_cache
from itertools import pairwise

from labkit.parts.conductors import (
    AMPACITY,
    RESISTIVITY_20C,
    TEMPERATURE_COEFFICIENT,
    ampacity,
    awg_area,
    resistivity,
)

HEAT_OF_COPPER = 3.45e6
"""Volumetric heat of copper at 20 C. [J/K m3] IEC 60949."""

MELTS = 1085.0
"""Of copper. [C]"""

TABLE_AMBIENT = 30.0
"""Ambient of 33 CFR 183.425, table 5. [C]"""

_BEYOND = 0.3  # power of area with which the loss grows outside the table; chosen
_RUNAWAY = 50.0  # time constants after which a wire that runs away has long burnt through


@lru_cache
def _losses(insulation: int) -> tuple[tuple[float, float], ...]:
    """Logarithms of area [m2] and loss [W/m K] of every gauge, thinnest first."""
    rows = []
    for gauge in sorted(AMPACITY, reverse=True):
        area, amps = awg_area(gauge), ampacity(gauge, insulation)
        loss = amps**2 * resistivity(insulation) / area / (insulation - TABLE_AMBIENT)
        rows.append((math.log(area), math.log(loss)))
    return tuple(rows)


@lru_cache
def loss(area: float, insulation: int = 105) -> float:
    """Heat a wire loses for each metre and each degree above the air. [W/m K]

    Parameters
    ----------
    area : float
        Cross-section; between gauges on log scales. [m2]
    insulation : int
        Temperature rating of its insulation. [C]
    """
    rows, x = _losses(insulation), math.log(area)
    for end in (rows[0], rows[-1]):
        if (x < end[0]) if end is rows[0] else (x > end[0]):
            return math.exp(end[1] + _BEYOND * (x - end[0]))
    for (x0, y0), (x1, y1) in pairwise(rows):
        if x <= x1:
            return math.exp(y0 + (y1 - y0) * (x - x0) / (x1 - x0))
    raise AssertionError("the rows reach from the thinnest to the thickest")


def warmed(
    celsius: float,
    squared: float,
    seconds: float,
    area: float,
    ambient: float,
    insulation: int = 105,
) -> float:
    """Temperature of a wire after a time at a constant current. [C]

    Parameters
    ----------
    celsius : float
        At first. [C]
    squared : float
        Square of the current. [A2]
    seconds : float
        [s]
    area : float
        [m2]
    ambient : float
        [C]
    insulation : int
        Temperature rating of its insulation. [C]

    Notes
    -----
    Where the resistance grows faster with temperature than the loss, it runs away: the result then
    grows without limit.
    """
    h, alpha = loss(area, insulation), TEMPERATURE_COEFFICIENT
    made = squared * RESISTIVITY_20C / area  # at 20 C [W/m]
    rate = (h - made * alpha) / (HEAT_OF_COPPER * area)
    feed = (made * (1.0 - 20.0 * alpha) + h * ambient) / (HEAT_OF_COPPER * area)
    if abs(rate * seconds) < 1e-9:
        return celsius + seconds * (feed - rate * celsius)
    settled = feed / rate
    return settled + (celsius - settled) * math.exp(-max(rate * seconds, -_RUNAWAY))


def left(seconds: float, constant: float) -> float:
    """Share of a difference that is left after a time, by a time constant [s]."""
    return math.exp(-seconds / constant)


def settled(squared: float, area: float, ambient: float, insulation: int = 105) -> float:
    """Temperature a wire comes to in the end, infinite where it runs away. [C]"""
    h, alpha = loss(area, insulation), TEMPERATURE_COEFFICIENT
    made = squared * RESISTIVITY_20C / area
    if h <= made * alpha:
        return math.inf
    return (made * (1.0 - 20.0 * alpha) + h * ambient) / (h - made * alpha)
