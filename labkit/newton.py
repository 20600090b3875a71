"""Voltages of a network with curved branches: Newton's method on the branches' own voltages.

Each curved branch is replaced by its tangent at a voltage of its own; the network is then linear
and is solved by elimination; the branch's next voltage is what the solution says, held back where
a tangent misleads. Solved for voltages directly rather than for corrections, and stopped on branch
voltages rather than on leftover currents, which an island without a path would drown in rounding.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from labkit.elimination import eliminate, substitute, tied
from labkit.laws import Floats, Linear, Value
from labkit.network import Network

TOLERANCE = 1e-11
"""Largest last step of a branch voltage, relative to 1 V plus the voltage."""

_TRUST, _TRUST_STEPS = 0.05, 15  # a falling slope is used for small steps, early on
_DAMP_AFTER, _DAMP = 40, 0.5  # two tangents may throw a point back and forth for ever
_MOST_STEPS = 250


class NoConvergenceError(ArithmeticError):
    """No solution was found; the message names the parts still moving."""


@dataclass
class Solution:
    """Voltages of nodes and currents of branches, floats or rows."""

    volts: list[Value]
    tied: list[Value]
    amps: list[Value]
    slopes: list[Value]  # of each branch where it was last linearised [S]
    inner: dict[int, Value]  # a curved branch's voltage behind its series resistance


def solve_network(net: Network, gates: dict[int, tuple[Value, Value]]) -> Solution:
    """Solve for node voltages.

    Parameters
    ----------
    net : Network
    gates : dict of int to (Value, Value)
        For branches a device governs: a factor on conductance and source (1 made, 0 not), and a
        source current to add. [-, A]

    Raises
    ------
    NoConvergenceError
        If a curved branch is still moving after the last step allowed.
    """
    return _Solver(net, gates).solution()


class _Solver:
    def __init__(self, net: Network, gates: dict[int, tuple[Value, Value]]) -> None:
        self.net, self.gates = net, gates
        self.many = net.size is not None
        self.xp: Any = np if self.many else Floats
        self.plan = net.plan
        self.places = [
            self.plan.edge(w.first, w.second) if w.first != w.second else None for w in net.wires
        ]
        self.curved = [n for n, w in enumerate(net.wires) if not isinstance(w.law, Linear)]
        self.c: list[Value] = [0.0] * len(self.plan.edge_of)
        self.s: list[Value] = [0.0] * len(self.plan.edge_of)
        self.companions: dict[int, tuple[Value, Value]] = {}
        self.v: list[Value] = [0.0] * net.nodes

    def solution(self) -> Solution:
        self._stamp_linear()
        linear = eliminate(self.plan.linear, self.c, self.s, self._reciprocal)
        core, inner, c, s = self._iterate()
        substitute(self.plan.linear, linear, c, s, self.v)
        h: list[Value] = [0.0] * self.net.nodes
        h[0] = 1.0
        tied(self.plan.core, core, c, h)
        tied(self.plan.linear, linear, c, h)
        amps = [self._amps(n) for n in range(len(self.net.wires))]
        slopes = [self.companions[n][0] for n in range(len(self.net.wires))]
        return Solution(self.v, h, amps, slopes, inner)

    def _reciprocal(self, d: Value) -> Value:
        if isinstance(d, np.ndarray):
            return np.divide(1.0, d, out=np.zeros_like(d), where=d != 0)
        return 1.0 / d if d else 0.0

    def _stamp(self, n: int, c: list[Value], s: list[Value], g: Value, source: Value) -> None:
        place = self.places[n]
        if place is not None:
            edge, sign = place
            c[edge] = c[edge] + g
            s[edge] = s[edge] + sign * source

    def _stamp_linear(self) -> None:
        for n, wire in enumerate(self.net.wires):
            if not isinstance(wire.law, Linear):
                continue
            factor, extra = self.gates.get(n, (1.0, 0.0))
            g = wire.law.conductance * factor
            source = wire.law.source * factor + extra
            self.companions[n] = g, source
            self._stamp(n, self.c, self.s, g, source)

    def _amps(self, n: int) -> Value:
        wire = self.net.wires[n]
        g, source = self.companions[n]
        va, vb = self.v[wire.first], self.v[wire.second]
        amps = g * (va - vb) + source
        # What rounding of the two voltages alone could make is not a current.
        size = self.xp.maximum(self.xp.absolute(va), self.xp.absolute(vb))
        noise = 1.5e-14 * self.xp.maximum(g * size, self.xp.absolute(source))
        return self.xp.where(self.xp.absolute(amps) <= noise, 0.0, amps)

    # -- curved branches ----------------------------------------------------------------------

    def _iterate(self) -> tuple[list[Value], dict[int, Value], list[Value], list[Value]]:
        net, bound = self.net, self.net.bound
        inner = {n: net.wires[n].law.start() for n in self.curved}
        close = dict.fromkeys(self.curved, False)
        for step in range(_MOST_STEPS):
            c, s = self.c[:], self.s[:]
            for n in self.curved:
                self._stamp_curved(n, inner[n], close[n], c, s)
            core = eliminate(self.plan.core, c, s, self._reciprocal)
            substitute(self.plan.core, core, c, s, self.v)
            moving = []
            for n in self.curved:
                old = inner[n]
                inner[n], close[n], done = self._advance(n, old, bound, step)
                if not done:
                    moving.append(n)
            if not moving:
                return core, inner, c, s
        names = ", ".join(sorted({net.wires[n].owner for n in moving}))
        raise NoConvergenceError(f"no operating point found; still moving: {names}")

    def _stamp_curved(self, n: int, v: Value, close: Value, c: list[Value], s: list[Value]) -> None:
        law = self.net.wires[n].law
        factor, _ = self.gates.get(n, (1.0, 0.0))
        there = law.present * factor
        current, slope = law.at(v, close, self.xp)
        behind = there / (1.0 + slope * law.series)
        g, source = slope * behind, (current - slope * v) * behind
        self.companions[n] = g, source
        self._stamp(n, c, s, g, source)

    def _advance(self, n: int, old: Value, bound: Value, step: int) -> tuple[Value, Value, bool]:
        """Next voltage of a curved branch, if its falling slope may be trusted, if it rests."""
        wire, xp = self.net.wires[n], self.xp
        g, source = self.companions[n]
        across = self.v[wire.first] - self.v[wire.second]
        current = g * across + source
        wanted = across - current * wire.law.series
        new = xp.minimum(xp.maximum(wanted, -bound), bound)
        new = wire.law.limit(old, new, current, xp)
        if step > _DAMP_AFTER:
            new = old + _DAMP * (new - old)
        move = xp.absolute(new - old)
        factor, _ = self.gates.get(n, (1.0, 0.0))
        absent = wire.law.present * factor == 0
        # By the step wanted, not the one taken: a branch held back at 0 V has not come to rest.
        done = (xp.absolute(wanted - old) <= TOLERANCE * (1.0 + xp.absolute(new))) | absent
        trust = (move < _TRUST * xp.absolute(new)) & (step < _TRUST_STEPS)
        return new, trust, bool(done) if not self.many else bool(np.all(done))
