"""The circuit as it is now and what was found out by hand: where every act is performed.

Bench, advice and review all do things here, so that they cannot disagree about what an act shows.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from labkit.aboard import safety
from labkit.aboard.act import Act
from labkit.aboard.safety import heat
from labkit.aboard.safety.clipped import jumper_blew
from labkit.aboard.setting import JUMPER_FUSE, Setting
from labkit.aboard.warmth import Warmth
from labkit.circuits.circuit import Circuit
from labkit.measuring.clamp import Clamp
from labkit.measuring.meter import Hazard, Reading
from labkit.measuring.senses import sensed
from labkit.parts import Part, Trait
from labkit.solving.solver import OperatingPoint, solve
from labkit.text.messages import CircuitError, did_you_mean


class Done(NamedTuple):
    """An act and all that came of it."""

    shows: str
    hazards: list[Hazard]
    places: list[str]
    setting: Setting
    reading: Reading | None
    minutes: float = 0.0


class Scene:
    """A circuit, and what the person at it has found out by hand.

    Attributes
    ----------
    circuit : Circuit
        As it really is, with whatever is wrong with it.
    traced, seen_open, pulled : set of str
        Runs followed; fuses seen to be open; fuses that lie on the bench.
    needless : list of str
        Parts mended or replaced in which nothing was wrong.
    said : set of str
        Wires that were said to be too hot.
    clamp : Clamp
        One that never drifts, until the bench brings the one there is aboard.
    minutes : float
        Since somebody stepped aboard.
    """

    def __init__(self, circuit: Circuit) -> None:
        self.circuit = circuit
        self.reading: Reading | None = None
        self.reads = 0
        self.traced: set[str] = set()
        self.seen_open: set[str] = set()
        self.pulled: set[str] = set()
        self.needless: list[str] = []
        self.said: set[str] = set()
        self.warmth = Warmth()
        self.clamp = Clamp()
        self.minutes = 0.0

    def do(self, act: Act, args: Mapping[str, str]) -> Done:
        """Perform an act, and let what follows from it happen.

        Raises
        ------
        CircuitError
            If there is no such part, point or position; nothing is changed then.
        """
        before, setting, self.reading = self.circuit, self.setting, None
        places = act.places(before, args)
        if act.hands:
            self.let_go()
        shows, hazards, minutes = act.performed(self, args)
        if self.circuit is not before:
            by_hand = safety.watch(before, self.circuit) if not minutes else []
            hazards = [*hazards, *by_hand, *self.settle()]
        return Done(shows, hazards, places, setting.shared(self.setting), self.reading, minutes)

    def bring(self, setting: Setting) -> list[Hazard]:
        """Bring the circuit into a state at a stroke, and let what follows happen."""
        self.circuit = setting.applied(self.circuit)
        return self.settle()

    @property
    def setting(self) -> Setting:
        """The state hands have brought it into."""
        here = self.circuit
        return Setting(
            here.positions,
            here.parted,
            frozenset(f"{id}:1" for id in self.pulled),
            {bridge.id: (bridge.first, bridge.second) for bridge in here.bridges},
        )

    # -- what acts ask of it -----------------------------------------------------------------

    def does(self, id: str) -> str:
        """What a load can be seen and heard to do."""
        loads = sensed(self.circuit, solve(self.circuit))
        if id not in loads:
            hint = did_you_mean(id, loads)
            raise CircuitError([f"{id} does nothing you can see or hear; {hint}"])
        return loads[id]

    def protection(self, id: str) -> Part:
        """A fuse or breaker by its id."""
        part = self.circuit.part(id)
        if Trait.PROTECTION not in part.traits:
            parts = self.circuit.parts.values()
            kinds = [p.id for p in parts if Trait.PROTECTION in p.traits]
            raise CircuitError(
                [f"{id} is a {part.kind}; fuses and breakers are {', '.join(kinds)}"]
            )
        return part

    def let_go(self) -> None:
        """Take the finger off every push button."""
        here = self.circuit
        back = {
            id: part.off()
            for id, part in here.parts.items()
            if Trait.SPRINGS_BACK in part.traits and here.positions[id] != part.off()
        }
        self.circuit = here.with_position(**back) if back else here

    # -- what happens by itself --------------------------------------------------------------

    def settle(self) -> list[Hazard]:
        """Leave open what opened, and name what else is dangerous in the state reached."""
        point = solve(self.circuit)
        if "jumper" in point.opened:
            self.circuit = self.circuit.without_bridge("jumper")
            return [jumper_blew(JUMPER_FUSE), *self.settle()]
        self.blow(point.opened)
        return [*heat.opened(point.opened), *self._hot(point)]

    def _hot(self, point: OperatingPoint) -> list[Hazard]:
        """Name what has become too hot; what was so before has been said."""
        found = heat.hot_wires(self.circuit, point)
        new = [hazard for id, hazard in found.items() if id not in self.said]
        self.said = set(found)
        return new

    def blow(self, opened: tuple[str, ...]) -> None:
        """Leave open the fuses and breakers that opened."""
        known = {f.part for f in self.circuit.faults if f.mode == "blown"}
        new = [f"{id} blown" for id in opened if id not in known and id in self.circuit.parts]
        if new:
            self.circuit = self.circuit.with_fault(*new)
