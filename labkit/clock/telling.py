"""Notes what happens in a course: events in sentences, and moments for the series."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import NamedTuple

from labkit.clock.bilge import Bilge
from labkit.clock.bodies import Body, Flow, ProtectionBody, State
from labkit.clock.chronicle import Chronicle, Moment
from labkit.clock.program import SEA, Deed
from labkit.clock.rush import Rush
from labkit.clock.warmth_words import SAYS, levels
from labkit.clock.world import Look, World
from labkit.parts import Battery, Trait
from labkit.parts.protection import opening_time
from labkit.text.quantities import show

FLAT = 10.5
"""A 12 V battery whose posts are lower under load is flat. [V] The end of a 20 h discharge."""

_COOL = 35.0  # nothing is told of what stays below [C]
_COOLED = 5.0  # below a level before it is told again [K]
_CURVED = 0.5  # change within a step that is drawn with points between [K]
_BETWEEN = (0.02, 0.06, 0.14, 0.28, 0.5, 0.75)  # of a step; warming is quick at first


class Step(NamedTuple):
    """A step that was taken: from when [s], how long [s], what flowed in it, how each body ends.

    `speed` is that of the bilge's pump, as a fraction of rated.
    """

    seconds: float
    h: float
    flows: Mapping[str, Flow]
    ends: Mapping[str, State]
    bilge: Bilge | None
    speed: float


class Telling:
    """Writes a chronicle of a world.

    Attributes
    ----------
    last : dict of str to Flow
        What flowed when last recorded.
    """

    def __init__(self, world: World, chronicle: Chronicle) -> None:
        self.world, self.chronicle = world, chronicle
        self.last: dict[str, Flow] = {}
        self._passed: set[tuple[str, str]] = {
            (id, name)
            for id, body in world.bodies.items()
            if body.warms
            for level, name in levels(body)
            if body.celsius > level
        }
        self._chattering: tuple[str, ...] = ()
        self._flat: set[str] = set()
        self._over = False
        parts = world.circuit.parts.values()
        self._batteries = [part.id for part in parts if isinstance(part, Battery)]

    # -- events ---------------------------------------------------------------------------------

    def done(self, seconds: float, deed: Deed) -> None:
        """Note what somebody did."""
        if deed.what == SEA:
            text = "The boat goes to sea." if deed.to == "on" else "The boat lies still."
        elif deed.what in self.world.circuit.positions:
            text = f"{deed.what} is put to {deed.to}."
        else:
            text = f"{deed.what}: {deed.to}."
        self.chronicle.say(seconds, deed.what, deed.to, text)

    def floated(self, seconds: float, id: str, to: str) -> None:
        """Note that a float rose or fell."""
        word = "lifts" if to == "on" else "drops"
        self.chronicle.say(seconds, id, to, f"The water {word} the float {id}.")

    def opened(self, seconds: float, id: str, flow: Flow) -> None:
        """Note that a fuse or breaker opened, and what its kind may take there."""
        body = self.world.bodies[id]
        assert isinstance(body, ProtectionBody)
        part = self.world.circuit.parts[id]
        amps = flow.squared**0.5
        share = amps / body.rated
        word = "opens" if Trait.CARTRIDGE in part.traits else "trips"
        text = f"{id} {word} at {show(amps, 'A', 3)}, {share:.2g} times its rating."
        least, most = opening_time(part.curve, share, body.rated)  # type: ignore[attr-defined]
        if 0.0 < most < float("inf"):
            text += (
                f" At that current, from cold, its kind takes {show(least, 's', 2)} to "
                f"{show(most, 's', 2)}."
            )
        self.chronicle.say(seconds, id, "open", text)

    def failed(self, seconds: float, id: str, what: str) -> None:
        """Note a fault that came or went by heat."""
        text = {
            "open": f"{id} opens as it gets hot.",
            "leak": f"{id}'s insulation fails with the heat: it leaks to negative.",
            "makes": f"{id} has cooled, and makes again.",
            "cuts out": f"{id} opens with the heat.",
            "cuts in": f"{id} has cooled, and closes by itself.",
        }[what]
        states = {"makes": "reset", "cuts out": "open", "cuts in": "reset"}
        self.chronicle.say(seconds, id, states.get(what, what), text)

    def switched(self, seconds: float, look: Look, changed: Iterable[tuple[str, bool]]) -> None:
        """Note relays that pulled in or let go, and what chatters."""
        chattering = self.world.point(look).chattering if look.chatters else ()
        for id in chattering:
            if id not in self._chattering:
                self.chronicle.say(seconds, id, "chatters", f"{id} chatters.")
        if not look.chatters:
            for id, on in changed:
                self.chronicle.say(seconds, id, *self._acted(id, on))
        self._chattering = chattering

    def _acted(self, id: str, on: bool) -> tuple[str, str]:
        """What became of a relay, or of a battery's own protection, and a sentence."""
        if Trait.SOURCE in self.world.circuit.parts[id].traits:
            if on:
                return "cut off", f"{id}'s own protection opens: its posts are dead."
            return "connected", f"{id}'s own protection closes."
        return ("pulled in", f"{id} pulls in.") if on else ("released", f"{id} lets go.")

    def passed(self, step: Step, noted: bool = False) -> None:
        """Note temperatures passed in a step, each at its instant, and moments between.

        `noted` where moments of the step are written down already.
        """
        bodies = self.world.bodies
        for id, body in bodies.items():
            if body.warms and max(body.celsius, body.at(step.ends[id])) > _COOL:
                self._levels(step, body)
        shown = self.chronicle.wanted.celsius
        curved = any(
            abs(bodies[id].at(step.ends[id]) - bodies[id].celsius) > _CURVED for id in shown
        )
        if curved and self.chronicle.moments and not noted:
            self._between(step)

    def _levels(self, step: Step, body: Body) -> None:
        here, end = body.celsius, body.at(step.ends[body.id])
        for level, name in levels(body):
            key = (body.id, name)
            if end < level - _COOLED:
                self._passed.discard(key)
            if here <= level < end and key not in self._passed:
                self._passed.add(key)
                within = self.world.reaches(body, step.flows[body.id], level, step.h)
                told = SAYS[name].format(id=body.id, celsius=show(round(level), "C"))
                self.chronicle.say(step.seconds + within, body.id, name, told)

    # -- moments --------------------------------------------------------------------------------

    def record(
        self, seconds: float, look: Look, flows: Mapping[str, Flow], bilge: Bilge | None
    ) -> None:
        """Note everything that is wanted, now."""
        self.last = dict(flows)
        self._low(seconds, look)
        if bilge is not None and bilge.over and not self._over:
            text = f"The water stands above the boards: {show(bilge.litres, 'l', 3)} in the bilge."
            self.chronicle.say(seconds, bilge.water.pump, "overflows", text)
        self._over = bilge is not None and bilge.over
        self.chronicle.moments.append(self._moment(seconds, look, flows, bilge))

    def again(
        self,
        seconds: float,
        rush: Rush,
        look: Look,
        flows: Mapping[str, Flow],
        bilge: Bilge | None,
    ) -> None:
        """Note a rush of current that came before, and leads to what is looked at now."""
        now = self._moment(seconds, look, flows, bilge)
        for moment in rush.moments(now):
            self.chronicle.moments.append(moment._replace(seconds=seconds + moment.seconds))

    def _moment(
        self, seconds: float, look: Look, flows: Mapping[str, Flow], bilge: Bilge | None
    ) -> Moment:
        wanted, solution = self.chronicle.wanted, look.solution
        numbers = [look.net.node_of[point] for point in wanted.volts]
        none = look.chatters
        bodies = self.world.bodies
        return Moment(
            seconds,
            tuple(
                float(solution.volts[n]) if not none and solution.islands[n] == 0 else None
                for n in numbers
            ),
            tuple(None if none else flows[id].amps for id in wanted.amps),
            tuple(bodies[id].celsius for id in wanted.celsius),
            tuple(bodies[id].charge for id in wanted.charge),
            bilge.litres if bilge is not None else None,
        )

    def _between(self, step: Step) -> None:
        """Moments within a step: volts and amps as at its beginning, what is slow as it is then."""
        first, bodies, wanted = self.chronicle.moments[-1], self.world.bodies, self.chronicle.wanted
        charges = [
            (bodies[id].charge, replace(bodies[id], state=step.ends[id]).charge)
            for id in wanted.charge
        ]
        for share in _BETWEEN:
            after = share * step.h
            litres = step.bilge.later(after, step.speed) if step.bilge is not None else None
            moment = first._replace(
                seconds=step.seconds + after,
                celsius=tuple(self.world.later(id, step.flows[id], after) for id in wanted.celsius),
                charge=tuple(
                    None if begin is None or end is None else begin + share * (end - begin)
                    for begin, end in charges
                ),
                litres=None if litres is None else 1e3 * litres,
            )
            self.chronicle.moments.append(moment)

    def _low(self, seconds: float, look: Look) -> None:
        """Note batteries whose posts fall below what a flat one has."""
        circuit = self.world.circuit
        for id in self._batteries:
            if id in self._flat or look.chatters:
                continue
            volts = [look.solution.volts[look.net.node_of[f"{id}:{t}"]] for t in ("+", "-")]
            if volts[0] - volts[1] < FLAT * circuit.system / 12.0:
                self._flat.add(id)
                text = f"{id} is flat: {show(float(volts[0] - volts[1]), 'V', 3)} at its posts."
                self.chronicle.say(seconds, id, "flat", text)
