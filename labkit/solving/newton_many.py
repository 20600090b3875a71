"""Newton's method for many operating points at once: the same steps as for one, on numpy rows.

Curved branches of one kind are stacked, a branch per line and an operating point per column. Points
that have come to rest leave, so that the slow ones do not hold up the rest.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from labkit.parts.laws import Law, Linear, Value
from labkit.solving.arrays import Array, Flags, Numbers
from labkit.solving.elimination import NOTHING, REFERENCE, eliminate, find_islands, join, substitute
from labkit.solving.far_side import Curve
from labkit.solving.network import Network
from labkit.solving.newton import (
    HELD_STEPS,
    LOOSE,
    LOOSER,
    MOST_STEPS,
    STIFF,
    advance,
    companion,
)
from labkit.solving.solutions import Solutions
from labkit.solving.stacks import Stack, lines, stacked, taken
from labkit.solving.steering import Steering, steered

Gates = Mapping[int, tuple[Value, Value]]

FEW_STEPS = 40
"""What has not come to rest by then where a curve stands for what is far stands beyond the curve,
where there may be nothing to come to rest at; it is solved with the whole boat. Our choice."""

_LEAVE = 0.25  # points at rest leave once they are this share of those there


def solve_many_networks(
    net: Network, gates: Gates, earlier: Mapping[int, Array] | None = None
) -> tuple[Solutions, dict[int, str]]:
    """Solve for the voltages of many networks of one structure.

    Parameters
    ----------
    net : Network
    gates : mapping of int to (Value, Value)
        As for :func:`labkit.solving.newton.solve_network`.
    earlier : mapping of int to array, optional
        `inner` of solutions to begin from, with the gates otherwise.

    Returns
    -------
    Solutions
    dict of int to str
        Points without a solution, with the names of the parts still moving there; they are not a
        number in the solutions.
    """
    with np.errstate(all="ignore"):
        solver = _Solver(net, gates)
        found, wrong = Steering(net, solver.solution, Solutions.amps, np).settle(earlier)
    stuck = solver.stuck
    for place in np.flatnonzero(wrong):
        stuck[int(place)] = ", ".join(sorted({net.wires[n].owner for n, _ in steered(net)}))
        for row in (*found.volts, *found.slopes, *found.sources, *found.inner.values()):
            row[place] = np.nan
    return found, stuck


def islands_of(net: Network, slopes: Sequence[Value]) -> list[Value]:
    """Island of each node, from which branches conduct at all."""
    plan = net.plan
    joined: list[Value] = [False] * len(plan.edge_of)
    for wire, g in zip(net.wires, slopes, strict=True):
        if wire.first != wire.second:
            edge, _ = plan.edge(wire.first, wire.second)
            joined[edge] = joined[edge] | _plainly(g != 0)
    islands: list[Value] = [REFERENCE] * net.nodes
    for steps in (plan.linear, plan.core):
        join(steps, joined)
    for steps in (plan.core, plan.linear):
        find_islands(steps, joined, islands, np.where)
    # Each its own: a row may be overwritten in places later.
    return [i.copy() if isinstance(i, np.ndarray) else i for i in islands]


def reciprocal(d: Value) -> Value:
    """1 / d, and 0 where d is 0."""
    if not isinstance(d, np.ndarray):
        return 1.0 / d if d else 0.0
    inverse = 1.0 / d
    if not d.all():
        inverse[d == 0] = 0.0
    return inverse


class _Solver:
    def __init__(self, net: Network, gates: Gates) -> None:
        assert net.size is not None
        self.net, self.gates, self.size = net, gates, net.size
        self.plan = net.plan
        self.places = [
            self.plan.edge(w.first, w.second) if w.first != w.second else None for w in net.wires
        ]
        self.core_nodes = [step.node for step in self.plan.core]
        self.core_edges = sorted(
            {e for step in self.plan.core for e, _ in step.edges}
            | {e for step in self.plan.core for *_, e in step.pairs}
        )
        wires = len(net.wires)
        self.g: list[Value] = [0.0] * wires
        self.source: list[Value] = [0.0] * wires
        self.c: list[Value] = [NOTHING] * len(self.plan.edge_of)
        self.s: list[Value] = [NOTHING] * len(self.plan.edge_of)
        self._stamp_linear()
        self.linear = eliminate(self.plan.linear, self.c, self.s, reciprocal)
        self.stuck: dict[int, str] = {}
        self.stacked = {kind: self._stack_of(wires) for kind, wires in self._kinds().items()}

    def solution(
        self,
        net: Network,
        earlier: Mapping[int, Array] | None,
        before: Solutions | None = None,
        going: Value = True,
    ) -> Solutions:
        """Solve; curved branches are as in `net`, whose straight ones are as they were.

        Where `going` is false, what was found `before` stands.
        """
        stacks = self._stacks(net, earlier)
        plan, linear, c, s = self.plan, self.linear, self.c[:], self.s[:]
        self.v: list[Value] = [0.0] * net.nodes
        self.inner: dict[int, Array] = {}
        columns = np.arange(self.size) if before is None else np.flatnonzero(going)
        self.stuck = {} if before is None else self._still_stuck(columns)
        if stacks:
            self._make_room(stacks, before)
            self._iterate(stacks, columns, earlier, c, s)
        else:
            substitute(plan.core, eliminate(plan.core, c, s, reciprocal), c, s, self.v)
        substitute(plan.linear, linear, c, s, self.v)
        found = Solutions(
            self.net,
            self._rows(self.v),
            self._rows(islands_of(self.net, self.g)),
            self._rows(self.g),
            self._rows(self.source),
            self.inner,
        )
        for row in (*found.volts, *found.slopes, *found.sources, *found.inner.values()):
            row[list(self.stuck)] = np.nan
        return found

    def _rows(self, values: list[Value]) -> list[Any]:
        found = [
            value
            if isinstance(value, np.ndarray) and len(value) == self.size
            else np.full(self.size, value)
            for value in values
        ]
        # Where some have no answer theirs is struck out, and the next solution needs its own again.
        return [row.copy() for row in found] if self.stuck else found

    def _stamp_linear(self) -> None:
        for n, wire in enumerate(self.net.wires):
            if isinstance(wire.law, Linear):
                factor, extra = self.gates.get(n, (1.0, 0.0))
                self.g[n] = wire.law.conductance * factor
                self.source[n] = wire.law.source * factor + extra
                self._stamp(n, self.c, self.s, self.g[n], self.source[n])

    def _stamp(self, n: int, c: list[Value], s: list[Value], g: Value, source: Value) -> None:
        place = self.places[n]
        if place is None:
            return
        edge, sign = place
        c[edge] = g if c[edge] is NOTHING else c[edge] + g
        if isinstance(source, np.ndarray) or source:
            driven = source if sign > 0 else -source
            s[edge] = driven if s[edge] is NOTHING else s[edge] + driven

    # -- curved branches ------------------------------------------------------------------------

    def _kinds(self) -> dict[type[Law], list[int]]:
        kinds: dict[type[Law], list[int]] = {}
        for n, wire in enumerate(self.net.wires):
            if not isinstance(wire.law, Linear):
                kinds.setdefault(type(wire.law), []).append(n)
        return kinds

    def _stack_of(self, wires: list[int]) -> tuple[list[int], Law, Array]:
        laws = [self.net.wires[n].law for n in wires]
        law = stacked(laws)
        there = law.present * lines([self.gates.get(n, (1.0, 0.0))[0] for n in wires])
        return wires, law, there

    def _stacks(self, net: Network, earlier: Mapping[int, Array] | None) -> list[Stack]:
        before, self.net = self.net, net
        stacks = []
        for kind, (wires, law, there) in self.stacked.items():
            if any(net.wires[n].law is not before.wires[n].law for n in wires):
                _, law, there = self.stacked[kind] = self._stack_of(wires)
            if earlier is None:
                start = np.broadcast_to(law.start(), (len(wires), self.size)).copy()
            else:
                start = law.resume(np.array([earlier[n] for n in wires]), np)
            stacks.append(Stack(wires, law, there, start))
        return stacks

    def _iterate(
        self,
        stacks: list[Stack],
        columns: Numbers,
        earlier: Mapping[int, Array] | None,
        c: list[Value],
        s: list[Value],
    ) -> None:
        """Iterate until each point rests; those that go round in a ring come nearer held back.

        The steps are those of a single point (:mod:`labkit.solving.newton`). What stays without an
        answer is given up, and its parts named.
        """
        moving = self._descend(stacks, columns, c, s)
        if moving and Curve not in self.stacked:
            moving = self._held_back(moving, earlier, c, s)
        self.stuck |= moving

    def _held_back(
        self,
        moving: dict[int, str],
        earlier: Mapping[int, Array] | None,
        c: list[Value],
        s: list[Value],
    ) -> dict[int, str]:
        """Iterate points held to the voltages they had, the less the nearer they are.

        Returns
        -------
        dict of int to str
            Those without an answer all the same, with the names of the parts still moving.
        """
        stacks = self._stacks(self.net, earlier)
        inner = {n: row for k in stacks for n, row in zip(k.wires, k.inner, strict=True)}
        begun = {n: (inner if earlier is None else earlier)[n].copy() for n in inner}
        ties = {n: row.copy() for n, row in begun.items()}
        tie = np.full(self.size, STIFF)
        for _ in range(HELD_STEPS):
            held = np.where(tie < LOOSE, 0.0, tie)
            stacks = self._stacks(self.net, begun)
            for stack in stacks:
                stack.tie, stack.pull = held, np.array([-held * ties[n] for n in stack.wires])
            failed = self._descend(stacks, np.array(sorted(moving)), c, s)
            rested = np.array([n for n in moving if n not in failed], int)
            for n, at_rest in begun.items():
                wire = self.net.wires[n]
                first, second = (taken(self.v[k], rested) for k in (wire.first, wire.second))
                at_rest[rested], ties[n][rested] = self.inner[n][rested], first - second
            tie[rested] *= LOOSER
            tie[list(failed)] /= LOOSER**2
            moving = {n: names for n, names in moving.items() if n in failed or held[n]}
            if not moving:
                break
        return moving

    def _descend(
        self, stacks: list[Stack], columns: Numbers, c: list[Value], s: list[Value]
    ) -> dict[int, str]:
        """Iterate until each of these points rests, or is given up; fill in what was found.

        Returns
        -------
        dict of int to str
            Points given up, with the names of the parts still moving there.
        """
        c0, s0, bound = c[:], s[:], self.net.bound
        if len(columns) < self.size:
            bound, stacks = self._only(columns, bound, stacks, c0, s0)
        rested = np.zeros(len(columns), bool)
        most = FEW_STEPS if Curve in self.stacked else MOST_STEPS
        for step in range(most):
            c, s = c0[:], s0[:]
            for stack in stacks:
                self._stamp_stack(stack, c, s)
            core = eliminate(self.plan.core, c, s, reciprocal)
            v = [0.0] * self.net.nodes
            substitute(self.plan.core, core, c, s, v)
            done = [self._advance(stack, v, bound, step) for stack in stacks]
            rested |= np.logical_and.reduce([d.all(axis=0) for d in done])
            leaving = int(np.count_nonzero(rested))
            if leaving == len(columns) or leaving > _LEAVE * len(columns):
                self._record(stacks, columns, v)
                keep = np.flatnonzero(~rested)
                if not keep.size:
                    return {}
                columns, rested = columns[keep], rested[keep]
                bound, stacks = self._only(keep, bound, stacks, c0, s0)
        self._record(stacks, columns, v)
        return {
            int(columns[place]): self._names(stacks, [d[:, place] for d in done])
            for place in np.flatnonzero(~rested)
        }

    def _names(self, stacks: list[Stack], at_rest: list[Flags]) -> str:
        """Parts of a point that are still moving."""
        names = {
            self.net.wires[n].owner
            for stack, rests in zip(stacks, at_rest, strict=True)
            for n, line in zip(stack.wires, rests, strict=True)
            if not line
        }
        return ", ".join(sorted(names))

    def _only(
        self, keep: Numbers, bound: Value, stacks: list[Stack], c0: list[Value], s0: list[Value]
    ) -> tuple[Value, list[Stack]]:
        """Of what is iterated with keep some points; `c0` and `s0` change in place."""
        for edge in self.core_edges:
            c0[edge], s0[edge] = taken(c0[edge], keep), taken(s0[edge], keep)
        return taken(bound, keep), [stack.take(keep) for stack in stacks]

    def _still_stuck(self, going: Numbers) -> dict[int, str]:
        anew = set(going.tolist())
        return {n: names for n, names in self.stuck.items() if n not in anew}

    def _make_room(self, stacks: list[Stack], before: Solutions | None) -> None:
        """Rows to fill in, where they are not filled in as they were found before."""

        def row(of: Any, n: int) -> Array:
            return np.zeros(self.size) if of is None else of[n].copy()

        volts, slopes, sources, inner = (
            (None,) * 4
            if before is None
            else (before.volts, before.slopes, before.sources, before.inner)
        )
        for node in self.core_nodes:
            self.v[node] = row(volts, node)
        for n in (n for stack in stacks for n in stack.wires):
            self.g[n], self.source[n] = row(slopes, n), row(sources, n)
            self.inner[n] = row(inner, n)

    def _stamp_stack(self, stack: Stack, c: list[Value], s: list[Value]) -> None:
        stack.g, stack.source = companion(stack.law, stack.there, stack.inner, stack.close, np)
        for n, g, source in zip(stack.wires, stack.g, stack.source, strict=True):
            self._stamp(n, c, s, g, source)
        if stack.pull is not None:
            for n, pull in zip(stack.wires, stack.pull, strict=True):
                self._stamp(n, c, s, stack.tie, pull)

    def _advance(self, stack: Stack, v: Sequence[Value], bound: Value, step: int) -> Any:
        wires = [self.net.wires[n] for n in stack.wires]
        across = np.empty_like(stack.inner)
        for line, wire in zip(across, wires, strict=True):
            np.subtract(v[wire.first], v[wire.second], out=line)
        stack.inner, stack.close, done = advance(
            stack.law, stack.inner, across, (stack.g, stack.source), bound, step, np
        )
        return done | (stack.there == 0)

    def _record(self, stacks: list[Stack], columns: Numbers, v: list[Value]) -> None:
        """Keep what is found so far; for points that leave it is the last."""
        for node in self.core_nodes:
            self.v[node][columns] = v[node]
        for stack in stacks:
            assert stack.g is not None
            assert stack.source is not None
            for line, n in enumerate(stack.wires):
                self.g[n][columns] = stack.g[line]
                self.source[n][columns] = stack.source[line]
                self.inner[n][columns] = stack.inner[line]


def _plainly(flags: Any) -> Any:
    """The same as a single truth value where all agree, which is quicker to work with."""
    if isinstance(flags, np.ndarray):
        return True if flags.all() else flags if flags.any() else False
    return bool(flags)
