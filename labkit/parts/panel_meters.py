"""Meters that stay in the boat, and the shunts they measure current by."""

from __future__ import annotations

from typing import ClassVar, Literal

from labkit.parts.base import Amps, Part, PartState
from labkit.parts.laws import Value
from labkit.parts.modes import OPEN_MODE, RESISTANCE_MODE, Mode, modes_of
from labkit.parts.traits import Now, Scatter, Trait
from labkit.text.quantities import show

Drop = Literal["50 mV", "75 mV"]

DROPS: dict[str, float] = {"50 mV": 0.050, "75 mV": 0.075}
"""What a shunt loses at its rated current. [V] The two usual ones; common practice, no source."""


class Ammeter(Part):
    """Panel ammeter, in series."""

    kind: ClassVar[str] = "ammeter"
    scatter: ClassVar[Scatter] = Scatter(ohms=0.3)
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


class Shunt(Part):
    """Shunt: so many millivolts at its rated current, for a meter that stands elsewhere.

    Fitted with one of the other kind of drop, it makes every current read half as large again, or
    a third too small.
    """

    kind: ClassVar[str] = "shunt"
    letters: ClassVar[str] = "R"
    example: ClassVar[dict[str, str]] = {"current": "100 A"}
    modes: ClassVar[dict[str, Mode]] = modes_of(
        Mode("wrong shunt", "wrong drop", "of the wrong drop", 0.3),
        RESISTANCE_MODE._replace(says="loose stud", weight=1.0),
        OPEN_MODE._replace(weight=0.1),
    )
    current: Amps
    drop: Drop = "50 mV"

    @property
    def rating(self) -> str:
        return f"{show(self.current, 'A')} {self.drop}"

    @property
    def own_resistance(self) -> float:
        return DROPS[self.drop] / self.current if self.resistance is None else self.resistance

    def problems(self, system: float) -> list[str]:
        if self.current == 0:
            return ['current: found "0 A"; write what is stamped on it, such as "100 A"']
        return super().problems(system)

    def series(self, state: PartState) -> Value:
        other = {"50 mV": 1.5, "75 mV": 1 / 1.5}[self.drop]
        wrong = self.own_resistance * (other - 1.0) if state.has("wrong shunt") else 0.0
        return super().series(state) + wrong


class ShuntAmmeter(Voltmeter):
    """Panel ammeter across a shunt: a millivoltmeter whose scale says amperes."""

    kind: ClassVar[str] = "shunt ammeter"
    example: ClassVar[dict[str, str]] = {"current": "100 A"}
    default_resistance: ClassVar[float] = 50.0  # of a moving coil for 50 mV; common practice
    modes: ClassVar[dict[str, Mode]] = modes_of(
        OPEN_MODE._replace(weight=0.3), RESISTANCE_MODE._replace(weight=0.5)
    )
    current: Amps
    drop: Drop = "50 mV"

    @property
    def rating(self) -> str:
        return f"{show(self.current, 'A')} {self.drop}"

    def problems(self, system: float) -> list[str]:
        if self.current == 0:
            return ['current: found "0 A"; write what its scale ends at, such as "100 A"']
        return super().problems(system)

    def shows(self, now: Now) -> str:
        amps = 0.0 if now.amps != now.amps else now.amps
        through = DROPS[self.drop] / self.own_resistance  # at full scale
        return f"shows {show(amps / through * self.current, 'A', 2)}"
