"""What gives current in one direction only, up to a limit: regulators, solar cells.

Some of it is *steered*: how much it gives follows from a voltage or current elsewhere in the part,
such as that at the end of a sense wire. :mod:`labkit.solving.steering` finds the two together.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from dataclasses import dataclass, replace
from typing import Any, ClassVar, Self

from labkit.parts.laws import Junction, Law, Limited, Power, Value

LEAK = 1e-9
"""Of what holds its current. [S]"""


class Steered(ABC):
    """A law with one number that follows from another branch of its part.

    `watches` is that branch's role; :meth:`steered` puts the number in, :meth:`wanted` says what
    it ought to be, which is between the two `bounds`.
    """

    watches: ClassVar[str]

    @property
    @abstractmethod
    def number(self) -> Value:
        """The number as it is."""

    @property
    @abstractmethod
    def bounds(self) -> tuple[Value, Value]:
        """The least and the largest it can be."""

    @abstractmethod
    def steered(self, to: Value) -> Self:
        """The same law with another number."""

    @abstractmethod
    def wanted(self, own: Value, volts: Value, amps: Value, xp: Any) -> Value:
        """The number that belongs to its own voltage, and those of the branch watched."""


@dataclass(frozen=True)
class OneWay(Limited):
    """A source behind rectifiers: between 0 and `amps`, conductance * (V + emf) in between.

    Beyond either end a nanoampere a volt still flows: a rectifier leaks more, and a point between
    two of them has to stand somewhere. A negative EMF holds off what would pass, drives nothing.
    """

    def at(self, v: Value, close: Value, xp: Any) -> tuple[Value, Value]:
        over = v + self.emf
        line, beyond = self.conductance * over, over - self.amps / self.conductance
        back = LEAK * (v + xp.maximum(self.emf, 0.0))
        held = (line <= back) | (beyond >= 0)
        amps = xp.minimum(xp.maximum(line, back), self.amps + LEAK * beyond)
        return amps, xp.where(held, LEAK, self.conductance)

    def start(self) -> Value:
        return -self.emf + 0.5 * self.amps / self.conductance

    def limit(self, old: Value, new: Value, current: Value, xp: Any) -> Value:
        # Between nothing and everything lies the line; a step must not miss it.
        was, wanted = old + self.emf, new + self.emf
        full = self.amps / self.conductance
        misses = ((was <= 0) & (wanted >= full)) | ((was >= full) & (wanted <= 0))
        return xp.where(misses, 0.5 * full - self.emf, new)


@dataclass(frozen=True)
class GivenOn(OneWay):
    """What a converter gives out of what it takes in: of the heat there it is what has left."""

    def heat(self, v: Value, amps: Value) -> Value:
        """Less than nothing: taken from what its input turns into heat. [W]"""
        return v * amps


@dataclass(frozen=True)
class Sensed(OneWay, Steered):
    """A source whose regulator looks at a voltage elsewhere, and sets its EMF by it.

    `emf` = at_target + gain * (target - V), between `least` and `most`: V falls by 1 / gain for
    each volt that lies between, and the source never rises above `most`, whatever it is told.
    """

    watches: ClassVar[str] = "sense"

    target: Value = 14.2
    at_target: Value = 14.2
    gain: Value = 50.0
    least: Value = 0.0
    most: Value = 16.0

    @property
    def number(self) -> Value:
        return self.emf

    @property
    def bounds(self) -> tuple[Value, Value]:
        return self.least, self.most

    def steered(self, to: Value) -> Sensed:
        return replace(self, emf=to)

    def drives(self) -> Value:
        return self.most

    def wanted(self, own: Value, volts: Value, amps: Value, xp: Any) -> Value:
        emf = self.at_target + self.gain * (self.target - volts)
        return xp.minimum(xp.maximum(emf, self.least), self.most)


@dataclass(frozen=True)
class PowerIn(Power, Steered):
    """What a converter takes in: what it gives out over its efficiency, and a little for itself.

    Where its voltage has broken down there is no such number; its cut-out will see to that.
    """

    watches: ClassVar[str] = "main"

    efficiency: Value = 0.9
    idle: Value = 0.5  # [W]
    full: Value = 500.0  # [W]

    @property
    def number(self) -> Value:
        return self.power

    @property
    def bounds(self) -> tuple[Value, Value]:
        return 0.0 * self.full, self.full

    def steered(self, to: Value) -> PowerIn:
        return replace(self, power=to)

    def wanted(self, own: Value, volts: Value, amps: Value, xp: Any) -> Value:
        given = xp.minimum(xp.maximum(-volts * amps, 0.0) / self.efficiency + self.idle, self.full)
        return xp.where(own > self.floor, given, self.power)


@dataclass(frozen=True)
class Photo(Law):
    """Solar cells from - to +: a light current and the diode they are, behind a resistance.

    I = light - saturation * (exp(U / emission) - 1), U = -V: the single-diode model without its
    shunt. (Textbook; e.g. Duffie and Beckman, Solar Engineering of Thermal Processes, ch. 23,
    from memory.)
    """

    light: Value = 5.0  # [A]
    saturation: Value = 1e-7  # [A]
    emission: Value = 1.2  # of all cells in series [V]

    @property
    def _diode(self) -> Junction:
        return Junction(saturation=self.saturation, emission=self.emission)

    def open_volts(self) -> Value:
        """Voltage of the cells when nothing is drawn. [V]"""
        # No more than these laws' own bound would do, and without logarithms of rows.
        return self.emission * 40.0 + 0.0 * self.light

    def at(self, v: Value, close: Value, xp: Any) -> tuple[Value, Value]:
        back, slope = self._diode.at(-v, close, xp)
        return self.light - back, slope

    def heat(self, v: Value, amps: Value) -> Value:
        """I^2 R of the leads inside; what sun and cells do is left out. [W]"""
        return amps * amps * self.series

    def drives(self) -> Value:
        return self.open_volts()

    def start(self) -> Value:
        return -self._diode.start()

    def limit(self, old: Value, new: Value, current: Value, xp: Any) -> Value:
        # Of the little that two nearly equal currents leave, the voltage makes no rounding.
        held = -self._diode.limit(-old, -new, self.light - current, xp)
        return xp.where(old - new > 2.0 * self.emission, held, new)


__all__ = ["GivenOn", "OneWay", "Photo", "PowerIn", "Sensed", "Steered"]
