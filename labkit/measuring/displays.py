"""What a meter's display shows between many pairs of points at once, digit for digit as one by one.

Readings made in bulk are right to a twentieth of a count. Where that could decide the last digit,
the one reading in question is taken by itself.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from labkit.circuits.circuit import Circuit
from labkit.measuring.meter import COUNTS, FUNCTIONS, read, volts_shown
from labkit.measuring.readings import readings
from labkit.text.messages import NoConvergenceError

_DOUBTFUL = 0.1  # counts from where one digit gives way to the next; twice what a reading may err


def volts_displays(circuit: Circuit, pairs: Sequence[tuple[str, str]]) -> list[str]:
    """Return what the display shows in volts between pairs of points, red then black.

    Parameters
    ----------
    circuit : Circuit
    pairs : sequence of (str, str)
        Terminals, named nodes or numbers of test points.

    Returns
    -------
    list of str
        As :func:`labkit.measuring.meter.read` shows them: "12.66 V", "unsteady".

    Raises
    ------
    NoConvergenceError
        As :func:`labkit.solving.solver.solve`.
    """
    found = readings([circuit], pairs)
    for names in found.unsolved.values():
        raise NoConvergenceError(f"no operating point found; still moving: {names}")
    return [
        read(circuit, *pair).display if _doubtful(volts) else volts_shown(volts)
        for pair, volts in zip(pairs, map(float, found.volts[0]), strict=True)
    ]


def _doubtful(volts: float) -> bool:
    """Tell whether a value lies where one digit of the display gives way to the next."""
    if math.isnan(volts):
        return False
    full = next((f for f in FUNCTIONS["volts"].ranges if abs(volts) < f), None)
    counts = abs(volts) / full * COUNTS if full else 0.5
    return abs(counts % 1 - 0.5) < _DOUBTFUL
