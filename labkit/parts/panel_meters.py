"""Meters that stay in the boat."""

from __future__ import annotations

from typing import ClassVar

from labkit.parts.base import Part
from labkit.parts.modes import OPEN_MODE, RESISTANCE_MODE, Mode, modes_of
from labkit.parts.traits import Now, Trait
from labkit.text.quantities import show


class Ammeter(Part):
    """Panel ammeter, in series."""

    kind: ClassVar[str] = "ammeter"
    letters: ClassVar[str] = "P"
    traits: ClassVar[Trait] = Trait.CONTACT | Trait.NOT_OHMS
    default_resistance: ClassVar[float] = 1e-3  # 50 A, 50 mV shunt; common practice, no source
    modes: ClassVar[dict[str, Mode]] = modes_of(
        RESISTANCE_MODE._replace(says="loose terminal", weight=1.0),
        OPEN_MODE._replace(weight=0.3),
    )

    @property
    def seen(self) -> bool:
        return True

    def shows(self, now: Now) -> str:
        amps = 0.0 if now.amps != now.amps else now.amps
        return f"shows {show(amps, 'A', 2)}"


class Voltmeter(Part):
    """Panel voltmeter, across what it measures."""

    kind: ClassVar[str] = "voltmeter"
    letters: ClassVar[str] = "P"
    traits: ClassVar[Trait] = Trait.LOAD | Trait.NOT_OHMS
    default_resistance: ClassVar[float] = 10e3  # moving-iron or small digital; common practice
    modes: ClassVar[dict[str, Mode]] = modes_of(OPEN_MODE._replace(weight=0.3))

    @property
    def seen(self) -> bool:
        return True

    def shows(self, now: Now) -> str:
        volts = 0.0 if now.volts != now.volts else now.volts
        return f"shows {volts:.1f} V"
