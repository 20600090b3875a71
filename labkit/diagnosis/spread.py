"""How far a boat may differ from its drawing, and where readings end."""

from __future__ import annotations

from dataclasses import dataclass

from labkit.circuits.circuit import Circuit
from labkit.parts.laws import Value

OUTSIDE = 100.0
"""How far beyond the last reading over range lies, and unsteady twice that. [sigma]"""


@dataclass(frozen=True)
class Spread:
    """How far a sound boat may differ from its drawing: battery charge, lengths, tolerances, load.

    One standard deviation: a share of the reading and a constant. The defaults for volts, 1 % and
    5 mV, cover a battery between 12.4 and 12.9 V and cables cut 5 % long in most places; they are
    common practice, no source, and so are those of amps and of the probes' contact in ohms.
    """

    share: float = 0.01
    volts: float = 0.005
    amps: float = 0.005
    ohms: float = 0.05

    def at(self, reading: Value, unit: str) -> Value:
        """Standard deviation of what the boat makes of a reading."""
        constant = {"V": self.volts, "A": self.amps, "ohm": self.ohms}[unit]
        return self.share * abs(reading) + constant


DOUBTFUL = Spread(0.04, 0.04, 0.04, 0.4)
"""Of a boat whose drawing says itself that it is not exact. Common practice, no source."""


def spread_for(circuit: Circuit) -> Spread:
    """How far a boat may differ from this drawing of it."""
    in_doubt = any(part.doubts for part in circuit.parts.values())
    return DOUBTFUL if in_doubt else Spread()
