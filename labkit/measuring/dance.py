"""What a brushed motor that turns does to a meter's last digits: they dance.

Which digits show is drawn from where the leads are and the how manyth reading it is, so that a log
played again shows the same.
"""

from __future__ import annotations

import math
from dataclasses import replace
from random import Random

from labkit.circuits.circuit import Circuit
from labkit.measuring.meter import FUNCTIONS, Reading, display
from labkit.parts import MotorLoad
from labkit.solving.solver import solve

_TURNS = 0.02  # share of rated speed above which brushes make noise
_DANCES = ("volts", "low-z")


def noise(circuit: Circuit) -> float:
    """Root mean square of what the brushes that turn now put on a meter. [V]"""
    made = {p.id: p.noise for p in circuit.parts.values() if isinstance(p, MotorLoad) and p.noise}
    if not made:
        return 0.0
    speeds = solve(circuit).speeds
    turning = (volts for id, volts in made.items() if abs(speeds.get(id) or 0.0) > _TURNS)
    return math.hypot(*turning)


def danced(reading: Reading, circuit: Circuit, number: int) -> Reading:
    """Return a reading as it stands on the display at an instant, its interval wide enough.

    Parameters
    ----------
    reading : Reading
    circuit : Circuit
        That it was taken in.
    number : int
        The how manyth reading it is.
    """
    volts = noise(circuit) if reading.function in _DANCES and reading.value is not None else 0.0
    if not volts or reading.value is None:
        return reading
    dice = Random(f"{circuit.title}/{number}/{reading.red}/{reading.black}")
    apart = min(max(dice.gauss(0.0, 1.0), -2.0), 2.0) * volts
    shown = display(FUNCTIONS[reading.function], reading.value + apart)
    wider = 2.0 * volts
    return replace(reading, display=shown, low=reading.low - wider, high=reading.high + wider)
