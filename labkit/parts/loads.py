"""What the boat wants to run: lamps, heaters, motors, electronics, indicators, relays."""

from __future__ import annotations

import math
from typing import ClassVar, Literal

from labkit.parts.base import (
    LEAK_MODE,
    MISSING_MODE,
    OPEN_MODE,
    RESISTANCE_MODE,
    SHORT_MODE,
    Amps,
    Branch,
    CutOut,
    Fraction,
    Mode,
    Model,
    Ohms,
    Part,
    PartState,
    Pull,
    Volts,
    Watts,
    extras,
)
from labkit.parts.laws import THERMAL_VOLTAGE, Junction, Lamp, Linear, Motor, Power
from labkit.text.quantities import FRACTION, RESISTANCE, show

_MISSING = 'is missing; write it, such as {} = "{}"'

LEAST_COIL = 1e-3
"""Below this a coil is a short. [ohm]"""


class _Rated(Part):
    """A load with a rated voltage and a rated current or power."""

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
    """Tungsten lamp: I = I_rated (V / V_rated)^0.55."""

    kind: ClassVar[str] = "lamp"
    letters: ClassVar[str] = "EP"
    default_resistance: ClassVar[float] = 0.0
    modes: ClassVar[dict[str, Mode]] = {
        "blown": Mode("blown", 5.0),
        "resistance": RESISTANCE_MODE._replace(says="corroded in its holder", weight=3.0),
        "short": SHORT_MODE,
        "missing": MISSING_MODE,
    }

    def model(self, state: PartState) -> Model:
        law = Lamp(
            self.series(state), voltage=self.volts(state.system), current=self.amps(state.system)
        )
        return Model((*self.path(state, law), *extras(self, state)))


class Heater(_Rated):
    """Heater: a resistance, given as such or by its rating."""

    kind: ClassVar[str] = "heater"
    letters: ClassVar[str] = "ER"
    modes: ClassVar[dict[str, Mode]] = {
        "open": OPEN_MODE._replace(says="burnt out"),
        "resistance": RESISTANCE_MODE._replace(says="corroded terminal", weight=1.0),
        "short": SHORT_MODE,
        "leak": LEAK_MODE,
    }

    @property
    def rating(self) -> str:
        return show(self.resistance, "ohm") if self.resistance is not None else super().rating

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
        law = Linear.resistor(sound + state.amount("resistance"))
        return Model((*self.path(state, law), *extras(self, state)))


class Resistor(Heater):
    """Resistor: V / R."""

    kind: ClassVar[str] = "resistor"
    letters: ClassVar[str] = "R"


class MotorLoad(_Rated):
    """Permanent-magnet motor with a load that grows with the square of its speed.

    `resistance` is its winding and brushes, `friction` the share of rated torque that does not
    depend on speed, `dry` what remains of the other share when it runs dry.
    """

    kind: ClassVar[str] = "motor"
    letters: ClassVar[str] = "M"
    modes: ClassVar[dict[str, Mode]] = {
        "seized": Mode("seized", 2.0),
        "dry": Mode("running dry", 1.0),
        "worn brushes": Mode("with worn brushes", 1.5, RESISTANCE, ("1 ohm", "0.5 ohm", "4 ohm")),
        "open winding": Mode("open in its winding", 1.5),
        "open": OPEN_MODE._replace(weight=0.5),
        "resistance": RESISTANCE_MODE._replace(says="corroded at its terminal", weight=1.0),
        "shorted winding": Mode("part-shorted in its winding", 0.3, FRACTION, ("30 %", "60 %")),
        "short": SHORT_MODE,
        "leak": LEAK_MODE,
        "reversed": Mode("connected the wrong way round", 0.2),
    }
    friction: Fraction = 0.2
    dry: Fraction = 0.3

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
        for key in ("friction", "dry"):
            if not found and getattr(self, key) > 1:
                found = [f'{key}: found "{getattr(self, key) * 100:g} %"; it is at most "100 %"']
        return found

    def law(self, state: PartState) -> Motor:
        """Return the motor's law in this state."""
        volts, amps, ohms = (f(state.system) for f in (self.volts, self.amps, self.winding))
        left = max(1.0 - state.amount("shorted winding"), 0.05)  # two faults may name it all
        return Motor(
            emf=(volts - amps * ohms) * left,
            resistance=ohms * left + state.amount("worn brushes") + state.amount("resistance"),
            current=amps / left,
            friction=math.inf if state.has("seized") else self.friction,
            load=self.dry if state.has("dry") else 1.0,
        )

    def model(self, state: PartState) -> Model:
        return Model((*self.path(state, self.law(state)), *extras(self, state)))


class Electronics(Part):
    """Electronics: constant power above cut-out, nothing below it until the restart voltage."""

    kind: ClassVar[str] = "electronics"
    letters: ClassVar[str] = "A"
    default_resistance: ClassVar[float] = 0.0
    modes: ClassVar[dict[str, Mode]] = {
        "open": OPEN_MODE._replace(says="dead"),
        "short": SHORT_MODE,
        "resistance": RESISTANCE_MODE._replace(says="corroded plug", weight=2.0),
        "reversed": Mode("connected the wrong way round", 0.1),
    }
    power: Watts
    cut_out: Volts | None = None
    restart: Volts | None = None

    @property
    def rating(self) -> str:
        return show(self.power, "W")

    def thresholds(self, system: float) -> tuple[float, float]:
        """Cut-out and restart voltage; 80 % and 90 % of the system's (common practice). [V]"""
        cut_out = self.cut_out if self.cut_out is not None else 0.8 * system
        return cut_out, self.restart if self.restart is not None else max(cut_out, 0.9 * system)

    def problems(self, system: float) -> list[str]:
        cut_out, restart = self.thresholds(system)
        if restart < cut_out:
            return [f'restart: found "{restart:g} V"; it is no lower than cut_out, {cut_out:g} V']
        if self.power == 0:
            return ['power: found "0 W"; write what it draws, such as "25 W"']
        return super().problems(system)

    def model(self, state: PartState) -> Model:
        cut_out, restart = self.thresholds(state.system)
        law = Power(self.series(state), power=self.power, floor=max(cut_out, state.system / 2))
        branches = self.path(state, law)
        device = CutOut(branches[0].role, cut_out, restart) if branches else None
        return Model((*branches, *extras(self, state)), device)


class Diode(Part):
    """Diode: Shockley's law behind a series resistance; terminal 1 is the anode."""

    kind: ClassVar[str] = "diode"
    letters: ClassVar[str] = "V"
    default_resistance: ClassVar[float] = 0.0
    modes: ClassVar[dict[str, Mode]] = {
        "open": OPEN_MODE,
        "short": SHORT_MODE._replace(weight=1.0),
        "reversed": Mode("fitted the wrong way round", 0.2),
        "resistance": RESISTANCE_MODE._replace(weight=0.5),
    }
    saturation: Amps = 1e-12
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
    letters: ClassVar[str] = "P"
    default_resistance: ClassVar[float] = 0.0
    modes: ClassVar[dict[str, Mode]] = {
        "blown": Mode("blown", 0.5),
        "short": SHORT_MODE._replace(weight=0.1),
        "reversed": Mode("fitted the wrong way round", 0.2),
        "resistance": RESISTANCE_MODE._replace(weight=0.3),
    }
    voltage: Volts | None = None
    current: Amps = 0.010
    color: Literal["red", "amber", "yellow", "green", "blue", "white"] = "red"

    @property
    def rating(self) -> str:
        return self.color

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


class Voltmeter(Part):
    """Panel voltmeter, across what it measures."""

    kind: ClassVar[str] = "voltmeter"
    letters: ClassVar[str] = "P"
    default_resistance: ClassVar[float] = 10e3  # moving-iron or small digital; common practice
    modes: ClassVar[dict[str, Mode]] = {"open": OPEN_MODE._replace(weight=0.3)}


class Relay(Part):
    """Relay or solenoid: coil 86-85; contact 30 to 87 when pulled in, to 87a when not.

    `resistance` is the contact's. Solved from rest: pulled in only if the coil reaches pull-in.
    Terminal numbers of DIN 72552.
    """

    kind: ClassVar[str] = "relay"
    letters: ClassVar[str] = "K"
    terminals: ClassVar[tuple[str, ...]] = ("86", "85", "30", "87", "87a")
    default_resistance: ClassVar[float] = 2e-3  # clean contact; common practice, no source
    modes: ClassVar[dict[str, Mode]] = {
        "coil open": Mode("open in its coil", 1.5),
        "dead contact": Mode("not making on its contact", 1.5),
        "resistance": RESISTANCE_MODE._replace(says="burnt on its contact", weight=2.5),
        "welded": Mode("welded shut", 0.7),
        "open": OPEN_MODE._replace(says="open on its contact", weight=0.3),
        "short": SHORT_MODE._replace(says="shorted across its contact", weight=0.1),
        "leak": LEAK_MODE._replace(weight=0.1),
    }
    coil: Ohms = 85.0  # 12 V, 1.7 W; common practice, no source
    pull_in: Volts | None = None
    drop_out: Volts | None = None

    @property
    def rating(self) -> str:
        return show(self.coil, "ohm") + " coil"

    def ways(self) -> tuple[tuple[str, str], ...]:
        return (("86", "85"), ("30", "87a"), ("30", "87"))

    def thresholds(self, system: float) -> tuple[float, float]:
        """Pull-in and drop-out voltage; 60 % and 15 % of the system's (common practice). [V]"""
        pull_in = self.pull_in if self.pull_in is not None else 0.6 * system
        return pull_in, self.drop_out if self.drop_out is not None else min(pull_in, 0.15 * system)

    def problems(self, system: float) -> list[str]:
        pull_in, drop_out = self.thresholds(system)
        if drop_out > pull_in:
            return [
                f'drop_out: found "{drop_out:g} V"; it is no higher than pull_in, {pull_in:g} V'
            ]
        if self.coil < LEAST_COIL:
            return [
                f'coil: found "{show(self.coil, "ohm")}"; write its resistance, such as "85 ohm"'
            ]
        return super().problems(system)

    def model(self, state: PartState) -> Model:
        law = Linear.resistor(self.series(state))
        branches = []
        if not state.has("coil open"):
            branches.append(Branch("coil", "86", "85", Linear.resistor(self.coil)))
        dead = state.has("dead contact", "open")
        if not dead:
            branches.append(Branch("make", "30", "87", law))
        if not state.has("welded"):
            branches.append(Branch("rest", "30", "87a", law))
        pull_in, drop_out = self.thresholds(state.system)
        if state.has("welded"):
            device = None
        else:
            device = Pull("coil", () if dead else ("make",), ("rest",), pull_in, drop_out)
        return Model((*branches, *extras(self, state)), device)
