"""What the boat wants to run: lamps, heaters, motors."""

from __future__ import annotations

import math
from typing import ClassVar, Literal

from labkit.parts.base import (
    Amps,
    Fraction,
    Model,
    Part,
    PartState,
    Volts,
    Watts,
    extras,
)
from labkit.parts.conductors import TEMPERATURE_COEFFICIENT
from labkit.parts.filament import COLD, Filament, Lamp, voltage_share, warming_time
from labkit.parts.laws import Law, Linear, Value
from labkit.parts.modes import (
    BLOWN_MODE,
    LEAK_MODE,
    MISSING_MODE,
    OPEN_MODE,
    RESISTANCE_MODE,
    REVERSED_MODE,
    SHORT_MODE,
    Effect,
    Mode,
    modes_of,
)
from labkit.parts.rotor import Motor, Rotor
from labkit.parts.traits import (
    BACKWARDS_WORDS,
    LIGHT_EXPONENT,
    LIGHT_WORDS,
    MOTOR_WORDS,
    Now,
    Scale,
    Scatter,
    Trait,
    steady,
    word,
    yes_or_no,
)
from labkit.text.quantities import FRACTION, RESISTANCE, show

_MISSING = 'is missing; write it, such as {} = "{}"'


class _Rated(Part):
    """A load with a rated voltage and a rated current or power."""

    traits: ClassVar[Trait] = Trait.LOAD
    voltage: Volts | None = None
    current: Amps | None = None
    power: Watts | None = None

    @property
    def rating(self) -> str:
        value = (self.power, "W") if self.power is not None else (self.current, "A")
        return show(value[0], value[1]) if value[0] is not None else ""

    def volts(self, system: float) -> float:
        """Rated voltage: the system's where none is written. [V]"""
        return self.voltage if self.voltage is not None else system

    def amps(self, system: float) -> float:
        """Rated current. [A]"""
        return (
            self.current if self.current is not None else (self.power or 0.0) / self.volts(system)
        )

    def draws(self, system: float) -> float:
        return self.amps(system)

    def problems(self, system: float) -> list[str]:
        if self.current is None and self.power is None:
            return ["current: " + _MISSING.format("current", "2 A") + ' (or power = "25 W")']
        if self.current is not None and self.power is not None:
            return ["power: found both current and power; write one of them"]
        for key, value in (
            ("voltage", self.voltage),
            ("current", self.current),
            ("power", self.power),
        ):
            if value == 0:
                return [f"{key}: found 0; write what is printed on the part"]
        return super().problems(system)


class Lampholder(_Rated):
    """Tungsten lamp: cold a thirteenth of its hot resistance, then I ~ V^0.55.

    Remembers `filament`, its resistance as a share of the hot one.
    """

    kind: ClassVar[str] = "lamp"
    scatter: ClassVar[Scatter] = Scatter(draw=0.05)
    traits: ClassVar[Trait] = Trait.LOAD | Trait.MEANT_HOT
    example: ClassVar[dict[str, str]] = {"power": "24 W"}
    letters: ClassVar[str] = "EP"
    default_resistance: ClassVar[float] = 0.0
    modes: ClassVar[dict[str, Mode]] = modes_of(
        BLOWN_MODE._replace(weight=5.0),
        RESISTANCE_MODE._replace(says="corroded in its holder", weight=3.0),
        SHORT_MODE,
        MISSING_MODE,
    )
    signs: ClassVar[tuple[Scale, ...]] = LIGHT_WORDS

    def sign(self, now: Now) -> tuple[Value, Value]:
        # Light follows V^3.4, and V the current the filament passes.
        share = voltage_share(abs(now.amps) / self.amps(now.system), now.xp)
        light = share**LIGHT_EXPONENT
        return steady(now.amps, light, now.xp)

    def model(self, state: PartState) -> Model:
        return Model((*self.path(state, self.law(state)), *extras(self, state)))

    def law(self, state: PartState) -> Law:
        """Return the lamp's law: settled, or after a step of time, or at this very instant."""
        series, volts, amps = self.series(state), self.volts(state.system), self.amps(state.system)
        if state.dt == math.inf:
            return Lamp(series, voltage=volts, current=amps)
        before = state.memory.get("filament", COLD)
        if state.dt == 0:
            return Linear.resistor(series + before * volts / amps)
        lag = warming_time(amps) / state.dt
        return Filament(series, voltage=volts, current=amps, lag=lag, before=before)


class Heater(_Rated):
    """Heater: a resistance, given as such or by its rating."""

    kind: ClassVar[str] = "heater"
    scatter: ClassVar[Scatter] = Scatter(ohms=0.05, draw=0.05)
    traits: ClassVar[Trait] = Trait.LOAD | Trait.MEANT_HOT
    example: ClassVar[dict[str, str]] = {"power": "24 W"}
    letters: ClassVar[str] = "ER"
    modes: ClassVar[dict[str, Mode]] = modes_of(
        OPEN_MODE._replace(says="burnt out"),
        RESISTANCE_MODE._replace(says="corroded terminal", weight=1.0),
        SHORT_MODE,
        LEAK_MODE,
    )
    signs: ClassVar[tuple[Scale, ...]] = (yes_or_no("is warm", "is cold"),)

    def sign(self, now: Now) -> tuple[Value, Value]:
        return 0, now.xp.where(abs(now.amps) > 0, 1.0, 0.0)

    @property
    def rating(self) -> str:
        return show(self.resistance, "ohm") if self.resistance is not None else super().rating

    def draws(self, system: float) -> float:
        return system / self.resistance if self.resistance else self.amps(system)

    def problems(self, system: float) -> list[str]:
        if self.resistance is not None:
            return Part.problems(self, system)
        if self.current is None and self.power is None:
            return ["resistance: " + _MISSING.format("resistance", "3 ohm") + ", or a rating"]
        return super().problems(system)

    def model(self, state: PartState) -> Model:
        sound = self.resistance
        if sound is None:
            sound = self.volts(state.system) / self.amps(state.system)
        law = Linear.resistor(sound + self.added(state))
        return Model((*self.path(state, law), *extras(self, state)))


class Resistor(Heater):
    """Resistor: V / R."""

    kind: ClassVar[str] = "resistor"
    example: ClassVar[dict[str, str]] = {"resistance": "6 ohm"}
    letters: ClassVar[str] = "R"
    signs: ClassVar[tuple[Scale, ...]] = ()

    def draws(self, system: float) -> float:
        return 0.0  # it stands in the way of something else


FRICTION = {"fan": 0.2, "lift": 0.9, "haul": 0.9, "crank": 0.85}
"""Share of rated torque that does not depend on speed, by what a motor drives.

fan (or pump): the rest goes by the affinity laws, from memory.
haul: a 12 V winch draws 75 A empty, 125 A at 1000 lb and 185 A at 2000 lb, whatever its speed (a
maker's table, garlway.com); lift as haul.
crank: compression is the largest part of a warm engine's cranking torque (SAE 2007-01-1967,
abstract).
"""

SPIN_UP = 0.12
"""Time in which rated torque alone would bring a rotor to rated speed. [s] Chosen; a motor's inrush
lasts 0.1 to 0.3 s."""

_LOUDEST = 0.020  # of brushes, on a meter for direct voltage [V]; common practice, no source
_WINDING_COPPER = 0.8  # share of a winding's resistance that grows as copper; brushes hardly do


class MotorLoad(_Rated):
    """Permanent-magnet motor against the torque of what it drives.

    `resistance` is its winding and brushes, `load` what it drives, `friction` the share of rated
    torque that does not depend on speed (the load's where it is not written; the rest grows with
    the square of speed), `dry` what remains of that rest when it runs dry. Dragging, it has so much
    of its rated torque more to overcome.

    Remembers `speed`, as a fraction of rated, and `winding`, its temperature. [-, C]
    """

    kind: ClassVar[str] = "motor"
    scatter: ClassVar[Scatter] = Scatter(draw=0.09)
    example: ClassVar[dict[str, str]] = {"current": "2 A"}
    letters: ClassVar[str] = "M"
    traits: ClassVar[Trait] = Trait.LOAD | Trait.TURNS
    modes: ClassVar[dict[str, Mode]] = modes_of(
        Mode("seized", "seized", "seized", 2.0, family="motor"),
        Mode("dry", "running dry", "running dry", 1.0),
        Mode(
            "dragging",
            "dragging",
            "dragging: tight, fouled or overloaded",
            1.0,
            FRACTION,
            ("60 %", "150 %", "30 %"),
            family="motor",
        ),
        Mode(
            "worn brushes",
            "brushes worn",
            "with worn brushes",
            1.5,
            RESISTANCE,
            ("1 ohm", "0.5 ohm", "4 ohm"),
            Effect.ADDS,
            family="motor",
        ),
        Mode(
            "open winding",
            "winding open",
            "open in its winding",
            1.5,
            effect=Effect.OPENS,
            family="open",
        ),
        OPEN_MODE._replace(weight=0.5),
        RESISTANCE_MODE._replace(says="corroded at its terminal", weight=1.0),
        Mode(
            "shorted winding",
            "winding part-shorted",
            "part-shorted in its winding",
            0.3,
            FRACTION,
            ("30 %", "60 %"),
            most=0.95,
        ),
        SHORT_MODE,
        LEAK_MODE,
        REVERSED_MODE._replace(weight=0.2),
    )
    signs: ClassVar[tuple[Scale, ...]] = (
        MOTOR_WORDS,
        BACKWARDS_WORDS,
        word("hums but stands still"),
        word("stutters"),
    )
    load: Literal["fan", "lift", "haul", "crank"] = "fan"
    friction: Fraction | None = None
    dry: Fraction = 0.3
    noise: Volts = 0.0
    """What its brushes make a meter's last digits dance by while it turns, root mean square."""

    @property
    def rating(self) -> str:
        return _Rated.rating.fget(self)  # type: ignore[attr-defined, no-any-return]

    def winding(self, system: float) -> float:
        """Resistance of winding and brushes; a usual one is a quarter of V / I. [ohm]"""
        if self.resistance is not None:
            return self.resistance
        return 0.25 * self.volts(system) / self.amps(system)  # common practice, no source

    def problems(self, system: float) -> list[str]:
        found = super().problems(system)
        if not found and self.winding(system) * self.amps(system) >= self.volts(system):
            most = self.volts(system) / self.amps(system)
            found = [
                f'resistance: found "{show(self.winding(system), "ohm")}", which would use up '
                f"all the rated voltage; a motor of this rating has less than {show(most, 'ohm')}"
            ]
        if not found and self.noise > _LOUDEST:
            found = [f'noise: found "{show(self.noise, "V")}"; brushes make 20 mV at most']
        for key, share in (("friction", self.steady_share), ("dry", self.dry)):
            if not found and share > 1:
                found = [f'{key}: found "{share * 100:g} %"; it is at most "100 %"']
        return found

    def sign(self, now: Now) -> tuple[Value, Value]:
        where = now.xp.where
        hums = (now.speed == 0) & (abs(now.amps) > 0.5 * self.amps(now.system))
        unsteady = now.speed != now.speed  # nan
        which = where(unsteady, 3, where(hums, 2, where(now.speed < -0.02, 1, 0)))
        return which, where(unsteady, 0.0, abs(now.speed))

    @property
    def steady_share(self) -> float:
        """Share of rated torque that does not depend on speed."""
        return self.friction if self.friction is not None else FRICTION[self.load]

    def law(self, state: PartState) -> Law:
        """Return the motor's law: settled, or after a step of time, or at this very instant.

        Turns shorted in the winding, a share p of them, leave 1 - p/2 of EMF, torque and
        resistance, and brake: a short-circuited loop driven through the field.
        """
        volts, amps, ohms = (f(state.system) for f in (self.volts, self.amps, self.winding))
        shorted = min(state.amount("shorted winding"), 0.95)  # two faults may name it all
        left, emf = 1.0 - shorted / 2, volts - amps * ohms
        warm = 1 + _WINDING_COPPER * TEMPERATURE_COEFFICIENT * (
            state.memory.get("winding", 20.0) - 20.0
        )
        resistance = ohms * left * warm + self.added(state)
        if state.dt == 0:
            spins = emf * left * state.memory.get("speed", 0.0)
            return Linear(conductance=1 / resistance, source=-spins / resistance)
        share = self.steady_share
        torque = {
            "emf": emf * left,
            "resistance": resistance,
            "steady": math.inf
            if state.has("seized")
            else amps * (share + state.amount("dragging")) / left,
            "fan": amps * (1 - share) * (self.dry if state.has("dry") else 1.0) / left,
            "brake": shorted * emf / ohms / left,
        }
        if state.dt == math.inf:
            return Motor(**torque)
        inertia = amps * SPIN_UP / state.dt
        return Rotor(**torque, inertia=inertia, before=state.memory.get("speed", 0.0))

    def model(self, state: PartState) -> Model:
        return Model((*self.path(state, self.law(state)), *extras(self, state)))
