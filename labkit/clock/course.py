"""A course of events: quasi-static operating points, joined by exact steps of everything slow.

No fixed tick. A step is as long as its error allows: what is slow is moved by exact exponentials
with the currents of its beginning, the circuit is solved again where that changes a voltage, and
the step is moved again with the mean of both; what parts the two is its error. Events (a fuse
opens, a float rises) come at the instant an exact formula gives.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import NamedTuple

from labkit.circuits.circuit import Circuit
from labkit.clock import stages
from labkit.clock.bilge import Bilge
from labkit.clock.bodies import Flow, ProtectionBody, State, WireBody
from labkit.clock.by_heat import changed, coming
from labkit.clock.chronicle import Chronicle, Wanted, wanted
from labkit.clock.program import SEA, Deed
from labkit.clock.rush import Rush
from labkit.clock.surface import FROZEN, Surface
from labkit.clock.telling import Step, Telling
from labkit.clock.vibration import Vibration
from labkit.clock.world import Look, World
from labkit.solving.solver import OperatingPoint

LONGEST = 4 * 3600.0
"""Longest step. [s]"""

_FIRST = 1.0  # step after a change that was not met before [s]
_LEAST = 1e-6  # a step is never shorter [s]
_QUIET = 0.02  # change of a voltage by warmth that asks for no second look [V]
_WATER = 0.05e-3  # of water, counts as one tolerance [m3]
_WIRE_STEP = 10.0  # a wire's change in a step, for the joints on it to follow [K]
_GROWTH, _SAFETY = 4.0, 0.85
_CATCHES = 2.0  # error of the instant from which a combiner waits [s]
_AGES = 1e4  # in which everything quick has come to rest [s]
_RUSH = 1.5  # time after a switch in which rotors and filaments are followed [s]
_RUSH_FIRST, _RUSH_GROWTH, _RUSH_LONGEST = 1e-3, 0.25, 0.05


class Now(NamedTuple):
    """A look at the circuit, and what flows in it."""

    look: Look
    flows: dict[str, Flow]


class Course:
    """A circuit while time passes.

    Parameters
    ----------
    circuit : Circuit
    program : iterable of Deed
        What somebody does, and when.
    show : iterable of str
        Terminals and parts whose series are kept; all where nothing is named.
    tolerance : float
        Error allowed in a step: 1 is 1 K, or 2 % of what opens a fuse.
    samples : mapping of str to float, optional
        Of fuses and breakers: this individual's opening times over those of its kind.
    seed : int
        Of the boat's motion.
    heat_only : bool
        Things warm, and nothing else follows: no fuse opens, no float rises.
    running : bool
        What is on has been on for a while: no rush of current at the beginning.
    """

    def __init__(
        self,
        circuit: Circuit,
        program: Iterable[Deed] = (),
        show: Iterable[str] = (),
        tolerance: float = 1.0,
        samples: Mapping[str, float] | None = None,
        seed: int = 1,
        heat_only: bool = False,
        running: bool = False,
    ) -> None:
        self.world = World(circuit, samples)
        self.program = sorted(program, key=lambda deed: deed.seconds)
        self.tolerance, self.heat_only = tolerance, heat_only
        self.seconds = 0.0
        self.bilge = Bilge(circuit.water) if circuit.water is not None else None
        self.vibration = Vibration(circuit, seed)
        kept: Wanted = wanted(circuit, tuple(show), self.world.warm, self.world.charged)
        self.chronicle = Chronicle(kept)
        self.telling = Telling(self.world, self.chronicle)
        self.steps = self.rejected = 0
        self._dt = _FIRST
        if running and self.world.recalls:
            self.world.remember(self.world.look(_AGES))
        self._running = running
        self._now: Now | None = None
        self._looked_at: dict[str, State] = {}
        self._fresh = True
        self._changed = True  # a step of its own length follows
        self._before: object = None
        self._firsts: dict[object, float] = {}
        self._rushes: dict[object, Rush] = {}
        self._rush_from = -math.inf
        self._rush: Rush | None = None
        self._patience = stages.Patience(self.world)
        self._surface = Surface(self.world)
        self._prior: Circuit | None = None  # the circuit before what changed last

    # -- playing --------------------------------------------------------------------------------

    def play(self, seconds: float) -> Course:
        """Let so much time pass. [s]

        Raises
        ------
        NoConvergenceError
            Where the circuit has no operating point to be found.
        """
        end = self.seconds + seconds
        while True:
            self._do(end)
            if self.seconds >= end - 1e-9:
                break
            if self._changed:
                self._begin(self._horizon(end) - self.seconds)
            self._step(self._horizon(end) - self.seconds)
        return self

    @property
    def point(self) -> OperatingPoint:
        """What the circuit does now."""
        self._now = None
        return self.world.point(self._look().look)

    def change(self, circuit: Circuit) -> None:
        """Go on with the circuit as somebody has changed it."""
        if self._prior is None and self.steps and self._rush is None:
            self._prior = self.world.circuit
        self.world.change(circuit)
        self._changed, self._now = True, None

    def _horizon(self, end: float) -> float:
        """When the next thing happens that does not follow from the circuit. [s]"""
        deeds = [deed.seconds for deed in self.program[:1]]
        return min([end, *deeds, self.vibration.next(self.seconds)])

    def _do(self, end: float) -> None:
        """Do what is due now."""
        while self.program and self.program[0].seconds <= self.seconds + 1e-9:
            deed = self.program.pop(0)
            if deed.what == SEA:
                self.vibration.rough(deed.to == "on", self.seconds)
            self._record()
            self.change(deed.change(self.world.circuit))
            self.telling.done(self.seconds, deed)
        if self.vibration.next(self.seconds) <= self.seconds + 1e-9:
            self._record()
            self.change(self.vibration.shake(self.world.circuit, self.seconds))

    def _look(self, looked: Look | None = None) -> Now:
        """What flows now; looked at once for each instant."""
        if self._now is None:
            look = looked or self.world.look()
            if self._surface.begins(look, self.seconds):
                look = self.world.look(cells=FROZEN)
            self._now = Now(look, self.world.flows(look))
            self._looked_at = {id: body.state for id, body in self.world.bodies.items()}
            self._hold(look)
        return self._now

    def _hold(self, look: Look) -> None:
        self.telling.switched(self.seconds, look, self.world.hold(look))

    def _record(self) -> None:
        now = self._look()
        self.telling.record(self.seconds, now.look, now.flows, self.bilge)

    # -- after a change -------------------------------------------------------------------------

    def _key(self) -> object:
        return tuple(sorted(self.world.circuit.positions.items())), self.world.circuit.faults

    def _begin(self, most: float) -> None:
        """Begin anew after a change: in the way it went when the same was changed before."""
        key = (self._before, self._key())
        self._before, self._changed, self._now = self._key(), False, None
        self._dt, self._fresh = self._firsts.get(key, _FIRST), True
        self._rush, self._rush_from = None, -math.inf
        at_rest, self._running = self._running, False
        rush = self._rushes.get(key) if self._prior is not None and most >= _RUSH else None
        if not self.world.recalls or self.heat_only or at_rest:
            self._record()
        elif rush is None or not self._again(rush):
            # One that follows on another begins with what still turns and glows: it is its own.
            self._rush_key = key if self._prior is not None else None
            if self._prior is not None:  # let parts remember what they had settled to before
                with self.world.as_it_was(self._prior):
                    self.world.remember(self.world.look(_AGES), surfaces=False)
            self._rush_from, self._rush = self.seconds, Rush()
            at_once = self.world.look(0.0)
            self.telling.record(self.seconds, at_once, self.world.flows(at_once), self.bilge)
            self._rush.begin(self.world, self.chronicle.moments[-1])
        self._first_of, self._prior = key, None

    def _again(self, rush: Rush) -> bool:
        """Go through a rush that came before; tell whether it comes and ends as it did."""
        look = self.world.look()
        now = self.world.flows(look)
        mean, heats = rush.again(self.world, now), rush.heats(self.world, now)
        if mean is None or heats is None or self._surface.begins(look, self.seconds):
            return False
        ends = self.world.ends(mean, _RUSH)
        ends |= {id: (*heat, *ends[id][2:]) for id, heat in heats.items()}
        self._look(look)
        stays = self._quiet(mean, ends)
        self.telling.again(self.seconds, rush, look, now, self.bilge)
        self._pass(_RUSH, mean, ends, look, look, noted=True)
        self._now = self._now if stays else None
        self._record()
        return True

    # -- one step -------------------------------------------------------------------------------

    def _step(self, most: float) -> None:
        if self.seconds - self._rush_from < _RUSH - 1e-9:
            self._rushing(most)
        else:
            self._stepping(most)

    def _rushing(self, most: float) -> None:
        """Take a short step in which rotors and filaments move, one implicit step of their own."""
        since = self.seconds - self._rush_from
        h = min(most, _RUSH_FIRST + _RUSH_GROWTH * since, _RUSH_LONGEST, _RUSH - since)
        h = max(h, _LEAST)
        look = self.world.look(h)
        flows = self.world.flows(look)
        opens = self._opening(flows, h)
        if opens is not None and opens[0] < h:
            h = max(opens[0], _LEAST)
            look = self.world.look(h)
            flows = self.world.flows(look)
        ends = self.world.ends(flows, h)
        self.world.remember(look)
        self._hold(look)
        self._accept(h, flows, flows, ends, look, look)
        assert self._rush is not None
        self._rush.add(h, flows, self.chronicle.moments[-1])
        if opens is not None and opens[0] <= h:
            self._open(opens[1])
        elif self.seconds - self._rush_from >= _RUSH - 1e-9:
            if self._rush_key is not None:
                self._rush.end()
                self._rushes[self._rush_key] = self._rush
            self._rush, self._now = None, None

    def _stepping(self, most: float) -> None:
        """Take a step as long as its error allows, to the next event at most."""
        world, now = self.world, self._look()
        h = min(self._dt, most, LONGEST, self._surface.step(self.seconds))
        event = self._next(now, h)
        h = max(min(h, event[0]), 0.0)
        ends = world.ends(now.flows, h)
        later, error = None, self._wires_moved(ends)
        falls = self._surface.falls
        if falls or not self._quiet(now.flows, ends):
            before = world.put(ends)
            look = world.look(cells=h if falls else None)
            later = Now(look, world.flows(look))
            world.put(before)
            mean = {id: flow.mean(later.flows[id]) for id, flow in now.flows.items()}
            corrected = world.ends(mean, h)
            errors = (world.bodies[id].error(ends[id], corrected[id]) for id in ends)
            apart = max(errors, default=0.0)
            if self.bilge is not None:
                turned = self._pumping(look) - self._pumping(now.look)
                apart = max(apart, abs(turned) * self.bilge.water.flow * h / 2 / _WATER)
            error = max(error, apart / self.tolerance)
            ends = corrected
        if later and h > _CATCHES and self._patience.begins(now.look, later.look):
            error = max(error, 4.0)
        if error > 1.0 and h > 1e-3:
            self.rejected += 1
            self._dt = h * max(0.2, _SAFETY / math.sqrt(error))
            return
        after = later if later is not None else now
        self._accept(h, now.flows, after.flows, ends, now.look, after.look)
        self._now = None if self._surface.moved(after.look, h) else after
        if later is not None:
            self._looked_at = {id: body.state for id, body in world.bodies.items()}
            self._hold(later.look)
        self._dt = min(h * min(_GROWTH, _SAFETY / math.sqrt(max(error, 0.04))), LONGEST)
        if self._fresh:  # the next time the same changes, try as much at once
            self._firsts[self._first_of], self._fresh = min(max(self._dt, _FIRST), 3600.0), False
        if event[0] <= h:
            self._happen(event[1], event[2])

    def _accept(
        self,
        h: float,
        flows: Mapping[str, Flow],
        later: Mapping[str, Flow],
        ends: Mapping[str, State],
        before: Look,
        look: Look,
    ) -> None:
        """Move on by a step, telling what was passed on the way and what flows at its end."""
        mean = flows if later is flows else {id: f.mean(later[id]) for id, f in flows.items()}
        self._pass(h, mean, ends, before, look)
        self.telling.record(self.seconds, look, later, self.bilge)

    def _pass(
        self,
        h: float,
        mean: Mapping[str, Flow],
        ends: Mapping[str, State],
        before: Look,
        look: Look,
        noted: bool = False,
    ) -> None:
        """Move on by a step; `noted` where moments within it have been written down."""
        bilge = self.bilge
        speed = (self._pumping(before) + self._pumping(look)) / 2 if bilge is not None else 0.0
        self.telling.passed(Step(self.seconds, h, mean, ends, bilge, speed), noted)
        self.world.put(ends)
        if bilge is not None:
            bilge.after(h, speed)
        self.seconds += h
        self.steps += 1

    def _quiet(self, flows: Mapping[str, Flow], ends: Mapping[str, State]) -> bool:
        """Tell whether what has warmed since the last look changes no voltage to speak of."""
        most, looked = _QUIET * self.tolerance, self._looked_at
        return all(
            body.drift(flows[id], looked.get(id, body.state), ends[id]) <= most
            for id, body in self.world.bodies.items()
        )

    def _wires_moved(self, ends: Mapping[str, State]) -> float:
        wires = self.world.of(WireBody)
        moved = max((abs(ends[wire.id][0] - wire.state[0]) for wire in wires), default=0.0)
        return moved / (_WIRE_STEP * self.tolerance)

    # -- events ---------------------------------------------------------------------------------

    def _next(self, now: Now, within: float) -> tuple[float, str, str]:
        """Time to the next event, its kind, and the part: infinite where there is none."""
        found = [(math.inf, "", "")]
        if self.heat_only:
            return found[0]
        opens = self._opening(now.flows, within)
        if opens is not None:
            found.append((opens[0], "opens", opens[1]))
        if self.bilge is not None:
            turns = self.bilge.turns(self._pumping(now.look), self.world.circuit.positions)
            found.append((turns, "floats", self.bilge.water.switch))
        found += coming(self.world, now.flows, within)
        found += self._patience.events(now.look, now.flows, self.seconds)
        return min(found)

    def _opening(self, flows: Mapping[str, Flow], within: float) -> tuple[float, str] | None:
        """Which fuse or breaker opens first within a time at these flows, and when.

        One that is open and bridged has current beside it, and opens no more.
        """
        opened = {fault.part for fault in self.world.circuit.faults if fault.mode == "blown"}
        found = [
            (body.opens_after(flows[body.id], within), body.id)
            for body in self.world.of(ProtectionBody)
            if flows[body.id].squared > 0.0 and body.id not in opened
        ]
        return min((one for one in found if one[0] < math.inf), default=None)

    def _pumping(self, look: Look) -> float:
        assert self.bilge is not None
        return max(self.world.speed(look, self.bilge.water.pump), 0.0)

    def _happen(self, kind: str, id: str) -> None:
        if kind == "opens":
            self._open(id)
            return
        if kind in stages.KINDS:
            self.telling.chronicle.say(self.seconds, id, *stages.happen(self.world, kind, id))
            self.change(self.world.circuit)
            return
        circuit = self.world.circuit
        if kind == "floats":
            to = "off" if circuit.positions[id] == "on" else "on"
            self.change(circuit.with_position(**{id: to}))
            self.telling.floated(self.seconds, id, to)
        else:
            self.telling.failed(self.seconds, id, kind)
            self.change(changed(circuit, id, kind))

    def _open(self, id: str) -> None:
        """Leave a fuse or breaker open."""
        flows = self._now.flows if self._now is not None else self.telling.last
        self.telling.opened(self.seconds, id, flows.get(id, Flow()))
        self.change(self.world.circuit.with_fault(f"{id} blown"))
