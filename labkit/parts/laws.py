"""Current against voltage of a two-terminal branch, and its slope: the formulas of every part.

One set of formulas serves a single circuit and many at once: every parameter and every voltage is
either a float or a numpy row with one entry per operating point, and `xp` is the arithmetic to use
on it (`Floats` here, or numpy itself). Current flows from the branch's first terminal to its
second; voltage is first minus second. [V, A, S, ohm]
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, ClassVar

Value = Any
"""A float, or a numpy row with one entry per operating point."""


def at_least(value: Value, least: float) -> Value:
    """Return the value, or the least it may be."""
    return value.clip(least) if getattr(value, "ndim", 0) else max(value, least)


THERMAL_VOLTAGE = 0.02585
"""kT/q at 27 C. [V]"""

_ROUNDING = 1e-12  # [V]
_HINT = 1e-9  # slope of a current that holds, so that a node always has somewhere to go [S]
_REVERSE = 30.0  # thermal voltages of reverse bias beyond which a junction passes just -saturation


class Floats:
    """The few numpy names the formulas need, on plain floats: far quicker for a single point."""

    exp, log1p, sqrt, copysign = math.exp, math.log1p, math.sqrt, math.copysign
    absolute: Callable[[float], float] = abs
    maximum: Callable[..., float] = max
    minimum: Callable[..., float] = min
    any: Callable[..., bool] = bool

    @staticmethod
    def where(condition: bool, yes: float, no: float) -> float:
        """Choose as numpy.where does."""
        return yes if condition else no


@dataclass(frozen=True)
class Law:
    """A curved branch: its current and slope at a voltage, behind a series resistance.

    `present` is 1, or 0 at operating points where the branch is not there at all.
    """

    falls: ClassVar[bool] = False
    """Whether its slope is negative anywhere, so that it matters whether a step was small."""

    series: Value = 0.0
    present: Value = dataclasses.field(default=1.0, kw_only=True)

    def at(self, v: Value, close: Value, xp: Any) -> tuple[Value, Value]:
        """Return current [A] and slope [S] at the voltage v behind the series resistance.

        `close` is true where the last step was small enough to trust a falling slope.
        """
        raise NotImplementedError

    def heat(self, v: Value, amps: Value) -> Value:
        """Power that a branch turns into heat at a voltage across it and its current. [W]

        All of it, unless a law knows better: what drives the current, or leaves as work, is not.
        """
        return v * amps

    def drives(self) -> Value:
        """Return the largest voltage the branch can make of its own. [V]"""
        return 0.0

    def start(self) -> Value:
        """Return the voltage to linearise at first. [V]"""
        raise NotImplementedError

    def resume(self, v: Value, xp: Any) -> Value:
        """Return the voltage to linearise at first when a device elsewhere has changed. [V]"""
        return v

    def limit(self, old: Value, new: Value, current: Value, xp: Any) -> Value:
        """Return the voltage to linearise at next, given the linear solution. [V]

        Never across 0 V in one step, where the slope may change a hundredfold.
        """
        return xp.where(old * new < 0, 0.0 * new, new)

    def after(self, v: Value, xp: Any) -> dict[str, Value]:
        """What the branch remembers at the end of its step, at the voltage v behind its resistance.

        The names are those of :attr:`labkit.parts.base.PartState.memory`.
        """
        return {}

    def take(self, keep: Any) -> Law:
        """Return the same law at some of its operating points only (a row of one is for all)."""
        rows = {
            f.name: row[..., keep]
            for f in dataclasses.fields(self)
            if getattr(row := getattr(self, f.name), "ndim", 0) and row.shape[-1] > 1
        }
        return dataclasses.replace(self, **rows) if rows else self


@dataclass(frozen=True)
class Linear(Law):
    """A conductance with a source current beside it: I = conductance * V + source."""

    conductance: Value = 0.0
    source: Value = 0.0

    @classmethod
    def resistor(cls, ohms: float) -> Linear:
        """A resistance. [ohm]"""
        return cls(conductance=1.0 / ohms)

    @classmethod
    def emf(cls, volts: float, ohms: float) -> Linear:
        """An EMF that drives current from the first terminal to the second, behind a resistance."""
        return cls(conductance=1.0 / ohms, source=volts / ohms)

    def heat(self, v: Value, amps: Value) -> Value:
        """I^2 R, of a source too: what its EMF gives is not heat. [W]"""
        return amps * amps / self.conductance if amps else 0.0


@dataclass(frozen=True)
class Limited(Law):
    """A source that holds its current: I = min(conductance * (V + emf), amps)."""

    conductance: Value = 200.0
    emf: Value = 13.8
    amps: Value = 10.0

    def at(self, v: Value, close: Value, xp: Any) -> tuple[Value, Value]:
        line = self.conductance * (v + self.emf)
        slope = xp.where(line < self.amps, self.conductance, _HINT)
        return xp.minimum(line, self.amps), slope

    def heat(self, v: Value, amps: Value) -> Value:
        """I^2 R: what the limit holds back is never taken from the source. [W]"""
        return amps * amps / self.conductance

    def drives(self) -> Value:
        return self.emf

    def start(self) -> Value:
        return -self.emf

    def limit(self, old: Value, new: Value, current: Value, xp: Any) -> Value:
        return new


@dataclass(frozen=True)
class Junction(Law):
    """Shockley diode: I = Is (exp(V / nVt) - 1) behind a resistance; the first is the anode."""

    saturation: Value = 1e-12
    emission: Value = THERMAL_VOLTAGE  # ideality times thermal voltage

    def at(self, v: Value, close: Value, xp: Any) -> tuple[Value, Value]:
        bias = xp.minimum(v / self.emission, 200.0)
        rise = xp.exp(xp.maximum(bias, -_REVERSE))
        off = bias < -_REVERSE
        # Far in reverse the tangent is nothing at all; a chord through 0 V stays a conductance.
        current = self.saturation * xp.where(off, -1.0, rise - 1.0)
        slope = xp.where(
            off, self.saturation / xp.maximum(-v, 1e-9), self.saturation / self.emission * rise
        )
        return current, slope

    def start(self) -> Value:
        return self.emission * 23.0 + 0.0 * self.saturation  # about 10 mA of a 1e-12 A junction

    def limit(self, old: Value, new: Value, current: Value, xp: Any) -> Value:
        share = current / self.saturation
        return xp.where(
            share > -0.999,
            self.emission * xp.log1p(xp.maximum(share, -0.999)),
            xp.minimum(new, 0.0),
        )


@dataclass(frozen=True)
class Power(Law):
    """Electronics: constant power at and above a floor voltage, a resistance below it.

    Draws nothing when connected the wrong way round. Below the floor the constant-power curve
    would be steeper than a source can feed.
    """

    falls: ClassVar[bool] = True
    power: Value = 25.0
    floor: Value = 6.0

    def at(self, v: Value, close: Value, xp: Any) -> tuple[Value, Value]:
        held = xp.maximum(v, self.floor)
        secant = self.power / (held * held)
        slope = xp.where(close, -secant, secant)
        above = v > self.floor
        forward = v > -_ROUNDING  # a device that nothing feeds stands at 0 V, give or take a bit
        slope = xp.where(above, slope, xp.where(forward, secant, 0.0))
        return xp.where(above, self.power / held, xp.where(forward, v, 0.0) * secant), slope

    def start(self) -> Value:
        return 2.0 * self.floor

    def resume(self, v: Value, xp: Any) -> Value:
        # There may be two solutions, one below the floor: always look for the other first.
        return xp.where(v < self.floor, self.start(), v)
