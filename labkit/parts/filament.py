"""Tungsten lamps: cold a short, hot a resistance, and what lies between in volts and in time."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from labkit.parts.laws import Floats, Law, Value

COLD = 1.0 / 13.0
"""Resistance of a cold filament as a share of the hot one's.

Tungsten's resistivity is 5.5 uohm cm at 20 C and 75 to 80 at a lamp's working heat (CRC Handbook of
Chemistry and Physics).
"""

_RISE = 1.8  # of the fourth power of resistance with voltage: far up, I goes with V^0.55
_WARMTH = 1.2  # resistance goes with temperature to this power
_WARM_SECONDS, _WARM_AMPS = 0.19, 1.75  # of a 12 V 21 W filament; from its size and heat, chosen
_LEAST = 1e-9  # slope of a filament that is warming fast [S]


def resistance_share(u: Value, xp: Any = Floats) -> Value:
    """Resistance of a settled filament as a share of its rated one.

    Parameters
    ----------
    u : float or array
        Voltage as a share of the rated one.
    xp : module
        The arithmetic to use on it.

    Notes
    -----
    r = ((c^4 + |u|^1.8) / (c^4 + 1))^(1/4), c = 1/13: the cold end is tungsten cold against hot,
    the hot end I ~ V^0.55 (Fink and Beaty, Standard Handbook for Electrical Engineers, sec. 22).
    """
    return _fourth_root(COLD**4 + xp.absolute(u) ** _RISE, xp)


def _fourth_root(base: Value, xp: Any) -> Value:
    """Resistance share from its fourth power before scaling; roots are quicker than powers."""
    return xp.sqrt(xp.sqrt(base / (COLD**4 + 1.0)))


def voltage_share(current: Value, xp: Any = Floats) -> Value:
    """Voltage of a settled lamp from its current, both as shares of the rated ones.

    Newton's method on logarithms, where the law's slope lies between 0.55 and 1.
    """
    share = xp.maximum(current, 1e-12)
    u = xp.maximum(share ** (1 / 0.55), share * COLD)
    for _ in range(8):
        off = share * resistance_share(u, xp) / u
        rise = u**_RISE
        u = u * off ** (1.0 / (1.0 - 0.45 * rise / (COLD**4 + rise)))
    return xp.where(current > 1e-12, u, 0.0)


@dataclass(frozen=True)
class Lamp(Law):
    """Tungsten lamp, settled: I = I_rated u / r(u), u = V / V_rated. Odd in V."""

    voltage: Value = 12.0
    current: Value = 1.0

    def at(self, v: Value, close: Value, xp: Any) -> tuple[Value, Value]:
        u = xp.absolute(v) / self.voltage
        rise = u**_RISE
        base = COLD**4 + rise
        conductance = self.current / self.voltage / _fourth_root(base, xp)
        return conductance * v, conductance * (1.0 - 0.45 * rise / base)

    def start(self) -> Value:
        return self.voltage


@dataclass(frozen=True)
class Filament(Lamp):
    """Tungsten lamp at the end of a step of time, its filament warming on the way.

    tau d(theta)/dt = (u^2 - us(r)^2) / r, theta = r^(1/1.2) its temperature as a share of the rated
    one, us the voltage that holds r for good: so it settles exactly where :class:`Lamp` is. One
    implicit step: `lag` is tau over the step, `before` the r it begins with.
    """

    lag: Value = 1.0
    before: Value = COLD

    def _share(self, u: Value, xp: Any) -> tuple[Value, Value]:
        """Resistance share at the end of the step, and how it rises with u.

        The equation rises with theta: there is one answer.
        """
        old = xp.maximum(self.before, COLD) ** (1 / _WARMTH)
        low, high = 0.0 * u + 0.5 * COLD ** (1 / _WARMTH), 0.0 * u + xp.maximum(2.0 + 0.0 * u, u)
        theta = xp.minimum(xp.maximum(old + 0.0 * u, low), high)
        for _ in range(60):
            r = theta**_WARMTH
            dr = _WARMTH * r / theta
            held = xp.maximum(r**4 * (COLD**4 + 1.0) - COLD**4, 0.0)
            lost = held ** (2 / _RISE)
            dlost = (2 / _RISE) * held ** (2 / _RISE - 1.0) * 4 * r**3 * (COLD**4 + 1.0) * dr
            off = self.lag * (theta - old) - (u * u - lost) / r
            low, high = xp.where(off > 0, low, theta), xp.where(off > 0, theta, high)
            slope = self.lag + dlost / r + (u * u - lost) / (r * r) * dr
            new = theta - off / xp.where(slope > 0, slope, 1.0)
            last = theta
            theta = xp.where((slope > 0) & (new >= low) & (new <= high), new, 0.5 * (low + high))
            if xp is Floats and abs(theta - last) <= 1e-14 * theta:
                break
        r = theta**_WARMTH
        return r, _WARMTH * r / theta * 2 * u / r / xp.where(slope > 0, slope, 1.0)

    def at(self, v: Value, close: Value, xp: Any) -> tuple[Value, Value]:
        u = xp.absolute(v) / self.voltage
        r, rise = self._share(u, xp)
        conductance = self.current / self.voltage / r
        return conductance * v, xp.maximum(conductance * (1.0 - u * rise / r), _LEAST)

    def after(self, v: Value, xp: Any) -> dict[str, Value]:
        return {"filament": self._share(xp.absolute(v) / self.voltage, xp)[0]}


def warming_time(amps: float) -> float:
    """Time constant of a filament's warming, from its rated current. [s]"""
    return _WARM_SECONDS * math.pow(amps / _WARM_AMPS, 2 / 3)
