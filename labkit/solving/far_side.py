"""The far side of a boat seen from two of her bus bars: its current as a curve over the voltage.

What is far from a complaint is solved once, by itself, from a stiff source at a few voltages about
the one it stands at, and its current laid down as a Chebyshev sum. Inside its stretch that is as
good as solving it again (some 1e-12 A); a point outside is solved with the whole boat.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from labkit.circuits.circuit import NEGATIVE, Circuit
from labkit.parts.laws import Law, Linear, Value
from labkit.solving.network import Network, Wire

if TYPE_CHECKING:
    from labkit.solving.arrays import Array

DEGREE = 12
"""Of the sum. At 8 the worst of the boats tried was 1e-11 A off, at 12 some 1e-13 A."""

HALF = 0.6
"""The stretch reaches so far to either side at first. [V]"""

HALVINGS = 8
"""So often a stretch is halved in which something in it changes state."""

TRUE = 1e-10
"""A sum that is off by more at other places than it was made at has a stretch too long. [A]"""

_STIFF = 1e-6  # resistance of the source [ohm]


@dataclass(frozen=True)
class Curve(Law):
    """A current as a Chebyshev sum in (v - middle) / half; outside that, on along the tangent."""

    middle: Value = 12.0
    half: Value = HALF
    c0: Value = 0.0
    c1: Value = 0.0
    c2: Value = 0.0
    c3: Value = 0.0
    c4: Value = 0.0
    c5: Value = 0.0
    c6: Value = 0.0
    c7: Value = 0.0
    c8: Value = 0.0
    c9: Value = 0.0
    c10: Value = 0.0
    c11: Value = 0.0
    c12: Value = 0.0

    def at(self, v: Value, close: Value, xp: Any) -> tuple[Value, Value]:
        x = (v - self.middle) / self.half
        t = xp.minimum(xp.maximum(x, -1.0), 1.0)
        b1 = b2 = d1 = d2 = 0.0 * t
        # Clenshaw's recurrence, and its derivative
        for term in (getattr(self, f"c{k}") for k in range(DEGREE, 0, -1)):
            d1, d2 = 2 * b1 + 2 * t * d1 - d2, d1
            b1, b2 = term + 2 * t * b1 - b2, b1
        slope = (b1 + t * d1 - d2) / self.half
        inside = self.c0 + t * b1 - b2
        return inside + slope * (v - self.middle - t * self.half), slope

    def start(self) -> Value:
        return self.middle

    def limit(self, old: Value, new: Value, current: Value, xp: Any) -> Value:
        return new

    def holds(self, v: Value) -> Value:
        """Tell whether a voltage lies in the stretch."""
        return abs(v - self.middle) <= self.half


def outside(net: Network, volts: list[Value]) -> Value:
    """Tell where a curve of a network is asked beyond its stretch, or stands at no number."""
    found: Value = False
    for wire in net.wires:
        if isinstance(wire.law, Curve):
            holds = wire.law.holds(volts[wire.first] - volts[wire.second])
            found = found | (holds != True)  # noqa: E712  # of rows as of one
    return found


def curve(far: Circuit, first: str, second: str, middle: float) -> Curve | None:
    """Lay down the current of a sound circuit between two of its nodes.

    Parameters
    ----------
    far : Circuit
        Without a source.
    first, second : str
        Its current is positive from the first to the second inside it.
    middle : float
        Voltage between them about which it is wanted. [V]

    Returns
    -------
    Curve or None
        None where nothing flows.
    """
    import numpy as np

    if not _driven(far, first, second, np.linspace(-1.3, 1.3, 9) * max(abs(middle), 1.0))[1].any():
        return None
    return Curve(0.0, middle, *_laid_down(far, first, second, middle))


def _laid_down(far: Circuit, first: str, second: str, middle: float) -> tuple[float, ...]:
    """Half a stretch in which nothing changes state, and the terms of the sum there. [V, A]"""
    import numpy as np

    half, count = HALF, DEGREE + 1
    places = np.cos(np.pi * (np.arange(count) + 0.5) / count)
    others = np.cos(np.pi * (np.arange(7) + 0.25) / 7)
    x = np.concatenate([places, others, [-1.0, 1.0]])
    for _ in range(HALVINGS):
        volts, amps, steady = _driven(far, first, second, middle + half * x)
        # A stiff source gives way a little: what counts are the voltages that were reached.
        at = np.polynomial.chebyshev.chebvander((volts - middle) / half, DEGREE)
        terms = np.linalg.solve(at[:count], amps[:count])
        error = np.abs(at[count:-2] @ terms - amps[count:-2]).max()
        if steady and error <= TRUE:
            return half, *map(float, terms)
        half /= 2
    return -1.0, *map(float, terms)  # holds nowhere: solved with the whole boat


def _driven(far: Circuit, first: str, second: str, wanted: Array) -> tuple[Array, Array, bool]:
    """Voltages reached, currents taken, and whether every device stands alike at all of them."""
    import numpy as np

    from labkit.solving.network_many import flatten_many
    from labkit.solving.settling_many import settle_many

    bare = flatten_many([far] * len(wanted))
    a, b = bare.node_of[first], bare.node_of[second]
    source = Linear(conductance=1 / _STIFF, source=wanted / _STIFF)
    wires = [*bare.wires, Wire("source", "bridge", b, a, source)]
    if NEGATIVE not in (first, second):
        wires.append(Wire("tie", "bridge", b, bare.node_of[NEGATIVE], Linear.resistor(1.0)))
    net = Network(bare.node_of, wires, bare.settlers, len(wanted))
    settled = settle_many(net)
    solution = settled.solution
    amps = np.zeros(len(wanted))
    for n, wire in enumerate(bare.wires):
        if wire.first != wire.second and a in (wire.first, wire.second):
            amps += solution.amps(n) * (1.0 if wire.first == a else -1.0)
    steady = not settled.others and not settled.stuck
    steady = steady and bool((settled.states == settled.states[:, :1]).all())
    return solution.volts[a] - solution.volts[b], amps, steady
