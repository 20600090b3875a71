"""Water in the bilge while time passes."""

from __future__ import annotations

import math
from collections.abc import Mapping

from labkit.circuits.water import Water

_AT_ONCE = 1e-6  # a float at its level already turns after this [s]


class Bilge:
    """Water that a leak brings and a pump takes out.

    Parameters
    ----------
    water : Water

    Attributes
    ----------
    held : float
        Water in the bilge. [m3]
    """

    def __init__(self, water: Water) -> None:
        self.water = water
        self.held = water.start

    @property
    def litres(self) -> float:
        """Water in the bilge. [l]"""
        return 1e3 * self.held

    @property
    def over(self) -> bool:
        """Whether it stands above the boards."""
        return self.held >= self.water.bilge

    def rising(self, speed: float) -> float:
        """What comes in less what a pump of this speed (a fraction of rated) takes out. [m3/s]

        A pump takes water in proportion to its speed (affinity law); a dry bilge gives none.
        """
        rate = self.water.leak - self.water.flow * speed
        return max(rate, 0.0) if self.held <= 0.0 else rate

    def after(self, seconds: float, speed: float) -> None:
        """Let a time pass at a constant speed of the pump."""
        self.held = self.later(seconds, speed)

    def later(self, seconds: float, speed: float) -> float:
        """Water there is after a time at a constant speed of the pump. [m3]"""
        return max(self.held + self.rising(speed) * seconds, 0.0)

    def turns(self, speed: float, positions: Mapping[str, str]) -> float:
        """Time until the float rises or falls at this speed of the pump. [s]"""
        on = positions[self.water.switch] == "on"
        level = self.water.off if on else self.water.on
        if (on and self.held <= level) or (not on and self.held >= level):
            return _AT_ONCE
        rate = self.rising(speed)
        return (level - self.held) / rate if (level - self.held) * rate > 0 else math.inf
