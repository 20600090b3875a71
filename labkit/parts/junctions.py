"""What conducts one way: diodes and light-emitting diodes."""

from __future__ import annotations

import math
from typing import ClassVar, Literal

from labkit.parts.base import Amps, Model, Part, PartState, Volts, extras
from labkit.parts.keys import JunctionAmps
from labkit.parts.laws import THERMAL_VOLTAGE, Junction, Value
from labkit.parts.modes import (
    BLOWN_MODE,
    OPEN_MODE,
    RESISTANCE_MODE,
    REVERSED_MODE,
    SHORT_MODE,
    Mode,
    modes_of,
)
from labkit.parts.traits import LIGHT_WORDS, Now, Scale, Scatter, Trait, steady


class Diode(Part):
    """Diode: Shockley's law behind a series resistance; terminal 1 is the anode."""

    kind: ClassVar[str] = "diode"
    letters: ClassVar[str] = "V"
    traits: ClassVar[Trait] = Trait.JUNCTION
    default_resistance: ClassVar[float] = 0.0
    modes: ClassVar[dict[str, Mode]] = modes_of(
        OPEN_MODE,
        SHORT_MODE._replace(weight=1.0),
        REVERSED_MODE._replace(says="fitted the wrong way round", weight=0.2),
        RESISTANCE_MODE._replace(weight=0.5),
    )
    saturation: JunctionAmps = 1e-12
    ideality: float = 1.0

    def problems(self, system: float) -> list[str]:
        if not 0 < self.saturation < 1e-3:
            return [f'saturation: found "{self.saturation:g} A"; write such as "1e-12 A"']
        if not 0.5 <= self.ideality <= 10:
            return [f"ideality: found {self.ideality:g}; it is between 0.5 and 10"]
        return super().problems(system)

    def law(self, state: PartState) -> Junction:
        """Return the junction's law in this state."""
        emission = self.ideality * THERMAL_VOLTAGE
        return Junction(self.series(state), saturation=self.saturation, emission=emission)

    def model(self, state: PartState) -> Model:
        return Model((*self.path(state, self.law(state)), *extras(self, state)))


FORWARD_VOLTAGE = {"red": 1.9, "amber": 2.0, "yellow": 2.0, "green": 2.2, "blue": 3.1, "white": 3.1}
"""Of an LED at its rated current. [V] Common practice, no source."""


class Indicator(Part):
    """LED indicator: a junction and the resistor that gives its rated current at rated voltage."""

    kind: ClassVar[str] = "indicator"
    scatter: ClassVar[Scatter] = Scatter(draw=0.05)
    letters: ClassVar[str] = "P"
    traits: ClassVar[Trait] = Trait.LOAD | Trait.JUNCTION
    default_resistance: ClassVar[float] = 0.0
    modes: ClassVar[dict[str, Mode]] = modes_of(
        BLOWN_MODE._replace(weight=0.5),
        SHORT_MODE._replace(weight=0.1),
        REVERSED_MODE._replace(says="fitted the wrong way round", weight=0.2),
        RESISTANCE_MODE._replace(weight=0.3),
    )
    signs: ClassVar[tuple[Scale, ...]] = LIGHT_WORDS
    voltage: Volts | None = None
    current: Amps = 0.010
    color: Literal["red", "amber", "yellow", "green", "blue", "white"] = "red"

    @property
    def rating(self) -> str:
        return self.color

    @property
    def seen(self) -> bool:
        return not self.hidden

    def sign(self, now: Now) -> tuple[Value, Value]:
        return steady(now.amps, now.xp.maximum(now.amps, 0.0) / self.current, now.xp)

    def problems(self, system: float) -> list[str]:
        volts = self.voltage if self.voltage is not None else system
        if volts <= FORWARD_VOLTAGE[self.color]:
            least = FORWARD_VOLTAGE[self.color]
            return [f'voltage: found "{volts:g} V"; a {self.color} LED needs more than {least:g} V']
        if self.current == 0:
            return ['current: found "0 A"; write its rated current, such as "10 mA"']
        return super().problems(system)

    def law(self, state: PartState) -> Junction:
        """Return the junction's law in this state, its resistor included."""
        volts = self.voltage if self.voltage is not None else state.system
        forward, emission = FORWARD_VOLTAGE[self.color], 2 * THERMAL_VOLTAGE
        return Junction(
            self.series(state) + (volts - forward) / self.current,
            saturation=self.current / math.expm1(forward / emission),
            emission=emission,
        )

    def model(self, state: PartState) -> Model:
        return Model((*self.path(state, self.law(state)), *extras(self, state)))
