"""How fuses and breakers warm and open: two exponentials and one threshold.

A fuse element is quick, its blades and holder are slow. With x the current as a share of the
rating, each of the two gains heat and loses it again::

    da/dt = (x^2 w / m^2 - a) / T1        db/dt = (x^2 (1 - w) / m^2 - b) / T2

and it opens when a + b reaches (To - Ta) / (To - Tref). At a constant current both are exact
exponentials, so remembering and cooling cost nothing; for quick pulses the melting integral is
m^2 rating^2 / (w / T1 + (1 - w) / T2).
"""

from __future__ import annotations

import math
from typing import NamedTuple

from labkit.parts.protection import is_large_blade

Heat = tuple[float, float]
"""Heat of the quick and of the slow mass, as shares of what opens it at the reference ambient."""

COLD: Heat = (0.0, 0.0)

_BISECTIONS = 70


class Melting(NamedTuple):
    """What a kind of fuse or breaker opens at.

    Attributes
    ----------
    least : float
        Smallest share of the rating that ever opens it, at the reference ambient.
    quick : float
        Share of the heat that is in the quick mass.
    tau_quick, tau_slow : float
        Time constants. [s]
    hot : float
        How much its resistance has grown at rated current, settled, as a share of the cold one.
    opens : float
        Temperature it opens at. [C]
    reference : float
        Ambient its rating holds at. [C]
    spread : tuple of float
        Least and greatest of a lot: every time is multiplied by as much.
    """

    least: float
    quick: float
    tau_quick: float
    tau_slow: float
    hot: float
    opens: float
    reference: float
    spread: tuple[float, float]

    def targets(self, squared: float) -> Heat:
        """Heat it settles to at a current whose square is so many times the rating's."""
        all_of_it = squared / self.least**2
        return all_of_it * self.quick, all_of_it * (1.0 - self.quick)

    def limit(self, ambient: float) -> float:
        """Heat that opens it in air of this temperature [C]."""
        return (self.opens - ambient) / (self.opens - self.reference)

    def after(self, heat: Heat, squared: float, seconds: float, sample: float = 1.0) -> Heat:
        """Heat after a time at a constant current.

        Parameters
        ----------
        heat : tuple of float
        squared : float
            Square of the current over the rating's.
        seconds : float
            [s]
        sample : float
            This individual's times over those of the kind.
        """
        quick, slow = self.targets(squared)
        left_quick = math.exp(-seconds / (self.tau_quick * sample))
        left_slow = math.exp(-seconds / (self.tau_slow * sample))
        return quick + (heat[0] - quick) * left_quick, slow + (heat[1] - slow) * left_slow

    def opens_after(
        self,
        heat: Heat,
        squared: float,
        ambient: float,
        within: float = 1e7,
        sample: float = 1.0,
    ) -> float:
        """Time until it opens at a constant current, infinite where it does not. [s]

        Parameters
        ----------
        heat : tuple of float
            What is in it already.
        squared : float
            Square of the current over the rating's.
        ambient : float
            [C]
        within : float
            Looks no further than this. [s]
        sample : float
            This individual's times over those of the kind.

        Notes
        -----
        The sum of two exponentials may rise above the limit and fall again only where a mass
        cools while the other warms; the first crossing is found where the end lies above it.
        """
        limit = self.limit(ambient)
        if sum(heat) >= limit:
            return 0.0
        if sum(self.after(heat, squared, within, sample)) < limit:
            return math.inf
        low, high = 0.0, within
        for _ in range(_BISECTIONS):
            middle = (low + high) / 2
            if sum(self.after(heat, squared, middle, sample)) < limit:
                low = middle
            else:
                high = middle
        return high

    def growth(self, heat: Heat) -> float:
        """Resistance over the cold one, less 1, with so much heat in it."""
        return self.hot * min(sum(heat) * self.least**2, _HOTTEST)


_HOTTEST = 3.0  # of the heat at rated current: beyond it the element is about to melt
_ZINC = (419.0, 20.0)  # melts; reference ambient of the makers' sheets [C]
_BIMETAL = (129.0, 23.0)  # fits makers' factors 0.92, 1, 1.08, 1.16, 1.24 at 0, 23, 40, 50, 60 C

MELTING = {
    "maxi": Melting(1.20, 0.337, 1.17, 282.0, 0.34, *_ZINC, (0.41, 4.9)),
    "blade": Melting(1.20, 0.507, 0.736, 25.6, 0.67, *_ZINC, (0.34, 1.69)),
    "blade 35-40": Melting(1.20, 0.474, 0.702, 23.1, 0.67, *_ZINC, (0.43, 2.5)),
    "glass": Melting(1.20, 0.353, 0.417, 267.0, 0.5, *_ZINC, (0.5, 2.0)),
    "glass slow": Melting(1.20, 0.308, 6.45, 503.0, 0.5, *_ZINC, (0.5, 2.0)),
    "glass quick": Melting(1.70, 0.384, 0.079, 34.4, 0.5, *_ZINC, (0.5, 2.0)),
    "midi": Melting(1.20, 0.505, 3.26, 542.0, 0.34, *_ZINC, (0.35, 2.5)),
    "breaker": Melting(1.20, 0.427, 22.0, 389.0, 0.1, *_BIMETAL, (0.51, 1.99)),
}  # fmt: skip  # rows that a reader compares
"""Kinds of fuse and breaker.

Fitted so that the opening time at every published current lies in the middle of its window
(on a log scale): maxi, blades of 35 and 40 A and their melting integrals from makers' sheets of
series 299 and 287; the smaller blades from ISO 8820-3 (from memory); glass by UL/CSA 248-14
("glass", "glass slow") and by IEC 60127 ("glass quick"); midi from memory; the thermal breaker from
an item description, 30 s at 200 % and 125 % in the end, its other points chosen. `hot` of maxi and
blade from the published drop at rated current, of the others chosen. Zinc melts at 419 C (from
memory). The spread keeps every individual inside every published limit; of glass it is chosen. In
hot air makers allow a plastic-bodied fuse less than its zinc would carry (a 40 A maxi 22 A at
125 C): that spares the plastic, and does not open it sooner.
"""


def melting_of(curve: str, rating: float) -> Melting:
    """Return what a fuse or breaker of this curve and rating [A] opens at.

    A bolt-down kind without limits of its own is taken as a maxi, as its limits are.
    """
    if is_large_blade(curve, rating):
        return MELTING["blade 35-40"]
    return MELTING.get(curve, MELTING["maxi"])
