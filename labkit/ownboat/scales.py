"""What a number on the meter is worth: the scale it is weighed on, and how far it scatters."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

import numpy as np

from labkit.solving.arrays import Array

GAIN = 0.009
"""One standard deviation of the meter's gain, one for all its functions. Common practice."""

CONTACT = 0.12
"""One standard deviation of what leads and their contact add in ohms. [ohm] Common practice."""

FLOOR = 0.3
"""Ohms are weighed as log(R + FLOOR), so that 0.2 ohm and 2 Mohm live on one scale. [ohm]"""

SEVERITY = 0.9
"""One standard deviation of a severity inside its span, of half the span: neighbours overlap."""

BENT = 0.3
"""Of how far a reading at the middle severity lies off the line, this is taken for scatter."""

OHMS = ("ohms", "continuity")


class Scatter(NamedTuple):
    """Standard deviation of a reading: a share of it, a constant, and a count of the range."""

    share: float
    constant: float
    width: float  # what a slip may read anything of, on the function's scale
    counts: bool = False


SCATTER: Mapping[str, Scatter] = {
    "volts": Scatter(0.004, 0.003, 13.0, True),
    "low-z": Scatter(0.006, 0.010, 13.0, True),
    "amps": Scatter(0.005, 0.004, 20.0),
    "clamp": Scatter(0.02, 0.03, 20.0),
    "diode": Scatter(0.02, 0.02, 15.0),
    "ohms": Scatter(0.01, CONTACT, 15.0),
    "continuity": Scatter(0.01, CONTACT, 15.0),
    "volts-ac": Scatter(0.3, 0.01, 13.0),  # by the place and the load as much as by the rectifier
}
"""One standard deviation each. Common practice, no source."""


def on_scale(function: str, reading: Array) -> Array:
    """Turn readings into what they are weighed as."""
    if function in OHMS:
        return np.asarray(np.log(np.maximum(reading, 0.0) + FLOOR))
    return np.asarray(reading, float)


def off_scale(function: str, weighed: float) -> float:
    """Turn it back into a reading."""
    return float(np.exp(min(weighed, 25.0)) - FLOOR) if function in OHMS else float(weighed)


def stretch(function: str, reading: Array) -> Array:
    """Slope of :func:`on_scale`."""
    if function in OHMS:
        return np.asarray(1 / (np.maximum(reading, 0.0) + FLOOR))
    return np.ones_like(np.asarray(reading, float))


def scatter(function: str, reading: Array) -> Array:
    """Standard deviation of a reading on its scale, from the meter and the hand that holds it."""
    facts, size = SCATTER[function], np.abs(reading)
    if function in OHMS:
        return np.asarray(np.hypot(facts.share, facts.constant / (size + FLOOR)))
    found = np.hypot(facts.share * size, facts.constant)
    if facts.counts:
        full = np.where(size < 0.6, 0.6, np.where(size < 6.0, 6.0, 60.0))
        found = np.hypot(found, full / 6000)
    return np.asarray(found)


def meter_columns(function: str, weighed: Array) -> tuple[Array, Array]:
    """How a reading on its scale moves with the meter's gain and with its leads, one sd each."""
    if function in OHMS:
        return np.full_like(weighed, GAIN), CONTACT * np.exp(-weighed)
    return GAIN * weighed, np.zeros_like(weighed)
