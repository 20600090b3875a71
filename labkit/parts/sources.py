"""Batteries and chargers."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import ClassVar, Literal

from labkit.parts import cells
from labkit.parts.base import (
    IDEAL_SOURCE,
    Amps,
    Celsius,
    Coulombs,
    CurrentLimit,
    Fraction,
    Guard,
    Model,
    Part,
    PartState,
    Volts,
    extras,
)
from labkit.parts.laws import Law, Limited, Linear, Value, at_least
from labkit.parts.modes import (
    LEAK_MODE,
    OPEN_MODE,
    RESISTANCE_MODE,
    REVERSED_MODE,
    SHORT_MODE,
    Effect,
    Mode,
    modes_of,
)
from labkit.parts.traits import Scatter, Trait
from labkit.text.quantities import FRACTION, RESISTANCE, show

OHM_AMP_HOURS = 0.8
"""Internal resistance times capacity of a 12 V battery that is given by its EMF. [ohm Ah]

Common practice, no source.
"""

_USUAL_AMP_HOURS = 100.0  # where a file says nothing
_LEAST_HEALTH = 0.1
_PART_OF_A_BANK = 0.75  # of the system's voltage: no battery as flat as that is of any use
_CELL = 2.1  # a lead cell at rest, well charged [V]


class Source(Part):
    """What drives a current of its own, from - to +."""

    terminals: ClassVar[tuple[str, ...]] = ("-", "+")
    letters: ClassVar[str] = "G"
    traits: ClassVar[Trait] = Trait.SOURCE | Trait.NOT_OHMS

    def problems(self, system: float) -> list[str]:
        if self.resistance == 0:
            return []
        return super().problems(system)

    def series(self, state: PartState) -> Value:
        return at_least(super().series(state), IDEAL_SOURCE)


class Battery(Source):
    """Battery: by its EMF a plain source behind a resistance, by its charge what cells do.

    With `emf` it is that EMF behind `resistance` (or what is usual for its `capacity`), at any
    current. With `charge` EMF and resistance follow from charge, `chemistry`, `temperature` and
    `health` (the share of its capacity that is left), its posts rise as current goes in, and it
    fills ever more slowly; see :mod:`labkit.parts.cells`. `cca` is printed on start batteries;
    `resistance` is then that of the full, warm battery.

    A lithium battery (`lifepo4`) has its own protection: it opens when its posts fall below 10 V
    or rise above 15.2 V, and takes no charge when frozen or hot; see GUARD in that module.

    Remembers `near` and `bulk`, its charge near the plates and in the bulk of them, `surface`, its
    charging voltage, and `celsius`. [-, -, V, C]
    """

    kind: ClassVar[str] = "battery"
    scatter: ClassVar[Scatter] = Scatter(ohms=0.4)
    example: ClassVar[dict[str, str]] = {"emf": "12.7 V"}
    modes: ClassVar[dict[str, Mode]] = modes_of(
        Mode("low", "discharged", "discharged", 3.0, FRACTION, ("20 %", "0 %", "40 %"), most=1.0),
        Mode(
            "weak",
            "worn out",
            "worn out",
            1.5,
            RESISTANCE,
            ("0.06 ohm", "0.02 ohm", "0.2 ohm"),
            Effect.ADDS,
            family="battery",
        ),
        Mode("dead cell", "one cell dead", "one cell dead", 0.5, family="battery"),
        RESISTANCE_MODE,
        OPEN_MODE._replace(weight=0.3),
        SHORT_MODE._replace(weight=0.05),
        LEAK_MODE._replace(weight=0.05),
        REVERSED_MODE._replace(weight=0.02),
    )
    states: ClassVar[tuple[str, str, str]] = ("connected", "cut off", "")  # by its own protection
    emf: Volts | None = None
    charge: Fraction | None = None
    capacity: Coulombs | None = None
    chemistry: Literal["flooded", "agm", "lifepo4"] = "flooded"
    health: Fraction = 1.0
    temperature: Celsius = cells.WARM
    cca: Amps | None = None

    @property
    def rating(self) -> str:
        if self.capacity:
            return f"{self.capacity / 3600:g} Ah"
        return show(self.emf, "V") if self.emf is not None else ""

    @property
    def amp_hours(self) -> float:
        """Capacity when new. [Ah]"""
        return self.capacity / 3600 if self.capacity else _USUAL_AMP_HOURS

    @property
    def own_resistance(self) -> float:
        if self.resistance is not None:
            return self.resistance
        if self.charge is None:
            return OHM_AMP_HOURS / self.amp_hours
        return cells.full_resistance(self.chemistry, self._ohm_amp_hours(12.0), self.amp_hours)

    def nominal(self, system: float) -> float:
        """The system's voltage, or that of its own cells where it is one of a bank. [V]"""
        if self.emf is None or self.emf > _PART_OF_A_BANK * system:
            return system
        return 2.0 * max(round(self.emf / _CELL), 1)

    def _ohm_amp_hours(self, system: float) -> float:
        """Resistance behind the surface when full and warm times capacity, of 12 V. [ohm Ah]"""
        if self.resistance is not None:
            whole = max(self.resistance, IDEAL_SOURCE) * 12.0 / system
            return cells.behind_surface(self.chemistry, whole, self.amp_hours)
        if self.cca is not None:
            return cells.CRANKING * self.amp_hours / self.cca
        return cells.CHEMISTRIES[self.chemistry].ohm_amp_hours

    def problems(self, system: float) -> list[str]:
        if (self.emf is None) == (self.charge is None):
            found = "neither" if self.emf is None else "both"
            return [f'emf: found {found} of emf and charge; write one, such as emf = "12.7 V"']
        if self.charge is not None and self.charge > 1:
            return [f'charge: found "{self.charge * 100:g} %"; it is at most "100 %"']
        if not _LEAST_HEALTH <= self.health <= 1:
            return [f'health: found "{self.health * 100:g} %"; it is between "10 %" and "100 %"']
        if self.emf is not None and self.health < 1:
            return ["health: found beside emf, which tells all of a plain source; write charge"]
        if not -30 <= self.temperature <= 60:
            return [f'temperature: found "{self.temperature:g} C"; it is between -30 C and 60 C']
        if self.cca == 0 or self.capacity == 0:
            return ["cca: found 0; write what is printed on the battery, or leave it out"]
        return super().problems(system)

    def model(self, state: PartState) -> Model:
        low = state.find("low")
        charge = self.charge if low is None or low.value is None else low.value
        nominal = self.nominal(state.system)
        number = max(round(nominal / 2), 1)
        left = (number - 1) / number if state.has("dead cell") else 1.0
        if self.charge is not None:
            law = self._cells(state, state.memory.get("near", charge), left)
        else:
            emf = cells.rest_voltage(charge, nominal) if charge is not None else self.emf
            law = Linear.emf((emf or 0.0) * left, self.series(state))
        branches = self.path(state, law)
        device = None
        if branches and self.charge is not None and self.chemistry == "lifepo4":
            device = Guard(branches[0].role, *(v * state.system / 12.0 for v in cells.GUARD))
        return Model((*branches, *extras(self, state)), device)

    def _cells(self, state: PartState, near: float, left: float) -> Law:
        """Law of the cells that work, a share of all, after a step of time or settled."""
        ohm_amp_hours = self._ohm_amp_hours(state.system)
        celsius = state.memory.get("celsius", self.temperature)
        law, ohms = cells.cell(
            self.chemistry,
            self.amp_hours * self.health,
            near,
            celsius,
            state.system * left,
            ohm_amp_hours * self.health,
        )
        if self.emf is not None and not state.has("low"):  # as it was measured
            law = replace(law, emf=self.emf * left)
        least, most = cells.TAKES_CHARGE
        if self.chemistry == "lifepo4" and not least <= celsius <= most:
            law = cells.refusing(law)
        worn = cells.worn(ohm_amp_hours / self.amp_hours, self.health) * state.system / 12.0
        ohms = at_least(ohms + worn + self.added(state), IDEAL_SOURCE)
        before = state.memory.get("surface", 0.0)
        if state.dt == 0:
            return Linear.emf(law.emf + before, ohms)
        held = 0.0 if state.dt == math.inf else law.held / state.dt
        return replace(law, series=ohms, held=held, before=before if held else 0.0)


class Supply(Source):
    """Source of direct current: a constant voltage behind a resistance, up to a current limit."""

    kind: ClassVar[str] = "supply"
    scatter: ClassVar[Scatter] = Scatter(ohms=0.3, volts=0.15)
    traits: ClassVar[Trait] = Source.traits | Trait.CHARGES
    example: ClassVar[dict[str, str]] = {"voltage": "14 V"}
    default_resistance: ClassVar[float] = 5e-3  # common practice, no source
    modes: ClassVar[dict[str, Mode]] = modes_of(
        OPEN_MODE._replace(says="dead"),
        RESISTANCE_MODE,
        LEAK_MODE._replace(weight=0.05),
    )
    states: ClassVar[tuple[str, str, str]] = ("constant voltage", "limiting", "")
    usual: ClassVar[float] = 14.2
    """Voltage of 12 V boats, where a file may leave it out. [V]"""
    voltage: Volts | None
    limit: Amps | None = None

    def volts(self, system: float) -> float:
        """Voltage that it holds. [V]"""
        return self.voltage if self.voltage is not None else self.usual * system / 12.0

    def problems(self, system: float) -> list[str]:
        if self.limit == 0:
            return ['limit: found "0 A"; write what it can give, such as "25 A"']
        return super().problems(system)

    @property
    def rating(self) -> str:
        volts = show(self.voltage, "V") if self.voltage is not None else ""
        amps = show(self.limit, "A") if self.limit else ""
        return " ".join(text for text in (volts, amps) if text)

    def model(self, state: PartState) -> Model:
        ohms, emf = self.series(state), self.volts(state.system)
        law: Law = Linear.emf(emf, ohms)
        device = None
        if self.limit is not None:
            law = Limited(conductance=1 / ohms, emf=emf, amps=self.limit)
        branches = self.path(state, law)
        if self.limit is not None and branches:
            device = CurrentLimit("main", self.limit, emf, ohms)
        return Model((*branches, *extras(self, state)), device)
