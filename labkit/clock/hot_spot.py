"""How a joint or a contact warms: its own surface, and the wires on both sides as fins.

What it makes is lost by its surface (6 W/m2 K to still air, and radiation of a dull metal) and
along the wires, each a long fin of conductance sqrt(h 390 S). Two nodes follow the fin's partial
differential equation within 6 % from 3 s to the end, for 1.3 to 67 mm2; one mass alone would have
a heavy lug at 42 K after ten seconds where 107 K is right.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from labkit.clock.copper import HEAT_OF_COPPER, MELTS, loss

CONDUCTIVITY = 390.0
"""Of copper. [W/m K]"""

STEFAN_BOLTZMANN = 5.67e-8
"""[W/m2 K4]"""

ABSOLUTE = 273.15
"""0 C on the absolute scale. [K]"""

NOTHING = 1e-6
"""So near to its air's temperature, what makes no heat stays as it is. [K]"""

_STILL_AIR, _EMISSIVITY = 6.0, 0.8  # [W/m2 K]; tarnished metal, sleeve or paint. Common practice
_FIN_NEAR, _FIN_OWN, _FIN_REST = 0.25, 0.05, 0.5  # fitted to the fin's differential equation
_STRAIGHT = 0.2  # change over which the tangent of its loss is exact enough [K]
_STEP = 4.0  # of temperature, over which radiation is taken as straight [K]


@dataclass(frozen=True)
class HotSpot:
    """A joint or contact on wires of these cross-sections, a fin each. [m2]"""

    areas: tuple[float, ...]
    insulation: int = 105

    @cached_property
    def surface(self) -> float:
        """Its own, by the thickest wire: lug, stud and nut. [m2] Chosen."""
        return 3.0e-4 * math.pow(max(self.areas) * 1e6, 0.65)

    @cached_property
    def own_heat(self) -> float:
        """Heat it takes a degree: a 3.6 g crimp on 12 AWG, a 65 g lug on 2/0. [J/K] Chosen."""
        return 0.45 * math.pow(max(self.areas) * 1e6, 0.95)

    @cached_property
    def fins(self) -> float:
        """Conductance of all its wires. [W/K]"""
        return sum(math.sqrt(loss(s, self.insulation) * CONDUCTIVITY * s) for s in self.areas)

    @cached_property
    def fin_heat(self) -> float:
        """Heat of all its wires over the length that takes part. [J/K]"""
        return sum(
            HEAT_OF_COPPER * s * math.sqrt(CONDUCTIVITY * s / loss(s, self.insulation))
            for s in self.areas
        )

    @cached_property
    def _nodes(self) -> tuple[float, float, float, float]:
        """Heat of both nodes [J/K], conductance between them and on to the far wires [W/K]."""
        own, fins = self.own_heat + _FIN_OWN * self.fin_heat, _FIN_REST * self.fin_heat
        return own, fins, self.fins / _FIN_NEAR, self.fins / (1.0 - _FIN_NEAR)

    def shed(self, celsius: float, ambient: float) -> float:
        """What its own surface loses at a temperature, radiation included. [W]"""
        hot, cool = celsius + ABSOLUTE, ambient + ABSOLUTE
        radiated = _EMISSIVITY * STEFAN_BOLTZMANN * (hot**4 - cool**4)
        return self.surface * (_STILL_AIR * (celsius - ambient) + radiated)

    def _slope(self, one: float, other: float, ambient: float) -> float:
        """Slope of that loss between two temperatures. [W/K]"""
        if abs(other - one) < 1e-3:
            hot = (one + other) / 2 + ABSOLUTE
            return self.surface * (_STILL_AIR + 4 * _EMISSIVITY * STEFAN_BOLTZMANN * hot**3)
        return (self.shed(other, ambient) - self.shed(one, ambient)) / (other - one)

    def watts(self, celsius: float, ambient: float, wire: float) -> float:
        """Heat that keeps it at a temperature, its wires at another. [W]"""
        return self.fins * (celsius - wire) + self.shed(celsius, ambient)

    def settled(self, watts: float, ambient: float, wire: float) -> float:
        """Temperature it comes to in the end. [C]"""
        low, high = min(ambient, wire), max(ambient, wire) + watts / self.fins + 1e-9
        for _ in range(80):
            middle = (low + high) / 2
            if self.watts(middle, ambient, wire) < watts:
                low = middle
            else:
                high = middle
        return high

    def after(
        self, state: Sequence[float], watts: float, seconds: float, ambient: float, wire: float
    ) -> tuple[float, float]:
        """Temperatures of itself and of its wires beside it after a time. [C]

        Parameters
        ----------
        state : sequence of float
            The two temperatures at first. [C]
        watts : float
            Made in it, constant. [W]
        seconds : float
            [s]
        ambient, wire : float
            Of the air, and of its wires far from it. [C]

        Notes
        -----
        Exact for the two nodes but for radiation, which is taken as straight over 4 K at a time,
        between the temperatures a step begins and ends with. Copper that melts grows no hotter.
        """
        here, beside = state
        if not watts and max(abs(t - ambient) for t in (here, beside, wire)) < NOTHING:
            return here, beside
        left = step = seconds
        while left > 0.0:
            step = min(step, left)
            slope = self._slope(here, here, ambient)
            guess, beyond = self._linear(here, beside, watts, step, ambient, wire, slope)
            change = abs(guess - here)
            if change > _STEP and step > 1e-6:
                step *= max(0.5 * _STEP / change, 0.1)
                continue
            if change < _STRAIGHT:  # the tangent does
                here, beside = guess, beyond
            else:
                slope = self._slope(here, guess, ambient)
                here, beside = self._linear(here, beside, watts, step, ambient, wire, slope)
            left -= step
            step *= 2.0
        return min(here, MELTS), min(beside, MELTS)

    def _linear(
        self,
        here: float,
        beside: float,
        watts: float,
        seconds: float,
        ambient: float,
        wire: float,
        slope: float,
    ) -> tuple[float, float]:
        """One step of the two nodes with a surface whose loss is straight, exactly."""
        constant = self.shed(here, ambient) - slope * here
        c1, c2, near, far = self._nodes
        a11, a12, a21, a22 = -(slope + near) / c1, near / c1, near / c2, -(near + far) / c2
        b1, b2 = (watts - constant) / c1, far * wire / c2
        det = a11 * a22 - a12 * a21
        end1, end2 = (a12 * b2 - a22 * b1) / det, (a21 * b1 - a11 * b2) / det
        half, root = (a11 + a22) / 2, math.sqrt((a11 - a22) ** 2 / 4 + a12 * a21)
        slow, quick = half + root, half - root
        e_slow, e_quick = math.exp(slow * seconds), math.exp(quick * seconds)
        mixed, own = (e_slow - e_quick) / (2 * root), (slow * e_quick - quick * e_slow) / (2 * root)
        x, y = here - end1, beside - end2
        return (
            end1 + own * x + mixed * (a11 * x + a12 * y),
            end2 + own * y + mixed * (a21 * x + a22 * y),
        )
