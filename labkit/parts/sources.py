"""Batteries and chargers."""

from __future__ import annotations

from bisect import bisect_right
from typing import ClassVar

from labkit.parts.base import (
    IDEAL_SOURCE,
    Amps,
    Coulombs,
    CurrentLimit,
    Fraction,
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
from labkit.parts.traits import Trait
from labkit.text.quantities import FRACTION, RESISTANCE, show

REST_VOLTAGE = ((0.0, 11.6), (0.25, 12.0), (0.5, 12.2), (0.75, 12.4), (1.0, 12.6))
"""State of charge to rest voltage of a 12 V lead-acid battery. [V]

A rule-of-thumb table printed by a radio makers' mailing list; published tables differ from one
another by about 0.1 V at the same charge.
"""

OHM_AMP_HOURS = 0.8
"""Internal resistance times capacity of a 12 V battery. [ohm Ah] Common practice, no source."""


def rest_voltage(charge: float, system: float = 12.0) -> float:
    """Rest voltage of a lead-acid battery. [V]

    Parameters
    ----------
    charge : float
        State of charge, 0 to 1.
    system : float
        Nominal voltage. [V]
    """
    charge = min(max(charge, 0.0), 1.0)
    k = min(bisect_right([row[0] for row in REST_VOLTAGE], charge), len(REST_VOLTAGE) - 1)
    (c0, v0), (c1, v1) = REST_VOLTAGE[k - 1], REST_VOLTAGE[k]
    return (v0 + (v1 - v0) * (charge - c0) / (c1 - c0)) * system / 12.0


class _Source(Part):
    terminals: ClassVar[tuple[str, ...]] = ("-", "+")
    letters: ClassVar[str] = "G"
    traits: ClassVar[Trait] = Trait.SOURCE | Trait.NOT_OHMS

    def problems(self, system: float) -> list[str]:
        if self.resistance == 0:
            return []
        return super().problems(system)

    def series(self, state: PartState) -> Value:
        return at_least(super().series(state), IDEAL_SOURCE)


class Battery(_Source):
    """Battery: its EMF behind its internal resistance.

    `emf` (or `charge`, from which the rest voltage of a lead-acid battery follows) and
    `resistance` (or `capacity`, from which a usual one follows).
    """

    kind: ClassVar[str] = "battery"
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
        ),
        Mode("dead cell", "one cell dead", "one cell dead", 0.5),
        RESISTANCE_MODE,
        OPEN_MODE._replace(weight=0.3),
        SHORT_MODE._replace(weight=0.05),
        LEAK_MODE._replace(weight=0.05),
        REVERSED_MODE._replace(weight=0.02),
    )
    emf: Volts | None = None
    charge: Fraction | None = None
    capacity: Coulombs | None = None

    @property
    def rating(self) -> str:
        if self.capacity:
            return f"{self.capacity / 3600:g} Ah"
        return show(self.emf, "V") if self.emf is not None else ""

    @property
    def own_resistance(self) -> float:
        if self.resistance is not None:
            return self.resistance
        return OHM_AMP_HOURS / (self.capacity / 3600 if self.capacity else 100.0)

    def problems(self, system: float) -> list[str]:
        if (self.emf is None) == (self.charge is None):
            found = "neither" if self.emf is None else "both"
            return [f'emf: found {found} of emf and charge; write one, such as emf = "12.7 V"']
        if self.charge is not None and self.charge > 1:
            return [f'charge: found "{self.charge * 100:g} %"; it is at most "100 %"']
        return super().problems(system)

    def model(self, state: PartState) -> Model:
        charge = state.find("low")
        if charge is not None and charge.value is not None:
            emf = rest_voltage(charge.value, state.system)
        else:
            emf = (
                self.emf if self.emf is not None else rest_voltage(self.charge or 0.0, state.system)
            )
        if state.has("dead cell"):
            cells = max(round(state.system / 2), 1)
            emf *= (cells - 1) / cells
        law = Linear.emf(emf, self.series(state))
        return Model((*self.path(state, law), *extras(self, state)))


class Supply(_Source):
    """Charger or alternator: a constant voltage behind a resistance, up to a current limit."""

    kind: ClassVar[str] = "supply"
    default_resistance: ClassVar[float] = 5e-3  # common practice, no source
    modes: ClassVar[dict[str, Mode]] = modes_of(
        OPEN_MODE._replace(says="dead"),
        RESISTANCE_MODE,
        LEAK_MODE._replace(weight=0.05),
    )
    states: ClassVar[tuple[str, str, str]] = ("constant voltage", "limiting", "")
    voltage: Volts
    limit: Amps | None = None

    def problems(self, system: float) -> list[str]:
        if self.limit == 0:
            return ['limit: found "0 A"; write what it can give, such as "25 A"']
        return super().problems(system)

    @property
    def rating(self) -> str:
        volts = show(self.voltage, "V")
        return f"{volts} {show(self.limit, 'A')}" if self.limit else volts

    def model(self, state: PartState) -> Model:
        ohms = self.series(state)
        law: Law = Linear.emf(self.voltage, ohms)
        device = None
        if self.limit is not None:
            law = Limited(conductance=1 / ohms, emf=self.voltage, amps=self.limit)
        branches = self.path(state, law)
        if self.limit is not None and branches:
            device = CurrentLimit("main", self.limit, self.voltage, ohms)
        return Model((*branches, *extras(self, state)), device)
