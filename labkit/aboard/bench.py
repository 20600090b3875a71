"""One person at one circuit: what they do, what they read, the minutes it takes, what is dangerous.

The only thing in labkit with a history. Widgets and notebooks talk to it, grading reads its log.
Every act goes through :meth:`Bench.act` under its own name, so a log can be played again.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from labkit.aboard.act import Act
from labkit.aboard.acts import act_named
from labkit.aboard.leads import lead_minutes
from labkit.aboard.scene import Scene
from labkit.aboard.setting import Setting
from labkit.circuits.circuit import Circuit
from labkit.measuring.clamp import Clamp
from labkit.measuring.meter import Hazard, Reading
from labkit.solving.solver import OperatingPoint, solve
from labkit.text.messages import CircuitError


@dataclass(frozen=True)
class Entry:
    """A line of the log: what was done, in which state of the boat, what it showed and took."""

    number: int
    action: str
    args: Mapping[str, str]
    shows: str
    minutes: float
    hazards: tuple[Hazard, ...] = ()
    reading: Reading | None = field(default=None, compare=False)
    setting: Setting = field(default_factory=Setting, compare=False)

    def __str__(self) -> str:
        args = " ".join(self.args.values())
        return f"{self.number}. {self.action} {args}: {self.shows} ({self.minutes:.1f} min)"

    def as_json(self) -> dict[str, Any]:
        """Return the entry as plain data."""
        hazards = [{"kind": h.kind, "text": h.text} for h in self.hazards]
        return {
            "number": self.number,
            "action": self.action,
            "args": dict(self.args),
            "shows": self.shows,
            "minutes": round(self.minutes, 3),
            "hazards": hazards,
        }


class Bench:
    """A person with a meter, a test lamp and a fused jumper at a circuit.

    Parameters
    ----------
    circuit : Circuit
        With whatever is wrong with it.

    Attributes
    ----------
    log : list of Entry
    reached : set of str
        Places that somebody got at before.
    watchers : list of callable
        Called with every entry of the log as it is made.
    """

    def __init__(self, circuit: Circuit) -> None:
        self._scene = Scene(circuit)
        self._scene.clamp = Clamp(circuit.clamp_drift, circuit.title)
        self.reached: set[str] = set()
        self.log: list[Entry] = []
        self._counted, self._spent = 0, 0.0
        self.watchers: list[Callable[[Entry], None]] = []
        self._scene.settle()

    def __repr__(self) -> str:
        return (
            f"<Bench: {self._scene.circuit.title!r}, {len(self.log)} acts, {self.minutes:.1f} min>"
        )

    # -- what can be asked -------------------------------------------------------------------

    @property
    def circuit(self) -> Circuit:
        """The circuit as it really is, faults included: for grading, not for showing."""
        return self._scene.circuit

    @property
    def drawn(self) -> Circuit:
        """The circuit as the person at it sees it: no faults, but switches, gaps and bridges."""
        return self._scene.circuit.without_faults()

    @property
    def point(self) -> OperatingPoint:
        """What the circuit does now."""
        return solve(self._scene.circuit)

    @property
    def minutes(self) -> float:
        """Minutes spent so far."""
        for entry in self.log[self._counted :]:  # a long log is not added up anew at each act
            self._spent += entry.minutes
        self._counted = len(self.log)
        return self._spent

    @property
    def hazards(self) -> list[Hazard]:
        """Everything dangerous that was done so far."""
        return [hazard for entry in self.log for hazard in entry.hazards]

    @property
    def reading(self) -> Reading | None:
        """The last reading of the meter."""
        return next((e.reading for e in reversed(self.log) if e.reading is not None), None)

    @property
    def readings(self) -> list[Reading]:
        """All readings so far."""
        return [entry.reading for entry in self.log if entry.reading is not None]

    @property
    def traced(self) -> set[str]:
        """Names of the runs followed by eye and hand, where hidden parts have come to light."""
        return self._scene.traced

    @property
    def seen_open(self) -> set[str]:
        """Fuses and breakers seen to be open."""
        return self._scene.seen_open

    @property
    def pulled(self) -> set[str]:
        """Fuses that lie on the bench."""
        return self._scene.pulled

    @property
    def needless(self) -> list[str]:
        """Parts mended or replaced in which nothing was wrong: for grading, not for showing."""
        return self._scene.needless

    # -- what can be done --------------------------------------------------------------------

    def act(self, action: str, /, **args: str) -> Entry:
        """Do something by its name, and log it.

        Raises
        ------
        CircuitError
            If there is no such act, part, point or position; nothing is logged then.
        """
        act = act_named(action)
        _told(act, args)
        before, reached = self._scene.circuit, set(self.reached)
        places = act.places(before, args)
        way = sum(self._reach(place) for place in places)
        if action == "read" and len(places) == 2:
            way += lead_minutes(before, *places)
        try:
            self._scene.warmth.spend(before, 60.0 * way)
            self._scene.minutes = self.minutes + way + act.minutes
            done = self._scene.do(act, args)
        except CircuitError:
            self.reached = reached
            raise
        self._scene.warmth.spend(before, 60.0 * act.minutes)
        minutes = way + act.minutes + done.minutes
        entry = Entry(
            len(self.log) + 1,
            action,
            args,
            done.shows,
            minutes,
            tuple(done.hazards),
            done.reading,
            done.setting,
        )
        self.log.append(entry)
        for tell in self.watchers:
            tell(entry)
        return entry

    def switch(self, id: str, to: str) -> Entry:
        """Move a switch, lift a float, part a connector: ``switch("S2", "on")``."""
        return self.act("switch", id=id, to=to)

    def read(self, red: str, black: str = "DC-", function: str = "volts") -> Reading:
        """Put the leads on two points and read the meter."""
        reading = self.act("read", red=red, black=black, function=function).reading
        assert reading is not None
        return reading

    def zero(self, around: str = "") -> Entry:
        """Zero the clamp, held away from all wires, or round one as nobody should."""
        return self.act("zero", **({"around": around} if around else {}))

    def part(self, terminal: str) -> Entry:
        """Take the connection at a terminal apart."""
        return self.act("part", terminal=terminal)

    def join(self, terminal: str) -> Entry:
        """Make a connection again."""
        return self.act("join", terminal=terminal)

    def pull(self, id: str) -> Entry:
        """Pull a fuse, and look at it."""
        return self.act("pull", id=id)

    def fit(self, id: str, rating: str = "") -> Entry:
        """Fit a fuse, of its own rating or another; set a breaker again."""
        return self.act("fit", id=id, **({"rating": rating} if rating else {}))

    def jumper(self, first: str, second: str) -> Entry:
        """Bridge two points with the fused jumper."""
        return self.act("jumper", first=first, second=second)

    def test_lamp(self, first: str, second: str) -> Entry:
        """Put the test lamp between two points: a load of its own."""
        return self.act("test lamp", first=first, second=second)

    def lift(self, what: str) -> Entry:
        """Take the jumper or the test lamp away."""
        return self.act("lift", what=what)

    def wiggle(self, id: str, look_at: str) -> Entry:
        """Wiggle a part while somebody watches a load."""
        return self.act("wiggle", id=id, look_at=look_at)

    def look(self, id: str) -> Entry:
        """Look and listen: what does a load do?"""
        return self.act("look", id=id)

    def touch(self, id: str) -> Entry:
        """Feel how warm a part is."""
        return self.act("touch", id=id)

    def infrared(self, id: str) -> Entry:
        """Point a spot thermometer at a part."""
        return self.act("infrared", id=id)

    def load_test(self, id: str) -> Entry:
        """Draw half a battery's cranking current for 15 s, its cable off."""
        return self.act("load test", id=id)

    def wait(self, time: str) -> Entry:
        """Let time pass: things warm, fuses tire, floats rise: ``wait("10 min")``."""
        return self.act("wait", time=time)

    def record(self, red: str, black: str, time: str, where: str = "") -> Entry:
        """Leave the meter to keep the least and the most volts for a time; where: "at sea"."""
        return self.act("record", red=red, black=black, time=time, where=where)

    def trace(self, run: str) -> Entry:
        """Follow a run by eye and hand from end to end."""
        return self.act("trace", run=run)

    def repair(self, id: str) -> Entry:
        """Mend or replace a part."""
        return self.act("repair", id=id)

    def isolate(self, id: str) -> Entry:
        """Open a switch, pull a fuse or take a battery's negative off, and tag it."""
        return self.act("isolate", id=id)

    # -- minutes ------------------------------------------------------------------------------

    def _reach(self, place: str) -> float:
        """Minutes to get at a place the first time: the easiest part there decides."""
        label = next(j for j in self._scene.circuit.junctions if place in j.members)
        if label.label in self.reached:
            return 0.0
        self.reached.add(label.label)
        parts = {m.split(":")[0] for m in label.members if ":" in m}
        return min((self._scene.circuit.parts[id].reach for id in parts), default=0.0) / 60.0


def _told(act: Act, args: Mapping[str, str]) -> None:
    """See that an act is told what it needs, no more, and in words."""
    if not all(isinstance(value, str) for value in args.values()):
        raise CircuitError([f"'{act.name}' takes words, such as part 'X1'"])
    wanted = {need.name for need in act.needs}
    must = {need.name for need in act.needs if need.otherwise is None}
    if not must <= args.keys() <= wanted:
        right = ", ".join(need.name for need in act.needs)
        raise CircuitError([f"'{act.name}' needs {right}; found {', '.join(args) or 'nothing'}"])
