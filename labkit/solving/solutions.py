"""What is found of many circuits at once, before it is read out by parts and terminals."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from labkit.solving.arrays import Array, Numbers
from labkit.solving.network import Network
from labkit.solving.newton import NOISE


@dataclass
class Solutions:
    """Voltages of nodes and what stands for each branch, a row each, an entry a circuit."""

    net: Network
    volts: list[Array]
    islands: list[Numbers]
    slopes: list[Array]
    sources: list[Array]
    inner: dict[int, Array]

    def amps(self, n: int) -> Array:
        """Current of a branch. [A]"""
        wire, g, source = self.net.wires[n], self.slopes[n], self.sources[n]
        va, vb = self.volts[wire.first], self.volts[wire.second]
        found = g * (va - vb) + source
        # What rounding of the two voltages alone could make is not a current.
        size = np.maximum(np.absolute(va), np.absolute(vb))
        noise = NOISE * np.maximum(g * size, np.absolute(source))
        return np.where(np.absolute(found) <= noise, 0.0, found)

    def rows(self) -> Iterator[Any]:
        """All rows there are."""
        yield from self.volts
        yield from self.islands
        yield from self.slopes
        yield from self.sources
        yield from self.inner.values()

    def take(self, keep: Numbers, net: Network) -> Solutions:
        """Return the solutions of some of the circuits, which `net` is."""
        return Solutions(
            net,
            [row[keep] for row in self.volts],
            [row[keep] for row in self.islands],
            [row[keep] for row in self.slopes],
            [row[keep] for row in self.sources],
            {n: row[keep] for n, row in self.inner.items()},
        )
