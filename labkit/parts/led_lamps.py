"""LED lamps: constant power behind a driver, or a string of LEDs behind a resistor."""

from __future__ import annotations

import math
from typing import ClassVar

from labkit.parts.base import CutOut, Model, PartState, extras
from labkit.parts.junctions import FORWARD_VOLTAGE
from labkit.parts.laws import THERMAL_VOLTAGE, Junction, Power, Value
from labkit.parts.loads import _Rated
from labkit.parts.modes import (
    BLOWN_MODE,
    MISSING_MODE,
    RESISTANCE_MODE,
    REVERSED_MODE,
    SHORT_MODE,
    Mode,
    modes_of,
)
from labkit.parts.traits import LIGHT_WORDS, Now, Scale, Trait, steady

_STRING = 3  # white LEDs in series to 12 V
_STOPS, _STARTS = 0.6, 0.65  # of rated voltage: of a driver; common practice, no source


class LedLamp(_Rated):
    """LED lamp: the same power at any voltage with a `driver`, else LEDs behind a resistor.

    With a driver the current rises as the voltage falls, until it stops; a bad joint loses more
    than it would before a filament, the light tells nothing of it, and behind a leak it starts and
    stops for ever. Without one there are three
    white LEDs in series for each 12 V and the light follows the current, so that a leak of
    milliamperes makes it glow. Either is dark when connected the wrong way round.
    """

    kind: ClassVar[str] = "led lamp"
    example: ClassVar[dict[str, str]] = {"power": "6 W"}
    letters: ClassVar[str] = "EP"
    traits: ClassVar[Trait] = Trait.LOAD | Trait.NOT_OHMS
    default_resistance: ClassVar[float] = 0.0
    modes: ClassVar[dict[str, Mode]] = modes_of(
        BLOWN_MODE._replace(weight=1.0),
        RESISTANCE_MODE._replace(says="corroded in its holder", weight=3.0),
        REVERSED_MODE._replace(weight=0.5),
        SHORT_MODE._replace(weight=0.1),
        MISSING_MODE,
    )
    signs: ClassVar[tuple[Scale, ...]] = LIGHT_WORDS
    states: ClassVar[tuple[str, str, str]] = ("on", "off", "")  # of its driver
    driver: bool = True

    def sign(self, now: Now) -> tuple[Value, Value]:
        share = now.xp.maximum(now.amps, 0.0) / self.amps(now.system)
        if self.driver:
            lit = share * abs(now.volts) / self.volts(now.system)
            share = now.xp.where(share > 0, lit, 0.0)
        return steady(now.amps, share, now.xp)

    def law(self, state: PartState) -> Power | Junction:
        """Return the lamp's law in this state."""
        volts, amps = self.volts(state.system), self.amps(state.system)
        if self.driver:
            return Power(self.series(state), power=volts * amps, floor=_STOPS * volts)
        strung = max(round(volts / 12), 1) * _STRING
        forward, emission = strung * FORWARD_VOLTAGE["white"], strung * 2 * THERMAL_VOLTAGE
        return Junction(
            self.series(state) + (volts - forward) / amps,
            saturation=amps / math.expm1(forward / emission),
            emission=emission,
        )

    def problems(self, system: float) -> list[str]:
        if self.voltage is not None and self.voltage < 10:
            return [f'voltage: found "{self.voltage:g} V"; LED lamps here are for 12 V or more']
        return super().problems(system)

    def model(self, state: PartState) -> Model:
        branches = self.path(state, self.law(state))
        device = None
        if self.driver and branches:
            volts = self.volts(state.system)
            device = CutOut(branches[0].role, _STOPS * volts, _STARTS * volts)
        return Model((*branches, *extras(self, state)), device)
