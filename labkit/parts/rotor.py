"""Permanent-magnet motors: settled against their load, or with a rotor that takes its time."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from labkit.parts.laws import Law, Value

_HINT = 1e-9  # slope of a current that holds, so that a node always has somewhere to go [S]
_LEAST = 1e-12  # a winding shorted right through has no EMF at all [V]
_STRAIGHT = 1e-3  # this share of rated voltage above its stall, the curve is its chord


@dataclass(frozen=True)
class Motor(Law):
    """Motor: V = I R + E s, I = steady + brake s + fan s^2, s >= 0 its speed over the rated one.

    The currents are what its torques take: friction and a load that hangs or hauls (`steady`,
    infinite where it is seized), turns shorted in the winding (`brake`), a fan or pump (`fan`). It
    stands, and I = V / R, where V / R is less than `steady`. In the first thousandth of its rated
    voltage above that the curve is its chord, so that a motor without friction is a conductance at
    0 V too. Odd in V. `series` adds to R.
    """

    emf: Value = 9.6  # at rated speed
    resistance: Value = 0.35
    steady: Value = 1.4
    fan: Value = 5.6
    brake: Value = 0.0

    def _parts(self) -> tuple[Value, Value]:
        return self.steady, self.brake

    def _running(self, v: Value, xp: Any) -> tuple[Value, Value, Value, Value]:
        """Volts to spare, speed, current and slope, the voltage taken the way it turns."""
        hold, brake = self._parts()
        seized = hold >= math.inf
        hold = xp.where(seized, 0.0, hold)
        spare = xp.where(seized, -1.0, v - self.resistance * hold)
        knee = _STRAIGHT * (self.emf + self.resistance * (self.fan + xp.maximum(hold, 0.0)))
        bent = xp.maximum(spare, xp.maximum(knee, _LEAST))
        linear = self.emf + self.resistance * brake
        root = xp.sqrt(linear**2 + 4 * self.resistance * self.fan * bent)
        speed = 2 * bent / xp.maximum(linear + root, _LEAST)
        rise = brake * speed + self.fan * speed * speed
        slope = (2 * self.fan * speed + brake) / xp.maximum(root, _LEAST)
        share = xp.minimum(spare / bent, 1.0)
        slope = xp.where(share < 1.0, rise / bent, slope)
        return spare, speed * share, hold + rise * share, xp.maximum(slope, _HINT)

    def _way(self, v: Value, xp: Any) -> Value:
        """Which way it turns: 1 or -1."""
        return xp.copysign(1.0, v)

    def at(self, v: Value, close: Value, xp: Any) -> tuple[Value, Value]:
        way = self._way(v, xp)
        spare, _, current, slope = self._running(way * v, xp)
        current = xp.where(spare >= 0, way * current, v / self.resistance)
        return current, xp.where(spare >= 0, slope, 1 / self.resistance)

    def heat(self, v: Value, amps: Value) -> Value:
        """I^2 R of winding and brushes, and what shorted turns brake: the rest is work. [W]"""
        ohms = self.resistance + self.series
        turning = v - amps * ohms
        return amps * amps * ohms + turning * turning * self.brake / max(self.emf, _LEAST)

    def speed(self, v: Value, xp: Any) -> Value:
        """Speed as a fraction of rated, negative where it runs backwards."""
        way = self._way(v, xp)
        spare, speed, *_ = self._running(way * v, xp)
        return xp.where(spare >= 0, way * speed, 0.0)

    def start(self) -> Value:
        return self.emf + self.resistance * self.fan


@dataclass(frozen=True)
class Rotor(Motor):
    """The same at the end of a step of time: its inertia takes or gives torque on the way.

    One implicit step: `inertia` is the current that would bring it to rated speed within the step,
    `before` its speed at the step's beginning. While it turns it generates, so it is not odd in V.
    """

    inertia: Value = 0.0
    before: Value = 0.0

    def _parts(self) -> tuple[Value, Value]:
        return self.steady - self.inertia * abs(self.before), self.brake + self.inertia

    def _way(self, v: Value, xp: Any) -> Value:
        return xp.where(self.before != 0, xp.copysign(1.0, self.before), xp.copysign(1.0, v))

    def drives(self) -> Value:
        """What it generates, coasting: no more than at the step's beginning. [V]"""
        return self.emf * abs(self.before)

    def after(self, v: Value, xp: Any) -> dict[str, Value]:
        return {"speed": self.speed(v, xp)}
