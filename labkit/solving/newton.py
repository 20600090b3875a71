"""Voltages of a network with curved branches: Newton's method on the branches' own voltages.

Each curved branch is replaced by its tangent at a voltage of its own; the network is then linear
and is solved by elimination; the branch's next voltage is what the solution says, held back where
a tangent misleads. Solved for voltages directly rather than for corrections, and stopped on branch
voltages rather than on leftover currents, which an island without a path would drown in rounding.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from labkit.parts.laws import Floats, Law, Linear, Value
from labkit.solving.elimination import NOTHING, REFERENCE, eliminate, find_islands, substitute
from labkit.solving.network import Network
from labkit.solving.steering import Steering, steered
from labkit.text.messages import NoConvergenceError

TOLERANCE = 1e-11
"""Largest last step of a branch voltage, relative to 1 V plus the voltage."""

_TRUST, _TRUST_STEPS = 0.05, 15  # a falling slope is used for small steps, early on
_DAMP_AFTER, _DAMP = 40, 0.5  # two tangents may throw a point back and forth for ever
MOST_STEPS = 250
STIFF, LOOSE, LOOSER, HELD_STEPS = 1.0, 1e-12, 0.1, 60
"""What holds branches back: at first, at last, its change a step [S, S, -], and steps. Chosen."""

NOISE = 1.5e-14
"""Rounding of a branch's current, as a share of what it is the difference of."""


@dataclass
class Solution:
    """Voltages of nodes and currents of branches, floats for one point or rows for many."""

    volts: list[Value]
    islands: list[Value]  # of each node: where its island is pinned, REFERENCE if tied to DC-
    amps: list[Value]
    slopes: list[Value]  # of each branch where it was last linearised [S]
    inner: dict[int, Value]  # a curved branch's voltage behind its series resistance

    @property
    def tied(self) -> list[Value]:
        """Whether a conducting path ties each node to DC-."""
        return [island == REFERENCE for island in self.islands]


def solve_network(
    net: Network,
    gates: dict[int, tuple[Value, Value]],
    earlier: dict[int, Value] | None = None,
) -> Solution:
    """Solve for node voltages.

    Parameters
    ----------
    net : Network
    gates : dict of int to (Value, Value)
        For branches a device governs: a factor on conductance and source (1 made, 0 not), and a
        source current to add. [-, A]
    earlier : dict of int to Value, optional
        `inner` of a solution to begin from, with the gates otherwise.

    Raises
    ------
    NoConvergenceError
        If a curved branch is still moving after the last step allowed.
    """
    solver = _Solver(net, gates)
    steering = Steering(net, solver.solution, lambda s, n: s.amps[n], Floats)
    found, wrong = steering.settle(earlier)
    if wrong:
        raise NoConvergenceError(f"no operating point found; still moving: {_names(net)}")
    return found


def _names(net: Network) -> str:
    """Parts that are steered."""
    return ", ".join(sorted({net.wires[n].owner for n, _ in steered(net)}))


class _Solver:
    def __init__(self, net: Network, gates: dict[int, tuple[Value, Value]]) -> None:
        self.net, self.gates = net, gates
        self.plan, self.places, self.curved = net.plan, net.places, net.curved
        self.c: list[Value] = [NOTHING] * len(self.plan.edge_of)
        self.s: list[Value] = [NOTHING] * len(self.plan.edge_of)
        self.companions: dict[int, tuple[Value, Value]] = {}
        self._stamp_linear()
        self.linear = eliminate(self.plan.linear, self.c, self.s, _reciprocal)

    def solution(self, net: Network, earlier: dict[int, Value] | None, *_: object) -> Solution:
        """Solve; curved branches are as in `net`, whose straight ones are as they were."""
        self.net = net
        self.v: list[Value] = [0.0] * net.nodes
        inner, c, s = self._iterate(earlier)
        substitute(self.plan.linear, self.linear, c, s, self.v)
        islands = [REFERENCE] * self.net.nodes
        find_islands(self.plan.core, c, islands, Floats.where)
        find_islands(self.plan.linear, c, islands, Floats.where)
        amps = [self._amps(n) for n in range(len(self.net.wires))]
        slopes = [self.companions[n][0] for n in range(len(self.net.wires))]
        return Solution(self.v, islands, amps, slopes, inner)

    def _stamp(self, n: int, c: list[Value], s: list[Value], g: Value, source: Value) -> None:
        place = self.places[n]
        if place is not None:
            edge, sign = place
            c[edge] = c[edge] + g
            if source:
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
        noise = NOISE * max(g * max(abs(va), abs(vb)), abs(source))
        return 0.0 if abs(amps) <= noise else amps

    # -- curved branches ----------------------------------------------------------------------

    def _iterate(
        self, earlier: dict[int, Value] | None
    ) -> tuple[dict[int, Value], list[Value], list[Value]]:
        """Iterate until all rest; where they go round in a ring, come nearer by held-back steps.

        A conductance holds each curved branch to the voltage it had: the stiffer the less it can
        move. What is found so is nearer in any network of rising laws (the proximal point method).
        """
        try:
            return self._descend(earlier)
        except NoConvergenceError as error:
            unfound = error
        tie, ties = STIFF, {n: (earlier or self._starts(None))[n] for n in self.curved}
        for _ in range(HELD_STEPS):
            try:
                earlier, *_ = self._descend(earlier, tie, ties)
                ends = ((n, self.net.wires[n]) for n in self.curved)
                ties = {n: self.v[w.first] - self.v[w.second] for n, w in ends}
                tie *= LOOSER
                if tie < LOOSE:
                    return self._descend(earlier)
            except NoConvergenceError:
                tie /= LOOSER**2
        raise unfound

    def _starts(self, earlier: dict[int, Value] | None) -> dict[int, Value]:
        laws = {n: self.net.wires[n].law for n in self.curved}
        if earlier is None:
            return {n: law.start() for n, law in laws.items()}
        return {n: law.resume(earlier[n], Floats) for n, law in laws.items()}

    def _descend(
        self,
        earlier: dict[int, Value] | None,
        tie: float = 0.0,
        ties: dict[int, Value] | None = None,
    ) -> tuple[dict[int, Value], list[Value], list[Value]]:
        """Iterate, each curved branch held by a conductance to a voltage, if any. [S, V]"""
        net, bound = self.net, self.net.bound
        inner = self._starts(earlier)
        close = dict.fromkeys(self.curved, False)
        for step in range(MOST_STEPS):
            c, s = self.c[:], self.s[:]
            for n in self.curved:
                self._stamp_curved(n, inner[n], close[n], c, s)
                if ties is not None:
                    self._stamp(n, c, s, tie, -tie * ties[n])
            core = eliminate(self.plan.core, c, s, _reciprocal)
            substitute(self.plan.core, core, c, s, self.v)
            moving = []
            for n in self.curved:
                old = inner[n]
                inner[n], close[n], done = self._advance(n, old, bound, step)
                if not done:
                    moving.append(n)
            if not moving:
                return inner, c, s
        names = ", ".join(sorted({net.wires[n].owner for n in moving}))
        raise NoConvergenceError(f"no operating point found; still moving: {names}")

    def _stamp_curved(self, n: int, v: Value, close: Value, c: list[Value], s: list[Value]) -> None:
        law = self.net.wires[n].law
        g, source = companion(law, self._there(n), v, close, Floats)
        self.companions[n] = g, source
        self._stamp(n, c, s, g, source)

    def _there(self, n: int) -> Value:
        factor, _ = self.gates.get(n, (1.0, 0.0))
        return self.net.wires[n].law.present * factor

    def _advance(self, n: int, old: Value, bound: Value, step: int) -> tuple[Value, Value, bool]:
        wire = self.net.wires[n]
        across = self.v[wire.first] - self.v[wire.second]
        new, trust, done = advance(wire.law, old, across, self.companions[n], bound, step, Floats)
        return new, trust, done or self._there(n) == 0


def _reciprocal(d: float) -> float:
    return 1.0 / d if d else 0.0


def companion(law: Law, there: Value, v: Value, close: Value, xp: Any) -> tuple[Value, Value]:
    """Tangent of a branch with its series resistance: conductance [S], source beside it [A]."""
    current, slope = law.at(v, close, xp)
    behind = there / (1.0 + slope * law.series)
    return slope * behind, (current - slope * v) * behind


def advance(
    law: Law,
    old: Value,
    across: Value,
    tangent: tuple[Value, Value],
    bound: Value,
    step: int,
    xp: Any,
) -> tuple[Value, Value, Value]:
    """Next voltage of a branch; whether its falling slope may be trusted; whether it rests."""
    g, source = tangent
    current = g * across + source
    wanted = across - current * law.series
    new = xp.minimum(xp.maximum(wanted, -bound), bound)
    if step > _DAMP_AFTER:
        new = old + _DAMP * (new - old)
    new = law.limit(old, new, current, xp)
    # By the step wanted, not the one taken: a branch held back at 0 V has not come to rest.
    done = xp.absolute(wanted - old) <= TOLERANCE * (1.0 + xp.absolute(new))
    trust: Value = False
    if law.falls and step < _TRUST_STEPS:
        trust = xp.absolute(new - old) < _TRUST * xp.absolute(new)
    return new, trust, done
